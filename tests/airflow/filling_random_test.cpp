// Filling never fails: random maps on random benches, with the promises that hold for all of them.
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "../../diagnosis/airflow/filling.h"
#include "nearly.h"
#include "random_case.h"

using namespace ringland::diagnosis::airflow;
using namespace ringland::tests;

namespace {

/// A unit at random with a case of its own.
struct RandomUnit {
    explicit RandomUnit(std::uint64_t seed)
        : dice(seed + 1'000'000), map(random_map(seed)), unit(map, random_bench(dice)) {
        set_random_case(map, unit, dice);
        // Every second one so that a piston has reason to move: a shop's pressure into a port of its circuit, the
        // others closed, no defects.
        if (seed % 2 == 0) blow_at_a_piston();
    }
    void blow_at_a_piston() {
        for (const Element& element : map.elements) {
            for (std::size_t p = 0; p < map.ports.size(); ++p) {
                if (element.kind == ElementKind::one_way_clutch || map.ports[p].circuit != element.applied_by[0])
                    continue;
                unit.clear_defects();
                unit.set_all_ports(PortState::plugged);
                unit.blow_into(static_cast<int>(p), dice.figure(1e5, 6e5));
                return;
            }
        }
    }
    RandomMap dice;
    UnitMap map;
    UnitAir unit;
};

/// True where every piston is pushed by one circuit and by nothing else: it can neither squeeze nor suck another one.
bool pistons_stand_alone(const UnitMap& map) {
    return std::all_of(map.elements.begin(), map.elements.end(), [](const Element& element) {
        return element.applied_by.size() == 1 && element.released_by.empty();
    });
}

/// In order, where they happened at all, and a share of the stroke that fits them.
void check_times(const PistonTimes& times, const FillCase& fill_case) {
    CHECK(times.furthest >= 0);
    CHECK(times.furthest <= 1);
    CHECK(times.moves_s.has_value() == (times.furthest > 0));
    CHECK(times.applied_s.has_value() == (times.furthest == 1));
    if (times.moves_s) {
        CHECK(*times.moves_s > 0);
        CHECK(*times.moves_s <= fill_case.end_s);
    }
    if (times.applied_s) CHECK(*times.applied_s >= *times.moves_s);
    if (times.let_go_s) {
        CHECK(times.applied_s.has_value());
        CHECK(*times.let_go_s >= fill_case.trigger_s);
    }
    if (times.returned_s) CHECK(*times.returned_s > *times.moves_s);
}

} // namespace

TEST_CASE("filling: 400 random maps fill without trouble, lose no air and stay between the pressures around them") {
    int alone = 0, moved = 0, returned = 0;
    for (std::uint64_t seed = 1; seed <= 400; ++seed) {
        CAPTURE(seed);
        RandomUnit random(seed);
        FillCase fill_case;
        fill_case.trigger_s = random.dice.figure(0, 4);
        fill_case.exponent = random.dice.chance(30) ? random.dice.figure(1, 1.4) : 1;
        const FillTrace trace = fill(random.map, random.unit, fill_case);
        CHECK(trace.trouble == "");
        REQUIRE(trace.completed);
        CHECK(trace.mass_error < 1e-5);
        REQUIRE(trace.time_s.size() == 601);
        CHECK(trace.time_s.back() == fill_case.end_s);
        REQUIRE(trace.circuit_gauge_pa.size() == random.map.circuits.size());
        REQUIRE(trace.port_gauge_pa.size() == random.map.ports.size());
        REQUIRE(trace.piston.size() == random.map.elements.size());

        // A piston with two chambers squeezes or sucks what does not get away fast enough; all others only take.
        const Air& air = random.unit.network().air();
        const double supply = random.unit.supply_gauge_pa(), slack = 1e-6 * (air.ambient_pa + supply);
        const bool stand_alone = pistons_stand_alone(random.map);
        alone += stand_alone ? 1 : 0;
        double lowest = 0, highest = 0;
        for (const auto* traces : {&trace.circuit_gauge_pa, &trace.port_gauge_pa}) {
            for (const auto& pressures : *traces) {
                REQUIRE(pressures.size() == trace.time_s.size());
                lowest = std::min(lowest, *std::min_element(pressures.begin(), pressures.end()));
                highest = std::max(highest, *std::max_element(pressures.begin(), pressures.end()));
            }
        }
        CHECK(lowest >= (stand_alone ? -slack : -air.ambient_pa));
        if (stand_alone) CHECK(highest <= supply + slack);
        for (const PistonTimes& times : trace.pistons) {
            check_times(times, fill_case);
            moved += times.moves_s ? 1 : 0;
            returned += times.returned_s ? 1 : 0;
        }
    }
    CHECK(alone > 100);
    CHECK(moved > 100);
    CHECK(returned > 50);
}

// The same network is balanced in one step by another solver, which knows no volumes and no pistons.
TEST_CASE("filling: after a long time 300 random maps stand as the steady network says") {
    for (std::uint64_t seed = 1001; seed <= 1300; ++seed) {
        CAPTURE(seed);
        RandomUnit random(seed);
        FillCase fill_case;
        // A day, for circuits that only fill through a film: the trigger stays pulled.
        fill_case.end_s = fill_case.trigger_s = 1e5;
        fill_case.sample_s = 1e4;
        const FillTrace trace = fill(random.map, random.unit, fill_case);
        REQUIRE(trace.completed);
        REQUIRE(random.unit.solve_cold().converged);
        const double slack = 1e-6 * (random.unit.network().air().ambient_pa + random.unit.supply_gauge_pa());
        for (std::size_t c = 0; c < random.map.circuits.size(); ++c)
            CHECK(std::abs(trace.circuit_gauge_pa[c].back() - random.unit.circuit_gauge_pa(static_cast<int>(c))) <
                  slack);
        for (std::size_t p = 0; p < random.map.ports.size(); ++p)
            CHECK(std::abs(trace.port_gauge_pa[p].back() - random.unit.port_gauge_pa(static_cast<int>(p))) < slack);
    }
}

TEST_CASE("filling: the same case gives the same traces to the last digit, whatever was solved before") {
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        CAPTURE(seed);
        RandomUnit random(seed);
        const FillTrace first = fill(random.map, random.unit, {});
        (void)random.unit.solve(); // leaves pressures behind
        const FillTrace second = fill(random.map, random.unit, {});
        CHECK(first.circuit_gauge_pa == second.circuit_gauge_pa);
        CHECK(first.port_gauge_pa == second.port_gauge_pa);
        CHECK(first.piston == second.piston);
        CHECK(first.steps == second.steps);
    }
}

TEST_CASE("filling: a finer integration changes nothing that a person could see") {
    for (std::uint64_t seed = 1; seed <= 100; ++seed) {
        CAPTURE(seed);
        RandomUnit random(seed);
        FillCase fill_case;
        fill_case.trigger_s = random.dice.figure(0, 4);
        const FillTrace plain = fill(random.map, random.unit, fill_case);
        fill_case.relative_tolerance = 1e-11;
        const FillTrace fine = fill(random.map, random.unit, fill_case);
        REQUIRE(plain.completed);
        REQUIRE(fine.completed);
        CHECK(fine.mass_error < 1e-8);
        const double scale = random.unit.network().air().ambient_pa + random.unit.supply_gauge_pa();
        for (std::size_t c = 0; c < plain.circuit_gauge_pa.size(); ++c) {
            for (std::size_t k = 0; k < plain.time_s.size(); ++k) {
                const double off = std::abs(plain.circuit_gauge_pa[c][k] - fine.circuit_gauge_pa[c][k]);
                if (!(off < 1e-4 * scale))
                    FAIL_CHECK(random.map.circuits[c].id << " at " << plain.time_s[k] << " s: " << off);
            }
        }
    }
}
