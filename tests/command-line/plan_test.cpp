// plan and measure by the program itself: what they print holds together, and what cannot be is refused.
#include <algorithm>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "answer.h"

namespace {

using namespace ringland::test;
using nlohmann::json;

/// No parts, no kits, no clearances: what the shortest map has.
constexpr const char* shortest_map = R"(
[unit]
name = "Bench three"
invented = true
[[stack]]
row = "pump end | A | B | drum end"
[[port]]
circuit = "A"
[[port]]
circuit = "B"
)";

std::vector<std::string> part_ids(const json& plan) {
    std::vector<std::string> ids;
    for (const auto& step : plan["steps"])
        ids.push_back(step["part"]);
    return ids;
}

} // namespace

TEST_CASE("plan: ring R3 of the demo unit, as figures and as words") {
    const Bench bench;
    const json plan = answer(bench, "plan " + larch + " r3");
    CHECK(part_ids(plan) == std::vector<std::string>{"test-plate", "pump", "front-drum", "input-shaft"});
    CHECK(plan["minutes"] == 29);
    CHECK(plan["minutes_complete"] == true);
    CHECK(plan["seals"] == json::array({"R3"}));
    CHECK(plan["search"].is_null());
    CHECK(plan["missing"].empty());
    double so_far = 0;
    for (const auto& step : plan["steps"]) {
        so_far += step["minutes"].get<double>();
        CHECK(step["minutes_so_far"].get<double>() == doctest::Approx(so_far));
    }
    CHECK(plan["back"].size() == plan["steps"].size());
    CHECK(plan["back"].front()["part"] == "input-shaft");
    // Every renewed seal is fitted once and is on the parts list once.
    std::vector<std::string> renewed, fitted, listed;
    for (const auto& r : plan["renews"])
        renewed.push_back(r["seal"]);
    for (const auto& step : plan["back"])
        for (const auto& seal : step["seals"])
            fitted.push_back(seal);
    for (const auto& kit : plan["parts"]) {
        CHECK_FALSE(kit.contains("in_stock"));
        for (const auto& line : kit["lines"])
            for (const auto& seal : line["seals"])
                listed.push_back(seal);
    }
    std::sort(renewed.begin(), renewed.end());
    std::sort(fitted.begin(), fitted.end());
    std::sort(listed.begin(), listed.end());
    CHECK(fitted == renewed);
    CHECK(listed == renewed);
    // Every one of them is proved by a reading or said not to be.
    std::vector<std::string> proved;
    for (const auto& reading : plan["retest"]["readings"])
        for (const auto& seal : reading["proves"])
            proved.push_back(seal);
    for (const auto& seal : plan["retest"]["unproved"])
        proved.push_back(seal["seal"]);
    for (const auto& seal : renewed)
        CHECK(std::find(proved.begin(), proved.end(), seal) != proved.end());

    const Ran words = bench.run("plan " + larch + " R3", no_shop);
    CHECK(words.exit == 0);
    for (const char* said : {"What comes off, 29 min in all", "here is R3", "LF-R-103", "4 + 1 x LF-R-201", "mind: ",
                             "The way back", "The retest that proves it", "service information and local rules decide"})
        CHECK_MESSAGE(has(words.out, said), said);
}

TEST_CASE("plan: readings give the order in which the fault is found soonest") {
    const Bench bench;
    const json plan = answer(bench, "plan " + larch + " --readings " + larch_readings);
    const json& search = plan["search"];
    REQUIRE(search.is_object());
    CHECK(search["exact"].is_boolean());
    double expected = 0, found = 0, minutes = 0;
    for (const auto& step : search["steps"]) {
        expected += (1 - found) * step["minutes"].get<double>();
        minutes += step["minutes"].get<double>();
        found += step["finds"].get<double>();
        CHECK(step["found_so_far"].get<double>() == doctest::Approx(found));
    }
    CHECK(found == doctest::Approx(1));
    CHECK(search["expected_minutes"].get<double>() == doctest::Approx(expected));
    CHECK(search["worst_minutes"].get<double>() == doctest::Approx(minutes));
    CHECK(search["at_least_minutes"].get<double>() <= expected + 1e-9);
    // The demo readings speak for R3 and for what sounds like it.
    const auto seals = plan["seals"].get<std::vector<std::string>>();
    CHECK(std::find(seals.begin(), seals.end(), "R3") != seals.end());
    CHECK(
        has(bench.run("plan " + larch + " --readings " + larch_readings, no_shop).out, "on average until it is found"));
    // Seals that are named are searched for alone.
    const json named = answer(bench, "plan " + larch + " R3 O1 --readings " + larch_readings);
    CHECK(named["search"]["steps"].size() == 2);
    CHECK(named["seals"] == json::array({"R3", "O1"}));
}

TEST_CASE("plan: the shop's stock, by name or from its own folder") {
    const Bench bench;
    bench.write("stock.toml", "[[stock]]\npart-number = \"LF-R-101\"\ncount = 1\nplace = \"drawer 4\"\n");
    const json plan = answer(bench, "plan " + larch + " R3 --stock stock.toml");
    CHECK(plan["stock"]["file"] == "stock.toml");
    bool seen = false;
    for (const auto& kit : plan["parts"])
        for (const auto& line : kit["lines"]) {
            if (line["part_number"] != "LF-R-101") continue;
            seen = true;
            CHECK(line["quantity"] == 3);
            CHECK(line["in_stock"] == 1);
            CHECK(line["short_by"] == 2);
            CHECK(line["place"] == "drawer 4");
        }
    CHECK(seen);
    CHECK(has(bench.run("plan " + larch + " R3 --stock stock.toml", no_shop).out, "in stock 1 (drawer 4), SHORT BY 2"));
    const Ran own = bench.shell(fmt::format("mkdir -p own/ringland && cp stock.toml own/ringland/ && "
                                            "XDG_CONFIG_HOME=\"$PWD/own\" '{}/ringland' plan {} R3",
                                            RINGLAND_BINARY_DIR, larch));
    CHECK(own.exit == 0);
    CHECK(has(own.out, "SHORT BY 2"));
    bench.write("bad.toml", "[[stock]]\ncount = -1\n");
    const Ran bad = bench.run("plan " + larch + " R3 --stock bad.toml", no_shop);
    CHECK(bad.exit == 1);
    CHECK(bad.out == "");
    CHECK(has(bad.err, "bad.toml:2:9:"));
    CHECK(has(bad.err, "no part-number"));
}

TEST_CASE("plan: a map without parts says what is missing and gives what it can") {
    const Bench bench;
    bench.write("three.toml", shortest_map);
    const json plan = answer(bench, "plan three.toml R2");
    CHECK(plan["steps"].empty());
    REQUIRE(plan["missing"].size() == 1);
    CHECK(has(plan["missing"][0], "no parts"));
    CHECK(plan["retest"]["readings"].size() == 1);
    CHECK(plan["parts"].size() == 1);
    CHECK(has(bench.run("plan three.toml R2", no_shop).out, "no number"));
}

TEST_CASE("measure: the aids of the demo unit, in mm and in inches") {
    const Bench bench;
    const json pin = answer(bench, "measure " + larch + " second-pin 4.1mm --fitted 61.4mm");
    CHECK(pin["verdict"] == "above");
    CHECK(pin["kind"] == "servo-pin");
    CHECK(pin["selective"]["best_mm"].get<double>() == doctest::Approx(62.2));
    CHECK(pin["leak"].is_null());
    // 1/8 in is 3.175 mm: within 2.8 to 3.6.
    CHECK(answer(bench, "measure " + larch + " \"Second servo pin travel\" 1/8in")["verdict"] == "within");
    CHECK(answer(bench, "measure " + larch + " second-pin .005in")["grind_from_mm"].get<double>() ==
          doctest::Approx(2.8 - 0.127));
    const json gap = answer(bench, "measure " + larch + " input-ring-gap 0.5mm");
    CHECK(gap["verdict"] == "above");
    CHECK(gap["leak"]["air_lpm"].get<double>() > 0);
    CHECK(gap["leak"]["seal"] == "R1");
    const Ran words = bench.run("measure " + larch + " low-pack 1.85mm --fitted 1.5mm", no_shop);
    CHECK(words.exit == 0);
    CHECK(has(words.out, "The snap ring or plate of 2.25 mm (0.089 in) gives 1.10 mm (0.043 in)."));
    CHECK(has(words.out, "Formula: clearance with another size"));
}

TEST_CASE("plan and measure: words that cannot be are wrong usage, with the nearest that can") {
    const Bench bench;
    bench.write("three.toml", shortest_map);
    struct Case {
        std::string arguments;
        const char* says;
    };
    for (const Case& wrong :
         {Case{"plan", "map is required"}, Case{"plan " + larch, "name a seal or part, or give --readings"},
          Case{"plan " + larch + " R33", "no seal or part \"R33\" in this map"},
          Case{"plan " + larch + " inputshaft", "Did you mean \"input-shaft\"?"},
          Case{"measure " + larch + " second-pni 4mm", "Did you mean \"second-pin\"?"},
          Case{"measure " + larch + " second-pin 4", "the unit is missing"},
          Case{"measure " + larch + " second-pin -- -4mm", "is not below 0"},
          Case{"measure " + larch + " second-pin 4mm --fitted 600mm", "--fitted \"600mm\": 500 mm"},
          Case{"measure " + larch + " second-pin four", "this is no measured figure"},
          Case{"measure three.toml gap 1mm", "this map has none"}}) {
        CAPTURE(wrong.arguments);
        const Ran ran = bench.run(wrong.arguments, no_shop);
        CHECK(ran.exit == 2);
        CHECK(ran.out == "");
        CHECK_MESSAGE(has(ran.err, wrong.says), ran.err);
    }
}

TEST_CASE("input that is no map, readings or stock does no harm to plan and measure") {
    const Bench bench;
    bench.write("three.toml", shortest_map);
    bench.write("empty.toml", "");
    bench.write("binary.toml", std::string("\x7f\x45\x4c\x46\x00\x01\xff\xfe", 8));
    bench.write("deep.toml", "x = " + std::string(60'000, '['));
    for (const char* file : {"missing.toml", ".", "empty.toml", "binary.toml", "deep.toml", "/dev/zero"}) {
        for (const char* command :
             {"plan FILE R1", "plan three.toml --readings FILE", "plan three.toml R1 --stock FILE",
              "plan three.toml R1 --bench FILE", "measure FILE gap 1mm"}) {
            std::string arguments = command;
            arguments.replace(arguments.find("FILE"), 4, file);
            CAPTURE(arguments);
            const Ran ran = bench.shell(fmt::format("ulimit -v 1500000; {} timeout 20 '{}/ringland' {}", no_shop,
                                                    RINGLAND_BINARY_DIR, arguments));
            CHECK(ran.exit == 1);
            CHECK(ran.out == "");
            CHECK(has(ran.err, file));
            CHECK(ran.err.size() < 20'000);
        }
    }
}
