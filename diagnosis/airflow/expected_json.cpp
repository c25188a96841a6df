// The expected chart as JSON for programs, with the field names that docs/command-line.md lists.
#include <nlohmann/json.hpp>

#include "expected.h"

namespace ringland::diagnosis::airflow {

namespace {

using Json = nlohmann::ordered_json;

double psi_of(double pa) { return pa / model::psi(1).si(); }
double bar_of(double pa) { return pa / 1e5; }

Json place_json(const model::UnitMap& map, int port) {
    const auto& at = map.ports[static_cast<std::size_t>(port)];
    return {{"port", at.id},
            {"label", model::port_label(map, at)},
            {"circuit", at.circuit},
            {"circuit_name", model::circuit_name(map, at.circuit)}};
}

Json reasons_json(const model::UnitMap& map, const std::vector<int>& flows) {
    Json list = Json::array();
    for (const int flow : flows) {
        const auto& by_design = map.by_design[static_cast<std::size_t>(flow)];
        list.push_back({{"id", by_design.id}, {"reason", by_design.reason}});
    }
    return list;
}

Json cell_json(const model::UnitMap& map, const ExpectedAt& at) {
    Json json = place_json(map, at.port);
    json["same_circuit"] = at.same_circuit;
    json["word"] = model::word(at.word);
    json["flow_lpm"] = normal_lpm(at.flow_kgps);
    json["plugged_gauge_psi"] = psi_of(at.plugged_gauge_pa);
    json["plugged_gauge_bar"] = bar_of(at.plugged_gauge_pa);
    json["by_design"] = reasons_json(map, at.by_design);
    return json;
}

Json row_json(const model::UnitMap& map, const ExpectedRow& row) {
    Json json{{"into", place_json(map, row.into)},
              {"supply_psi", psi_of(row.supply_gauge_pa)},
              {"supply_bar", bar_of(row.supply_gauge_pa)},
              {"port_gauge_psi", psi_of(row.port_gauge_pa)},
              {"port_gauge_bar", bar_of(row.port_gauge_pa)},
              {"supply_lpm", normal_lpm(row.supply_kgps)},
              {"case",
               {{"word", model::word(row.case_word)},
                {"flow_lpm", normal_lpm(row.case_kgps)},
                {"by_design", reasons_json(map, row.case_by_design)}}}};
    auto& cells = json["at"] = Json::array();
    for (const auto& at : row.at)
        cells.push_back(cell_json(map, at));
    return json;
}

} // namespace

std::string to_json(const model::UnitMap& map, const ExpectedChart& chart) {
    Json json{{"unit", map.unit.name},
              {"invented", map.unit.invented},
              {"supply_psi", psi_of(chart.supply_gauge_pa)},
              {"supply_bar", bar_of(chart.supply_gauge_pa)},
              {"converged", chart.converged}};
    auto& rows = json["rows"] = Json::array();
    for (const auto& row : chart.rows)
        rows.push_back(row_json(map, row));
    return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

} // namespace ringland::diagnosis::airflow
