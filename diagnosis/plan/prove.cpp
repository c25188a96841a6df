#include "prove.h"

#include <algorithm>

#include "../airflow/unit_air.h"
#include "../suspects/coverage.h"

namespace ringland::diagnosis::plan {

Proof prove(const model::UnitMap& map, const model::AirBench& bench, const std::vector<std::size_t>& seals,
            const model::Translator& tr) {
    Proof proof;
    proof.supply_gauge_pa = airflow::usual_gauge_pa(map, bench);
    suspects::Tables tables(map, bench);
    const suspects::Coverage coverage = suspects::cover(tables, proof.supply_gauge_pa, tr);
    proof.reference_mm = coverage.reference_mm;

    std::vector<std::vector<int>> shown_by(seals.size());
    for (std::size_t i = 0; i < seals.size(); ++i) {
        const auto& cover = coverage.seals[seals[i]];
        shown_by[i] = coverage.shown_by[seals[i]];
        if (!shown_by[i].empty()) continue;
        if (cover.findable)
            shown_by[i].push_back(cover.into);
        else
            proof.unproved.push_back({seals[i], cover.why_not});
    }
    airflow::UnitAir unit(map, bench);
    proof.converged = tables.all_converged();
    for (const int port : suspects::fewest_sets(shown_by, static_cast<int>(map.ports.size())).sets) {
        ProofReading reading;
        reading.into = port;
        for (std::size_t i = 0; i < seals.size(); ++i)
            if (std::find(shown_by[i].begin(), shown_by[i].end(), port) != shown_by[i].end())
                reading.proves.push_back(seals[i]);
        reading.expected = airflow::expect_row(map, unit, port, proof.supply_gauge_pa);
        proof.converged = proof.converged && reading.expected.converged;
        proof.readings.push_back(std::move(reading));
    }
    return proof;
}

} // namespace ringland::diagnosis::plan
