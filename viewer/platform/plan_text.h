// The answers of `plan` and `measure` in the words of the bench, for a terminal and for paper.
#pragma once

#include <string>

#include "../../diagnosis/plan/aids.h"
#include "../../diagnosis/plan/plan.h"

namespace ringland::viewer {

/// What a plan was made from.
struct PlanSetup {
    model::UnitMap map;
    model::AirBench bench;
    std::string bench_file, stock_file; ///< empty: the defaults, none
};

[[nodiscard]] std::string plan_text(const PlanSetup& setup, const diagnosis::plan::PlanAnswer& answer);
[[nodiscard]] std::string measure_text(const PlanSetup& setup, const diagnosis::plan::MeasureAnswer& answer);

} // namespace ringland::viewer
