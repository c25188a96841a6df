// The way back: the teardown in reverse, with the seals that are fitted at each step, what to mind, and what to
// measure.
//
// What to mind comes from the kind, joint and material of each seal and from the map's own words. The general part is
// common practice, no source; the maker's service information decides.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "../../model-data/unit_map.h"
#include "teardown.h"

namespace ringland::diagnosis::plan {

/// Something to mind when seals are fitted; said once for all seals that it is about.
struct FitNote {
    std::vector<std::size_t> seals; ///< in UnitMap::seals
    std::string words;
    bool of_map = false; ///< the map's own words; else common practice, no source
};

struct BackStep {
    std::size_t part = 0;           ///< goes on in this step
    std::vector<std::size_t> seals; ///< fitted before it does
    std::vector<FitNote> notes;
    std::string caution;                 ///< of the part, the map's own words
    std::vector<std::size_t> clearances; ///< to be measured when it is on
};

/// A clearance that the work touches.
struct Measure {
    std::size_t clearance = 0; ///< in UnitMap::clearances
    std::size_t step = 0;      ///< in Teardown::steps: the first that touches it
    bool before = false;       ///< measured before that step, so that there is something to compare with
    bool open = false;         ///< while the part is out
    bool after = false;        ///< when it is closed again
};

/// Every clearance that the steps touch, in the order of the steps.
[[nodiscard]] std::vector<Measure> measures(const model::UnitMap& map, const Teardown& teardown);

[[nodiscard]] std::vector<BackStep> way_back(const model::UnitMap& map, const Teardown& teardown,
                                             const std::vector<Measure>& measures, const model::Translator& tr = {});

/// The cautions of the work as a whole; the last one says who decides.
[[nodiscard]] std::vector<std::string> general_cautions(const model::UnitMap& map, const Teardown& teardown,
                                                        const model::Translator& tr = {});

} // namespace ringland::diagnosis::plan
