// FROM and TO of the command line: what a person types for a port or a circuit, found in the map.
#pragma once

#include <string>
#include <string_view>

#include "../../model-data/unit_map.h"

namespace ringland::viewer {

/// A circuit, and the port that leads into it where there is one.
struct Place {
    std::string port;    ///< empty where no port leads into the circuit
    std::string circuit; ///< empty: not found, `why` says what would be right
    std::string why;
};

/// Finds a port by id or label, else a circuit by id, name or tag, all without regard to case. What is unknown or could
/// mean two circuits gives `why`, with the nearest names.
[[nodiscard]] Place find_place(const model::UnitMap& map, std::string_view typed);

} // namespace ringland::viewer
