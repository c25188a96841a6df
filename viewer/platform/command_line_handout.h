// The words of the commands about a job's papers: handout, retest.
#pragma once

#include <functional>

#include "answers_handout.h"

namespace CLI {
class App;
}

namespace ringland::viewer {

/// What a call of one of them can ask for; the parser fills it in.
struct AskedOfHandout {
    HandoutOptions handout;
    RetestOptions retest;
};

/// Adds the commands; the one that is chosen puts itself into `run`. Both must outlive the parsing and the run.
void add_handout_commands(CLI::App& app, AskedOfHandout& asked, std::function<Exit()>& run);

/// Paper, language and units, as the bench card has them too.
void add_paper_options(CLI::App& command, std::string& paper, std::string& language, std::string& units);

} // namespace ringland::viewer
