// A unit on the air bench: what is set is what is solved, and every circuit is in balance by the unit's own words.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "complaints.h"
#include "nearly.h"
#include "place.h"
#include "random_case.h"

using namespace ringland::diagnosis::airflow;
using ringland::tests::Complaints;
using ringland::tests::nearly;
using ringland::tests::place_of;
using ringland::tests::RandomMap;

namespace {

constexpr double psi_pa = 6894.757;

ringland::model::UnitMap larch_five() {
    auto read = ringland::model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml");
    REQUIRE(read.map.has_value());
    return *std::move(read.map);
}

/// A share of an ideal hole's flow, kg/s, from the formula of the books and not from the laws.
double hole_kgps(double area_m2, double cd, double p1, double p2, const Air& air) {
    const double r = std::max(p2 / p1, std::pow(1 / 1.2, 3.5));
    return cd * area_m2 * p1 *
           std::sqrt(7 / (287.05 * air.temperature_k) * (std::pow(r, 2 / 1.4) - std::pow(r, 2.4 / 1.4)));
}

} // namespace

TEST_CASE("unit air: the air of the bench") {
    ringland::model::AirBench bench;
    CHECK(air_of(bench).ambient_pa == 101325);
    CHECK(nearly(air_of(bench).temperature_k, 293.15, 1e-15));
    bench.temperature_c = -10;
    bench.altitude_m = 2000;
    CHECK(nearly(air_of(bench).temperature_k, 263.15, 1e-15));
    CHECK(nearly(air_of(bench).ambient_pa, 79501.42, 1e-6)); // U.S. Standard Atmosphere 1976, see published_test.cpp
    bench.local_pressure_kpa = 98.5;                         // the barometer wins
    CHECK(air_of(bench).ambient_pa == 98500);
}

TEST_CASE("unit air: ports, supply, seals and flows by design do what they are set to, on random maps") {
    Complaints complaints;
    int towels = 0, plugged = 0, hoses = 0, one_way = 0, released = 0;
    for (int m = 0; m < 150; ++m) {
        const auto map = ringland::tests::random_map(static_cast<std::uint64_t>(20000 + m));
        RandomMap dice(static_cast<std::uint64_t>(30000 + m));
        const auto bench = ringland::tests::random_bench(dice);
        UnitAir unit(map, bench);
        const UnitAir untouched(map, bench); // all ports open
        const FlowNetwork& network = unit.network();
        const Air air = air_of(bench);
        for (int c = 0; c < 10; ++c) {
            unit.set_all_ports(PortState::open);
            std::vector<PortState> states;
            for (std::size_t p = 0; p < map.ports.size(); ++p) {
                states.push_back(static_cast<PortState>(dice.number(0, 2)));
                unit.set_port(static_cast<int>(p), states.back());
            }
            unit.clear_defects();
            const int hurt = map.seals.empty() ? -1 : dice.number(0, static_cast<int>(map.seals.size()) - 1);
            const double hole_m = ringland::tests::spread(dice, 1e-4, 5e-3);
            if (hurt >= 0) unit.set_defect(hurt, hole_m);
            const int into = dice.number(0, static_cast<int>(map.ports.size()) - 1);
            const double supply_pa = dice.figure(0.2e5, 9e5);
            unit.blow_into(into, supply_pa);
            const bool let_go = dice.chance(10);
            if (let_go) unit.release_trigger();
            REQUIRE(unit.solve().converged);
            const auto where = [&] { return fmt::format("map seed {}, case {}", 20000 + m, c); };
            const auto demand = [&](bool holds, const char* what) {
                complaints.unless(holds, [&] { return where() + ": " + what; });
            };

            // The hose, from the bench's figures in dm³/(s bar): the ellipse of ISO 6358.
            const double source = air.ambient_pa + supply_pa, nozzle = air.ambient_pa + unit.port_gauge_pa(into);
            if (let_go) {
                ++released;
                demand(unit.supply_flow_kgps() == 0, "air goes in though the trigger is let go");
            } else {
                const double u = std::min(1.0, (1 - nozzle / source) / (1 - bench.hose_critical_ratio));
                const double hose = bench.hose_conductance * 1e-8 * source * 1.185 *
                                    std::sqrt(293.15 / air.temperature_k) * std::sqrt(u * (2 - u));
                // Where next to nothing is lost in the hose, the law is softened.
                if (1 - nozzle / source > 1e-3) {
                    ++hoses;
                    demand(nearly(unit.supply_flow_kgps(), hose, 3e-5), "the hose passes something else");
                }
                demand(nozzle <= source, "more pressure than at the regulator");
            }
            // Mouths.
            for (int p = 0; p < static_cast<int>(map.ports.size()); ++p) {
                const double out = unit.port_flow_kgps(p);
                const PortState state = states[static_cast<std::size_t>(p)];
                if (p == into || state == PortState::plugged) {
                    ++plugged;
                    demand(out == 0, "air comes out of a closed port");
                    continue;
                }
                const double pressure = air.ambient_pa + unit.port_gauge_pa(p);
                const double share = state == PortState::towel ? bench.towel_share : 1;
                towels += state == PortState::towel ? 1 : 0;
                // A short drilled hole of the passage's bore, coefficient 0.82.
                const double area =
                    untouched.network().elements()[static_cast<std::size_t>(unit.mouth_element(p))].law.size();
                double bore = 0;
                for (const auto& passage : map.passages) {
                    if (passage.port == map.ports[static_cast<std::size_t>(p)].id && passage.bore)
                        bore = std::max(bore, passage.bore->si());
                }
                demand(bore == 0 || area >= 0.9999 * circle_area(bore), "a mouth is smaller than its passage");
                if (pressure / air.ambient_pa - 1 > 1e-3)
                    demand(nearly(out, share * hole_kgps(area, 0.82, pressure, air.ambient_pa, air), 3e-5),
                           "a mouth passes something else");
            }
            // Each circuit in balance by what the unit tells of seals, flows by design and ports.
            std::vector<double> left(map.circuits.size(), 0.0);
            const auto give = [&](const std::string& from, const std::string& to, double kgps) {
                left[static_cast<std::size_t>(place_of(map.circuits, from))] -= kgps;
                left[static_cast<std::size_t>(place_of(map.circuits, to))] += kgps;
            };
            double moved = unit.supply_flow_kgps();
            for (int s = 0; s < static_cast<int>(map.seals.size()); ++s) {
                const auto& seal = map.seals[static_cast<std::size_t>(s)];
                give(seal.between[0], seal.between[1], unit.seal_flow_kgps(s));
            }
            for (int f = 0; f < static_cast<int>(map.by_design.size()); ++f) {
                const auto& flow = map.by_design[static_cast<std::size_t>(f)];
                const double kgps = unit.design_flow_kgps(f);
                give(flow.from, flow.to, kgps);
                if (flow.one_way) demand(kgps >= -1e-30, "a one-way flow by design runs backwards");
                const double from_pa = unit.circuit_gauge_pa(place_of(map.circuits, flow.from));
                const double to_pa = unit.circuit_gauge_pa(place_of(map.circuits, flow.to));
                demand(kgps * (from_pa - to_pa) >= 0 || std::abs(kgps) < 1e-30, "a flow by design runs uphill");
                if (from_pa - to_pa > 10e3) demand(kgps > 0, "a flow by design is stopped up");
            }
            for (int p = 0; p < static_cast<int>(map.ports.size()); ++p) {
                const double in = p == into ? unit.supply_flow_kgps() : 0;
                left[static_cast<std::size_t>(place_of(
                    map.circuits, map.ports[static_cast<std::size_t>(p)].circuit))] += in - unit.port_flow_kgps(p);
            }
            double into_case = 0;
            for (std::size_t k = 0; k < map.circuits.size(); ++k) {
                if (map.circuits[k].id == ringland::model::sump_id)
                    into_case = left[k];
                else // the closure of a circuit and its ports takes 1e-11 kg/s at most, at 10 bar
                    demand(std::abs(left[k]) <= 1e-8 * moved + 1e-10, "a circuit is out of balance");
            }
            demand(std::abs(into_case - unit.sump_flow_kgps()) <= 1e-9 * moved + 1e-20,
                   "the open case gets something else");

            // The defect: a sharp-edged hole, or one way from the circuit that a lip faces.
            if (hurt < 0) continue;
            const auto& seal = map.seals[static_cast<std::size_t>(hurt)];
            const auto& element = network.elements()[static_cast<std::size_t>(unit.seal_elements(hurt).defect)];
            demand(nearly(element.law.size(), M_PI / 4 * hole_m * hole_m, 1e-12), "a defect of another size");
            const bool lip =
                (seal.kind == ringland::model::SealKind::lip || seal.kind == ringland::model::SealKind::check_ball) &&
                !seal.faces.empty();
            demand(element.law.is_one_way() == lip, "a defect that works the wrong number of ways");
            const auto gauge_of = [&](const std::string& id) {
                return unit.circuit_gauge_pa(place_of(map.circuits, id));
            };
            const double kgps = network.flow_kgps(unit.seal_elements(hurt).defect);
            if (lip) {
                ++one_way;
                const double faced = gauge_of(seal.faces);
                const double other = gauge_of(seal.faces == seal.between[0] ? seal.between[1] : seal.between[0]);
                demand(kgps >= 0 && (kgps == 0 || faced > other), "a lip fails from the side that it does not face");
                if (faced - other > 10e3) demand(kgps > 0, "a lip that failed holds");
            } else if (std::abs(gauge_of(seal.between[0]) - gauge_of(seal.between[1])) > 1) {
                demand(kgps != 0, "a hole passes nothing");
            }
        }
    }
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
    CHECK(std::min({towels, plugged, hoses, released, one_way}) > 30);
}

TEST_CASE("unit air: what was set and taken back leaves no trace") {
    const auto map = larch_five();
    UnitAir unit(map, {}), fresh(map, {});
    for (int s = 0; s < static_cast<int>(map.seals.size()); ++s)
        unit.set_defect(s, 2e-3);
    unit.set_all_ports(PortState::plugged);
    unit.blow_into(3, 5e5);
    unit.release_trigger();
    REQUIRE(unit.solve().converged);
    unit.clear_defects();
    unit.set_all_ports(PortState::open);
    for (UnitAir* each : {&unit, &fresh}) {
        each->blow_into(2, 2.4e5);
        REQUIRE(each->solve_cold().converged);
    }
    for (int n = 0; n < fresh.network().node_count(); ++n)
        CHECK(unit.network().pressure_pa(n) == fresh.network().pressure_pa(n));
    CHECK(unit.supply_flow_kgps() > 0);
    unit.blow_into(-1, 0);
    REQUIRE(unit.solve().converged);
    CHECK(unit.supply_flow_kgps() == 0);
    CHECK(std::abs(unit.port_gauge_pa(2)) < 1e-9);
}

TEST_CASE("unit air: facts of the demo unit") {
    const auto map = larch_five();
    UnitAir unit(map, {});
    const int low = place_of(map.ports, "P3"), coast = place_of(map.ports, "P4");
    const int reverse = place_of(map.ports, "P2"), low_reverse = place_of(map.ports, "P12");
    const double supply_pa = 35 * psi_pa;
    const auto solve = [&](int into) {
        unit.blow_into(into, supply_pa);
        REQUIRE(unit.solve().converged);
    };

    // A sound PTFE ring between Low and Coast: a faint breath.
    solve(low);
    const double breath = normal_lpm(unit.port_flow_kgps(coast));
    CHECK(breath > 0.4);
    CHECK(breath < 6);

    // The shared piston passes one way only: reverse blows out at low-reverse, the other way round it holds.
    solve(reverse);
    CHECK(normal_lpm(unit.port_flow_kgps(low_reverse)) > 25);
    solve(low_reverse);
    CHECK(normal_lpm(unit.port_flow_kgps(reverse)) < 0.4);

    // A hole of 3 mm in the ring: most of the supply pressure stands on a gauge that plugs the neighbour, and a larger
    // hole shows more.
    unit.set_port(coast, PortState::plugged);
    double before = 0;
    for (const double hole_mm : {0.0, 0.3, 1.0, 2.0, 3.0}) {
        unit.set_defect(place_of(map.seals, "R3"), hole_mm * 1e-3);
        solve(low);
        CHECK(unit.port_gauge_pa(coast) > before);
        before = unit.port_gauge_pa(coast);
    }
    CHECK(unit.port_gauge_pa(coast) > 0.5 * supply_pa);
    CHECK(unit.port_gauge_pa(coast) < unit.port_gauge_pa(low));
}
