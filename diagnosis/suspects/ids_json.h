// Lists of seals in answers for programs. Private to the answers.
#pragma once

#include <vector>

#include <nlohmann/json.hpp>

#include "../../model-data/unit_map.h"

namespace ringland::diagnosis::suspects {

/// The ids of seals, given by their places in the map.
[[nodiscard]] inline nlohmann::ordered_json ids_json(const model::UnitMap& map, const std::vector<std::size_t>& seals) {
    auto ids = nlohmann::ordered_json::array();
    for (const std::size_t s : seals)
        ids.push_back(map.seals[s].id);
    return ids;
}

} // namespace ringland::diagnosis::suspects
