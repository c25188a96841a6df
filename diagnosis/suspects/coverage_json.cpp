#include "coverage_json.h"

#include <nlohmann/json.hpp>

#include "../../model-data/readings.h"
#include "ids_json.h"

namespace ringland::diagnosis::suspects {

namespace {

using Json = nlohmann::ordered_json;

/// Id of a port; the open case stands after the last.
Json port_json(const model::UnitMap& map, int port) {
    if (port < 0) return "";
    const auto at = static_cast<std::size_t>(port);
    return at < map.ports.size() ? map.ports[at].id : std::string(model::open_case);
}

} // namespace

std::string to_json(const model::UnitMap& map, const Coverage& coverage, double supply_gauge_pa) {
    Json json{{"unit", map.unit.name},
              {"invented", map.unit.invented},
              {"supply_psi", supply_gauge_pa / model::psi(1).si()},
              {"supply_bar", supply_gauge_pa / 1e5}};
    auto& seals = json["seals"] = Json::array();
    std::vector<std::size_t> lost;
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        const SealCover& seal = coverage.seals[s];
        if (!seal.findable) lost.push_back(s);
        seals.push_back({{"id", map.seals[s].id},
                         {"name", model::seal_name(map, map.seals[s])},
                         {"findable", seal.findable},
                         {"smallest_mm", seal.findable ? Json(seal.smallest_mm) : Json(nullptr)},
                         {"into", port_json(map, seal.into)},
                         {"at", port_json(map, seal.at)},
                         {"why_not", seal.why_not}});
    }
    json["not_findable"] = ids_json(map, lost);
    auto& alike = json["look_alikes"] = Json::array();
    for (const auto& group : coverage.look_alikes)
        alike.push_back(ids_json(map, group));
    json["reference_mm"] = coverage.reference_mm;
    auto& shortest = json["shortest"] = Json::array();
    for (const int port : coverage.shortest)
        shortest.push_back(port_json(map, port));
    json["lower_bound"] = coverage.lower_bound;
    json["exact"] = coverage.exact;
    json["beyond"] = ids_json(map, coverage.beyond);
    return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

} // namespace ringland::diagnosis::suspects
