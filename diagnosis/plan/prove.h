// The retest that proves the work: into which ports to blow, what a healthy unit shows there, and which of the renewed
// seals each reading would show to leak.
//
// A reading proves a seal where a hole of the reference size in it changes a word somewhere (suspects/coverage.h); the
// fewest readings that prove them all are taken.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "../../model-data/air_bench.h"
#include "../../model-data/texts.h"
#include "../../model-data/unit_map.h"
#include "../airflow/expected.h"

namespace ringland::diagnosis::plan {

struct ProofReading {
    int into = 0;                    ///< port
    std::vector<std::size_t> proves; ///< seals
    airflow::ExpectedRow expected;   ///< what a healthy unit shows
};

/// A seal that no reading proves.
struct Unproved {
    std::size_t seal = 0;
    std::string why;
};

struct Proof {
    double supply_gauge_pa = 0;
    double reference_mm = 0; ///< hole that is found in every seal that is proved, or the least that is found in it
    std::vector<ProofReading> readings; ///< in the order of the ports
    std::vector<Unproved> unproved;
    bool converged = true;
};

/// The readings that prove these seals; the usual pressure of map or bench.
[[nodiscard]] Proof prove(const model::UnitMap& map, const model::AirBench& bench,
                          const std::vector<std::size_t>& seals, const model::Translator& tr = {});

} // namespace ringland::diagnosis::plan
