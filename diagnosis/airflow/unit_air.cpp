#include "unit_air.h"

#include <algorithm>
#include <cassert>
#include <cmath>

#include <fmt/format.h>

#include "seal_leak.h"

namespace ringland::diagnosis::airflow {

namespace {

// Passages as drilled in castings; common practice, no source. Entry and two bends; the way out is the port's own hole.
constexpr double friction = 0.04, losses = 2.5;
constexpr double usual_bore_m = 6e-3, usual_length_m = 0.2;
constexpr double mouth_cd = 0.82; ///< short cylindrical hole, Encyclopaedia Britannica, 11th ed., Hydraulics, §63
constexpr double usual_volume_m3 = 30e-6;
/// 1 dm³/(s bar) in m³/(s Pa).
constexpr double si_per_conductance = 1e-8;

/// A port's way into its circuit: all passages of the map that begin there, side by side.
struct Way {
    double conductance = 0, bore_m = 0, volume_m3 = 0;
};

Way way_of(const model::UnitMap& map, const model::Port& port, const Air& air) {
    Way way;
    const auto add = [&](const model::Passage* passage) {
        const double bore = passage && passage->bore && passage->bore->si() > 0 ? passage->bore->si() : usual_bore_m;
        const double length =
            passage && passage->length && passage->length->si() > 0 ? passage->length->si() : usual_length_m;
        way.conductance += Law::passage(bore, length, friction, losses, air).size();
        way.bore_m = std::max(way.bore_m, bore);
        way.volume_m3 += circle_area(bore) * length;
    };
    for (const auto& passage : map.passages) {
        if (passage.port == port.id && passage.circuit == port.circuit) add(&passage);
    }
    if (way.conductance <= 0) {
        const auto own = std::find_if(map.passages.begin(), map.passages.end(), [&](const model::Passage& p) {
            return p.circuit == port.circuit && p.port.empty();
        });
        add(own == map.passages.end() ? nullptr : &*own);
    }
    return way;
}

} // namespace

Air air_of(const model::AirBench& bench) {
    Air air;
    air.temperature_k = bench.temperature_c + 273.15;
    air.ambient_pa =
        bench.local_pressure_kpa ? *bench.local_pressure_kpa * 1e3 : pressure_at_altitude_pa(bench.altitude_m);
    return air;
}

UnitAir::UnitAir(const model::UnitMap& map, const model::AirBench& bench,
                 const std::vector<std::array<int, 2>>& plate_neighbours)
    : bench_(bench), network_(air_of(bench)) {
    const Air& air = network_.air();
    ambient_ = network_.add_held_node("open air", air.ambient_pa);
    source_ = network_.add_held_node("regulator", air.ambient_pa);
    holder_ = network_.add_held_node("holder", air.ambient_pa);
    volume_.assign(3, 0);
    for (const auto& circuit : map.circuits) {
        if (circuit.id == model::sump_id) {
            circuit_node_.push_back(ambient_);
            continue;
        }
        circuit_node_.push_back(network_.add_node(circuit.id));
        volume_.push_back(circuit.volume && circuit.volume->si() > 0 ? circuit.volume->si() : usual_volume_m3);
    }
    const auto node_of = [&](const std::string& id) { return circuit_node_[index_of(map.circuits, id)]; };

    for (const auto& port : map.ports) {
        const Way way = way_of(map, port, air);
        const int node = network_.add_node(port.id);
        port_node_.push_back(node);
        const int circuit = node_of(port.circuit);
        passage_.push_back(
            network_.add_element("passage of " + port.id, Law::conductance(way.conductance, 0), circuit, node));
        mouth_law_.push_back(Law::round_hole(circle_area(way.bore_m), mouth_cd));
        mouth_.push_back(network_.add_element("mouth of " + port.id, mouth_law_.back(), node, ambient_));
        supply_.push_back(network_.add_element("hose into " + port.id, Law::closed(), source_, node));
        state_.push_back(PortState::open);
        // The passage is part of the circuit's volume; the port keeps its half of it.
        double own = std::max(0.5e-6, 0.5 * way.volume_m3);
        if (circuit != ambient_) {
            own = std::min(own, 0.25 * volume_[at(circuit)]);
            volume_[at(circuit)] -= own;
        }
        volume_.push_back(own);
    }
    for (const auto& seal : map.seals) {
        const SoundSeal sound = sound_seal(map, seal);
        const int first = node_of(seal.between[0]), second = node_of(seal.between[1]);
        SealElements elements;
        elements.hole = network_.add_element(seal.id, sound.hole, first, second);
        elements.film = network_.add_element(seal.id + " film", sound.film, first, second);
        const bool backwards = fails_backwards(seal);
        elements.defect = network_.add_element(seal.id + " defect", Law::closed(), backwards ? second : first,
                                               backwards ? first : second);
        seal_.push_back(elements);
        one_way_.push_back(fails_one_way(seal));
    }
    for (const auto& flow : map.by_design)
        design_.push_back(network_.add_element(flow.id, design_law(flow), node_of(flow.from), node_of(flow.to)));

    for (const auto& pair : plate_neighbours)
        plate_.push_back(network_.add_element("plate", Law::closed(), port_node(pair[0]), port_node(pair[1])));
    for (const int node : circuit_node_)
        hold_.push_back(node == ambient_ ? -1 : network_.add_element("hold", Law::closed(), node, holder_));

    const auto elements = network_.elements();
    for (std::size_t k = 0; k < elements.size(); ++k) {
        const bool mouth = std::find(mouth_.begin(), mouth_.end(), static_cast<int>(k)) != mouth_.end();
        if ((elements[k].first == ambient_ || elements[k].second == ambient_) && !mouth)
            sump_elements_.push_back(static_cast<int>(k));
    }
    network_.finish();
}

void UnitAir::renew_port(int port) {
    const bool blown = port == blown_;
    Law mouth = mouth_law_[at(port)];
    if (blown || state_[at(port)] == PortState::plugged)
        mouth = Law::closed();
    else if (state_[at(port)] == PortState::towel)
        mouth = mouth.scaled(bench_.towel_share);
    network_.set_law(mouth_[at(port)], mouth);
    network_.set_law(supply_[at(port)],
                     blown && trigger_ ? Law::conductance(bench_.hose_conductance * si_per_conductance * hose_share_,
                                                          bench_.hose_critical_ratio)
                                       : Law::closed());
}

void UnitAir::set_port(int port, PortState state) {
    state_[at(port)] = state;
    renew_port(port);
}

void UnitAir::set_all_ports(PortState state) {
    for (std::size_t p = 0; p < state_.size(); ++p)
        set_port(static_cast<int>(p), state);
}

void UnitAir::blow_into(int port, double supply_gauge_pa) {
    assert(port >= -1 && port < static_cast<int>(port_node_.size()) && supply_gauge_pa >= 0);
    const int before = blown_;
    blown_ = port;
    trigger_ = true;
    supply_gauge_pa_ = port < 0 ? 0 : supply_gauge_pa;
    network_.set_held_pressure(source_, network_.air().ambient_pa + supply_gauge_pa_);
    if (before >= 0) renew_port(before);
    if (port >= 0) renew_port(port);
}

void UnitAir::release_trigger() {
    trigger_ = false;
    if (blown_ >= 0) renew_port(blown_);
}

void UnitAir::set_defect(int seal, double hole_diameter_m, bool both_ways) {
    network_.set_law(seal_[at(seal)].defect, defect_law(one_way_[at(seal)] && !both_ways, hole_diameter_m));
}

void UnitAir::set_plate_leak(int pair, double hole_diameter_m) {
    network_.set_law(plate_[at(pair)], Law::sharp_hole(circle_area(std::max(0.0, hole_diameter_m))));
}

void UnitAir::set_hose_share(double share) {
    assert(share > 0 && share <= 1);
    hose_share_ = share;
    if (blown_ >= 0) renew_port(blown_);
}

void UnitAir::hold(int circuit, double gauge_pa) {
    // Far more than any passage, so that the circuit has the pressure of its holder.
    constexpr double firm_m3_per_s_pa = 1e-5;
    if (held_ >= 0) network_.set_law(hold_[at(held_)], Law::closed());
    held_ = circuit;
    network_.set_held_pressure(holder_, network_.air().ambient_pa + (circuit < 0 ? 0 : gauge_pa));
    if (circuit >= 0) network_.set_law(hold_[at(circuit)], Law::conductance(firm_m3_per_s_pa, 0.5));
}

double UnitAir::held_flow_kgps() const { return held_ < 0 ? 0 : network_.flow_kgps(hold_[at(held_)]); }

void UnitAir::clear_defects() {
    for (const SealElements& elements : seal_)
        network_.set_law(elements.defect, Law::closed());
}

const SolveReport& UnitAir::solve_cold() {
    network_.forget();
    return network_.solve();
}

double UnitAir::port_gauge_pa(int port) const { return network_.gauge_pa(port_node_[at(port)]); }
double UnitAir::circuit_gauge_pa(int circuit) const { return network_.gauge_pa(circuit_node_[at(circuit)]); }
double UnitAir::port_flow_kgps(int port) const { return network_.flow_kgps(mouth_[at(port)]); }
double UnitAir::supply_flow_kgps() const { return blown_ < 0 ? 0 : network_.flow_kgps(supply_[at(blown_)]); }

double UnitAir::sump_flow_kgps() const {
    double sum = 0;
    for (const int k : sump_elements_)
        sum += network_.elements()[at(k)].second == ambient_ ? network_.flow_kgps(k) : -network_.flow_kgps(k);
    return sum;
}

double UnitAir::seal_flow_kgps(int seal) const {
    const SealElements& e = seal_[at(seal)];
    const bool backwards = network_.elements()[at(e.defect)].first != network_.elements()[at(e.hole)].first;
    const double defect = network_.flow_kgps(e.defect);
    return network_.flow_kgps(e.hole) + network_.flow_kgps(e.film) + (backwards ? -defect : defect);
}

double UnitAir::design_flow_kgps(int flow) const { return network_.flow_kgps(design_[at(flow)]); }

} // namespace ringland::diagnosis::airflow
