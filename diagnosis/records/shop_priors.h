// What the shop has seen, brought into the priors of weighing.
//
// Which seal of a unit is the damaged one is a draw among its seals. The default priors give each a share; the shop's
// own findings are counts of the same draw. The default stands as a Dirichlet distribution that weighs as much as
// `default_weight` jobs, so the posterior mean of a share is (n0 s + c) / (n0 + N), with the default share s, c of the
// shop's N findings at that seal, and n0 the weight. (Conjugate prior of the multinomial: standard textbook result, for
// example Gelman et al., Bayesian Data Analysis, 3rd ed., section 3.4.) How often anything at all is damaged stays as
// the default has it: records hold the units in which something was found.
#pragma once

#include <vector>

#include "../../model-data/priors.h"
#include "../../model-data/unit_map.h"
#include "records.h"

namespace ringland::diagnosis::records {

/// The default priors weigh as much as so many findings of the shop; common practice, no source.
inline constexpr double default_weight = 20;

struct SealShare {
    double by_default = 0, now = 0; ///< share of all damaged seals of the unit
    long failed = 0;                ///< the shop's findings at this seal
};

/// By seal of the map. Findings at seals that the map does not have are left out.
[[nodiscard]] std::vector<SealShare> shop_shares(const model::UnitMap& map, const model::Priors& priors,
                                                 const std::vector<SealStatistics>& failures,
                                                 double weight = default_weight);

/// The map with its seals' prior weights changed so that weighing starts from these shares.
[[nodiscard]] model::UnitMap with_shares(model::UnitMap map, const std::vector<SealShare>& shares);

} // namespace ringland::diagnosis::records
