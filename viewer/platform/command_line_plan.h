// The words of the commands about taking apart and measuring: plan, measure.
#pragma once

#include <functional>

#include "answers_plan.h"

namespace CLI {
class App;
}

namespace ringland::viewer {

/// What a call of one of them can ask for; the parser fills it in.
struct AskedOfPlan {
    PlanOptions plan;
    MeasureOptions measure;
};

/// Adds the commands; the one that is chosen puts itself into `run`. Both must outlive the parsing and the run.
void add_plan_commands(CLI::App& app, AskedOfPlan& asked, std::function<Exit()>& run);

} // namespace ringland::viewer
