#include "filling.h"

#include <algorithm>
#include <cmath>

#include "fill_integrator.h"

namespace ringland::diagnosis::airflow {

namespace {

constexpr double pa_per_psi = 6894.757293168361;
/// Common practice, no source; docs/physics.md has the list.
constexpr double usual_apply_area_m2 = 70e-4, usual_band_area_m2 = 30e-4, usual_release_share = 0.95;
constexpr double usual_stroke_m = 2e-3, usual_band_stroke_m = 8e-3;
constexpr double usual_begins_pa = 12 * pa_per_psi, usual_ends_over_begins = 1.35;
/// The friction of its seals holds even a piston without a spring to its stop.
constexpr double least_begins_pa = 0.1 * pa_per_psi;

bool has_piston(const model::Element& element) {
    return element.kind != model::ElementKind::one_way_clutch && !element.applied_by.empty();
}

/// Position of a circuit in the map, or -1.
int circuit_index(const model::UnitMap& map, const std::string& id) {
    const auto found = std::find_if(map.circuits.begin(), map.circuits.end(),
                                    [&](const model::Circuit& circuit) { return circuit.id == id; });
    return found == map.circuits.end() ? -1 : static_cast<int>(found - map.circuits.begin());
}

/// The elements with a piston, and their pistons in the same order.
struct Pistons {
    std::vector<int> element;
    std::vector<FillPiston> piston;
};

Pistons pistons_of(const model::UnitMap& map, const UnitAir& unit) {
    Pistons result;
    for (std::size_t e = 0; e < map.elements.size(); ++e) {
        const model::Element& element = map.elements[e];
        if (!has_piston(element)) continue;
        const PistonData data = piston_of(element);
        FillPiston piston;
        piston.stroke_m = data.stroke_m;
        piston.begins_n = data.begins_pa * data.apply_area_m2;
        piston.ends_n = data.ends_pa * data.apply_area_m2;
        const auto faces = [&](const std::vector<std::string>& circuits, double area_m2) {
            for (const std::string& id : circuits) {
                const int circuit = circuit_index(map, id);
                if (circuit < 0) continue;
                piston.faces.push_back({unit.circuit_node(circuit), area_m2});
            }
        };
        faces(element.applied_by, data.apply_area_m2);
        faces(element.released_by, -data.release_area_m2);
        result.element.push_back(static_cast<int>(e));
        result.piston.push_back(std::move(piston));
    }
    return result;
}

PistonTimes times_of(int element, int piston, const FillRun& run, double trigger_s) {
    PistonTimes times;
    times.element = element;
    const auto& stroke = run.stroke[at(piston)];
    times.furthest = stroke.empty() ? 0 : *std::max_element(stroke.begin(), stroke.end());
    for (const FillEvent& event : run.events) {
        if (event.piston != piston) continue;
        if (event.from == Contact::stop) {
            if (!times.moves_s) times.moves_s = event.time_s;
            times.returned_s.reset();
        }
        if (event.to == Contact::end) {
            times.furthest = 1;
            if (!times.applied_s) times.applied_s = event.time_s;
        }
        if (event.from == Contact::end && event.time_s >= trigger_s && !times.let_go_s) times.let_go_s = event.time_s;
        if (event.to == Contact::stop) times.returned_s = event.time_s;
    }
    return times;
}

std::vector<double> gauge_trace(const FlowNetwork& network, const FillRun& run, int node) {
    const double ambient = network.air().ambient_pa;
    const int unknown = network.unknown(node);
    if (unknown < 0) return std::vector<double>(run.time_s.size(), network.pressure_pa(node) - ambient);
    std::vector<double> trace = run.pressure_pa[at(unknown)];
    for (double& p : trace)
        p -= ambient;
    return trace;
}

} // namespace

PistonData piston_of(const model::Element& element) {
    PistonData data;
    const bool band = element.kind == model::ElementKind::band;
    data.apply_area_m2 = element.apply_area ? element.apply_area->si()
                         : band             ? usual_band_area_m2
                                            : usual_apply_area_m2;
    if (!element.released_by.empty()) {
        data.release_area_m2 =
            element.release_area ? element.release_area->si() : usual_release_share * data.apply_area_m2;
    }
    data.stroke_m = element.stroke ? element.stroke->si() : band ? usual_band_stroke_m : usual_stroke_m;
    data.begins_pa = std::max(element.return_spring ? element.return_spring->si() : usual_begins_pa, least_begins_pa);
    data.ends_pa = usual_ends_over_begins * data.begins_pa;
    return data;
}

FillTrace fill(const model::UnitMap& map, const UnitAir& unit, const FillCase& fill_case) {
    FillTrace trace;
    if (!(fill_case.exponent >= 1 && fill_case.exponent <= 2)) {
        trace.trouble = "the polytropic exponent must lie between 1 and 2";
        return trace;
    }
    const FlowNetwork& network = unit.network();
    std::vector<double> volumes(at(network.node_count()));
    for (int node = 0; node < network.node_count(); ++node)
        volumes[at(node)] = unit.volume_m3(node);
    const Pistons pistons = pistons_of(map, unit);
    FillEquations equations(network, volumes, pistons.piston, fill_case.exponent);
    UnitAir released = unit;
    released.release_trigger();
    FillPlan plan;
    plan.end_s = fill_case.end_s;
    plan.sample_s = fill_case.sample_s;
    plan.relative_tolerance = fill_case.relative_tolerance;
    plan.change_s = fill_case.trigger_s;
    plan.after = &released.network();
    FillRun run = integrate(equations, network, plan);
    trace.completed = run.completed;
    trace.trouble = std::move(run.trouble);
    trace.steps = run.steps;
    trace.events = static_cast<long>(run.events.size());
    trace.mass_error = run.mass_error;
    if (!trace.completed && run.time_s.empty()) return trace;
    for (std::size_t c = 0; c < map.circuits.size(); ++c)
        trace.circuit_gauge_pa.push_back(gauge_trace(network, run, unit.circuit_node(static_cast<int>(c))));
    for (std::size_t p = 0; p < map.ports.size(); ++p)
        trace.port_gauge_pa.push_back(gauge_trace(network, run, unit.port_node(static_cast<int>(p))));
    trace.piston.assign(map.elements.size(), std::vector<double>(run.time_s.size(), 0.0));
    for (std::size_t k = 0; k < pistons.element.size(); ++k) {
        const int element = pistons.element[k];
        trace.pistons.push_back(times_of(element, static_cast<int>(k), run, fill_case.trigger_s));
        trace.piston[at(element)] = run.stroke[k];
    }
    trace.time_s = std::move(run.time_s);
    return trace;
}

} // namespace ringland::diagnosis::airflow
