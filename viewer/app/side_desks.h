// What is worked out beside the window apart from weighing: the two tests of a job held against each other, and the
// shortest full air check of a unit.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "../../diagnosis/retest.h"
#include "../../model-data/air_bench.h"
#include "../../model-data/job.h"
#include "../../model-data/priors.h"
#include "desk.h"

namespace ringland::viewer {

struct RetestQuestion {
    std::shared_ptr<const model::UnitMap> map; ///< the same pointer: the same unit
    model::AirBench bench;
    model::Priors priors;
    model::Job job; ///< its checks, findings and what was renewed; nothing else of it counts
};

struct Retested {
    diagnosis::Retest retest;
    model::Phrase trouble; ///< why there is none: readings that do not fit the map; empty: there is one
};

struct FullCheckQuestion {
    std::shared_ptr<const model::UnitMap> map;
    model::AirBench bench;
};

/// The ports of a unit in the order in which a full air check blows into them.
struct FullCheck {
    std::vector<std::size_t> order; ///< every port of the map: those of the shortest check first
    std::size_t shortest = 0;       ///< so many of them find every single fault that air can find
};

/// The full check is not worked out for a unit with more ports or seals: it would take too long.
inline constexpr std::size_t most_ports_of_full_check = 100, most_seals_of_full_check = 160;

struct SideDesks {
    /// `wake` is called from a thread when something new can be taken.
    explicit SideDesks(bool threaded = false, std::function<void()> wake = {});

    Desk<RetestQuestion, Retested> retest;
    Desk<FullCheckQuestion, FullCheck> full_check;
};

} // namespace ringland::viewer
