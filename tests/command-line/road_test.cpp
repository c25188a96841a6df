// road by the program itself: what a leak does, and which leaks fit a complaint; the two directions agree.
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

const json& range_of(const json& hole, const std::string& id) {
    for (const auto& range : hole["ranges"]) {
        if (range["range"] == id) return range;
    }
    FAIL(fmt::format("no range {}", id));
    return hole;
}

} // namespace

TEST_CASE("road: a 2 mm hole at R3, in words and as data") {
    const Bench bench;
    const json road = answer(bench, "road " + larch + " --seal R3 --hole 2mm");
    CHECK(road["seal"] == "R3");
    CHECK(road["between"] == json({"low", "coast"}));
    CHECK(road["affected"] == json({"D1", "D2", "D3", "D4", "H2", "H1"}));
    CHECK(road["converged"] == true);
    REQUIRE(road["holes"].size() == 1);
    const json& hole = road["holes"][0];
    CHECK(hole["verdict"]["advice"] == "must-come-out");
    CHECK(range_of(hole, "D2")["effects"][0]["symptom"] == "slips");
    CHECK(range_of(hole, "D2")["effects"][0]["burns"] == json({"low-clutch"}));
    CHECK(range_of(hole, "D5")["effects"].empty());
    CHECK(range_of(hole, "D5")["exposure"] == "neither");
    CHECK(range_of(hole, "D2")["ratio"].get<double>() == doctest::Approx(2));
    CHECK(range_of(hole, "D2")["leak_lpm"] > range_of(hole, "D2")["leak_lpm_slot"]);
    // An inch is an inch.
    const json inch = answer(bench, "road " + larch + " --seal r3 --hole .078740157in --range 2nd");
    REQUIRE(inch["holes"][0]["ranges"].size() == 1);
    CHECK(inch["holes"][0]["ranges"][0]["leak_lpm"].get<double>() ==
          doctest::Approx(range_of(hole, "D2")["leak_lpm"].get<double>()).epsilon(1e-6));

    const Ran words = bench.run("road " + larch + " --seal R3 --hole 2mm", no_shop);
    CHECK(words.exit == 0);
    for (const char* said : {"an invented unit", "Verdict: it must come out", "The driver:", "3rd from the pump end",
                             "common practice, no source", "local rules and the maker's"})
        CHECK_MESSAGE(has(words.out, said), said);
}

TEST_CASE("road without a hole: a table that gets no milder, and the borders between") {
    const Bench bench;
    const json road = answer(bench, "road " + larch + " --seal R3");
    REQUIRE(road["holes"].size() == 4);
    const std::vector<std::string> scale{"leave", "watch", "renew-while-open", "must-come-out"};
    const auto rank = [&](const std::string& advice) {
        return std::find(scale.begin(), scale.end(), advice) - scale.begin();
    };
    std::ptrdiff_t last = 0;
    for (const auto& hole : road["holes"]) {
        const auto now = rank(hole["verdict"]["advice"]);
        CHECK(now >= last);
        CHECK(now < 4);
        last = now;
        // The verdict of the table is the one that the borders give.
        std::string by_border = "leave";
        for (const auto& border : road["borders"]) {
            if (border["hole_mm"] <= hole["hole_mm"]) by_border = border["to"];
        }
        CHECK(hole["verdict"]["advice"] == by_border);
    }
    CHECK(last == 3);
    CHECK(has(bench.run("road " + larch + " --seal R3", no_shop).out, "The verdict on this seal"));
}

TEST_CASE("road backwards: what a leak does, brought as a complaint, leads back to it") {
    const Bench bench;
    const json there = answer(bench, "road " + larch + " --seal S3 --hole 2mm");
    std::string told;
    for (const auto& range : there["holes"][0]["ranges"]) {
        if (range["ratio"].is_null()) continue;
        const bool good = range["effects"].empty();
        told += fmt::format(" --complaint \"{} {}\"", range["name"].get<std::string>(),
                            good ? "good" : range["effects"][0]["symptom"].get<std::string>());
    }
    const json back = answer(bench, "road " + larch + told);
    REQUIRE_FALSE(back["suspects"].empty());
    CHECK((back["suspects"][0]["seal"] == "S3" || back["suspects"][1]["seal"] == "S3"));
    CHECK(back["suspects"][0]["against"].empty());
    CHECK(
        std::any_of(back["tests"].begin(), back["tests"].end(), [](const json& test) { return test["into"] == "P8"; }));
    double all = back["no_seal"].get<double>() + back["other_seals"].get<double>();
    for (const auto& suspect : back["suspects"])
        all += suspect["probability"].get<double>();
    CHECK(all == doctest::Approx(1));
    const json gear = answer(bench, "road " + larch + " --complaint \"2nd held wrong-gear=3rd hot\"");
    CHECK(gear["complaints"][0]["starts_in"] == "D3");
    CHECK(gear["complaints"][0]["hot_only"] == true);
    CHECK(answer(bench, "road " + larch + " --complaint \"R good\"")["complaints"].size() == 2);
}

TEST_CASE("road: a map that tells little is answered with what is missing") {
    const Bench bench;
    const std::string bare = bench.write("bare.toml", R"(
[unit]
name = "Bare"
[[stack]]
id = "shaft"
row = "pump end | Low | Coast | drum end"
[[port]]
circuit = "Low"
[[port]]
circuit = "Coast"
)");
    const json road = answer(bench, "road " + bare + " --seal R2 --hole 2mm");
    CHECK(road["holes"][0]["verdict"].is_null());
    CHECK(has(road["missing"].dump(), "ranges"));
    CHECK(has(bench.run("road " + bare + " --seal R2", no_shop).out, "No verdict"));
    CHECK(bench.run("road " + bare + " --complaint \"2nd slips\"", no_shop).exit == 2);
    // Wren has no gear sets: the rule of the chart.
    const json wren = answer(bench, "road assets-demo/wren-three.toml --seal T1 --hole 3mm");
    CHECK(has(wren["missing"].dump(), "gear sets"));
    CHECK_FALSE(wren["assumed"].empty());
}

TEST_CASE("road: calls that cannot be answered") {
    const Bench bench;
    struct Case {
        std::string arguments;
        const char* says;
    };
    for (const Case& wrong :
         {Case{larch, "name a seal"}, Case{larch + " --seal R33", "R33"}, Case{larch + " --seal R3 --hole 2", "unit"},
          Case{larch + " --seal R3 --hole nil", "--hole"}, Case{larch + " --hole 2mm", "--seal"},
          Case{larch + " --seal R3 --hole 2mm --range 9th", "9th"}, Case{larch + " --complaint slips", "3rd slips"},
          Case{larch + " --complaint \"3rd hums\"", "hums"}, Case{larch + " --complaint \"9th slips\"", "9th"},
          Case{larch + " --complaint \"3rd slips=2nd\"", "slips=2nd"},
          Case{larch + " --seal R3 --complaint \"3rd slips\"", "excludes"}}) {
        CAPTURE(wrong.arguments);
        const Ran ran = bench.run("road " + wrong.arguments, no_shop);
        CHECK(ran.exit == 2);
        CHECK(ran.out == "");
        CHECK_MESSAGE(has(ran.err, wrong.says), ran.err);
    }
    CHECK(bench.run("road no-such.toml --seal R3", no_shop).exit == 1);
}
