// The gear train against the train values of textbooks, and the balance of power that every train keeps.
#include <algorithm>
#include <cmath>
#include <random>

#include <doctest/doctest.h>

#include "../../diagnosis/gears/chart.h"
#include "../../diagnosis/gears/gear_train.h"
#include "../../model-data/map_io.h"

using namespace ringland;
using namespace ringland::diagnosis::gears;

namespace {

model::GearSet gears(const std::string& sun, const std::string& carrier, const std::string& ring, int sun_teeth,
                     int ring_teeth, model::Planets planets = model::Planets::single) {
    model::GearSet set;
    set.id = sun + carrier + ring;
    set.sun = sun;
    set.carrier = carrier;
    set.ring = ring;
    set.sun_teeth = sun_teeth;
    set.ring_teeth = ring_teeth;
    set.planets = planets;
    return set;
}

model::Element element(const std::string& first, const std::string& second, bool one_way = false) {
    model::Element element;
    element.id = first + "-" + second;
    element.joins = {first, second};
    element.one_way = one_way;
    return element;
}

/// All elements of the map on.
Turning all_on(const model::UnitMap& map) {
    const GearTrain train(map);
    REQUIRE(train.known());
    return train.turn(std::vector<bool>(map.elements.size(), true));
}

double ratio_of(const std::vector<model::GearSet>& sets, const std::vector<model::Element>& elements) {
    model::UnitMap map;
    map.gear_sets = sets;
    map.elements = elements;
    const Turning turning = all_on(map);
    REQUIRE(turning.drive == Drive::drives);
    return turning.ratio;
}

model::UnitMap demo(const std::string& file) {
    auto read = model::read_map(std::string(RINGLAND_SOURCE_DIR "/assets-demo/") + file);
    REQUIRE(read.map.has_value());
    return *read.map;
}

} // namespace

// Train values of one planetary set, one member held (in every textbook of machine design, so Shigley's and Norton's
// under epicyclic trains: values from memory of the formulas 1 + R/S, 1 + S/R, -R/S). Tooth counts are invented.
TEST_CASE("one planetary set: the six ratios of the textbook") {
    const std::vector<model::GearSet> set{gears("s", "c", "r", 30, 72)};
    const double s = 30, r = 72;
    const auto ratio = [&](const char* in, const char* out, const char* held) {
        return ratio_of(set, {element("input", in), element("output", out), element(held, "case")});
    };
    CHECK(ratio("s", "c", "r") == doctest::Approx(1 + r / s)); // 3.40
    CHECK(ratio("r", "c", "s") == doctest::Approx(1 + s / r)); // 1.42
    CHECK(ratio("s", "r", "c") == doctest::Approx(-r / s));    // -2.40
    CHECK(ratio("c", "s", "r") == doctest::Approx(1 / (1 + r / s)));
    CHECK(ratio("c", "r", "s") == doctest::Approx(1 / (1 + s / r)));
    CHECK(ratio("r", "s", "c") == doctest::Approx(-s / r));
    // Two members joined: all turns as one.
    CHECK(ratio_of(set, {element("input", "s"), element("s", "c"), element("output", "r")}) == doctest::Approx(1));
}

TEST_CASE("two planets in mesh turn the ring the same way as the sun") {
    const std::vector<model::GearSet> set{gears("s", "c", "r", 30, 72, model::Planets::double_)};
    CHECK(ratio_of(set, {element("input", "s"), element("output", "r"), element("c", "case")}) ==
          doctest::Approx(72.0 / 30));
    CHECK(ratio_of(set, {element("input", "s"), element("output", "c"), element("r", "case")}) ==
          doctest::Approx(1 - 72.0 / 30));
}

// The compound set with a common sun, output on the first carrier and the second ring. By the lever of two equal sets
// with q = R/S: first 2 + 1/q (input at the first ring, second carrier held), second 1 + 1/q (sun held), reverse -q.
// Textbook formula, value from memory.
TEST_CASE("compound set with a common sun") {
    const double q = 70.0 / 30;
    const std::vector<model::GearSet> sets{gears("sun", "output", "ring-1", 30, 70),
                                           gears("sun", "carrier-2", "output", 30, 70)};
    CHECK(ratio_of(sets, {element("input", "ring-1"), element("carrier-2", "case")}) == doctest::Approx(2 + 1 / q));
    CHECK(ratio_of(sets, {element("input", "ring-1"), element("sun", "case")}) == doctest::Approx(1 + 1 / q));
    CHECK(ratio_of(sets, {element("input", "ring-1"), element("input", "sun")}) == doctest::Approx(1));
    CHECK(ratio_of(sets, {element("input", "sun"), element("carrier-2", "case")}) == doctest::Approx(-q));
}

// Small and large sun, long and short planets on one carrier, one ring. First R/S1, second (R/S1)(1 + S1/S2)/(1 +
// R/S2), reverse -R/S2, overdrive R/(R + S2) with the carrier driven and the large sun held (formulas from the lever
// with the large sun at -R/S2, carrier 0, ring 1, small sun R/S1; value from memory).
TEST_CASE("long and short planets on one carrier with two suns") {
    const double s1 = 28, s2 = 34, r = 74;
    const std::vector<model::GearSet> sets{gears("small", "carrier", "output", 28, 74, model::Planets::double_),
                                           gears("large", "carrier", "output", 34, 74)};
    CHECK(ratio_of(sets, {element("input", "small"), element("carrier", "case")}) == doctest::Approx(r / s1));
    CHECK(ratio_of(sets, {element("input", "small"), element("large", "case")}) ==
          doctest::Approx((r / s1 + r / s2) / (1 + r / s2)));
    CHECK(ratio_of(sets, {element("input", "large"), element("carrier", "case")}) == doctest::Approx(-r / s2));
    CHECK(ratio_of(sets, {element("input", "carrier"), element("large", "case")}) == doctest::Approx(r / (r + s2)));
}

TEST_CASE("a pair of plain gears is a set whose carrier is the case") {
    CHECK(ratio_of({gears("input", "case", "output", 25, 60)}, {}) == doctest::Approx(-60.0 / 25));
    CHECK(ratio_of({gears("output", "case", "input", 25, 60, model::Planets::double_)}, {}) ==
          doctest::Approx(25.0 / 60));
}

TEST_CASE("free, held and bound are told apart") {
    model::UnitMap map;
    map.gear_sets = {gears("s", "c", "output", 30, 72)};
    map.elements = {element("input", "s"), element("c", "case"), element("s", "case"), element("input", "c")};
    const GearTrain train(map);
    const auto drive = [&](bool a, bool b, bool c, bool d) { return train.turn({a, b, c, d}).drive; };
    CHECK(drive(true, false, false, false) == Drive::free);
    CHECK(drive(false, false, false, false) == Drive::free);
    CHECK(drive(true, true, false, false) == Drive::drives);
    CHECK(drive(false, true, true, false) == Drive::output_held); // both brakes, the input hangs free
    CHECK(drive(true, true, true, false) == Drive::binds);
    CHECK(drive(true, true, false, true) == Drive::binds);
    // One too many by count, and yet nothing binds: input on sun twice.
    map.elements.push_back(element("s", "input"));
    CHECK(GearTrain(map).turn({true, true, false, false, true}).drive == Drive::drives);
}

TEST_CASE("a one-way clutch holds where it is pushed, and lets go where the other member runs ahead") {
    // First layout of the trade notes: the low brake is a one-way clutch, so one element more gives another gear.
    model::UnitMap map;
    map.gear_sets = {gears("sun", "output", "ring-1", 30, 70), gears("sun", "carrier-2", "output", 30, 70)};
    map.elements = {element("input", "ring-1"), element("carrier-2", "case", true), element("input", "sun"),
                    element("sun", "case"), element("carrier-2", "case")};
    const GearTrain train(map);
    const double q = 70.0 / 30;
    const Turning first = train.turn({true, true, false, false, false});
    REQUIRE(first.drive == Drive::drives);
    CHECK(first.ratio == doctest::Approx(2 + 1 / q));
    CHECK_FALSE(first.overruns[1]);
    CHECK(*first.torque[1] > 0);
    const Turning third = train.turn({true, true, true, false, false});
    REQUIRE(third.drive == Drive::drives);
    CHECK(third.ratio == doctest::Approx(1));
    CHECK(third.overruns[1]);
    CHECK(*third.slip[1] == doctest::Approx(1));
    CHECK(train.turn({true, true, false, true, false}).ratio == doctest::Approx(1 + 1 / q));
    // Held by hand (the brake without the one-way clutch) it binds.
    CHECK(train.turn({true, true, true, false, true}).drive == Drive::binds);
    // Fitted the wrong way round it does not hold at all.
    map.elements[1].joins = {"case", "carrier-2"};
    CHECK(GearTrain(map).turn({true, true, false, false, false}).drive == Drive::free);
}

TEST_CASE("power in is power out, every member in balance, and one-way clutches push only forward") {
    std::mt19937 dice(5);
    const auto pick = [&](std::size_t n) { return static_cast<std::size_t>(dice()) % n; };
    int driven = 0, with_one_way = 0;
    for (int n = 0; n < 4000; ++n) {
        const std::vector<std::string> names{"input", "output", "case", "a", "b", "c", "d"};
        model::UnitMap map;
        for (std::size_t k = 0; k < 2 + pick(2); ++k) {
            std::vector<std::string> left = names;
            std::vector<std::string> taken;
            for (int m = 0; m < 3; ++m) {
                const std::size_t at = pick(left.size());
                taken.push_back(left[at]);
                left.erase(left.begin() + static_cast<std::ptrdiff_t>(at));
            }
            const int sun = 20 + static_cast<int>(pick(20));
            map.gear_sets.push_back(gears(taken[0], taken[1], taken[2], sun, sun + 10 + static_cast<int>(pick(50)),
                                          pick(2) == 0 ? model::Planets::single : model::Planets::double_));
        }
        for (std::size_t k = 0; k < 2 + pick(3); ++k) {
            const std::size_t a = pick(names.size()), b = pick(names.size());
            if (a != b) map.elements.push_back(element(names[a], names[b], pick(3) == 0));
        }
        const GearTrain train(map);
        const Turning t = all_on(map);
        if (t.drive != Drive::drives) continue;
        ++driven;
        CHECK(t.output_torque == doctest::Approx(t.ratio).epsilon(1e-6));
        bool known = true;
        std::vector<double> slip_power;
        for (std::size_t e = 0; e < map.elements.size(); ++e) {
            if (t.overruns[e]) {
                CHECK(*t.slip[e] > 0);
                CHECK_FALSE(t.torque[e].has_value());
                continue;
            }
            known = known && t.torque[e].has_value();
            REQUIRE(t.slip[e].has_value());
            CHECK(std::abs(*t.slip[e]) < 1e-8);
        }
        for (std::size_t e = 0; e < map.elements.size(); ++e) {
            // The rule by torque agrees with the rule by speed that was solved.
            if (!map.elements[e].one_way || t.overruns[e] || !known) continue;
            CHECK(*t.torque[e] >= -1e-8);
            ++with_one_way;
        }
        // Every gear set keeps its own power: by the speeds of its members, the train value holds.
        for (const auto& set : map.gear_sets) {
            const auto speed = [&](const std::string& name) {
                const auto& all = train.members();
                return t.speed[static_cast<std::size_t>(std::find(all.begin(), all.end(), name) - all.begin())];
            };
            const auto s = speed(set.sun), c = speed(set.carrier), r = speed(set.ring);
            if (!s || !c || !r) continue;
            const double value =
                (set.planets == model::Planets::single ? -1.0 : 1.0) * double(*set.ring_teeth) / double(*set.sun_teeth);
            CHECK(*s - *c == doctest::Approx(value * (*r - *c)).epsilon(1e-6));
        }
    }
    CHECK(driven > 300);
    CHECK(with_one_way > 50);
}

TEST_CASE("the demo units make the ratios that their maps give") {
    for (const char* file : {"larch-five.toml", "heron-shift.toml"}) {
        const auto map = demo(file);
        const GearTrain train(map);
        const Chart chart(map);
        REQUIRE_MESSAGE(train.known(), train.missing().front().english());
        int driving = 0;
        for (std::size_t r = 0; r < map.ranges.size(); ++r) {
            CAPTURE(map.ranges[r].id);
            const Turning turning = train.turn(chart.elements_on(r));
            if (map.ranges[r].on.empty()) {
                CHECK(turning.drive == Drive::free);
                continue;
            }
            REQUIRE(turning.drive == Drive::drives);
            REQUIRE(map.ranges[r].ratio.has_value());
            CHECK(turning.ratio == doctest::Approx(*map.ranges[r].ratio).epsilon(0.005));
            ++driving;
        }
        CHECK(driving >= 7);
    }
}

TEST_CASE("what a map does not tell of its gears is said, and nothing is made up") {
    model::UnitMap map;
    map.elements = {element("input", "s")};
    CHECK_FALSE(GearTrain(map).known());
    map.gear_sets = {gears("s", "c", "r", 30, 72)};
    CHECK(GearTrain(map).known());
    map.gear_sets[0].ring_teeth.reset();
    CHECK(GearTrain(map).missing().front().english().find("teeth of gear set scr") != std::string::npos);
    map.gear_sets[0].ring_teeth = 72;
    map.elements[0].joins.clear();
    CHECK(GearTrain(map).missing().front().english().find("joins of input-s") != std::string::npos);
}
