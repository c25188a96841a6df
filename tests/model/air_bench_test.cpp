// The bench file: what is read, what is refused and where, and that what is written reads back.
#include <doctest/doctest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <limits>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <unistd.h>

#include "../../model-data/air_bench.h"
#include "faults_said.h"
#include "random_map.h"

using namespace ringland::model;
using namespace ringland::tests;

namespace {

/// Each case makes exactly this one fault.
void check_each_bench(const std::vector<FaultCase>& cases, Severity severity) {
    for (const auto& expected : cases) {
        const auto result = read_bench_text("[bench]\n" + expected.text, "b.toml");
        check_single_fault(result.faults, "b.toml", expected, severity);
        CHECK(result.bench.has_value() == (severity == Severity::warning));
    }
}

/// A bench with every figure in bounds and many digits in each.
AirBench random_bench(RandomMap& random) {
    AirBench bench;
    if (random.chance(70)) bench.name = fmt::format("Bay \u00e9 {}", random.number(1, 99));
    if (random.chance(50)) bench.note = "two lines\nwith \"quotes\" and \\ \t tab";
    const auto unit = static_cast<PressureDimension::Unit>(random.number(0, 2));
    bench.pressure = GaugePressure{random.figure(1, 10), unit};
    bench.temperature_c = random.figure(-40, 80);
    bench.altitude_m = random.figure(-500, 6000);
    if (random.chance(50)) bench.local_pressure_kpa = random.figure(40, 120);
    bench.hose_conductance = random.figure(0.01, 100);
    bench.hose_critical_ratio = random.figure(0, 0.9);
    bench.towel_share = random.figure(0.01, 1);
    bench.heard_from_lpm = {random.figure(0.01, 1), random.figure(2, 20), random.figure(21, 100)};
    return bench;
}

} // namespace

TEST_CASE("an empty [bench] is the bench of the defaults") {
    const auto result = read_bench_text("[bench]\n", "b.toml");
    REQUIRE_MESSAGE(result.faults.empty(), all_of(result.faults));
    REQUIRE(result.bench.has_value());
    CHECK(*result.bench == AirBench{});
}

TEST_CASE("every key of a bench file is read") {
    const auto result = read_bench_text("[bench]\n"
                                        "name = \"Bay two\"\n"
                                        "note = \"long hose\"\n"
                                        "pressure_bar = 2.5\n"
                                        "temperature_c = 27.5\n"
                                        "altitude_m = 850\n"
                                        "local-pressure_kpa = 91.2\n"
                                        "hose-conductance = 0.62\n"
                                        "hose-critical-ratio = 0.4\n"
                                        "towel-share = 0.25\n"
                                        "heard-from_lpm = [0.5, 7, 30.5]\n",
                                        "b.toml");
    REQUIRE_MESSAGE(result.faults.empty(), all_of(result.faults));
    const AirBench& bench = *result.bench;
    CHECK(bench.name == "Bay two");
    CHECK(bench.note == "long hose");
    CHECK(bench.pressure == GaugePressure{2.5, PressureDimension::Unit::bar});
    CHECK(bench.temperature_c == 27.5);
    CHECK(bench.altitude_m == 850);
    CHECK(bench.local_pressure_kpa == 91.2);
    CHECK(bench.hose_conductance == 0.62);
    CHECK(bench.hose_critical_ratio == 0.4);
    CHECK(bench.towel_share == 0.25);
    CHECK(bench.heard_from_lpm == std::array<double, 3>{0.5, 7, 30.5});
}

TEST_CASE("a figure that cannot be is an error at its place") {
    check_each_bench(
        {
            {"pressure_psi = 0\n", 2, 16, "pressure_psi is 0", "more than 0"},
            {"pressure_psi = 151\n", 2, 16, "pressure_psi is 151", "150 at most"},
            {"pressure_bar = 35\n", 2, 16, "pressure_bar is 35", "10.3"}, // 35 psi was meant
            {"pressure_psi = nan\n", 2, 16, "pressure_psi is not a figure", "a plain number"},
            {"pressure_psi = \"35\"\n", 2, 16, "pressure_psi is a text", "without quotes"},
            {"pressure_psi = 35\npressure_bar = 2.4\n", 3, 16, "given twice", "measured"},
            {"temperature_c = -41\n", 2, 17, "temperature_c is -41", "not less than -40"},
            {"temperature_c = 81\n", 2, 17, "temperature_c is 81", "80 at most"},
            {"altitude_m = -501\n", 2, 14, "altitude_m is -501", "not less than -500"},
            {"altitude_m = 6001\n", 2, 14, "altitude_m is 6001", "6000 at most"},
            {"local-pressure_kpa = 1013\n", 2, 22, "local-pressure_kpa is 1013", "120 at most"}, // mbar
            {"hose-conductance = 0\n", 2, 20, "hose-conductance is 0", "more than 0"},
            {"hose-conductance = inf\n", 2, 20, "hose-conductance is not a figure", "a plain number"},
            {"hose-critical-ratio = 0.91\n", 2, 23, "hose-critical-ratio is 0.91", "0.9 at most"},
            {"hose-critical-ratio = -0.1\n", 2, 23, "hose-critical-ratio is -0.1", "not less than 0"},
            {"towel-share = 0\n", 2, 15, "towel-share is 0", "more than 0"},
            {"towel-share = 30\n", 2, 15, "towel-share is 30", "1 at most"},
            {"heard-from_lpm = [0, 6, 25]\n", 2, 19, "heard-from_lpm is 0", "more than 0"},
            {"heard-from_lpm = [1, 25, 6]\n", 2, 26, "heard-from_lpm is 6 after 25", "faint, clear, strong"},
            {"heard-from_lpm = [1, 1, 6]\n", 2, 22, "heard-from_lpm is 1 after 1", "faint, clear, strong"},
            {"heard-from_lpm = [1, 6]\n", 2, 18, "heard-from_lpm has 2 entries", "three numbers"},
            {"heard-from_lpm = [1, \"6\", 25]\n", 2, 22, "heard-from_lpm is a text", "without quotes"},
            {"heard-from_lpm = 6\n", 2, 18, "heard-from_lpm is a whole number", "a list of three numbers"},
            {"name = \"two\\nlines\"\n", 2, 8, "line break", "one line"},
            {"name = 3\n", 2, 8, "a whole number", "a text in quotes"},
            {"temperature_c = [20]\n", 2, 17, "temperature_c is a list", "a number"},
        },
        Severity::error);
}

TEST_CASE("an unknown key is a warning with the nearest one, and the rest is used") {
    check_each_bench(
        {
            {"temprature_c = 30\n", 2, 1, "a bench has no key \"temprature_c\"", "temperature_c?"},
            {"pressure = 30\n", 2, 1, "a bench has no key \"pressure\"", "pressure_psi?"},
            {"pressure_pis = 30\n", 2, 1, "a bench has no key \"pressure_pis\"", "pressure_psi?"},
            {"zzzz = 30\n", 2, 1, "a bench has no key \"zzzz\"", "passed over"},
            {"[bnech]\nx = 1\n", 2, 2, "nothing called \"bnech\"", "[bench]?"},
            {"[[circuit]]\nid = \"a\"\n", 2, 3, "nothing called \"circuit\"", "[bench] only"},
        },
        Severity::warning);
    const auto result = read_bench_text("[bench]\naltitude_m = 300\nzzzz = 1\n", "b.toml");
    REQUIRE(result.bench.has_value());
    CHECK(result.bench->altitude_m == 300);
}

TEST_CASE("what is no bench file is said in one sentence that speaks of a bench") {
    const auto refusal = [](const std::string& text) {
        const auto result = read_bench_text(text, "b.toml");
        CHECK_FALSE(result.bench.has_value());
        REQUIRE_FALSE(result.faults.empty());
        return to_string(result.faults.front());
    };
    CHECK(refusal("") == "b.toml:0:0: the file is empty: begin with [bench]");
    CHECK(refusal("# nothing\n") == "b.toml:1:1: the file has no [bench]: [bench] with at least one figure under it");
    CHECK(refusal("bench = 3\n") == "b.toml:1:9: bench is a whole number: one table [bench]");
    CHECK(refusal("[[bench]]\n") == "b.toml:1:1: bench is a list: one table [bench]");
    CHECK(holds(refusal("[bench]\nname = \"x\n"), "b.toml:2:"));
    CHECK(holds(refusal(std::string("a\0b", 3)), "a bench is a TOML text file"));
    CHECK(holds(refusal("x = " + std::string(1000, '[')), "a bench needs three at most"));
    CHECK(holds(refusal(std::string(70'000, '#')), "a bench has 65536 at most"));
    CHECK(holds(to_string(read_bench("/no/such/bench.toml").faults.at(0)), "there is no such file"));
    CHECK(holds(to_string(read_bench("/").faults.at(0)), "name a bench file in it"));
    CHECK(holds(to_string(read_bench("/dev/zero").faults.at(0)), "cannot be read as a file"));
}

TEST_CASE("400 random benches read back equal") {
    RandomMap random(2026);
    for (int round = 0; round < 400; ++round) {
        const AirBench bench = random_bench(random);
        const std::string text = write_bench_text(bench);
        CAPTURE(text);
        const auto again = read_bench_text(text, "written");
        REQUIRE_MESSAGE(again.faults.empty(), all_of(again.faults));
        REQUIRE(*again.bench == bench);
    }
}

TEST_CASE("a written bench says what each figure is") {
    const std::string text = write_bench_text(AirBench{});
    for (const char* line : {"# Above the sea, m", "pressure_psi = 35\n", "heard-from_lpm = [0.4, 6, 25]\n"})
        CHECK_MESSAGE(holds(text, line), text);
    std::size_t comments = 0, figures = 0;
    for (std::size_t at = 0; at < text.size(); at = text.find('\n', at) + 1) {
        if (text[at] == '#') ++comments;
        if (text.find(" = ", at) < text.find('\n', at)) ++figures;
    }
    CHECK(figures == 7);
    CHECK(comments == figures + 1); // one for the file
}

TEST_CASE("3000 damaged bench files neither crash the reader nor pass without a bench or an error") {
    RandomMap random(7);
    std::size_t read = 0, refused = 0;
    for (int round = 0; round < 3000; ++round) {
        std::string text = write_bench_text(random_bench(random));
        for (int edits = random.number(1, 5); edits > 0 && !text.empty(); --edits) {
            const auto at = static_cast<std::size_t>(random.number(0, static_cast<int>(text.size()) - 1));
            const auto length = static_cast<std::size_t>(random.number(1, 20));
            switch (random.number(0, 4)) {
            case 0:
                text[at] = static_cast<char>(random.number(0, 255));
                break;
            case 1:
                text.erase(at, length);
                break;
            case 2:
                text.insert(at, text.substr(static_cast<std::size_t>(random.number(0, static_cast<int>(at))), length));
                break;
            case 3:
                text[at] = "[]{}=\"'\\#|.,-_0123456789\n"[random.number(0, 24)];
                break;
            default:
                text.resize(at);
                break;
            }
        }
        CAPTURE(text);
        const auto result = read_bench_text(text, "damaged");
        REQUIRE(result.bench.has_value() != has_error(result.faults));
        if (!result.bench) {
            ++refused;
            continue;
        }
        ++read;
        const AirBench& bench = *result.bench;
        REQUIRE(bench.hose_conductance > 0);
        REQUIRE(bench.pressure.si() > 0);
        REQUIRE(bench.heard_from_lpm[0] > 0);
        REQUIRE(bench.heard_from_lpm[0] < bench.heard_from_lpm[1]);
        REQUIRE(bench.heard_from_lpm[1] < bench.heard_from_lpm[2]);
        const auto again = read_bench_text(write_bench_text(bench), "again");
        REQUIRE_MESSAGE(again.bench.has_value(), all_of(again.faults));
        REQUIRE(*again.bench == bench);
    }
    // Both sides of the reader were tried.
    CHECK(read > 300);
    CHECK(refused > 300);
}

TEST_CASE("the demo bench is good, and is told from a map") {
    const std::string folder = RINGLAND_SOURCE_DIR "/assets-demo/";
    const auto result = read_bench(folder + "bench-example.toml");
    REQUIRE_MESSAGE(result.faults.empty(), all_of(result.faults));
    CHECK(holds(result.bench->note, "Invented"));
    CHECK(holds_bench(folder + "bench-example.toml"));
    CHECK_FALSE(holds_bench(folder + "larch-five.toml"));
    CHECK_FALSE(holds_bench(folder + "no-such-file.toml"));
}
