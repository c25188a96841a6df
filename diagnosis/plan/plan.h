// A plan: from suspects or seals to what comes off, what is renewed, how it goes back, and the retest that proves it.
//
// Everything here is derived from the map; nothing is stored. Indices are those of the lists of the map. The maker's
// service information and local rules decide; a plan advises.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "../../model-data/air_bench.h"
#include "../../model-data/stock.h"
#include "../../model-data/texts.h"
#include "../../model-data/unit_map.h"
#include "parts.h"
#include "prove.h"
#include "search_order.h"
#include "teardown.h"
#include "way_back.h"

namespace ringland::diagnosis::plan {

struct PlanQuestion {
    std::vector<std::size_t> seals; ///< to be reached and renewed; with `chance` and none given: all suspects of at
                                    ///< least `planned_from`, in the order of the search
    std::vector<std::size_t> parts; ///< to come off as well
    std::vector<double> chance;     ///< by seal: that it is at fault (Weighing::seal_probability); empty: no search
    double look_misses = 0.1;       ///< Priors::look_misses
    const model::Stock* stock = nullptr;
    model::Translator tr = {}; ///< of all sentences
};

struct PlanAnswer {
    Teardown teardown;             ///< steps in order, minutes, tools, cautions, what each uncovers, what is renewed
    PartsList parts;               ///< by kit, without doubles
    std::vector<Measure> measures; ///< clearances on the way
    std::vector<BackStep> back;    ///< in order
    std::optional<Proof> proof;    ///< the retest; nothing where no bench was given
    std::optional<SearchOrder> search; ///< where chances were given
    std::vector<std::string> cautions; ///< for the whole
};

/// Suspects of less chance are left out of a search, and of a plan that is made for its suspects.
inline constexpr double least_chance = 0.001, planned_from = 0.05;

/// All but the retest: quick enough for every frame that changes the question.
[[nodiscard]] PlanAnswer plan(const model::UnitMap& map, const PlanQuestion& question);
/// With the retest, which solves the unit's air some thousand times: not on the interface thread.
[[nodiscard]] PlanAnswer plan(const model::UnitMap& map, const PlanQuestion& question, const model::AirBench& bench);

} // namespace ringland::diagnosis::plan
