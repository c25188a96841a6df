// What a leak does on the road, by the oil, the chart and the gears together: the worked layouts and the demo unit.
#include <algorithm>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../../diagnosis/road/effects.h"
#include "../../diagnosis/road/road.h"
#include "layouts.h"

using namespace ringland;
using namespace ringland::diagnosis::road;
using namespace ringland::tests;
using model::Symptom;

namespace {

/// Elements as they are, the others of the range holding.
struct Desk {
    model::UnitMap map;
    Chart chart{map};
    GearTrain gears{map};
    Effects effects{map, chart, gears};

    explicit Desk(model::UnitMap m) : map(std::move(m)) {}
    std::size_t element(const std::string& id) const {
        for (std::size_t e = 0; e < map.elements.size(); ++e) {
            if (map.elements[e].id == id) return e;
        }
        FAIL("no element ", id);
        return 0;
    }
    std::vector<Felt> felt(const std::string& in, const std::vector<std::pair<std::string, Doing>>& changed) {
        const std::size_t r = range(map, in);
        std::vector<Doing> doing(map.elements.size(), Doing::off);
        std::vector<double> share(map.elements.size(), 0);
        for (std::size_t e = 0; e < doing.size(); ++e) {
            if (!chart.elements_on(r)[e]) continue;
            doing[e] = Doing::holds;
            share[e] = 1;
        }
        for (const auto& [id, what] : changed) {
            doing[element(id)] = what;
            share[element(id)] = 0.4;
        }
        return effects.felt(r, doing, share);
    }
};

const RangeOnRoad& of(const RoadAnswer& answer, const model::UnitMap& map, const std::string& name) {
    return answer.ranges.at(range(map, name));
}
bool shows(const RangeOnRoad& r, Symptom symptom) {
    return std::any_of(r.effects.begin(), r.effects.end(), [&](const Effect& e) { return e.symptom == symptom; });
}
model::UnitMap larch_map() { return *model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml").map; }

} // namespace

// "1st pulls away in 3rd or lazily; manual 1 (L held) ties up; 2nd binds; 4th slips or binds and F burns; 3rd and R
// perfect": the trade notes' first layout, reasoned from the chart (common practice, no source).
TEST_CASE("layout 1 by its gears: another gear where a one-way clutch was holding, else it binds") {
    Desk desk(layout_one());
    const auto first = desk.felt("1", {{"D", Doing::applies}});
    REQUIRE(first.size() == 1);
    CHECK(first[0].symptom == Symptom::wrong_gear);
    REQUIRE(first[0].feels_like.has_value());
    CHECK(desk.map.ranges[*first[0].feels_like].name == "3");
    CHECK(*first[0].ratio == doctest::Approx(1));
    const auto held = desk.felt("1-held", {{"D", Doing::applies}});
    REQUIRE(held.size() == 1);
    CHECK(held[0].symptom == Symptom::binds);
    CHECK(held[0].burns == std::vector<std::size_t>{desk.element("D")});
    CHECK(desk.felt("2", {{"D", Doing::applies}}).front().symptom == Symptom::binds);
    const auto fourth = desk.felt("4", {{"D", Doing::slips}, {"F", Doing::drags}});
    REQUIRE(fourth.size() == 2);
    CHECK(fourth[0].symptom == Symptom::slips);
    // The clutch that burns although it was never on: F.
    CHECK(fourth[1].symptom == Symptom::drags);
    CHECK(fourth[1].burns == std::vector<std::size_t>{desk.element("F")});
    CHECK(desk.felt("3", {}).empty());
    // A clutch whose two sides turn together does not burn: F joins what D and the carrier already hold together.
    CHECK(desk.felt("1", {{"L", Doing::no_hold}}).front().symptom == Symptom::no_drive);
}

TEST_CASE("layout 1 without gears: by the rule, and the answer says so") {
    Desk desk(layout_one(false));
    const auto first = desk.felt("1", {{"D", Doing::applies}});
    REQUIRE(first.size() == 1);
    CHECK(first[0].symptom == Symptom::wrong_gear);
    CHECK(first[0].by_rule);
    CHECK_FALSE(first[0].feels_like.has_value());
    CHECK(desk.felt("2", {{"D", Doing::applies}}).front().symptom == Symptom::binds);
    CHECK(desk.felt("2", {{"D", Doing::drags}}).front().symptom == Symptom::drags);
    CHECK(desk.felt("2", {{"B", Doing::no_hold}}).front().symptom == Symptom::no_drive);
    Road road(desk.map);
    CHECK(std::any_of(road.missing().begin(), road.missing().end(),
                      [](const auto& m) { return m.find("gear sets") != std::string::npos; }));
}

TEST_CASE("a large hole at the ring of layout 1 does in the oil what the notes say") {
    const auto map = layout_one();
    Road road(map);
    const RoadAnswer answer = road.ask({seal(map, "r2"), 4});
    CHECK(answer.converged);
    for (const char* name : {"3", "R"}) {
        CAPTURE(name);
        CHECK(of(answer, map, name).effects.empty());
        CHECK(of(answer, map, name).words == "good");
    }
    for (const char* name : {"1", "2", "4"}) {
        CAPTURE(name);
        CHECK_FALSE(of(answer, map, name).effects.empty());
    }
    CHECK(shows(of(answer, map, "1"), Symptom::wrong_gear));
    CHECK(shows(of(answer, map, "2"), Symptom::binds));
    CHECK(answer.complaint.find("3, R: good") != std::string::npos);
    CHECK(answer.verdict.advice == Advice::must_come_out);
}

TEST_CASE("layouts 2 to 6: effects stay in the ranges that the chart gives") {
    struct Asked {
        model::UnitMap map;
        std::string seal;
    };
    for (const Asked& asked :
         {Asked{layout_two(), "r1"}, Asked{layout_two(), "piston-seal"}, Asked{layout_three(), "servo-seal"},
          Asked{layout_four(), "r2"}, Asked{layout_four(), "q2"}, Asked{layout_five(), "tube"},
          Asked{layout_six(), "centre-lip"}}) {
        CAPTURE(asked.seal);
        Road road(asked.map);
        const RoadAnswer answer = road.ask({seal(asked.map, asked.seal), 3.5});
        CHECK(answer.converged);
        Words shown, affected;
        for (const auto& r : answer.ranges) {
            if (!r.effects.empty()) shown.push_back(asked.map.ranges[r.range].name);
        }
        for (const std::size_t r : answer.affected)
            affected.push_back(asked.map.ranges[r].name);
        CHECK(fmt::format("{}", fmt::join(shown, " ")) == fmt::format("{}", fmt::join(affected, " ")));
    }
}

TEST_CASE("Larch Five: the ring between low and coast, small and large") {
    const auto map = larch_map();
    Road road(map);
    CHECK(road.missing().empty());
    CHECK(road.warnings().empty());
    const std::size_t ring = seal(map, "R3");
    const RoadAnswer small = road.ask({ring, 0.3}), large = road.ask({ring, 2});
    for (const auto& r : small.ranges)
        CHECK(r.effects.empty());
    for (const char* name : {"1st", "2nd", "3rd"}) {
        CAPTURE(name);
        const RangeOnRoad& r = of(large, map, name);
        REQUIRE(shows(r, Symptom::slips));
        CHECK(map.elements[r.effects.front().burns.front()].id == "low-clutch");
        CHECK(r.effects.front().reason.find("Low clutch") != std::string::npos);
        // Coast has pressure enough to rub, and yet nothing burns: it joins what low joins.
        const auto coast = std::find_if(r.elements.begin(), r.elements.end(),
                                        [&](const auto& e) { return map.elements[e.element].id == "coast-clutch"; });
        REQUIRE(coast != r.elements.end());
        CHECK_FALSE(coast->turns_across);
    }
    // In 4th low has less to carry.
    CHECK_FALSE(shows(of(large, map, "4th"), Symptom::slips));
    CHECK(of(large, map, "5th").effects.empty());
    CHECK(of(large, map, "Reverse").effects.empty());
    // One range alone is the same answer.
    const RoadAnswer one = road.ask({ring, 2}, range(map, "2nd"));
    REQUIRE(one.ranges.size() == 1);
    CHECK(one.ranges[0].words == of(large, map, "2nd").words);
    CHECK(one.verdict.advice == large.verdict.advice);
}

TEST_CASE("a hole of nothing does nothing, in every range of every demo unit") {
    for (const char* file : {"larch-five.toml", "heron-shift.toml", "wren-three.toml"}) {
        const auto map = *model::read_map(std::string(RINGLAND_SOURCE_DIR "/assets-demo/") + file).map;
        Road road(map);
        CHECK(road.warnings().empty());
        for (std::size_t s = 0; s < map.seals.size(); ++s) {
            const RoadAnswer answer = road.ask({s, 0});
            for (const auto& r : answer.ranges) {
                CHECK(r.effects.empty());
                CHECK(r.leak_lpm == 0);
            }
            CHECK(answer.verdict.advice == Advice::leave);
        }
    }
}

TEST_CASE("a map whose ratio is not that of its gears is warned of, and nothing of it changes the answer") {
    auto map = larch_map();
    map.ranges[range(map, "2nd")].ratio = 2.2;
    CHECK(Road(map).warnings().size() == 1);
    CHECK(Road(map).warnings().front().find("2.2") != std::string::npos);
}

TEST_CASE("without a chart it says what is missing, and still answers") {
    auto map = larch_map();
    map.ranges.clear();
    Road road(map);
    const RoadAnswer answer = road.ask({0, 2});
    CHECK(answer.ranges.empty());
    CHECK_FALSE(answer.verdict.known);
    REQUIRE_FALSE(answer.missing.empty());
    CHECK(answer.missing.front().find("ranges") != std::string::npos);
    CHECK(road.borders({0}).empty());
}
