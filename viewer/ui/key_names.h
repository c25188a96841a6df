// Keys by the names that the table of actions and the help use, and ports by their numbers.
#pragma once

#include <string>

#include "../../model-data/unit_map.h"
#include "input.h"

namespace ringland::viewer {

/// "S", "Ctrl+Z", "Shift+Left", "+"; empty for what has no name here.
[[nodiscard]] std::string key_name(const input::KeyPress& press);

/// The port whose id ends in this number or is it, or empty where none or more than one does.
[[nodiscard]] std::string port_of_number(const model::UnitMap& map, const std::string& digits);

} // namespace ringland::viewer
