// What comes off, in which order, and what is renewed because of it.
#include <algorithm>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "../../diagnosis/plan/teardown.h"
#include "../../diagnosis/plan/way_back.h"
#include "../../diagnosis/suspects/groups.h"
#include "../../model-data/map_io.h"
#include "small_units.h"

using namespace ringland;
using namespace ringland::diagnosis;
using test::Dice;

namespace {

double counted(const model::Part& part) { return part.minutes.value_or(suspects::untimed_minutes); }

/// The least minutes of all sets of parts that can come off and reach the seals; infinity where none does.
double least_of_all(const model::UnitMap& map, const std::vector<std::size_t>& seals) {
    double least = 1e300;
    for (unsigned off = 0; off < 1U << map.parts.size(); ++off) {
        double minutes = 0;
        bool fit = true;
        for (std::size_t p = 0; p < map.parts.size(); ++p) {
            if ((off >> p & 1U) == 0) continue;
            minutes += counted(map.parts[p]);
            fit = fit && test::free_to_go(map, p, off);
        }
        for (const std::size_t s : seals)
            fit = fit && test::is_reached(map, map.seals[s], off);
        if (fit) least = std::min(least, minutes);
    }
    return least;
}

std::vector<std::string> part_ids(const model::UnitMap& map, const plan::Teardown& teardown) {
    std::vector<std::string> ids;
    for (const auto& step : teardown.steps)
        ids.push_back(map.parts[step.part].id);
    return ids;
}

std::vector<std::string> seal_ids(const model::UnitMap& map, const std::vector<std::size_t>& seals) {
    std::vector<std::string> ids;
    for (const std::size_t s : seals)
        ids.push_back(map.seals[s].id);
    return ids;
}

std::size_t seal_at(const model::UnitMap& map, const std::string& id) {
    for (std::size_t s = 0; s < map.seals.size(); ++s)
        if (map.seals[s].id == id) return s;
    FAIL("no seal ", id);
    return 0;
}

model::UnitMap teardown_unit() {
    auto read = model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml");
    REQUIRE(read.map);
    return *read.map;
}

using Words = std::vector<std::string>;

} // namespace

TEST_CASE("plan: no set of parts reaches the seals in fewer minutes, and parts come off in an order that can be") {
    int reached = 0, chosen = 0;
    for (std::uint32_t seed = 1; seed <= 400; ++seed) {
        CAPTURE(seed);
        Dice dice(seed);
        const model::UnitMap map = test::invented_unit(dice, 2 + dice.below(8), 1 + dice.below(6));
        plan::Target target;
        for (std::size_t s = 0; s < map.seals.size(); ++s)
            if (!dice.one_in(3)) target.seals.push_back(s);
        const plan::Teardown teardown = plan::tear_down(map, target);
        CHECK(teardown.least);
        CHECK(teardown.unplaced.empty());

        unsigned off = 0;
        double minutes = 0, timed = 0;
        std::vector<std::size_t> uncovered;
        for (const auto& step : teardown.steps) {
            CHECK(test::free_to_go(map, step.part, off));
            CHECK((off >> step.part & 1U) == 0);
            for (const std::size_t s : target.seals) {
                const bool before = test::is_reached(map, map.seals[s], off);
                const bool now = test::is_reached(map, map.seals[s], off | 1U << step.part);
                const bool told = std::find(step.uncovers.begin(), step.uncovers.end(), s) != step.uncovers.end();
                CHECK(told == (now && !before));
                if (told) uncovered.push_back(s);
            }
            off |= 1U << step.part;
            minutes += counted(map.parts[step.part]);
            timed += map.parts[step.part].minutes.value_or(0);
            CHECK(step.minutes_so_far == doctest::Approx(timed));
        }
        CHECK(uncovered.size() == target.seals.size());
        CHECK(minutes == doctest::Approx(least_of_all(map, target.seals)));
        CHECK(teardown.minutes == doctest::Approx(timed));
        reached += target.seals.empty() ? 0 : 1;
        // Where the first way of each seal alone would not do.
        std::vector<bool> first(map.parts.size(), false);
        double first_minutes = 0;
        for (const std::size_t s : target.seals) {
            const auto ways = suspects::ways_to(map, map.seals[s]);
            for (const std::size_t p : ways.front())
                first[p] = true;
        }
        for (std::size_t p = 0; p < map.parts.size(); ++p)
            first_minutes += first[p] ? counted(map.parts[p]) : 0;
        chosen += first_minutes > minutes + 1e-9 ? 1 : 0;
    }
    // The dice made cases in which there was something to choose.
    CHECK(reached > 300);
    CHECK(chosen > 5);
}

TEST_CASE("plan: with too many ways for all of them, the nearest of each, and it is said not to be proved") {
    model::UnitMap map;
    plan::Target target;
    for (std::size_t s = 0; s < 12; ++s) {
        model::Seal seal;
        seal.id = "s" + std::to_string(s);
        for (const double minutes : {9.0, 1.0, 5.0}) {
            model::Part part;
            part.id = seal.id + "-" + std::to_string(static_cast<int>(minutes));
            part.minutes = minutes;
            part.renew = {seal.id};
            map.parts.push_back(part);
        }
        map.seals.push_back(seal);
        target.seals.push_back(s);
    }
    const plan::Teardown teardown = plan::tear_down(map, target);
    CHECK_FALSE(teardown.least);
    CHECK(teardown.minutes == doctest::Approx(12));
}

TEST_CASE("plan: ring R3 of the demo unit") {
    const model::UnitMap map = teardown_unit();
    const plan::Teardown teardown = plan::tear_down(map, {{seal_at(map, "R3")}, {}, false});
    CHECK(part_ids(map, teardown) == Words{"test-plate", "pump", "front-drum", "input-shaft"});
    CHECK(teardown.minutes == doctest::Approx(5 + 18 + 3 + 3));
    CHECK(teardown.steps.back().uncovers == std::vector<std::size_t>{seal_at(map, "R3")});
    CHECK(teardown.missing.empty());
    // The whole set is renewed, and what the pump parts on the way: its stator support leaves the hub of the drum.
    std::vector<std::size_t> renewed;
    for (const auto& r : teardown.renews)
        renewed.push_back(r.seal);
    CHECK(seal_ids(map, renewed) ==
          Words{"R1", "R2", "R3", "R4", "R5", "R6", "R7", "R8", "R9", "G1", "G2", "G3", "G4"});
    const auto why = [&](const char* id) {
        for (const auto& r : teardown.renews)
            if (r.seal == seal_at(map, id)) return std::string(plan::word(r.why));
        return std::string();
    };
    CHECK(why("R3") == "asked");
    CHECK(why("R1") == "with-part");
    CHECK(why("R7") == "stack");
    CHECK(why("G4") == "parted");
}

TEST_CASE("plan: what leads to one seal comes off together, the nearest seal first") {
    const model::UnitMap map = teardown_unit();
    const plan::Teardown teardown =
        plan::tear_down(map, {{seal_at(map, "L1"), seal_at(map, "S1"), seal_at(map, "R3")}, {}, false});
    CHECK(part_ids(map, teardown) == Words{"second-servo", "test-plate", "pump", "front-drum", "input-shaft",
                                           "three-five-servo", "three-five-band", "three-five-drum", "input-drum",
                                           "coast-piston"});
    const plan::Teardown in_order = plan::tear_down(map, {{seal_at(map, "R3"), seal_at(map, "S1")}, {}, true});
    CHECK(part_ids(map, in_order) == Words{"test-plate", "pump", "front-drum", "input-shaft", "second-servo"});
}

TEST_CASE("plan: a part by itself, and the case") {
    const model::UnitMap map = teardown_unit();
    const plan::Teardown drum = plan::tear_down(map, {{}, {test::part_at(map, "front-drum")}, false});
    CHECK(part_ids(map, drum) == Words{"test-plate", "pump", "front-drum"});
    // The rings of the input shaft stay where they are, but the pump draws their bore off them.
    const plan::Teardown pump = plan::tear_down(map, {{}, {test::part_at(map, "pump")}, false});
    const auto ring = std::find_if(pump.renews.begin(), pump.renews.end(),
                                   [&](const auto& r) { return r.seal == seal_at(map, "R3"); });
    REQUIRE(ring != pump.renews.end());
    CHECK(ring->why == plan::Why::stack);
    const plan::Teardown wall = plan::tear_down(map, {{seal_at(map, "W1")}, {}, false});
    CHECK(wall.steps.empty());
    CHECK(wall.unplaced == std::vector<std::size_t>{seal_at(map, "W1")});
    REQUIRE(wall.missing.size() == 1);
    CHECK(wall.missing[0].find("in the case itself") != std::string::npos);
}

TEST_CASE("plan: what the map does not say is told, and the rest is given") {
    model::UnitMap map = teardown_unit();
    const std::size_t r3 = seal_at(map, "R3");
    map.parts[test::part_at(map, "pump")].minutes.reset();
    const plan::Teardown untimed = plan::tear_down(map, {{r3}, {}, false});
    CHECK(untimed.minutes == doctest::Approx(5 + 3 + 3));
    CHECK_FALSE(untimed.steps[1].minutes);
    REQUIRE(untimed.missing.size() == 1);
    CHECK(untimed.missing[0].find("no minutes for Pump") != std::string::npos);

    map.parts.clear();
    const plan::Teardown bare = plan::tear_down(map, {{r3}, {}, false});
    CHECK(bare.steps.empty());
    REQUIRE(bare.missing.size() == 1);
    CHECK(bare.missing[0].find("no parts") != std::string::npos);
    REQUIRE(bare.renews.size() == 1);
    CHECK_FALSE(bare.renews[0].step);
}

TEST_CASE("way back: the reverse, with each renewed seal fitted once and before its part goes on") {
    const model::UnitMap map = teardown_unit();
    const plan::Teardown teardown = plan::tear_down(map, {{seal_at(map, "R3"), seal_at(map, "L1")}, {}, false});
    const auto measures = plan::measures(map, teardown);
    const auto back = plan::way_back(map, teardown, measures);
    REQUIRE(back.size() == teardown.steps.size());
    std::vector<std::size_t> fitted;
    for (std::size_t i = 0; i < back.size(); ++i) {
        CHECK(back[i].part == teardown.steps[teardown.steps.size() - 1 - i].part);
        for (const std::size_t s : back[i].seals)
            fitted.push_back(s);
        for (const auto& note : back[i].notes)
            for (const std::size_t s : note.seals)
                CHECK(std::find(back[i].seals.begin(), back[i].seals.end(), s) != back[i].seals.end());
    }
    std::sort(fitted.begin(), fitted.end());
    std::vector<std::size_t> renewed;
    for (const auto& r : teardown.renews)
        renewed.push_back(r.seal);
    CHECK(fitted == renewed);

    const auto said_of = [&](const char* id) {
        std::string words;
        for (const auto& step : back)
            for (const auto& note : step.notes)
                if (std::find(note.seals.begin(), note.seals.end(), seal_at(map, id)) != note.seals.end())
                    words += note.words + '\n';
        return words;
    };
    CHECK(said_of("R6").find("size it in a sleeve") != std::string::npos);
    CHECK(said_of("R2").find("staggered") != std::string::npos);
    CHECK(said_of("R6").find("staggered") == std::string::npos); // uncut
    CHECK(said_of("L1").find("faces Low") != std::string::npos);
    CHECK(said_of("R3").find("marked with a notch") != std::string::npos); // the map's own
}

TEST_CASE("measures on the way: end play before and after, the bore while it is open, the pin of a servo") {
    const model::UnitMap map = teardown_unit();
    const plan::Teardown teardown = plan::tear_down(map, {{seal_at(map, "R3")}, {}, false});
    const auto list = plan::measures(map, teardown);
    const auto of = [&](const std::string& id) -> const plan::Measure* {
        for (const auto& m : list)
            if (map.clearances[m.clearance].id == id) return &m;
        return nullptr;
    };
    REQUIRE(of("end-play"));
    CHECK(of("end-play")->before);
    CHECK(of("end-play")->after);
    CHECK(map.parts[teardown.steps[of("end-play")->step].part].id == "pump");
    REQUIRE(of("support-bushing")); // comes out with the pump
    CHECK(of("support-bushing")->open);
    CHECK_FALSE(of("support-bushing")->before);
    REQUIRE(of("input-ring-side"));
    CHECK(of("second-pin") == nullptr);
    CHECK(of("low-pack") == nullptr);
    const plan::Teardown servo = plan::tear_down(map, {{seal_at(map, "S1")}, {}, false});
    const auto servo_list = plan::measures(map, servo);
    REQUIRE(servo_list.size() == 1);
    CHECK(map.clearances[servo_list[0].clearance].id == "second-pin");
    const auto back = plan::way_back(map, servo, servo_list);
    CHECK(back.front().clearances == std::vector<std::size_t>{servo_list[0].clearance});
}

TEST_CASE("cautions fit the work, and the last says who decides") {
    const model::UnitMap map = teardown_unit();
    const auto all = [&](const char* seal) {
        std::string text;
        for (const auto& line : plan::general_cautions(map, plan::tear_down(map, {{seal_at(map, seal)}, {}, false})))
            text += line + '\n';
        return text;
    };
    CHECK(all("S1").find("spring load") != std::string::npos);
    CHECK(all("S1").find("spring compressor") == std::string::npos);
    CHECK(all("L1").find("spring compressor") != std::string::npos);
    const auto last = plan::general_cautions(map, plan::tear_down(map, {{}, {}, false})).back();
    CHECK(last.find("service information and local rules decide") != std::string::npos);
}
