// What is said of a retest, the same in the window and on the command line, in the language of the
// translator. No toolkit in here.
#pragma once

#include <string>
#include <string_view>

#include "../../diagnosis/retest.h"
#include "texts.h"

namespace ringland::viewer {

/// What is to be said of a place: the last test counts. "as a good unit now", "still more than a good unit".
[[nodiscard]] std::string judged_words(const Translator& tr, const diagnosis::RetestRow& row);
/// A place that is not, or not yet, as in a good unit.
[[nodiscard]] bool is_wrong(const diagnosis::RetestRow& row);
/// Before and after as in a good unit: nothing to tell of it.
[[nodiscard]] bool is_plain(const diagnosis::RetestRow& row);
/// "5 more places show what a good unit shows, before and after."
[[nodiscard]] std::string plain_places_words(const Translator& tr, std::size_t count);
/// "renewed, cleared"; empty where neither holds.
[[nodiscard]] std::string status_words(const Translator& tr, const diagnosis::SealChance& chance);
/// "The fault is gone: 94 % (by the parts that were renewed alone: 71 %)."; before a retest only the parts speak.
[[nodiscard]] std::string gone_words(const Translator& tr, const diagnosis::Retest& retest);
/// "The rig leaks: below 1 %. Not on the map: below 1 %."
[[nodiscard]] std::string other_causes_words(const Translator& tr, const diagnosis::Retest& retest);

inline constexpr std::string_view no_first_test = model::marked("There is no first test in this job.");
inline constexpr std::string_view not_tested_again = model::marked("The unit has not been tested again.");
inline constexpr std::string_view gone_means =
    model::marked("Gone means: none of these seals is at fault, and nothing that is not on the map.");
inline constexpr std::string_view retest_not_balanced =
    model::marked("NOT BALANCED in at least one case: do not trust these figures.");

} // namespace ringland::viewer
