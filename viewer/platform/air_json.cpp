#include "air_json.h"

#include <algorithm>

#include <nlohmann/json.hpp>

#include "../../diagnosis/airflow/own_figures.h"
#include "../../diagnosis/airflow/seal_leak.h"
#include "json_text.h"

namespace ringland::viewer {
namespace {

using namespace diagnosis::airflow;
using Json = nlohmann::ordered_json;

double psi_of(double pa) { return pa / model::psi(1).si(); }
double bar_of(double pa) { return pa / 1e5; }

Json bench_json(const model::AirBench& bench, const std::string& file) {
    const Air air = air_of(bench);
    return {{"file", file},
            {"name", bench.name},
            {"temperature_c", bench.temperature_c},
            {"local_pressure_kpa", air.ambient_pa / 1e3},
            {"hose_conductance", bench.hose_conductance},
            {"hose_critical_ratio", bench.hose_critical_ratio},
            {"towel_share", bench.towel_share},
            {"heard_from_lpm", bench.heard_from_lpm}};
}

Json share_json(const OwnShare& share) { return {{"ours", share.ours}, {"all", share.all}}; }

Json defaults_json(const model::UnitMap& map) {
    const OwnFigures figures = own_figures(map);
    return {{"seals", share_json(figures.seals)},
            {"passages", share_json(figures.passages)},
            {"holes_by_design", share_json(figures.holes)},
            {"circuit_volumes", share_json(figures.volumes)},
            {"pistons", share_json(figures.pistons)}};
}

Json holes_json(const AirSetup& setup) {
    Json list = Json::array();
    for (const auto& hole : setup.holes)
        list.push_back({{"seal", setup.map.seals[at(hole.seal)].id}, {"hole_mm", hole.diameter_m * 1e3}});
    return list;
}

Json ports_json(const AirSetup& setup, const AirCase& air) {
    Json list = Json::array();
    const Hearing hearing{setup.bench.heard_from_lpm};
    for (std::size_t p = 0; p < setup.map.ports.size(); ++p) {
        const auto& port = setup.map.ports[p];
        const int index = static_cast<int>(p);
        const double gauge_pa = setup.unit->port_gauge_pa(index);
        static constexpr std::array<std::string_view, 3> states{"open", "plugged", "towel"};
        Json json{{"port", port.id},
                  {"label", model::port_label(setup.map, port)},
                  {"circuit", port.circuit},
                  {"circuit_name", model::circuit_name(setup.map, port.circuit)},
                  {"state", index == air.into ? "air" : states[at(static_cast<int>(air.ports[p]))]},
                  {"gauge_psi", psi_of(gauge_pa)},
                  {"gauge_bar", bar_of(gauge_pa)}};
        if (index != air.into && air.ports[p] != PortState::plugged) {
            const double lpm = normal_lpm(setup.unit->port_flow_kgps(index));
            json["flow_lpm"] = lpm;
            json["word"] = model::word(heard(lpm, hearing));
        }
        list.push_back(std::move(json));
    }
    return list;
}

Json circuits_json(const AirSetup& setup) {
    Json list = Json::array();
    for (std::size_t c = 0; c < setup.map.circuits.size(); ++c) {
        const auto& circuit = setup.map.circuits[c];
        const double gauge_pa = setup.unit->circuit_gauge_pa(static_cast<int>(c));
        list.push_back({{"circuit", circuit.id},
                        {"circuit_name", model::circuit_name(setup.map, circuit.id)},
                        {"gauge_psi", psi_of(gauge_pa)},
                        {"gauge_bar", bar_of(gauge_pa)}});
    }
    return list;
}

Json seals_json(const AirSetup& setup) {
    Json list = Json::array();
    for (std::size_t s = 0; s < setup.map.seals.size(); ++s) {
        const auto& seal = setup.map.seals[s];
        const SoundSeal sound = sound_seal(setup.map, seal);
        list.push_back({{"id", seal.id},
                        {"between", seal.between},
                        {"flow_lpm", normal_lpm(setup.unit->seal_flow_kgps(static_cast<int>(s)))},
                        {"sound", sound.how},
                        {"sound_from_map", sound.from_map}});
    }
    return list;
}

Json by_design_json(const AirSetup& setup) {
    Json list = Json::array();
    for (std::size_t f = 0; f < setup.map.by_design.size(); ++f) {
        const auto& flow = setup.map.by_design[f];
        list.push_back({{"id", flow.id},
                        {"from", flow.from},
                        {"to", flow.to},
                        {"flow_lpm", normal_lpm(setup.unit->design_flow_kgps(static_cast<int>(f)))},
                        {"reason", flow.reason}});
    }
    return list;
}

Json solve_json(const FlowNetwork& network) {
    const SolveReport& report = network.report();
    return {{"converged", report.converged},
            {"iterations", report.iterations},
            {"mass_residual", report.mass_residual},
            {"lost_mass", report.lost_mass},
            {"pressure_residual", report.pressure_residual},
            {"worst_node", report.worst_node < 0 ? "" : network.node_name(report.worst_node)},
            {"worst_element", report.worst_element < 0 ? "" : network.elements()[at(report.worst_element)].name}};
}

Json seconds_json(const std::optional<double>& seconds) { return seconds ? Json(*seconds) : Json(nullptr); }

Json time_json(const AirSetup& setup, const AirCase& air) {
    const FillTrace& trace = *air.time;
    Json json{{"completed", trace.completed},  {"trouble", trace.trouble},
              {"trigger_s", air.trigger_s},    {"end_s", air.end_s},
              {"steps", trace.steps},          {"events", trace.events},
              {"mass_error", trace.mass_error}};
    auto& list = json["elements"] = Json::array();
    const std::string& blown = setup.map.ports[at(air.into)].circuit;
    for (const auto& times : trace.pistons) {
        const auto& element = setup.map.elements[at(times.element)];
        const auto& by = element.applied_by;
        std::optional<double> hold_s;
        if (times.let_go_s) hold_s = *times.let_go_s - air.trigger_s;
        list.push_back({{"id", element.id},
                        {"name", element.name},
                        {"fed", std::find(by.begin(), by.end(), blown) != by.end()},
                        {"moves_s", seconds_json(times.moves_s)},
                        {"applied_s", seconds_json(times.applied_s)},
                        {"hold_s", seconds_json(hold_s)},
                        {"returned_s", seconds_json(times.returned_s)},
                        {"furthest", times.furthest}});
    }
    return json;
}

} // namespace

std::string chart_json(const AirSetup& setup, const ExpectedChart& chart) {
    Json json = Json::parse(to_json(setup.map, chart));
    json["faults"] = holes_json(setup);
    json["bench"] = bench_json(setup.bench, setup.bench_file);
    json["defaults"] = defaults_json(setup.map);
    return json_text(json);
}

std::string case_json(const AirSetup& setup, const AirCase& air) {
    const auto& port = setup.map.ports[at(air.into)];
    const double case_lpm = normal_lpm(setup.unit->sump_flow_kgps());
    Json json{
        {"unit", setup.map.unit.name},
        {"invented", setup.map.unit.invented},
        {"into", {{"port", port.id}, {"circuit", port.circuit}}},
        {"supply_psi", psi_of(setup.supply_gauge_pa)},
        {"supply_bar", bar_of(setup.supply_gauge_pa)},
        {"supply_lpm", normal_lpm(setup.unit->supply_flow_kgps())},
        {"faults", holes_json(setup)},
        {"ports", ports_json(setup, air)},
        {"case", {{"flow_lpm", case_lpm}, {"word", model::word(heard(case_lpm, Hearing{setup.bench.heard_from_lpm}))}}},
        {"circuits", circuits_json(setup)},
        {"seals", seals_json(setup)},
        {"by_design", by_design_json(setup)},
        {"solve", solve_json(setup.unit->network())}};
    if (air.time) json["time"] = time_json(setup, air);
    json["bench"] = bench_json(setup.bench, setup.bench_file);
    json["defaults"] = defaults_json(setup.map);
    return json_text(json);
}

std::string with_bench(const std::string& answer, const model::UnitMap& map, const model::AirBench& bench,
                       const std::string& bench_file) {
    Json json = Json::parse(answer);
    json["bench"] = bench_json(bench, bench_file);
    json["defaults"] = defaults_json(map);
    return json_text(json);
}

std::string leak_down_json(const LeakDownRig& rig, double reading_gauge_pa, const LeakDownAnswer& answer) {
    return json_text({{"supply_psi", psi_of(rig.supply_gauge_pa)},
                      {"supply_bar", bar_of(rig.supply_gauge_pa)},
                      {"orifice_mm", rig.orifice_diameter_m * 1e3},
                      {"law", rig.law == LeakDownLaw::ideal ? "ideal" : "sharp"},
                      {"local_pressure_kpa", rig.air.ambient_pa / 1e3},
                      {"reading_psi", psi_of(reading_gauge_pa)},
                      {"reading_bar", bar_of(reading_gauge_pa)},
                      {"loss_percent", 100 * answer.loss},
                      {"leak_mm", answer.diameter_m * 1e3},
                      {"leak_in", answer.diameter_m / 0.0254},
                      {"area_mm2", answer.area_m2 * 1e6},
                      {"effective_area_mm2", answer.effective_area_m2 * 1e6},
                      {"flow_lpm", normal_lpm(answer.flow_kgps)}});
}

std::string calibration_json(const BenchInUse& bench, double supply_gauge_pa, const std::vector<BlownHole>& blown,
                             const Calibration& calibration, const std::string& file) {
    Json json{{"supply_psi", psi_of(supply_gauge_pa)},
              {"supply_bar", bar_of(supply_gauge_pa)},
              {"heard_from_lpm", calibration.hearing.from_lpm}};
    auto& between = json["between_lpm"] = Json::array();
    for (const auto& pair : calibration.between_lpm)
        between.push_back(pair ? Json(*pair) : Json(nullptr));
    auto& trials = json["trials"] = Json::array();
    for (const auto& hole : blown) {
        trials.push_back({{"hole_mm", hole.diameter_m * 1e3},
                          {"flow_lpm", hole.trial.flow_lpm},
                          {"heard", model::word(hole.trial.word)},
                          {"word", model::word(heard(hole.trial.flow_lpm, calibration.hearing))}});
    }
    json["remarks"] = calibration.remarks;
    json["file"] = file;
    json["bench"] = bench_json(bench.bench, bench.file);
    return json_text(json);
}

} // namespace ringland::viewer
