// JSON as every answer prints it.
#pragma once

#include <string>

#include <nlohmann/json.hpp>

namespace ringland::viewer {

/// Two blanks a level; bytes that are no UTF-8 are replaced.
[[nodiscard]] inline std::string json_text(const nlohmann::ordered_json& json) {
    return json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

} // namespace ringland::viewer
