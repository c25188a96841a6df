// The answer of `divide` in calm plain words, for a terminal.
#pragma once

#include <string>

#include "../../diagnosis/divide.h"
#include "../../model-data/unit_map.h"

namespace ringland::viewer {

/// Ends with a line feed.
[[nodiscard]] std::string divide_text(const model::UnitMap& map, const diagnosis::DivideAnswer& answer);

/// "Ring 3 of 5 on the input shaft": what a seal is, by its place.
[[nodiscard]] std::string seal_headline(const model::UnitMap& map, const model::Seal& seal);
/// "3rd from the pump end · 3rd from the drum end", or of a seal outside a stack "on the case face".
[[nodiscard]] std::string seal_place(const model::UnitMap& map, const model::Seal& seal);

/// Written under every answer.
[[nodiscard]] std::string_view caution_line();

} // namespace ringland::viewer
