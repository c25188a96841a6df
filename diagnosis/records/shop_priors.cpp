#include "shop_priors.h"

#include <algorithm>
#include <cstddef>

namespace ringland::diagnosis::records {

std::vector<SealShare> shop_shares(const model::UnitMap& map, const model::Priors& priors,
                                   const std::vector<SealStatistics>& failures, double weight) {
    std::vector<SealShare> shares(map.seals.size());
    double all = 0, found = 0;
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        const auto& seal = map.seals[s];
        shares[s].by_default = priors.kind[static_cast<std::size_t>(seal.kind)].fails * seal.prior.value_or(1);
        all += shares[s].by_default;
        for (const auto& line : failures) {
            if (line.seal == seal.id) shares[s].failed += line.failed;
        }
        found += static_cast<double>(shares[s].failed);
    }
    for (auto& share : shares) {
        share.by_default = all > 0 ? share.by_default / all : 0;
        share.now = (weight * share.by_default + static_cast<double>(share.failed)) / (weight + found);
    }
    return shares;
}

model::UnitMap with_shares(model::UnitMap map, const std::vector<SealShare>& shares) {
    for (std::size_t s = 0; s < std::min(map.seals.size(), shares.size()); ++s) {
        if (shares[s].by_default <= 0) continue;
        map.seals[s].prior = map.seals[s].prior.value_or(1) * shares[s].now / shares[s].by_default;
    }
    return map;
}

} // namespace ringland::diagnosis::records
