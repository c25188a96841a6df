// The answer of `weigh` as JSON for programs, with the field names that docs/command-line.md lists.
#pragma once

#include <string>

#include "answer.h"

namespace ringland::diagnosis::suspects {

[[nodiscard]] std::string to_json(const model::UnitMap& map, const Answer& answer);

} // namespace ringland::diagnosis::suspects
