// What comes off to get at a seal. Seals that come out together need not be told apart.
#pragma once

#include <string>
#include <vector>

#include "../../model-data/unit_map.h"

namespace ringland::diagnosis::suspects {

/// Seals that are reached by taking the same parts off.
struct PullGroup {
    std::vector<std::size_t> parts; ///< indices in the map, ascending: all that must come off
    std::vector<std::size_t> seals; ///< indices in the map
    double minutes = 0;             ///< of taking the parts off; parts without a figure count for none
};

/// The groups of a unit, in the order of their first seal. Where the map does not say on which part a seal sits, the
/// seal is a group of its own.
[[nodiscard]] std::vector<PullGroup> pull_groups(const model::UnitMap& map);

/// "input shaft and what is before it: test plate, pump, front drum".
[[nodiscard]] std::string group_words(const model::UnitMap& map, const PullGroup& group);

} // namespace ringland::diagnosis::suspects
