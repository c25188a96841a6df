// What the commands about taking apart and measuring do once their words are understood: plan, measure.
#pragma once

#include <string>
#include <vector>

#include "answers.h"

namespace ringland::viewer {

struct PlanOptions {
    std::string map, readings, stock, bench, priors;
    std::vector<std::string> what; ///< seals and parts; none: the suspects of the readings
    std::string file;              ///< work sheet; empty: text
    std::string paper = "letter", language = "en", units;
    bool json = false;
};

struct MeasureOptions {
    std::string map, clearance, value, fitted, bench; ///< figures as typed: "4.1mm", ".005in", "1/8in"
    bool json = false;
};

[[nodiscard]] Exit run_plan(const PlanOptions& options);
[[nodiscard]] Exit run_measure(const MeasureOptions& options);

} // namespace ringland::viewer
