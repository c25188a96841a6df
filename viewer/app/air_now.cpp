// What the air does in the case that is set: worked out anew at every change, in far less than a frame.
#include <algorithm>
#include <cmath>

#include "derived.h"

namespace ringland::viewer {

namespace {

using namespace diagnosis::airflow;

int port_index(const model::UnitMap& map, const std::string& id) {
    const auto found = std::find_if(map.ports.begin(), map.ports.end(), [&](const auto& p) { return p.id == id; });
    return found == map.ports.end() ? -1 : static_cast<int>(found - map.ports.begin());
}

AirNow air_of_case(const Session& session, const Derived& derived, UnitAir& unit, int into) {
    const model::UnitMap& map = session.document.map;
    AirNow now;
    now.supply_gauge_pa = supply_gauge_pa(session.document);
    now.seal = what_if_seal(session, derived);
    unit.set_all_ports(PortState::open);
    unit.clear_defects();
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        if (map.seals[s].id != now.seal) continue;
        now.hole_mm = session.view.what_if_mm;
        unit.set_defect(static_cast<int>(s), now.hole_mm * 1e-3);
    }
    unit.blow_into(into, now.supply_gauge_pa);
    // Always from the same start, so that a picture does not depend on what was looked at before.
    now.report = unit.solve_cold();
    now.port_gauge_pa = unit.port_gauge_pa(into);
    now.supply_lpm = normal_lpm(unit.supply_flow_kgps());
    now.case_lpm = normal_lpm(unit.sump_flow_kgps());
    for (std::size_t i = 0; i < map.circuits.size(); ++i)
        now.circuit_gauge_pa.push_back(unit.circuit_gauge_pa(static_cast<int>(i)));
    for (std::size_t i = 0; i < map.ports.size(); ++i)
        now.port_lpm.push_back(normal_lpm(unit.port_flow_kgps(static_cast<int>(i))));
    for (std::size_t i = 0; i < map.seals.size(); ++i)
        now.seal_lpm.push_back(normal_lpm(unit.seal_flow_kgps(static_cast<int>(i))));
    for (std::size_t i = 0; i < map.by_design.size(); ++i)
        now.design_lpm.push_back(normal_lpm(unit.design_flow_kgps(static_cast<int>(i))));
    if (const int out = port_index(map, session.document.came_out); out >= 0) {
        now.out_lpm = now.port_lpm[static_cast<std::size_t>(out)];
        now.word = heard(now.out_lpm, {session.document.bench.heard_from_lpm});
        unit.set_port(out, PortState::plugged);
        unit.solve();
        now.out_plugged_gauge_pa = unit.port_gauge_pa(out);
    }
    unit.set_all_ports(PortState::open);
    unit.clear_defects();
    unit.blow_into(-1, 0);
    return now;
}

} // namespace

double supply_gauge_pa(const Document& document) {
    return document.supply ? document.supply->si() : usual_gauge_pa(document.map, document.bench);
}

std::string what_if_seal(const Session& session, const Derived& derived) {
    const model::Subject& selected = session.view.selected;
    return selected.kind == model::SubjectKind::seal ? selected.id : derived.suspect;
}

AirPace air_pace(double flow_lpm) {
    constexpr double least_shown_lpm = 0.02;
    if (!(flow_lpm >= least_shown_lpm)) return {};
    // By the logarithm: a breath and a blast differ by a thousand, and both must be told in one picture.
    return {8 + 24 * std::log10(1 + flow_lpm), std::clamp(112 - 36 * std::log10(1 + 2 * flow_lpm), 38.0, 112.0)};
}

double shown_lpm(const Session& session, const Derived& derived) {
    if (!derived.air_now) return 0;
    const auto& seals = session.document.map.seals;
    for (std::size_t s = 0; s < seals.size(); ++s) {
        if (seals[s].id == derived.suspect) return std::abs(derived.air_now->seal_lpm[s]);
    }
    return derived.air_now->out_lpm;
}

void derive_air(Derived& derived, const Session& session, bool bench_changed) {
    if (!derived.unit_air) return;
    const model::UnitMap& map = session.document.map;
    const double supply = supply_gauge_pa(session.document);
    if (bench_changed || derived.chart_gauge_pa != supply || derived.chart.size() != map.ports.size()) {
        derived.chart.assign(map.ports.size(), std::nullopt);
        derived.chart_gauge_pa = supply;
    }
    derived.air_now.reset();
    derived.healthy.reset();
    const int into = port_index(map, session.document.air_into);
    if (into < 0) return;
    auto& row = derived.chart[static_cast<std::size_t>(into)];
    if (!row) row = expect_row(map, *derived.unit_air, into, supply);
    derived.healthy = row;
    derived.air_now = air_of_case(session, derived, *derived.unit_air, into);
}

bool continue_chart(Derived& derived, const Session& session) {
    for (std::size_t into = 0; into < derived.chart.size(); ++into) {
        if (derived.chart[into]) continue;
        derived.chart[into] =
            expect_row(session.document.map, *derived.unit_air, static_cast<int>(into), derived.chart_gauge_pa);
        return true;
    }
    return false;
}

} // namespace ringland::viewer
