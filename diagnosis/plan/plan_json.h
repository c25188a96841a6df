// The answers of `plan` and `measure` as JSON for programs, with the field names that docs/command-line.md lists.
#pragma once

#include <string>

#include "aids.h"
#include "plan.h"

namespace ringland::diagnosis::plan {

[[nodiscard]] std::string to_json(const model::UnitMap& map, const PlanAnswer& answer);
[[nodiscard]] std::string to_json(const model::UnitMap& map, const MeasureAnswer& answer);

} // namespace ringland::diagnosis::plan
