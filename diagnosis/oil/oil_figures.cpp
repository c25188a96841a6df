#include "oil_figures.h"

#include <algorithm>
#include <cassert>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../../model-data/air_bench.h"
#include "../airflow/filling.h"
#include "../gears/chart.h"
#include "../gears/gear_train.h"

namespace ringland::diagnosis::oil {

namespace {

using model::CircuitKind;

// All figures of this block: common practice, no source, save where another mark stands beside it.

constexpr double usual_cold_c = 20, usual_hot_c = 90;
constexpr double usual_line_pa = 7e5;
constexpr double usual_pump_m3 = 22e-6, usual_pump_share = 0.75, usual_idle_rpm = 700, usual_driving_rpm = 2000;
constexpr double usual_feed_m = 2.5e-3, usual_line_feed_m = 8e-3, usual_lube_feed_m = 1.6e-3, usual_exhaust_m = 3e-3;
constexpr double usual_bore_m = 6e-3, usual_length_m = 0.2, usual_losses = 2.5; ///< entry and two bends, as for air

/// Names of things that share an assumption, so that one line tells of all of them.
class Sharers {
public:
    void add(const std::string& name) { names_.push_back(name); }
    /// `text` has places for the names and for the figure.
    void tell(const model::Translator& tr, std::vector<Assumed>& list, std::string_view text,
              const std::string& figure) const {
        if (!names_.empty())
            list.push_back({model::filled(tr(text), fmt::format("{}", fmt::join(names_, ", ")), figure)});
    }

private:
    std::vector<std::string> names_;
};

std::string name_of(const model::Element& element) { return element.name.empty() ? element.id : element.name; }

std::vector<std::size_t> indices_of(const model::UnitMap& map, const std::vector<std::string>& circuits) {
    std::vector<std::size_t> list;
    list.reserve(circuits.size());
    for (const std::string& id : circuits)
        list.push_back(index_of(map.circuits, id));
    return list;
}

bool applies_any(const model::UnitMap& map, const std::string& circuit) {
    return std::any_of(map.elements.begin(), map.elements.end(), [&](const model::Element& element) {
        return std::count(element.applied_by.begin(), element.applied_by.end(), circuit) > 0;
    });
}

/// What applies an element is switched, whatever else it is called: lock-up oil is converter oil too.
Mouth mouth_of(const model::UnitMap& map, const model::Circuit& circuit) {
    if (circuit.id == model::sump_id) return Mouth::none;
    if (circuit.kind == CircuitKind::line) return Mouth::fed;
    if (applies_any(map, circuit.id)) return Mouth::switched;
    switch (circuit.kind) {
    case CircuitKind::lube:
    case CircuitKind::converter:
    case CircuitKind::line:
        return Mouth::fed;
    case CircuitKind::balance:
    case CircuitKind::sump:
        return circuit.feed ? Mouth::fed : Mouth::none;
    case CircuitKind::apply:
    case CircuitKind::release:
    case CircuitKind::governor:
    case CircuitKind::other:
        break;
    }
    return Mouth::switched;
}

/// A figure of the map, or the usual one and a line that says so.
double figure(const model::Translator& tr, const std::optional<double>& told, double usual, std::string_view what,
              std::string_view unit, std::vector<Assumed>& list) {
    if (told) return *told;
    list.push_back({model::filled(tr("{0}: {1}{2} (common practice, no source)"), tr(what), usual, unit)});
    return usual;
}

std::vector<OilLaw> ways_of(const model::UnitMap& map, const model::Circuit& circuit, Sharers& ours) {
    std::vector<OilLaw> ways;
    bool told = true;
    for (const auto& passage : map.passages) {
        if (passage.circuit != circuit.id) continue;
        told = told && passage.bore && passage.length;
        ways.push_back(OilLaw::passage(passage.bore ? passage.bore->si() : usual_bore_m,
                                       passage.length ? passage.length->si() : usual_length_m, usual_losses));
    }
    if (ways.empty() || !told) ours.add(model::circuit_name(map, circuit.id));
    if (ways.empty()) ways.push_back(OilLaw::passage(usual_bore_m, usual_length_m, usual_losses));
    return ways;
}

std::vector<CircuitFigures> circuits_of(const model::Translator& tr, const model::UnitMap& map,
                                        std::vector<Assumed>& list) {
    Sharers feed, lube_feed, line_feed, exhaust, ways, governors;
    std::vector<CircuitFigures> circuits;
    circuits.reserve(map.circuits.size());
    for (const auto& circuit : map.circuits) {
        CircuitFigures figures;
        figures.mouth = mouth_of(map, circuit);
        const std::string name = model::circuit_name(map, circuit.id);
        if (figures.mouth != Mouth::none) {
            const bool line = circuit.kind == CircuitKind::line;
            const bool switched = figures.mouth == Mouth::switched;
            figures.feed_m = circuit.feed ? circuit.feed->si()
                             : line       ? usual_line_feed_m
                             : switched   ? usual_feed_m
                                          : usual_lube_feed_m;
            // A circuit that is never on needs no feed, and none is named for it.
            const bool drives = applies_any(map, circuit.id);
            if (!circuit.feed && (drives || !switched)) (line ? line_feed : switched ? feed : lube_feed).add(name);
            if (switched) {
                figures.exhaust_m = circuit.exhaust ? circuit.exhaust->si() : usual_exhaust_m;
                if (!circuit.exhaust) exhaust.add(name);
            }
            figures.ways = ways_of(map, circuit, ways);
            if (circuit.kind == CircuitKind::governor) governors.add(name);
        }
        circuits.push_back(std::move(figures));
    }
    feed.tell(tr, list, model::marked("feed of {0}: {1} (common practice, no source)"),
              tr.number(usual_feed_m * 1e3, 1) + " mm");
    lube_feed.tell(tr, list, model::marked("feed of {0}: {1} (common practice, no source)"),
                   model::filled(tr("{0} mm from the line in every range"), tr.number(usual_lube_feed_m * 1e3, 1)));
    line_feed.tell(tr, list, model::marked("feed of {0}: {1} (common practice, no source)"),
                   tr.number(usual_line_feed_m * 1e3, 1) + " mm");
    exhaust.tell(tr, list, model::marked("exhaust of {0}: {1} (common practice, no source)"),
                 tr.number(usual_exhaust_m * 1e3, 1) + " mm");
    ways.tell(tr, list, model::marked("passage of {0}: {1} (common practice, no source)"),
              model::filled(tr("{0:.0f} mm bore and {1:.0f} mm length where the map gives none"), usual_bore_m * 1e3,
                            usual_length_m * 1e3));
    governors.tell(tr, list, model::marked("pressure of {0}: {1} (common practice, no source)"),
                   tr("none, open to the sump"));
    return circuits;
}

/// True where a bleed or a ball by design lets the oil of a circuit into the case.
bool lets_out(const model::UnitMap& map, const std::string& circuit) {
    return std::any_of(map.by_design.begin(), map.by_design.end(), [&](const model::DesignFlow& flow) {
        return flow.from == circuit && flow.to == model::sump_id &&
               (flow.kind == model::DesignFlowKind::bleed || flow.kind == model::DesignFlowKind::check_ball);
    });
}

/// Radius of the shaft or support where a circuit crosses its rings.
std::optional<double> ring_radius(const model::UnitMap& map, const std::string& circuit) {
    for (const auto& stack : map.stacks) {
        const bool crosses = std::count(stack.circuits.begin(), stack.circuits.end(), circuit) > 0;
        if (crosses && stack.diameter) return 0.5 * stack.diameter->si();
    }
    return std::nullopt;
}

/// The member of the gear train with which the piston of a clutch turns; empty: not told.
std::string member_of(const model::Element& element) {
    if (!element.turns_with.empty()) return element.turns_with;
    const auto turning = std::find_if(element.joins.begin(), element.joins.end(),
                                      [](const std::string& member) { return member != model::case_member; });
    return turning == element.joins.end() ? std::string() : *turning;
}

ElementFigures element_of(const model::UnitMap& map, const model::Element& element) {
    ElementFigures figures;
    figures.applied_by = indices_of(map, element.applied_by);
    figures.released_by = indices_of(map, element.released_by);
    const auto piston = airflow::piston_of(element);
    figures.apply_area_m2 = piston.apply_area_m2;
    figures.release_area_m2 = piston.release_area_m2;
    figures.begins_pa = piston.begins_pa;
    figures.ends_pa = piston.ends_pa;
    if (element.kind != model::ElementKind::clutch || element.applied_by.empty() ||
        element.turns_with == model::case_member)
        return figures;
    figures.spins = chamber_of(element);
    if (!figures.spins) return figures;
    figures.head_from_m = std::min(ring_radius(map, element.applied_by.front()).value_or(figures.spins->inner_radius_m),
                                   figures.spins->inner_radius_m);
    figures.vents = std::any_of(element.applied_by.begin(), element.applied_by.end(),
                                [&](const std::string& circuit) { return lets_out(map, circuit); });
    for (std::size_t c = 0; c < map.circuits.size(); ++c) {
        const auto& circuit = map.circuits[c];
        if (circuit.kind != CircuitKind::balance) continue;
        const bool beside = std::any_of(map.seals.begin(), map.seals.end(), [&](const model::Seal& seal) {
            const bool first = seal.between[0] == circuit.id, second = seal.between[1] == circuit.id;
            const std::string& other = seal.between[first ? 1 : 0];
            // A piston stands between the two, not a ring of the shaft.
            return (first || second) && seal.relation == model::Relation::drum &&
                   std::count(element.applied_by.begin(), element.applied_by.end(), other) > 0;
        });
        if (beside) figures.balanced_by.push_back(c);
    }
    return figures;
}

/// Turns of the drum for one of the input, range by range; 1 where the gear train does not tell.
void set_turns(const model::Translator& tr, const model::UnitMap& map, std::vector<ElementFigures>& elements,
               std::vector<Assumed>& list) {
    const gears::Chart chart(map);
    const gears::GearTrain gears(map);
    std::vector<gears::Turning> turning;
    if (gears.known()) {
        turning.reserve(map.ranges.size());
        for (std::size_t r = 0; r < map.ranges.size(); ++r)
            turning.push_back(gears.turn(chart.elements_on(r)));
    }
    Sharers with_engine;
    for (std::size_t e = 0; e < elements.size(); ++e) {
        if (!elements[e].spins) continue;
        elements[e].turns.assign(map.ranges.size(), 1.0);
        const auto member = std::find(gears.members().begin(), gears.members().end(), member_of(map.elements[e]));
        if (!gears.known() || member == gears.members().end()) {
            with_engine.add(name_of(map.elements[e]));
            continue;
        }
        const auto m = static_cast<std::size_t>(member - gears.members().begin());
        for (std::size_t r = 0; r < turning.size(); ++r)
            elements[e].turns[r] = turning[r].speed[m].value_or(1.0);
    }
    with_engine.tell(tr, list, model::marked("drum of {0}: {1} (common practice, no source)"),
                     tr("turns with the engine"));
}

std::vector<ElementFigures> elements_of(const model::Translator& tr, const model::UnitMap& map,
                                        std::vector<Assumed>& list) {
    Sharers clutch_area, band_area, release_area, spring, chamber;
    std::vector<ElementFigures> elements;
    elements.reserve(map.elements.size());
    double band_area_cm2 = 0, clutch_area_cm2 = 0, spring_psi = 0;
    for (const auto& element : map.elements) {
        elements.push_back(element_of(map, element));
        const ElementFigures& figures = elements.back();
        if (figures.applied_by.empty()) continue;
        const bool band = element.kind == model::ElementKind::band;
        if (!element.apply_area) {
            (band ? band_area : clutch_area).add(name_of(element));
            (band ? band_area_cm2 : clutch_area_cm2) = figures.apply_area_m2 * 1e4;
        }
        if (!element.release_area && !element.released_by.empty()) release_area.add(name_of(element));
        if (!element.return_spring) {
            spring.add(name_of(element));
            spring_psi = figures.begins_pa / model::psi(1).si();
        }
        if (figures.spins && !(element.chamber_inner_diameter && element.chamber_outer_diameter))
            chamber.add(name_of(element));
    }
    clutch_area.tell(tr, list, model::marked("apply area of {0}: {1} (common practice, no source)"),
                     tr.number(clutch_area_cm2, 0) + " cm²");
    band_area.tell(tr, list, model::marked("apply area of {0}: {1} (common practice, no source)"),
                   tr.number(band_area_cm2, 0) + " cm²");
    release_area.tell(tr, list, model::marked("release area of {0}: {1} (common practice, no source)"),
                      tr("a little less than the apply area"));
    spring.tell(tr, list, model::marked("return spring of {0}: {1} (common practice, no source)"),
                tr.number(spring_psi, 0) + " psi");
    chamber.tell(tr, list, model::marked("oil chamber of {0}: {1} (common practice, no source)"),
                 tr("by its area around the middle of its plates or from its one diameter"));
    set_turns(tr, map, elements, list);
    return elements;
}

ViscosityLine line_of(const model::Translator& tr, const model::OilInfo& oil, std::vector<Assumed>& list) {
    ViscosityPoint at_40 = usual_at_40, at_100 = usual_at_100;
    if (oil.viscosity_40 && oil.viscosity_100) {
        at_40.mm2ps = *oil.viscosity_40;
        at_100.mm2ps = *oil.viscosity_100;
    } else if (oil.viscosity_40 || oil.viscosity_100) {
        // One point: the usual oil, thicker or thinner by the same factor.
        const double factor =
            oil.viscosity_40 ? *oil.viscosity_40 / usual_at_40.mm2ps : *oil.viscosity_100 / usual_at_100.mm2ps;
        at_40.mm2ps *= factor;
        at_100.mm2ps *= factor;
        list.push_back({model::filled(tr("viscosity at {0} °C: {1:.1f} mm²/s, falling as in a usual transmission fluid "
                                         "(common practice, no source)"),
                                      oil.viscosity_40 ? 100 : 40, oil.viscosity_40 ? at_100.mm2ps : at_40.mm2ps)});
    } else {
        list.push_back({model::filled(tr("viscosity: {0} mm²/s at 40 °C (value from memory), {1} mm²/s at 100 °C (SAE "
                                         "2007-01-3974, a conventional fluid)"),
                                      at_40.mm2ps, at_100.mm2ps)});
    }
    return {at_40, at_100};
}

} // namespace

OilFigures::OilFigures(const model::UnitMap& map, const model::Translator& tr)
    : viscosity(line_of(tr, map.oil, assumed)) {
    const auto& oil = map.oil;
    density_15 = figure(tr, oil.density, usual_density_15, model::marked("density at 15 °C"), " kg/m³", assumed);
    cold_c = figure(tr, oil.cold_c, usual_cold_c, model::marked("cold oil"), " °C", assumed);
    hot_c = figure(tr, oil.hot_c, usual_hot_c, model::marked("hot oil"), " °C", assumed);
    pump_m3_per_turn = oil.pump_volume ? oil.pump_volume->si() : usual_pump_m3;
    if (!oil.pump_volume)
        assumed.push_back(
            {model::filled(tr("pump: {0:.0f} cm³ a turn (common practice, no source)"), usual_pump_m3 * 1e6)});
    pump_share = figure(tr, oil.pump_share, usual_pump_share, model::marked("share of the pump's volume that arrives"),
                        "", assumed);
    idle_rpm = figure(tr, oil.idle_rpm, usual_idle_rpm, model::marked("engine at idle"), " rpm", assumed);
    driving_rpm = figure(tr, oil.driving_rpm, usual_driving_rpm, model::marked("engine on the road"), " rpm", assumed);
    bool usual_line = false;
    line_pa.reserve(map.ranges.size());
    for (const auto& range : map.ranges) {
        const auto& told = range.line_pressure ? range.line_pressure : oil.line_pressure;
        usual_line = usual_line || !told;
        line_pa.push_back(told ? told->si() : usual_line_pa);
    }
    highest_line_pa = oil.line_pressure ? oil.line_pressure->si() : usual_line_pa;
    if (!line_pa.empty()) highest_line_pa = *std::max_element(line_pa.begin(), line_pa.end());
    if (usual_line)
        assumed.push_back({model::filled(tr("line pressure: {0:.1f} bar, {1:.0f} psi, where the map gives none (common "
                                            "practice, no source)"),
                                         usual_line_pa / 1e5, usual_line_pa / model::psi(1).si())});
    circuits = circuits_of(tr, map, assumed);
    elements = elements_of(tr, map, assumed);
    // The same figure as the bench has where the map names none.
    air_check_pa = (map.unit.air_pressure ? *map.unit.air_pressure : model::AirBench{}.pressure).si();
}

Oil OilFigures::oil(bool hot) const {
    const double celsius = hot ? hot_c : cold_c;
    return {density_at(density_15, celsius), viscosity.mm2ps(celsius) * 1e-6, Oil{}.ambient_pa};
}

} // namespace ringland::diagnosis::oil
