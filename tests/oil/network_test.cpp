// The network of oil: it balances whatever it is made of, and what it answers is checked by sums of our own and by
// series and parallel of holes and of slots.
#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "../airflow/complaints.h"
#include "../airflow/nearly.h"
#include "random_oil.h"

using namespace ringland::diagnosis::oil;
using ringland::diagnosis::airflow::circle_area;
using ringland::tests::Complaints;
using ringland::tests::nearly;
using ringland::tests::RandomMap;

namespace {

/// What is wrong with a solved network, or nothing.
std::string what_is_wrong(const OilNetwork& network, double supply_pa) {
    const auto& report = network.report();
    if (!report.converged)
        return fmt::format("not converged: {} iterations, mass {}, lost {}, pressure {}", report.iterations,
                           report.mass_residual, report.lost_mass, report.pressure_residual);
    const double ambient_pa = network.fluid().ambient_pa;
    std::vector<double> balance(static_cast<std::size_t>(network.node_count()));
    double in = 0;
    for (int n = 0; n < network.node_count(); ++n) {
        const double p = network.pressure_pa(n);
        if (!(p >= ambient_pa * (1 - 1e-13) && p <= (ambient_pa + supply_pa) * (1 + 1e-13)))
            return fmt::format("{} at {} Pa, outside of what is held", network.node_name(n), p);
        balance[static_cast<std::size_t>(n)] = OilNetwork::closure_kgps_per_pa * (p - ambient_pa);
    }
    const auto elements = network.elements();
    for (std::size_t k = 0; k < elements.size(); ++k) {
        const double flow = network.flow_kgps(static_cast<int>(k));
        balance[static_cast<std::size_t>(elements[k].first)] += flow;
        balance[static_cast<std::size_t>(elements[k].second)] -= flow;
        if (network.unknown(elements[k].first) < 0 && flow > 0) in += flow;
        if (network.unknown(elements[k].second) < 0 && flow < 0) in -= flow;
        const double first = network.pressure_pa(elements[k].first), second = network.pressure_pa(elements[k].second);
        const Through t = elements[k].law.through(network.factors(), first, second);
        const double digits = 1e-10 * t.per_first * std::max(first, second) + 1e-12 * std::abs(flow);
        if (std::abs(flow - t.flow_kgps) > digits)
            return fmt::format("{}: flow {} but the law says {}", elements[k].name, flow, t.flow_kgps);
    }
    for (int n = 0; n < network.node_count(); ++n) {
        if (network.unknown(n) < 0) continue;
        const double left = std::abs(balance[static_cast<std::size_t>(n)]);
        if (!(left <= 1e-9 * std::max(in, 1e-30)))
            return fmt::format("{}: {} kg/s too much of {}", network.node_name(n), left, in);
    }
    return {};
}

} // namespace

TEST_CASE("oil network: every random one balances, also with sizes that no unit has") {
    Complaints complaints;
    long solved = 0;
    int most_iterations = 0;
    for (int seed = 0; seed < 20000; ++seed) {
        RandomMap dice(static_cast<std::uint64_t>(50000 + seed));
        ringland::tests::OilMix mix;
        mix.nodes = dice.number(2, 16);
        mix.extreme = dice.chance(50);
        mix.pump = dice.chance(80);
        auto made = ringland::tests::random_oil(dice, mix);
        made.network.solve();
        ++solved;
        most_iterations = std::max(most_iterations, made.network.report().iterations);
        const std::string wrong = what_is_wrong(made.network, made.supply_pa);
        if (!wrong.empty()) complaints.add(fmt::format("seed {}: {}", seed, wrong));
    }
    MESSAGE(solved, " networks, at most ", most_iterations, " iterations");
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
}

TEST_CASE("oil network: two holes in a row and side by side") {
    // Far above the laminar bend: 1/A² adds in a row, A side by side (continuity with Δp in proportion to Q²/A²).
    const double d1 = 1.2e-3, d2 = 0.8e-3, supply = 1e6;
    OilNetwork network{Oil{}};
    const int sump = network.add_held_node("sump", 101325), high = network.add_held_node("high", 101325 + supply);
    const int middle = network.add_node("middle");
    const int first = network.add_element("first", OilLaw::sharp_hole(circle_area(d1)), high, middle);
    network.add_element("second", OilLaw::sharp_hole(circle_area(d2)), middle, sump);
    network.finish();
    REQUIRE(network.solve().converged);
    CHECK(nearly(network.gauge_pa(middle), supply / (1 + std::pow(d2 / d1, 4)), 1e-6));
    const double series = 1 / std::sqrt(1 / std::pow(circle_area(d1), 2) + 1 / std::pow(circle_area(d2), 2));
    CHECK(nearly(network.flow_kgps(first), 0.611 * series * std::sqrt(2 * 850 * supply), 1e-6));
}

TEST_CASE("oil network: a pump that suffices holds the line, one that does not gives all it has") {
    const double supply = 7e5, area = circle_area(2e-3);
    for (const double share : {0.2, 0.7, 0.999, 1.001, 1.5, 4.0}) {
        // The hole that takes `share` of the pump's flow at full pressure.
        const double pump = 0.82 * area * std::sqrt(2 * supply / 850) / share;
        OilNetwork network{Oil{}};
        const int sump = network.add_held_node("sump", 101325), high = network.add_held_node("set", 101325 + supply);
        const int line = network.add_node("line");
        const int element = network.add_element("pump", OilLaw::supply(pump, 1e-3 * supply), high, line);
        network.add_element("hole", OilLaw::drilled_hole(area), line, sump);
        network.finish();
        REQUIRE(network.solve().converged);
        CAPTURE(share);
        if (share < 1) {
            CHECK(network.gauge_pa(line) > 0.999 * supply);
            CHECK(nearly(network.flow_kgps(element) / 850, share * pump, 1e-3));
        } else {
            CHECK(nearly(network.flow_kgps(element) / 850, pump, 1e-3));
            CHECK(nearly(network.gauge_pa(line), supply / (share * share), 2e-3));
        }
    }
}
