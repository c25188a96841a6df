// The words of the commands about suspects: weigh, cover.
#pragma once

#include <functional>

#include "answers_weigh.h"

namespace CLI {
class App;
}

namespace ringland::viewer {

/// What a call of one of them can ask for; the parser fills it in.
struct AskedOfWeigh {
    WeighOptions weigh;
    CoverOptions cover;
};

/// Adds the commands; the one that is chosen puts itself into `run`. Both must outlive the parsing and the run.
void add_weigh_commands(CLI::App& app, AskedOfWeigh& asked, std::function<Exit()>& run);

} // namespace ringland::viewer
