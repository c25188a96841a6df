// divide and check by the program itself: exit codes, words, JSON, and input that no program should trust.
#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <sys/stat.h>
#include <unistd.h>

#include "run_ringland.h"

namespace {

using namespace ringland::test;
using nlohmann::json;

constexpr const char* one_way_map = R"(
[unit]
name = "Bench three"
[[stack]]
id = "shaft"
name = "Input shaft"
row = "pump end | Low | Coast | Top | drum end"
[[port]]
id = "P1"
label = "LC"
circuit = "Low"
[[port]]
id = "P2"
circuit = "Coast"
[[port]]
id = "P3"
circuit = "Top"
[[by-design]]
from = "Low"
to = "Coast"
one-way = true
reason = "the check ball lifts"
)";

} // namespace

TEST_CASE("divide names the ring, both ends and what is by design in each direction") {
    const Bench bench;
    const std::string map = bench.write("three.toml", one_way_map);
    const Ran ran = bench.run("divide " + map + " P1 P2");
    CHECK(ran.exit == 0);
    CHECK(ran.err == "");
    CHECK(has(ran.out, "Ring 2 of 4 on the input shaft"));
    CHECK(has(ran.out, "2nd from the pump end · 3rd from the drum end"));
    CHECK(has(ran.out, "divides Low from Coast"));
    CHECK(has(ran.out, "By design, Low into Coast: a healthy unit shows this\n  the check ball lifts"));
    CHECK(has(ran.out, "By design, Coast into Low: nothing."));
    CHECK(has(ran.out, "Caution: regulated air"));
    const Ran back = bench.run("divide " + map + " P2 P1");
    CHECK(has(back.out, "By design, Coast into Low: nothing."));
    CHECK(has(back.out, "By design, Low into Coast: a healthy unit shows this"));
}

TEST_CASE("divide without a dividing seal lists the ways round") {
    const Bench bench;
    const std::string map = bench.write("three.toml", one_way_map);
    const Ran ran = bench.run("divide " + map + " P3 P1");
    CHECK(ran.exit == 0);
    CHECK(has(ran.out, "No single seal divides these two."));
    CHECK(has(ran.out, "Top → Coast → Low"));
    CHECK(has(ran.out, "failed: Ring 3 of 4 on the input shaft [R3]"));
    CHECK(has(ran.out, "failed: Ring 2 of 4 on the input shaft [R2]"));
}

TEST_CASE("divide as JSON has the documented fields") {
    const Bench bench;
    const std::string map = bench.write("three.toml", one_way_map);
    const Ran ran = bench.run("divide --json " + map + " P2 P3");
    REQUIRE(ran.exit == 0);
    const json answer = json::parse(ran.out);
    CHECK(answer["from"]["port"] == "P2");
    CHECK(answer["to"]["circuit"] == "top");
    REQUIRE(answer["seals"].size() == 1);
    const json& seal = answer["seals"][0];
    CHECK(seal["id"] == "R3");
    CHECK(seal["kind"] == "ring");
    CHECK(seal["relation"] == "stack");
    CHECK(seal["stack"] == "shaft");
    CHECK(seal["nth_from_first_end"] == 3);
    CHECK(seal["first_end"] == "pump end");
    CHECK(seal["nth_from_second_end"] == 2);
    CHECK(seal["second_end"] == "drum end");
    CHECK(answer["by_design"].is_array());
    CHECK(answer["ways_round"].is_array());
}

TEST_CASE("a place may be a port id, a label, a circuit or its name, in any case") {
    const Bench bench;
    const std::string map = bench.write("three.toml", one_way_map);
    for (const char* from : {"P1", "p1", "LC", "lc", "Low", "low", "LOW"}) {
        CAPTURE(from);
        const Ran ran = bench.run(fmt::format("divide --json {} {} Coast", map, from));
        REQUIRE(ran.exit == 0);
        const json answer = json::parse(ran.out);
        CHECK(answer["from"]["port"] == "P1");
        CHECK(answer["to"]["port"] == "P2");
    }
    const Ran sump = bench.run("divide --json " + map + " P1 sump");
    REQUIRE(sump.exit == 0);
    CHECK(json::parse(sump.out)["seals"][0]["id"] == "R1");
    const Ran same = bench.run("divide " + map + " P1 low");
    CHECK(same.exit == 0);
    CHECK(has(same.out, "One circuit"));
}

TEST_CASE("an unknown place is wrong usage, with the nearest name offered") {
    const Bench bench;
    const std::string map = bench.write("three.toml", one_way_map);
    const Ran ran = bench.run("divide " + map + " P1 coats");
    CHECK(ran.exit == 2);
    CHECK(ran.out == "");
    CHECK(has(ran.err, "no port or circuit \"coats\""));
    CHECK(has(ran.err, "Did you mean \"Coast\"?"));
    CHECK(has(ran.err, "P2 (Coast)"));
    const Ran both = bench.run("divide " + map + " qqqqqqqq zzzzzzzz");
    CHECK(both.exit == 2);
    CHECK(has(both.err, "qqqqqqqq"));
    CHECK(has(both.err, "zzzzzzzz"));
}

TEST_CASE("wrong usage ends with 2 and a hint") {
    const Bench bench;
    for (const char* arguments :
         {"divide", "divide a", "divide a b c d", "check", "picture", "picture x", "divdie a b c", "--nonsense",
          "divide a b c --nonsense", "picture x -o y.png --view sideways", "picture x -o y.png --to P1", "some.toml"}) {
        CAPTURE(arguments);
        const Ran ran = bench.run(arguments);
        CHECK(ran.exit == 2);
        CHECK(ran.out == "");
        CHECK(has(ran.err, "ringland"));
        CHECK(has(ran.err, "--help"));
    }
    CHECK(has(bench.run("divdie a b c").err, "Did you mean divide?"));
    CHECK(has(bench.run("some.toml").err, "ringland open some.toml"));
}

TEST_CASE("check prints every complaint as file:line:column, and a line for a good map") {
    const Bench bench;
    const std::string good = bench.write("good.toml", one_way_map);
    const std::string bad =
        bench.write("bad.toml", std::string(one_way_map) + "[[port]]\ncircuit = \"Lwo\"\n[[port]]\ncircuit = 7\n");
    const Ran one = bench.run("check " + good);
    CHECK(one.exit == 0);
    CHECK(has(one.out, "good.toml: good"));
    CHECK(has(one.out, "3 ports"));
    const Ran two = bench.run("check " + bad + " " + good);
    CHECK(two.exit == 1);
    CHECK(two.err == "");
    CHECK(has(two.out, "bad.toml:24:"));
    CHECK(has(two.out, "bad.toml:26:"));
    CHECK(has(two.out, "good.toml: good"));
    const Ran as_json = bench.run("check --json " + bad + " " + good);
    CHECK(as_json.exit == 1);
    const json maps = json::parse(as_json.out)["maps"];
    REQUIRE(maps.size() == 2);
    CHECK(maps[0]["good"] == false);
    CHECK(maps[0]["faults"][0]["severity"] == "error");
    CHECK(maps[0]["faults"][0]["line"] == 24);
    CHECK(maps[1]["good"] == true);
    CHECK(maps[1]["ports"] == 3);
}

TEST_CASE("the demo units are good") {
    const Bench bench;
    const Ran ran = bench.run("check assets-demo/larch-five.toml assets-demo/wren-three.toml "
                              "assets-demo/heron-shift.toml assets-demo/bench-example.toml");
    CHECK(ran.exit == 0);
    CHECK_MESSAGE(!has(ran.out, "warning"), ran.out);
}

TEST_CASE("input that is no map: a clear message, exit 1, no harm, in every command") {
    const Bench bench;
    bench.write("empty.toml", "");
    bench.write("binary.toml", std::string("\x7f\x45\x4c\x46\x00\x01\xff\xfe", 8));
    bench.write("words.toml", "this is no map");
    bench.write("types.toml", "unit = 3\nport = \"P1\"\n[[stack]]\nrow = [1, 2]\n");
    bench.write("brackets.toml", "x = " + std::string(50'000'000, '['));
    bench.write("deep.toml", "x = " + std::string(1'000'000, '['));
    REQUIRE(mkfifo(bench.file("pipe.toml").c_str(), 0600) == 0);
    for (const char* map : {"missing.toml", ".", "empty.toml", "binary.toml", "words.toml", "types.toml",
                            "brackets.toml", "deep.toml", "pipe.toml"}) {
        for (const char* command :
             {"divide MAP P1 P2", "check MAP", "picture MAP -o x.png", "export MAP -o x.glb", "open MAP"}) {
            std::string arguments = command;
            arguments.replace(arguments.find("MAP"), 3, map);
            CAPTURE(arguments);
            // Half a gigabyte of address space beyond the program's own is more than any refusal needs.
            const Ran ran = bench.shell(
                fmt::format("ulimit -v 1500000; timeout 20 '{}/ringland' {}", RINGLAND_BINARY_DIR, arguments));
            CHECK(ran.exit == 1);
            const std::string& said = std::string(command).rfind("check", 0) == 0 ? ran.out : ran.err;
            CHECK(has(said, map));
            CHECK(said.size() > 20);
            CHECK(said.size() < 20'000);
            CHECK(!std::filesystem::exists(bench.file("x.png")));
            CHECK(!std::filesystem::exists(bench.file("x.glb")));
        }
    }
    if (geteuid() != 0) { // nothing is unreadable to root
        bench.write("secret.toml", one_way_map);
        REQUIRE(chmod(bench.file("secret.toml").c_str(), 0) == 0);
        CHECK(bench.run("check secret.toml").exit == 1);
    }
}

TEST_CASE("an answer that could not be written is not called answered") {
    const Bench bench;
    bench.write("three.toml", one_way_map);
    const Ran ran = bench.shell(fmt::format("'{}/ringland' divide three.toml P1 P2 > /dev/full", RINGLAND_BINARY_DIR));
    CHECK(ran.exit == 1);
}
