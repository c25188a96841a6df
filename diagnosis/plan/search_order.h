// Search order: of several suspects, which to reach or look at first, so that the fault is found soonest on average.
//
// Steps are looks (the seal alone, without full teardown) and pulls (all that comes off for a group of seals; a part
// that is off already costs nothing again). With S the steps done so far, q(S) the chance that the fault is not found
// by them and c(a|S) the minutes of the next step a, the expected minutes of an order are the sum of q(S) c(a|S). Both
// depend on the set S only, so the least is found exactly by dynamic programming over sets,
//     E(S) = min over a of  q(S) c(a|S) + E(S + a).
// Where no part is shared and nothing can be looked at, that is the rule of Smith (Naval Research Logistics Quarterly
// 3, 1956, 59-66): by chance over minutes, the largest first. With shared parts the problem is hard in general (Lawler,
// Annals of Discrete Mathematics 2, 1978, 75-90: weighted completion times under precedence), hence the limit.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "../../model-data/unit_map.h"

namespace ringland::diagnosis::plan {

struct SearchStep {
    enum class Kind { look, pull } kind = Kind::pull;
    std::vector<std::size_t> seals; ///< that this step lets see: one of a look, all of the group of a pull
    std::vector<std::size_t> parts; ///< that come off newly, in UnitMap::parts; none of a look
    double minutes = 0; ///< of this step; a part that the map does not time counts suspects::untimed_minutes
    double minutes_so_far = 0;
    double finds = 0; ///< chance that the fault is found here and not before
    double found_so_far = 0;
};

struct SearchOrder {
    std::vector<SearchStep> steps;
    double expected_minutes = 0;       ///< until the fault is found, if it is one of these suspects
    double worst_minutes = 0;          ///< all steps
    bool exact = true;                 ///< proved to be the least
    double at_least_minutes = 0;       ///< no order has a smaller expectation; expected_minutes where exact
    std::vector<std::size_t> untimed;  ///< parts for which suspects::untimed_minutes was taken
    std::vector<std::size_t> unplaced; ///< suspects that no step reaches: the map does not say where they sit
};

/// `chance` by seal of the map, any scale: they are taken relative to one another, as if exactly one were at fault.
/// `look_misses`: chance that a look passes over a damaged seal; a pull misses nothing.
[[nodiscard]] SearchOrder search_order(const model::UnitMap& map, const std::vector<double>& chance,
                                       double look_misses);

/// Looks and pulls up to which the order is exact; beyond it is the best that steps by chance over minutes and moving
/// single steps find, with `at_least_minutes` from the rule of Smith on jobs that share every part out evenly.
inline constexpr std::size_t most_exact_steps = 18;

} // namespace ringland::diagnosis::plan
