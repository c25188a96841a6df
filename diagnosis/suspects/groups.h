// What comes off to get at a seal. Seals that come out together need not be told apart.
#pragma once

#include <string>
#include <vector>

#include "../../model-data/texts.h"
#include "../../model-data/unit_map.h"

namespace ringland::diagnosis::suspects {

/// Seals that are reached by taking the same parts off.
struct PullGroup {
    std::vector<std::size_t> parts; ///< indices in the map, ascending: all that must come off
    std::vector<std::size_t> seals; ///< indices in the map
    double minutes = 0;             ///< of taking the parts off; parts without a figure count for none
};

/// A part that the map does not time counts for so many where ways are compared (common practice, no source); a total
/// leaves it out and says so.
inline constexpr double untimed_minutes = 10;

/// Every way to reach a seal: all parts that must come off for the part with which it is renewed, where the map names
/// such parts, else for the part that it sits on. Each ascending, the way of least minutes first (of least parts where
/// that is equal). Empty where the map does not say where it sits.
[[nodiscard]] std::vector<std::vector<std::size_t>> ways_to(const model::UnitMap& map, const model::Seal& seal);

/// The groups of a unit by the first way to each seal, in the order of their first seal. Where the map does not say on
/// which part a seal sits, the seal is a group of its own.
[[nodiscard]] std::vector<PullGroup> pull_groups(const model::UnitMap& map);

/// "input shaft and what is before it: test plate, pump, front drum".
[[nodiscard]] std::string group_words(const model::UnitMap& map, const PullGroup& group,
                                      const model::Translator& tr = {});

} // namespace ringland::diagnosis::suspects
