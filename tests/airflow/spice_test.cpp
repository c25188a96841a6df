// Steady networks against ngspice, an independent circuit simulator that gets the same formulas in its own language.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include <fmt/format.h>

#include "../../model-data/map_io.h"
#include "random_case.h"
#include "spice.h"

using namespace ringland::diagnosis::airflow;
using ringland::tests::RandomMap;

namespace {

std::string netlist_file(const std::string& name) { return RINGLAND_BINARY_DIR "/spice-" + name + ".cir"; }

/// How far the solver and ngspice are apart.
struct Apart {
    double absolute = 0; ///< largest, as a share of a node's absolute pressure
    double supply = 0;   ///< as a share of the flow from the regulator
    double gauge = 0;    ///< as a share of the gauge pressure, of nodes above 1 % of the supply
    int nodes = 0, under_pressure = 0;
    std::string where;
};

Apart compare(const UnitAir& unit, const std::string& name) {
    Apart apart;
    const FlowNetwork& network = unit.network();
    const auto oracle = ringland::tests::solve_with_spice(network, netlist_file(name));
    INFO(name, ": ", oracle.trouble);
    REQUIRE(oracle.trouble.empty());
    const int source = network.elements()[static_cast<std::size_t>(unit.supply_element(unit.blown_port()))].first;
    const double supplied = oracle.given_kgps[static_cast<std::size_t>(source)];
    apart.supply = std::abs(unit.supply_flow_kgps() - supplied) / supplied;
    for (int n = 0; n < network.node_count(); ++n) {
        if (network.unknown(n) < 0) continue;
        const double ours = network.pressure_pa(n), theirs = oracle.pressure_pa[static_cast<std::size_t>(n)];
        ++apart.nodes;
        apart.absolute = std::max(apart.absolute, std::abs(ours - theirs) / theirs);
        const double gauge = theirs - network.air().ambient_pa;
        if (gauge < 0.01 * unit.supply_gauge_pa()) continue;
        ++apart.under_pressure;
        if (std::abs(ours - theirs) / gauge <= apart.gauge) continue;
        apart.gauge = std::abs(ours - theirs) / gauge;
        apart.where =
            fmt::format("{} {}: {} Pa gauge, ngspice {}", name, network.node_name(n), network.gauge_pa(n), gauge);
    }
    return apart;
}

} // namespace

TEST_CASE("ngspice agrees on random maps with random ports, defects and supplies") {
    constexpr int maps = 30;
    Apart worst;
    for (int m = 0; m < maps; ++m) {
        const auto map = ringland::tests::random_map(static_cast<std::uint64_t>(300 + m));
        RandomMap dice(static_cast<std::uint64_t>(4000 + m));
        UnitAir unit(map, ringland::tests::random_bench(dice));
        ringland::tests::set_random_case(map, unit, dice);
        // Always air into a port, 0.5 to 10 bar.
        unit.blow_into(dice.number(0, static_cast<int>(map.ports.size()) - 1), dice.figure(0.5e5, 10e5));
        REQUIRE(unit.solve_cold().converged);
        const Apart apart = compare(unit, fmt::format("random-{}", m));
        CAPTURE(m);
        CAPTURE(apart.where);
        CHECK(apart.absolute < 1e-3);
        CHECK(apart.gauge < 1e-3);
        CHECK(apart.supply < 1e-3);
        worst.supply = std::max(worst.supply, apart.supply);
        worst.absolute = std::max(worst.absolute, apart.absolute);
        worst.gauge = std::max(worst.gauge, apart.gauge);
        worst.nodes += apart.nodes;
        worst.under_pressure += apart.under_pressure;
    }
    MESSAGE(maps, " maps, ", worst.nodes, " nodes, ", worst.under_pressure,
            " of them under pressure; apart by at most ", worst.absolute, " of the absolute and ", worst.gauge,
            " of the gauge pressure, and by ", worst.supply, " of the flow");
    // There was something to compare: more than the port under air on the average.
    CHECK(worst.under_pressure > 2 * maps);
}

TEST_CASE("ngspice agrees on the demo unit, sound and with a 3 mm hole in a ring") {
    const auto read = ringland::model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml");
    REQUIRE(read.map.has_value());
    const auto& map = *read.map;
    UnitAir unit(map, {});
    const auto port = [&](const std::string& id) {
        return static_cast<int>(
            std::find_if(map.ports.begin(), map.ports.end(), [&](const auto& p) { return p.id == id; }) -
            map.ports.begin());
    };
    const auto seal = [&](const std::string& id) {
        return static_cast<int>(
            std::find_if(map.seals.begin(), map.seals.end(), [&](const auto& s) { return s.id == id; }) -
            map.seals.begin());
    };
    unit.blow_into(port("P3"), 35 * 6894.757);
    REQUIRE(unit.solve_cold().converged);
    const Apart sound = compare(unit, "larch-five-P3");
    CAPTURE(sound.where);
    CHECK(sound.absolute < 1e-3);
    CHECK(sound.gauge < 1e-3);
    CHECK(sound.supply < 1e-3);

    unit.set_port(port("P4"), PortState::plugged);
    unit.set_defect(seal("R3"), 3e-3);
    REQUIRE(unit.solve_cold().converged);
    const Apart bad = compare(unit, "larch-five-P3-R3");
    CAPTURE(bad.where);
    CHECK(bad.absolute < 1e-3);
    CHECK(bad.gauge < 1e-3);
    CHECK(bad.supply < 1e-3);
    CHECK(bad.under_pressure > sound.under_pressure);
}
