#include "retest_words.h"

#include <fmt/format.h>

#include "../../diagnosis/suspects/answer.h"

namespace ringland::viewer {

using diagnosis::Against;
using diagnosis::RetestRow;
using diagnosis::suspects::percent_words;

std::string judged_words(const Translator& tr, const RetestRow& row) {
    if (!row.after) return tr("not tested again");
    const bool still = row.before && row.before_is == row.after_is;
    switch (row.after_is) {
    case Against::unknown:
        return tr("not sure");
    case Against::as_expected:
        return row.before && row.before_is != Against::as_expected ? tr("as a good unit now") : tr("as a good unit");
    case Against::more:
        return still ? tr("still more than a good unit") : tr("more than a good unit");
    case Against::less:
        return still ? tr("still less than a good unit") : tr("less than a good unit");
    }
    return {};
}

bool is_wrong(const RetestRow& row) {
    return row.after && (row.after_is == Against::more || row.after_is == Against::less);
}

bool is_plain(const RetestRow& row) {
    return row.before_is == Against::as_expected && row.after_is == Against::as_expected;
}

std::string plain_places_words(const Translator& tr, std::size_t count) {
    return filled(tr("{0} more place shows what a good unit shows, before and after.",
                     "{0} more places show what a good unit shows, before and after.", count),
                  count);
}

std::string status_words(const Translator& tr, const diagnosis::SealChance& chance) {
    std::string words = chance.renewed ? tr("renewed") : "";
    if (chance.cleared) words += (words.empty() ? "" : ", ") + tr("cleared");
    return words;
}

std::string gone_words(const Translator& tr, const diagnosis::Retest& retest) {
    if (!retest.has_after)
        return filled(tr("The fault is gone, by the parts that were renewed alone: {0}."),
                      percent_words(retest.gone, tr));
    return filled(tr("The fault is gone: {0} (by the parts that were renewed alone: {1})."),
                  percent_words(retest.gone, tr), percent_words(retest.gone_by_parts, tr));
}

std::string other_causes_words(const Translator& tr, const diagnosis::Retest& retest) {
    return filled(tr("The rig leaks: {0}. Not on the map: {1}."), percent_words(retest.rig, tr),
                  percent_words(retest.unmapped, tr));
}

} // namespace ringland::viewer
