// The verdict: leave, watch, renew while open, must come out.
#include <doctest/doctest.h>

#include "../../diagnosis/road/road.h"
#include "layouts.h"

using namespace ringland;
using namespace ringland::diagnosis::road;
using namespace ringland::tests;

namespace {

model::UnitMap demo_map(const std::string& file) {
    return *model::read_map(std::string(RINGLAND_SOURCE_DIR "/assets-demo/") + file).map;
}

} // namespace

// "A little air past a ring is normal; as much at the neighbour as goes in is a fault" (common practice, no source).
TEST_CASE(
    "a breath at a ring is left alone; a hole of 2 mm between a clutch that is on and one that is off must come out") {
    const auto map = demo_map("larch-five.toml");
    Road road(map);
    const Verdict breath = road.verdict({seal(map, "R3"), 0.25}), hole = road.verdict({seal(map, "R3"), 2});
    CHECK(breath.advice == Advice::leave);
    CHECK(hole.advice == Advice::must_come_out);
    CHECK(hole.figures.ranges_serious >= 3);
    for (const Verdict* verdict : {&breath, &hole}) {
        CHECK(verdict->known);
        CHECK(verdict->grounds.size() == 4);
        // The heaviest ground speaks for what is advised.
        CHECK(verdict->grounds.front().speaks_for == verdict->advice);
    }
}

TEST_CASE("a larger hole never gets a milder verdict, at any seal of the demo units") {
    for (const char* file : {"larch-five.toml", "heron-shift.toml", "wren-three.toml"}) {
        const auto map = demo_map(file);
        Road road(map);
        for (std::size_t s = 0; s < map.seals.size(); ++s) {
            Advice last = Advice::leave;
            for (const double mm : {0.1, 0.2, 0.4, 0.6, 0.8, 1.0, 1.3, 1.6, 2.0, 2.5, 3.0, 4.0, 5.0}) {
                const Advice now = road.verdict({s, mm}).advice;
                CHECK_MESSAGE(now >= last, file, " ", map.seals[s].id, " at ", mm, " mm");
                last = now;
            }
        }
    }
}

TEST_CASE("the border is where the verdict changes") {
    const auto map = demo_map("larch-five.toml");
    Road road(map);
    const std::size_t ring = seal(map, "R3");
    const auto steps = road.borders({ring});
    REQUIRE(steps.size() >= 2);
    CHECK(steps.front().from == Advice::leave);
    CHECK(steps.back().to == Advice::must_come_out);
    for (std::size_t i = 0; i < steps.size(); ++i) {
        CHECK(road.verdict({ring, steps[i].hole_mm}).advice == steps[i].to);
        CHECK(road.verdict({ring, steps[i].hole_mm - 0.02}).advice == steps[i].from);
        if (i > 0) {
            CHECK(steps[i].from == steps[i - 1].to);
            CHECK(steps[i].hole_mm > steps[i - 1].hole_mm);
        }
    }
}

TEST_CASE("each figure alone moves the verdict at its border") {
    const Borders borders;
    const auto with = [](auto&& change) {
        Figures f;
        change(f);
        return advice_for(f);
    };
    CHECK(advice_for({}) == Advice::leave);
    CHECK(with([&](Figures& f) { f.pump_share = borders.watch_pump_share; }) == Advice::watch);
    CHECK(with([&](Figures& f) { f.pump_share = borders.watch_pump_share * 0.99; }) == Advice::leave);
    CHECK(with([&](Figures& f) { f.pump_share = borders.renew_pump_share; }) == Advice::renew_while_open);
    CHECK(with([&](Figures& f) { f.spring_share = borders.watch_spring_share; }) == Advice::watch);
    CHECK(with([&](Figures& f) { f.spring_share = borders.renew_spring_share; }) == Advice::renew_while_open);
    CHECK(with([&](Figures& f) { f.clamp_share = borders.watch_clamp_share * 0.999; }) == Advice::watch);
    CHECK(with([&](Figures& f) { f.clamp_share = borders.soft_below * 0.999; }) == Advice::renew_while_open);
    CHECK(with([&](Figures& f) { f.ranges_affected = 1; }) == Advice::renew_while_open);
    CHECK(with([&](Figures& f) { f.ranges_serious = 1; }) == Advice::must_come_out);
}
