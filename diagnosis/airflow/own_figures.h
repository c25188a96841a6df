// How much of an answer rests on the figures of the map, and how much on defaults of ours.
//
// A map need not give a single clearance, and the chart of such a map looks as sure as any other. So every answer says
// for how many seals, passages and holes a default stands in.
#pragma once

#include <string>

#include "../../model-data/unit_map.h"

namespace ringland::diagnosis::airflow {

/// So many of a kind rest on defaults alone.
struct OwnShare {
    int ours = 0, all = 0;
};

struct OwnFigures {
    OwnShare seals;    ///< sound leak by the kind of seal only
    OwnShare passages; ///< of ports: bore or length not in the map
    OwnShare holes;    ///< of flows by design
    OwnShare volumes;  ///< of circuits; they count in time only
    OwnShare pistons;  ///< of elements: area, stroke or return spring not in the map; they count in time only
};

[[nodiscard]] OwnFigures own_figures(const model::UnitMap& map);

/// "Defaults stand in for 30 of 37 sound seals, 2 of 12 passages ...: common practice, no source; the maker's
/// information decides." `in_time`: volumes and pistons are named too.
[[nodiscard]] std::string own_figures_words(const OwnFigures& figures, bool in_time);

} // namespace ringland::diagnosis::airflow
