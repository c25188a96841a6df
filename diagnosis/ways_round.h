// Chains of failed seals that explain air between two circuits which no single seal divides.
#pragma once

#include <string>
#include <vector>

#include "divide.h"

namespace ringland::diagnosis {

struct WaysRound {
    std::vector<WayRound> ways;
    bool cut_off = false; ///< more exist than are listed
};

/// Every chain with the fewest failed seals that leads from one circuit to the other through at least one circuit
/// between; one entry per row of seals, in the order of the map. A flow by design joins two circuits at no cost in its
/// own direction; where several ways by design join the same seals, the one over the fewest circuits is told.
///
/// A lip or check ball counts as a failed seal in both directions: a healthy one does not hold back air from behind,
/// but how much it lets by is not known here, and what passes for certain stands in the map as a flow by design.
[[nodiscard]] WaysRound ways_round(const model::UnitMap& map, const std::string& from, const std::string& to);

} // namespace ringland::diagnosis
