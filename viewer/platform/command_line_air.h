// The words of the commands about air: expect, air, leak-down, calibrate.
#pragma once

#include <functional>

#include "answers_air.h"

namespace CLI {
class App;
}

namespace ringland::viewer {

/// What a call of one of them can ask for; the parser fills it in.
struct AskedOfAir {
    AirOptions expect;
    AirCaseOptions air;
    LeakDownOptions leak_down;
    CalibrateOptions calibrate;
};

/// Adds the commands; the one that is chosen puts itself into `run`. Both must outlive the parsing and the run.
void add_air_commands(CLI::App& app, AskedOfAir& asked, std::function<Exit()>& run);

} // namespace ringland::viewer
