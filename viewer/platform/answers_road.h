// What the command about the road does once its words are understood.
#pragma once

#include <string>
#include <vector>

#include "answers.h"

namespace ringland::viewer {

/// Figures are as typed. Either a seal, or complaints.
struct RoadOptions {
    std::string map, seal, hole, range, priors;
    std::vector<std::string> complaints; ///< "3rd slips", "2nd held good", "1st wrong-gear=3rd hot"
    bool both_ways = false, json = false;
};

[[nodiscard]] Exit run_road(const RoadOptions& options);

} // namespace ringland::viewer
