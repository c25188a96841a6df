#include "retest_words.h"

#include <fmt/format.h>

#include "../../diagnosis/suspects/answer.h"

namespace ringland::viewer {

using diagnosis::Against;
using diagnosis::RetestRow;
using diagnosis::suspects::percent_words;

std::string judged_words(const RetestRow& row) {
    if (!row.after) return "not tested again";
    const std::string still = row.before && row.before_is == row.after_is ? "still " : "";
    switch (row.after_is) {
    case Against::unknown:
        return "not sure";
    case Against::as_expected:
        return row.before && row.before_is != Against::as_expected ? "as a good unit now" : "as a good unit";
    case Against::more:
        return still + "more than a good unit";
    case Against::less:
        return still + "less than a good unit";
    }
    return {};
}

bool is_wrong(const RetestRow& row) {
    return row.after && (row.after_is == Against::more || row.after_is == Against::less);
}

bool is_plain(const RetestRow& row) {
    return row.before_is == Against::as_expected && row.after_is == Against::as_expected;
}

std::string plain_places_words(std::size_t count) {
    return fmt::format("{} more {} a good unit shows, before and after.", count,
                       count == 1 ? "place shows what" : "places show what");
}

std::string status_words(const diagnosis::SealChance& chance) {
    std::string words = chance.renewed ? "renewed" : "";
    if (chance.cleared) words += words.empty() ? "cleared" : ", cleared";
    return words;
}

std::string gone_words(const diagnosis::Retest& retest) {
    if (!retest.has_after)
        return fmt::format("The fault is gone, by the parts that were renewed alone: {}.", percent_words(retest.gone));
    return fmt::format("The fault is gone: {} (by the parts that were renewed alone: {}).", percent_words(retest.gone),
                       percent_words(retest.gone_by_parts));
}

std::string other_causes_words(const diagnosis::Retest& retest) {
    return fmt::format("The rig leaks: {}. Not on the map: {}.", percent_words(retest.rig),
                       percent_words(retest.unmapped));
}

} // namespace ringland::viewer
