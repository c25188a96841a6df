// The answer of `cover` as JSON for programs, with the field names that docs/command-line.md lists.
#pragma once

#include <string>

#include "coverage.h"

namespace ringland::diagnosis::suspects {

[[nodiscard]] std::string to_json(const model::UnitMap& map, const Coverage& coverage, double supply_gauge_pa);

} // namespace ringland::diagnosis::suspects
