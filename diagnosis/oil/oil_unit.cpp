#include "oil_unit.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <map>
#include <utility>

#include "../airflow/seal_leak.h"
#include "../gears/chart.h"
#include "oil_figures.h"
#include "oil_leak.h"
#include "oil_network.h"

namespace ringland::diagnosis::oil {

namespace {

/// What the regulator lets the line droop while the pump delivers enough, as a share of its pressure: a real one droops
/// more, this only gives the equations a slope.
constexpr double droop_share = 1e-3;
/// Trapped oil counts in full from this circuit pressure on where a bleed or ball would let it out (common practice, no
/// source).
constexpr double ball_seats_pa = 10e3;
/// As for air: a lip that has failed lets oil past from here on.
constexpr double lip_opens_pa = 2e3;

double square_metres(double diameter_m) { return airflow::circle_area(diameter_m); }

/// The map as a network of oil at one temperature.
struct Plumbing {
    Plumbing(const model::UnitMap& map, const OilFigures& figures, const Oil& oil) : network(oil) {
        sump = network.add_held_node("sump", oil.ambient_pa);
        regulator = network.add_held_node("regulator", oil.ambient_pa);
        line = network.add_node("line");
        supply = network.add_element("pump", OilLaw::closed(), regulator, line);
        const std::size_t circuits = map.circuits.size();
        node.reserve(circuits);
        feed.assign(circuits, -1);
        exhaust.assign(circuits, -1);
        for (const auto& circuit : map.circuits)
            node.push_back(circuit.id == model::sump_id ? sump : network.add_node(circuit.id));
        for (std::size_t c = 0; c < circuits; ++c) {
            const CircuitFigures& own = figures.circuits[c];
            if (own.mouth == Mouth::none) continue;
            const int valve = network.add_node(map.circuits[c].id + " at the valve body");
            feed[c] = network.add_element(map.circuits[c].id + " feed", OilLaw::closed(), line, valve);
            if (own.mouth == Mouth::switched)
                exhaust[c] = network.add_element(map.circuits[c].id + " exhaust", OilLaw::closed(), valve, sump);
            for (const OilLaw& way : own.ways)
                network.add_element(map.circuits[c].id + " passage", way, valve, node[c]);
        }
        const auto node_of = [&](const std::string& id) {
            const auto found =
                std::find_if(map.circuits.begin(), map.circuits.end(), [&](const auto& c) { return c.id == id; });
            return node[static_cast<std::size_t>(found - map.circuits.begin())];
        };
        defect.reserve(map.seals.size());
        for (const auto& seal : map.seals) {
            int first = node_of(seal.between[0]), second = node_of(seal.between[1]);
            network.add_element(seal.id, sound_seal_in_oil(map, seal), first, second);
            if (airflow::fails_backwards(seal)) std::swap(first, second);
            defect.push_back(network.add_element(seal.id + " defect", OilLaw::closed(), first, second));
        }
        for (const auto& flow : map.by_design)
            network.add_element(flow.id, design_in_oil(flow), node_of(flow.from), node_of(flow.to));
        network.finish();
    }

    OilNetwork network;
    int sump = 0, regulator = 0, line = 0, supply = 0;
    std::vector<int> node, feed, exhaust; ///< by circuit; -1: it has none
    std::vector<int> defect;              ///< by seal
};

} // namespace

struct OilUnit::Impl {
    explicit Impl(const model::UnitMap& of)
        : map(of), chart(map), figures(map), plumbing{Plumbing(map, figures, figures.oil(false)),
                                                      Plumbing(map, figures, figures.oil(true))} {
        on.reserve(map.ranges.size());
        for (std::size_t r = 0; r < map.ranges.size(); ++r) {
            std::vector<bool> holds = chart.elements_on(r);
            for (std::size_t e = 0; e < holds.size(); ++e) {
                const auto& named = map.ranges[r].on;
                holds[e] = holds[e] && std::find(named.begin(), named.end(), map.elements[e].id) != named.end();
            }
            on.push_back(std::move(holds));
        }
    }

    model::UnitMap map;
    gears::Chart chart;
    OilFigures figures;
    std::array<Plumbing, 2> plumbing;  ///< cold, hot
    std::vector<std::vector<bool>> on; ///< range by element: named in it, and not held off by a release circuit
    /// Net pressure on the plates of the sound unit, by range, hot and idle: what a clamp share is a share of.
    std::map<std::array<std::size_t, 3>, std::vector<double>> sound;

    OilCase balance(const OilQuestion& question);
    const std::vector<double>& sound_net(std::size_t range, bool hot, bool idle);
    double reference(const OilQuestion& question, std::size_t element);
    ElementOil element(const OilQuestion& question, std::size_t e, const std::vector<double>& gauge_pa) const;
    [[nodiscard]] OilLaw defect_law(const OilQuestion& question) const;
    /// What is left on the plates when the spring has its share.
    [[nodiscard]] double net_pa(std::size_t e, double apply_pa) const {
        return std::max(0.0, apply_pa - figures.elements[e].ends_pa);
    }
};

OilLaw OilUnit::Impl::defect_law(const OilQuestion& question) const {
    const double hole_m = std::max(0.0, question.hole_mm) * 1e-3;
    if (!question.seal || hole_m <= 0) return {};
    const OilLaw law = question.shape == DefectShape::sharp_hole
                           ? OilLaw::sharp_hole(square_metres(hole_m))
                           : OilLaw::slot_of(slot_of_hole_m3(hole_m, figures.air_check_pa));
    const bool one_way = airflow::fails_one_way(map.seals[*question.seal]) && !question.both_ways;
    return one_way ? law.one_way(lip_opens_pa) : law;
}

ElementOil OilUnit::Impl::element(const OilQuestion& question, std::size_t e,
                                  const std::vector<double>& gauge_pa) const {
    const ElementFigures& own = figures.elements[e];
    ElementOil out;
    out.on = on[question.range][e];
    out.spring_pa = own.begins_pa;
    if (own.applied_by.empty()) return out; // a one-way clutch has no piston
    double fed_pa = 0;
    for (const std::size_t c : own.applied_by) {
        out.apply_pa += gauge_pa[c];
        fed_pa = std::max(fed_pa, gauge_pa[c]);
    }
    for (const std::size_t c : own.released_by)
        out.apply_pa -= gauge_pa[c] * own.release_area_m2 / own.apply_area_m2;
    for (const std::size_t c : own.balanced_by)
        out.apply_pa -= gauge_pa[c];
    // A full balance chamber spins as well and pushes back as much.
    if (own.spins && own.balanced_by.empty()) {
        const double rpm = question.idle ? figures.idle_rpm : figures.driving_rpm;
        const double omega = radians_per_second(rpm * own.turns[question.range]);
        const double full = mean_head_pa(figures.oil(question.hot).density, omega, own.head_from_m, *own.spins);
        const double share = out.on || !own.vents ? 1 : std::clamp(fed_pa / ball_seats_pa, 0.0, 1.0);
        out.head_pa = full * share;
        out.apply_pa += out.head_pa;
    }
    out.moves = out.apply_pa >= out.spring_pa;
    out.capacity_nm = map.elements[e].apply_area
                          ? capacity_nm(map.elements[e], net_pa(e, out.apply_pa) * own.apply_area_m2)
                          : std::nullopt;
    return out;
}

OilCase OilUnit::Impl::balance(const OilQuestion& question) {
    assert(question.range < map.ranges.size() && (!question.seal || *question.seal < map.seals.size()));
    Plumbing& p = plumbing[question.hot ? 1 : 0];
    OilNetwork& network = p.network;
    const double ambient = network.fluid().ambient_pa, line_pa = figures.line_pa[question.range];
    const double turns_per_s = (question.idle ? figures.idle_rpm : figures.driving_rpm) / 60;
    const double pump_m3ps = figures.pump_m3_per_turn * figures.pump_share * turns_per_s;
    network.set_held_pressure(p.regulator, ambient + line_pa);
    network.set_law(p.supply, OilLaw::supply(pump_m3ps, droop_share * line_pa));
    for (std::size_t c = 0; c < map.circuits.size(); ++c) {
        const CircuitFigures& own = figures.circuits[c];
        const bool fed = own.mouth == Mouth::fed || chart.on(question.range)[c];
        if (p.feed[c] >= 0)
            network.set_law(p.feed[c], fed ? OilLaw::drilled_hole(square_metres(own.feed_m)) : OilLaw::closed());
        if (p.exhaust[c] >= 0)
            network.set_law(p.exhaust[c], fed ? OilLaw::closed() : OilLaw::drilled_hole(square_metres(own.exhaust_m)));
    }
    if (question.seal) network.set_law(p.defect[*question.seal], defect_law(question));
    network.forget();
    const flow::SolveReport& report = network.solve();

    OilCase out;
    const double density = network.fluid().density;
    const auto lpm = [density](double kgps) { return litres_per_minute(kgps, density); };
    out.converged = report.converged;
    out.circuit_gauge_pa.reserve(map.circuits.size());
    for (const int node : p.node)
        out.circuit_gauge_pa.push_back(network.gauge_pa(node));
    out.line_gauge_pa = network.gauge_pa(p.line);
    out.pump_lpm = pump_m3ps * 60e3;
    out.used_lpm = lpm(network.flow_kgps(p.supply));
    out.line_held = out.line_gauge_pa >= (1 - droop_share) * line_pa;
    if (question.seal) {
        out.defect_lpm = std::abs(lpm(network.flow_kgps(p.defect[*question.seal])));
        network.set_law(p.defect[*question.seal], OilLaw::closed());
    }
    out.elements.reserve(map.elements.size());
    for (std::size_t e = 0; e < map.elements.size(); ++e)
        out.elements.push_back(element(question, e, out.circuit_gauge_pa));
    return out;
}

const std::vector<double>& OilUnit::Impl::sound_net(std::size_t range, bool hot, bool idle) {
    const std::array<std::size_t, 3> key{range, hot ? 1u : 0u, idle ? 1u : 0u};
    if (const auto found = sound.find(key); found != sound.end()) return found->second;
    OilQuestion question;
    question.range = range;
    question.hot = hot;
    question.idle = idle;
    const OilCase answer = balance(question);
    std::vector<double> net;
    net.reserve(answer.elements.size());
    for (std::size_t e = 0; e < answer.elements.size(); ++e)
        net.push_back(net_pa(e, answer.elements[e].apply_pa));
    return sound.emplace(key, std::move(net)).first->second;
}

/// Net pressure on the plates of an element of the sound unit where it is on; of the whole line where it never is.
double OilUnit::Impl::reference(const OilQuestion& question, std::size_t element) {
    std::size_t range = question.range;
    if (!on[range][element]) {
        range = 0;
        while (range < on.size() && !on[range][element])
            ++range;
    }
    if (range == on.size()) return net_pa(element, figures.line_pa[question.range]);
    return sound_net(range, question.hot, question.idle)[element];
}

OilUnit::OilUnit(const model::UnitMap& map) : impl_(std::make_unique<Impl>(map)) {}
OilUnit::~OilUnit() = default;
OilUnit::OilUnit(OilUnit&&) noexcept = default;
OilUnit& OilUnit::operator=(OilUnit&&) noexcept = default;

OilCase OilUnit::solve(const OilQuestion& question) {
    OilCase out = impl_->balance(question);
    for (std::size_t e = 0; e < out.elements.size(); ++e) {
        const double net = impl_->net_pa(e, out.elements[e].apply_pa);
        if (net <= 0) continue;
        const double whole = impl_->reference(question, e);
        // Where even the sound unit cannot clamp it, whatever clamps is all there is.
        out.elements[e].clamp_share = whole > 0 ? net / whole : 1;
    }
    return out;
}

const std::vector<bool>& OilUnit::circuits_on(std::size_t range) const { return impl_->chart.on(range); }
double OilUnit::kinematic_mm2ps(bool hot) const {
    return impl_->figures.viscosity.mm2ps(hot ? impl_->figures.hot_c : impl_->figures.cold_c);
}
double OilUnit::density(bool hot) const { return impl_->figures.oil(hot).density; }
double OilUnit::temperature_c(bool hot) const { return hot ? impl_->figures.hot_c : impl_->figures.cold_c; }
std::vector<Assumed> OilUnit::assumed(const model::Translator& tr) const { return OilFigures(impl_->map, tr).assumed; }

} // namespace ringland::diagnosis::oil
