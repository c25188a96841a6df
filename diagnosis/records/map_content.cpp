// The text of a unit map goes beside the entries, so that a thousand jobs on one unit keep it once.
#include <nlohmann/json.hpp>

#include "sha256.h"
#include "store.h"

namespace ringland::diagnosis::records {

std::string map_out_of(const std::string& content, std::vector<FullChange::Map>& maps) {
    nlohmann::ordered_json json = nlohmann::ordered_json::parse(content, nullptr, false);
    const auto toml = json.is_object() ? json.find("toml") : json.end();
    if (!json.is_object() || toml == json.end() || !toml->is_string()) return content;
    const auto text = toml->get<std::string>();
    json.erase("toml");
    json["sha256"] = sha256(text);
    maps.push_back({json["sha256"].get<std::string>(), text});
    return json.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

std::string map_into(const std::string& content, const std::function<std::string(const std::string&)>& toml) {
    const std::string sha = map_named_in(content);
    if (sha.empty()) return content;
    nlohmann::ordered_json json = nlohmann::ordered_json::parse(content, nullptr, false);
    json.erase("sha256");
    json["toml"] = toml(sha);
    return json.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

std::string map_named_in(const std::string& content) {
    const nlohmann::ordered_json json = nlohmann::ordered_json::parse(content, nullptr, false);
    const auto sha = json.is_object() ? json.find("sha256") : json.end();
    return json.is_object() && sha != json.end() && sha->is_string() ? sha->get<std::string>() : std::string();
}

} // namespace ringland::diagnosis::records
