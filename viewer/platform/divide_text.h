// The answer of `divide` in calm plain words, for a terminal.
#pragma once

#include <string>

#include "../../diagnosis/divide.h"
#include "../../model-data/unit_map.h"

namespace ringland::viewer {

/// Ends with a line feed.
[[nodiscard]] std::string divide_text(const model::UnitMap& map, const diagnosis::DivideAnswer& answer);

/// Written under every answer.
[[nodiscard]] std::string_view caution_line();

} // namespace ringland::viewer
