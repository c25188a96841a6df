// The words of the command about the road.
#pragma once

#include <functional>

#include "answers_road.h"

namespace CLI {
class App;
}

namespace ringland::viewer {

/// Adds the command; where it is chosen it puts itself into `run`. Both must outlive the parsing and the run.
void add_road_command(CLI::App& app, RoadOptions& asked, std::function<Exit()>& run);

} // namespace ringland::viewer
