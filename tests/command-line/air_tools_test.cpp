// leak-down and calibrate by the program itself, and the examples of the help of all commands about air.
#include <cmath>
#include <filesystem>
#include <string>
#include <utility>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "answer.h"

namespace {

using namespace ringland::test;
using nlohmann::json;

} // namespace

// Two ideal holes of one coefficient at 80 psig, 14.696 psia around: calculated from the isentropic formula by a
// program of its own; supply and orifice as in the differential compression test of AC 43.13-1B, para 8-14.
TEST_CASE("leak-down by the two-orifice table, both ways") {
    const Bench bench;
    const std::string rig = "leak-down --supply 80psi --orifice .040in --ideal ";
    const json read = answer(bench, rig + "--reading 60psi");
    const double orifice_mm2 = std::acos(-1.0) / 4 * 1.016 * 1.016;
    CHECK(std::abs(read["area_mm2"].get<double>() / orifice_mm2 - 1.0586) < 0.00006);
    CHECK(std::abs(read["leak_in"].get<double>() - 0.0412) < 0.00006);
    CHECK(read["loss_percent"].get<double>() == doctest::Approx(25));
    CHECK(read["law"] == "ideal");
    const json equal = answer(bench, rig + "--leak .040in");
    CHECK(std::abs(equal["reading_psi"].get<double>() - 61.767) < 0.0006);
}

TEST_CASE("leak-down there and back, in any unit, and with the shop's air pressure") {
    const Bench bench;
    bench.write("high.toml", "[bench]\naltitude_m = 2000\n");
    for (const char* more : {"", "--ideal", "--bench high.toml"}) {
        CAPTURE(more);
        const json there = answer(bench, fmt::format("leak-down --supply 5bar --orifice 1mm --leak 0.8mm {}", more));
        const json back = answer(bench, fmt::format("leak-down --supply 500kPa --orifice 1mm --reading {:.9f}bar {}",
                                                    there["reading_bar"].get<double>(), more));
        CHECK(back["leak_mm"].get<double>() == doctest::Approx(0.8).epsilon(1e-6));
    }
    CHECK(answer(bench, "leak-down --supply 80psi --orifice 1mm --leak 1mm --bench high.toml")["local_pressure_kpa"]
              .get<double>() == doctest::Approx(79.495).epsilon(1e-3));
    const Ran text = bench.run("leak-down --supply 80psi --orifice .040in --reading 60psi", no_shop);
    CHECK(has(text.out, "25 % lost"));
    CHECK(has(text.out, "sharp-edged hole of"));
    CHECK(has(text.out, "Caution: regulated air"));
    const Ran tight = bench.run("leak-down --supply 80psi --orifice .040in --reading 80psi", no_shop);
    CHECK(has(tight.out, "no leak"));
}

TEST_CASE("readings that cannot be") {
    const Bench bench;
    struct Case {
        const char* arguments;
        const char* says;
    };
    for (const Case& wrong : {Case{"--supply 80psi --orifice 1mm --reading 81psi", "mixed up"},
                              Case{"--supply 80psi --orifice 1mm --reading 0", "larger orifice"},
                              Case{"--supply 0 --orifice 1mm --reading 10psi", "no supply pressure"},
                              Case{"--supply 80psi --orifice 0 --reading 10psi", "no orifice"},
                              Case{"--supply 0 --orifice 1mm --leak 1mm", "no supply pressure"},
                              Case{"--supply 80psi --orifice 0 --leak 1mm", "no orifice"},
                              Case{"--supply 80 --orifice 1mm --reading 60psi", "the unit is missing"},
                              Case{"--supply 80psi --orifice 1 --reading 60psi", "the unit is missing"},
                              Case{"--supply 80psi --orifice 1mm --reading 60", "the unit is missing"},
                              Case{"--supply 80psi --orifice 1mm --leak 60psi", "no unit of a hole"},
                              Case{"--supply 80psi --orifice 1mm", "--help"},
                              Case{"--supply 80psi --orifice 1mm --reading 60psi --leak 1mm", "--help"},
                              Case{"--orifice 1mm --reading 60psi", "--supply is required"}}) {
        CAPTURE(wrong.arguments);
        const Ran ran = bench.run(std::string("leak-down ") + wrong.arguments, no_shop);
        CHECK(ran.exit == 2);
        CHECK(ran.out == "");
        CHECK_MESSAGE(has(ran.err, wrong.says), ran.err);
    }
}

// Handbook table of air through orifices, coefficient 100 % (Moss formula, 530 °R, 0.07494 lb/ft³; as printed by a
// compressed-air institute), column 1/16 in: 2.53 cfm at 30 psig, 3.66 at 50, 5.36 at 80. A trial hole is drilled: 0.82
// of it. The hose of this bench is wide enough to count for less than the print's rounding.
TEST_CASE("a trial hole passes what the handbook prints, less what the hose takes") {
    const Bench bench;
    bench.write("wide.toml", "[bench]\nhose-conductance = 100\n");
    bench.write("narrow.toml", "[bench]\nhose-conductance = 0.2\n");
    const auto flow_lpm = [&](int psi, const char* file) -> double {
        return answer(bench, fmt::format("calibrate --pressure {}psi --hole 1/16in=faint --bench {}", psi,
                                         file))["trials"][0]["flow_lpm"];
    };
    for (const auto& [psi, cfm] : {std::pair(30, 2.53), std::pair(50, 3.66), std::pair(80, 5.36)}) {
        const double print_kgps = cfm * 0.07494 * 0.45359237 / 60;
        const double print_lpm = 0.82 * print_kgps / 1.185 * 60e3;
        CHECK(flow_lpm(psi, "wide.toml") == doctest::Approx(print_lpm).epsilon(0.01));
        CHECK(flow_lpm(psi, "narrow.toml") < 0.9 * print_lpm);
    }
}

TEST_CASE("calibrate places thresholds between the trials, and names what contradicts") {
    const Bench bench;
    const std::string trials = "calibrate --pressure 35psi --hole 2mm=clear --hole .25mm=nothing --hole .5mm=faint "
                               "--hole 1mm=faint --hole 3mm=strong ";
    const json clean = answer(bench, trials);
    REQUIRE(clean["trials"].size() == 5);
    CHECK(clean["remarks"].empty());
    for (std::size_t i = 0; i < 5; ++i) {
        const json& trial = clean["trials"][i];
        CHECK(trial["heard"] == trial["word"]);
        if (i > 0) CHECK(trial["flow_lpm"] > clean["trials"][i - 1]["flow_lpm"]);
    }
    const auto between = [&](std::size_t threshold, std::size_t below) {
        const double low = clean["trials"][below]["flow_lpm"], high = clean["trials"][below + 1]["flow_lpm"];
        CHECK(clean["between_lpm"][threshold][0] == low);
        CHECK(clean["between_lpm"][threshold][1] == high);
        // Three figures of the geometric mean.
        CHECK(clean["heard_from_lpm"][threshold].get<double>() ==
              doctest::Approx(std::sqrt(low * high)).epsilon(0.005));
    };
    between(0, 0);
    between(1, 2);
    between(2, 3);
    const json torn = answer(bench, trials + "--hole 1.4mm=nothing");
    REQUIRE(torn["remarks"].size() == 1);
    CHECK(has(torn["remarks"][0], "was heard as nothing; by the other trials it is"));
    const Ran text = bench.run(trials + "--hole 1.4mm=nothing", no_shop);
    CHECK(text.exit == 0);
    CHECK(has(text.out, "Remark: "));
    CHECK(has(text.out, "strong from"));
    const json silent = answer(bench, "calibrate --hole 0=nothing");
    CHECK(silent["heard_from_lpm"] == json{0.4, 6.0, 25.0});
    CHECK(silent["between_lpm"][0].is_null());
}

TEST_CASE("calibrate writes a bench that the other commands read, and never over one that is there unasked") {
    const Bench bench;
    bench.write("before.toml", "[bench]\nname = \"Bay two\"\naltitude_m = 400\n");
    const std::string trials = "calibrate --hole .5mm=nothing --hole 1mm=faint --hole 2mm=clear --hole 3mm=strong "
                               "--bench before.toml -o ";
    const Ran first = bench.run(trials + "bench.toml", no_shop);
    REQUIRE_MESSAGE(first.exit == 0, first.err);
    CHECK(has(first.out, "Written: bench.toml"));
    const std::string written = read_file(bench.file("bench.toml"));
    CHECK(has(written, "name = \"Bay two\""));
    CHECK(has(written, "altitude_m = 400"));
    CHECK(has(bench.run("check bench.toml").out, "good: air bench Bay two"));
    const json used = answer(bench, "expect assets-demo/larch-five.toml --into P3 --bench bench.toml")["bench"];
    const json said = answer(bench, "calibrate --hole .5mm=nothing --hole 1mm=faint --hole 2mm=clear --hole 3mm=strong "
                                    "--bench before.toml");
    CHECK(used["heard_from_lpm"] == said["heard_from_lpm"]);
    CHECK(used["name"] == "Bay two");

    const Ran again = bench.run(trials + "bench.toml --pressure 60psi", no_shop);
    CHECK(again.exit == 1);
    CHECK(again.out == "");
    CHECK(has(again.err, "bench.toml is there already"));
    CHECK(has(again.err, "--replace"));
    CHECK(read_file(bench.file("bench.toml")) == written);
    const Ran replaced = bench.run(trials + "bench.toml --pressure 60psi --replace", no_shop);
    CHECK(replaced.exit == 0);
    CHECK(read_file(bench.file("bench.toml")) != written);
    const Ran nowhere = bench.run(trials + "no/such/bench.toml", no_shop);
    CHECK(nowhere.exit == 1);
    CHECK(nowhere.out == "");
    CHECK(has(nowhere.err, "cannot write no/such/bench.toml"));
}

TEST_CASE("trials that cannot be") {
    const Bench bench;
    struct Case {
        const char* arguments;
        const char* says;
    };
    for (const Case& wrong :
         {Case{"--hole 1mm", "as in 1mm=faint"}, Case{"--hole faint", "as in 1mm=faint"},
          Case{"--hole 1mm=loud", "no word for what is heard"}, Case{"--hole 1mm=fiant", "faint?"},
          Case{"--hole 1=faint", "the unit is missing"}, Case{"--hole =faint", "no hole"},
          Case{"--hole 1mm=", "one of"}, Case{"--hole 1mm=faint --pressure 35", "the unit is missing"},
          Case{"", "--hole is required"}}) {
        CAPTURE(wrong.arguments);
        const Ran ran = bench.run(std::string("calibrate ") + wrong.arguments, no_shop);
        CHECK(ran.exit == 2);
        CHECK(ran.out == "");
        CHECK_MESSAGE(has(ran.err, wrong.says), ran.err);
    }
}

TEST_CASE("what docs/command-line.md prints is what the program answers") {
    // A block begins with "$ ringland ..."; its lines stand in the answer in this order, "..." for any lines between.
    const Bench bench;
    const std::string page = read_file(RINGLAND_SOURCE_DIR "/docs/command-line.md");
    const std::string open = "```text\n$ ringland ";
    int blocks = 0;
    for (auto at = page.find(open); at != std::string::npos; at = page.find(open, at)) {
        at += open.size();
        const auto end = page.find("```", at);
        REQUIRE(end != std::string::npos);
        const auto first = page.find('\n', at);
        const std::string command = page.substr(at, first - at);
        CAPTURE(command);
        const Ran ran = bench.run(command, no_shop);
        CHECK(ran.exit == 0);
        const std::string out = "\n" + ran.out;
        std::size_t reached = 0;
        bool anywhere = false;
        for (auto begin = first + 1; begin < end;) {
            const auto stop = page.find('\n', begin);
            const std::string line = page.substr(begin, stop - begin);
            begin = stop + 1;
            if (line == "...") {
                anywhere = true;
                continue;
            }
            const auto found = out.find("\n" + line + "\n", reached);
            CHECK_MESSAGE(found != std::string::npos, "not in the answer: " << line);
            if (found == std::string::npos) break;
            CHECK_MESSAGE((anywhere || found == reached), "lines are left out before: " << line);
            reached = found + 1 + line.size();
            anywhere = false;
        }
        ++blocks;
    }
    CHECK(blocks == 16);
}

TEST_CASE("an answer about air that could not be written is not called answered") {
    const Bench bench;
    const Ran ran = bench.shell(
        fmt::format("{} '{}/ringland' expect assets-demo/larch-five.toml > /dev/full", no_shop, RINGLAND_BINARY_DIR));
    CHECK(ran.exit == 1);
}
