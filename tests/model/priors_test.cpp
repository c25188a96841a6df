// The priors file: what is read, what is refused and where, that what is written reads back, and that the page of
// defaults is that of the program.
#include <doctest/doctest.h>

#include <cmath>
#include <fstream>
#include <numeric>
#include <sstream>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "../../model-data/priors.h"
#include "faults_said.h"
#include "random_map.h"

using namespace ringland::model;
using namespace ringland::tests;

namespace {

const KindPrior& of(const Priors& priors, SealKind kind) { return priors.kind[static_cast<std::size_t>(kind)]; }

/// Each case makes exactly this one fault.
void check_each_priors(const std::vector<FaultCase>& cases, Severity severity) {
    for (const auto& expected : cases) {
        const auto result = read_priors_text(expected.text, "p.toml");
        check_single_fault(result.faults, "p.toml", expected, severity);
        CHECK(result.priors.has_value() == (severity == Severity::warning));
    }
}

/// Priors with every figure in bounds and many digits in each.
Priors random_priors(RandomMap& random) {
    Priors p;
    if (random.chance(50)) p.note = "Bay two\nwith \"quotes\"";
    for (auto* chance : {&p.plate_fails, &p.hose_fails, &p.unmapped})
        *chance = random.figure(0, 0.9);
    for (auto* chance : {&p.misheard, &p.look_misses, &p.look_alarms})
        *chance = random.figure(0, 0.5);
    for (auto* spread : {&p.size_spread, &p.flow_error, &p.sound_error, &p.time_error})
        *spread = random.figure(0.001, 3);
    p.size_median_mm = random.figure(0.1, 20);
    p.gauge_error = random.figure(0.001, 0.5);
    p.gauge_least_psi = random.figure(0.001, 20);
    for (auto* minutes : {&p.minutes_reading, &p.minutes_plug, &p.minutes_gauge, &p.minutes_wet, &p.minutes_turn,
                          &p.minutes_push, &p.minutes_resnug, &p.minutes_rig})
        *minutes = random.figure(0.01, 1000);
    p.enough = random.figure(0.5, 0.9999);
    for (auto& kind : p.kind) {
        kind.fails = random.chance(10) ? 0 : random.figure(0, 0.5);
        kind.mechanism.fill(0);
        // What is left goes to the last one, so that the sum is 1 but for the last digit.
        double left = 1;
        for (std::size_t m = 0; m + 1 < mechanism_count; ++m) {
            if (random.chance(50)) continue;
            kind.mechanism[m] = random.figure(0, left);
            left -= kind.mechanism[m];
        }
        kind.mechanism.back() = left;
    }
    return p;
}

} // namespace

TEST_CASE("an empty [priors] gives the defaults, and the shares of each kind of seal add up to 1") {
    const auto result = read_priors_text("[priors]\n", "p.toml");
    REQUIRE_MESSAGE(result.faults.empty(), all_of(result.faults));
    CHECK(*result.priors == Priors{});
    const Priors defaults;
    for (const auto& kind : defaults.kind) {
        const auto& shares = kind.mechanism;
        CHECK(std::accumulate(shares.begin(), shares.end(), 0.0) == doctest::Approx(1).epsilon(1e-12));
    }
}

TEST_CASE("what a priors file says is taken, and the rest keeps its default") {
    const auto result = read_priors_text("[priors]\n"
                                         "note = \"ours\"\n"
                                         "plate-fails = 0.1\n"
                                         "size-median_mm = 0.9\n"
                                         "gauge-least_psi = 1\n"
                                         "minutes-resnug = 7.5\n"
                                         "enough = 0.9\n"
                                         "[kind.check-ball]\n"
                                         "fails = 0\n"
                                         "[kind.ring]\n"
                                         "groove-wall = 0.25\n"
                                         "joint = 0.75\n",
                                         "p.toml");
    REQUIRE_MESSAGE(result.faults.empty(), all_of(result.faults));
    Priors expected;
    expected.note = "ours";
    expected.plate_fails = 0.1;
    expected.size_median_mm = 0.9;
    expected.gauge_least_psi = 1;
    expected.minutes_resnug = 7.5;
    expected.enough = 0.9;
    expected.kind[static_cast<std::size_t>(SealKind::check_ball)].fails = 0;
    // One share given: those that are left out are none.
    expected.kind[static_cast<std::size_t>(SealKind::ring)].mechanism = {0, 0, 0.75, 0.25, 0, 0};
    CHECK(*result.priors == expected);
}

TEST_CASE("shares that were rounded are made to add up to 1") {
    const auto result = read_priors_text("[kind.tube]\nhole = 0.333\njoint = 0.333\njoint-face = 0.333\n", "p.toml");
    REQUIRE_MESSAGE(result.faults.empty(), all_of(result.faults));
    const auto& shares = of(*result.priors, SealKind::tube).mechanism;
    CHECK(std::accumulate(shares.begin(), shares.end(), 0.0) == doctest::Approx(1).epsilon(1e-14));
    CHECK(shares[0] == doctest::Approx(1.0 / 3).epsilon(1e-14));
}

TEST_CASE("a figure that cannot be is an error at its place") {
    std::vector<FaultCase> cases{
        {"[kind.ring]\nhole = 0.5\njoint = 0.3\n", 1, 1, "the shares of ring add up to 0.8", "1: hole, one-way-lip"},
        {"[kind.lip]\nhole = 1\none-way-lip = 0.4\n", 1, 1, "the shares of lip add up to 1.4", "together"},
        {"[kind.lip]\nhole = 0.985\n", 1, 1, "add up to 0.985", "1:"},
        {"[kind.lip]\nhole = 1.1\n", 2, 8, "hole is 1.1", "1 at most"},
        {"[kind.lip]\nhole = -0.1\none-way-lip = 1\n", 2, 8, "hole is -0.1", "not less than 0"},
        {"[kind.lip]\nhole = nan\n", 2, 8, "hole is not a figure", "plain"},
        {"[kind.lip]\nhole = \"all\"\n", 2, 8, "hole is a text", "without quotes"},
        {"[kind.lip]\nfails = 0.51\n", 2, 9, "fails is 0.51", "0.5 at most"},
        {"[kind.lip]\nfails = -0.1\n", 2, 9, "fails is -0.1", "not less than 0"},
        {"[kind]\nlip = 3\n", 2, 7, "kind.lip is a whole number", "[kind.lip]"},
        {"[priors]\nnote = \"a\\u0000\"\n", 2, 8, "control character", "plain text"},
        {"[priors]\nenough = 0.49\n", 2, 10, "enough is 0.49", "not less than 0.5"},
        {"[priors]\nenough = 1\n", 2, 10, "enough is 1", "0.9999 at most"},
        {"[priors]\nsize-median_mm = 0\n", 2, 18, "size-median_mm is 0", "more than 0"},
        {"[priors]\nsize-median_mm = 21\n", 2, 18, "size-median_mm is 21", "20 at most"},
        {"[priors]\ngauge-error = 0\n", 2, 15, "gauge-error is 0", "more than 0"},
        {"[priors]\ngauge-error = 4\n", 2, 15, "gauge-error is 4", "0.5 at most"},
        {"[priors]\ngauge-least_psi = 0\n", 2, 19, "gauge-least_psi is 0", "more than 0"},
        {"[priors]\ngauge-least_psi = 21\n", 2, 19, "gauge-least_psi is 21", "20 at most"},
    };
    for (const std::string key : {"plate-fails", "hose-fails", "unmapped"}) {
        cases.push_back({"[priors]\n" + key + " = -0.1\n", 2, static_cast<int>(key.size()) + 4, key + " is -0.1",
                         "not less than 0"});
        cases.push_back(
            {"[priors]\n" + key + " = 1\n", 2, static_cast<int>(key.size()) + 4, key + " is 1", "0.9 at most"});
    }
    for (const std::string key : {"misheard", "look-misses", "look-alarms"}) {
        cases.push_back({"[priors]\n" + key + " = -0.1\n", 2, static_cast<int>(key.size()) + 4, key + " is -0.1",
                         "not less than 0"});
        cases.push_back(
            {"[priors]\n" + key + " = 5\n", 2, static_cast<int>(key.size()) + 4, key + " is 5", "0.5 at most"});
    }
    for (const std::string key : {"size-spread", "flow-error", "sound-error", "time-error"}) {
        cases.push_back(
            {"[priors]\n" + key + " = 0\n", 2, static_cast<int>(key.size()) + 4, key + " is 0", "more than 0"});
        cases.push_back(
            {"[priors]\n" + key + " = 30\n", 2, static_cast<int>(key.size()) + 4, key + " is 30", "3 at most"});
    }
    for (const std::string what : {"reading", "plug", "gauge", "wet", "turn", "push", "resnug", "rig"}) {
        const std::string key = "minutes-" + what;
        cases.push_back(
            {"[priors]\n" + key + " = 0\n", 2, static_cast<int>(key.size()) + 4, key + " is 0", "more than 0"});
        cases.push_back(
            {"[priors]\n" + key + " = inf\n", 2, static_cast<int>(key.size()) + 4, key + " is not a figure", "plain"});
        cases.push_back(
            {"[priors]\n" + key + " = 1001\n", 2, static_cast<int>(key.size()) + 4, key + " is 1001", "1000 at most"});
    }
    check_each_priors(cases, Severity::error);
}

TEST_CASE("an unknown key, kind or table is a warning with the nearest one") {
    check_each_priors(
        {
            {"[priors]\nplate-fail = 0.1\n", 2, 1, "a [priors] has no key \"plate-fail\"", "plate-fails?"},
            {"[priors]\nzzzz = 0.1\n", 2, 1, "has no key \"zzzz\"", "list of priors"},
            {"[kind.rings]\nfails = 0.1\n", 1, 7, "no kind of seal \"rings\"", "[kind.ring]?"},
            {"[kind.zzzzzzzz]\nfails = 0.1\n", 1, 7, "no kind of seal \"zzzzzzzz\"", "one of ring, lip"},
            {"[kind.ring]\nfail = 0.1\n", 2, 1, "a kind of seal has no key \"fail\"", "fails?"},
            {"[priors]\n[prior]\nx = 1\n", 2, 2, "nothing called \"prior\"", "[priors]?"},
            {"[priors]\n[kinds.ring]\nx = 1\n", 2, 2, "nothing called \"kinds\"", "[kind.ring]?"},
            {"[priors]\n[unit]\nname = \"x\"\n", 2, 2, "nothing called \"unit\"", "it has [priors]"},
        },
        Severity::warning);
}

TEST_CASE("what is no priors file is said in one sentence that speaks of priors") {
    const auto refusal = [](const std::string& text) {
        const auto result = read_priors_text(text, "p.toml");
        CHECK_FALSE(result.priors.has_value());
        for (const auto& fault : result.faults) {
            if (fault.severity == Severity::error) return to_string(fault);
        }
        return std::string("no error");
    };
    CHECK(refusal("") == "p.toml:0:0: the file is empty: begin with [priors]");
    CHECK(refusal("# nothing\n") == "p.toml:1:1: the file has no [priors]: [priors] with at least one figure under it");
    CHECK(holds(refusal("[unit]\nname = \"x\"\n"), "p.toml:1:1: the file has no [priors]"));
    CHECK(refusal("priors = 3\n") == "p.toml:1:10: priors is a whole number: one table [priors]");
    CHECK(refusal("[[kind]]\nfails = 0\n") == "p.toml:1:1: kind is a list: tables as [kind.ring]");
    CHECK(holds(refusal("x = " + std::string(1000, '[')), "a priors file needs three at most"));
    CHECK(holds(refusal(std::string(70'000, '#')), "a priors file has 65536 at most"));
    CHECK(holds(to_string(read_priors("/no/such/file.toml").faults.at(0)), "there is no such file"));
    CHECK(holds(to_string(read_priors("/").faults.at(0)), "name a priors file in it"));
    CHECK(holds(to_string(read_priors("/dev/zero").faults.at(0)), "cannot be read as a file"));
}

TEST_CASE("300 random priors read back equal") {
    RandomMap random(2028);
    for (int round = 0; round < 300; ++round) {
        const Priors priors = random_priors(random);
        const std::string text = write_priors_text(priors);
        CAPTURE(text);
        const auto again = read_priors_text(text, "written");
        REQUIRE_MESSAGE(again.faults.empty(), all_of(again.faults));
        REQUIRE(*again.priors == priors);
    }
}

TEST_CASE("3000 damaged priors files neither crash the reader nor pass without priors or an error") {
    RandomMap random(9);
    std::size_t read = 0, refused = 0;
    for (int round = 0; round < 3000; ++round) {
        std::string text = write_priors_text(random_priors(random));
        for (int edits = random.number(1, 5); edits > 0 && !text.empty(); --edits) {
            const auto at = static_cast<std::size_t>(random.number(0, static_cast<int>(text.size()) - 1));
            const auto length = static_cast<std::size_t>(random.number(1, 20));
            switch (random.number(0, 3)) {
            case 0:
                text[at] = static_cast<char>(random.number(0, 255));
                break;
            case 1:
                text.erase(at, length);
                break;
            case 2:
                text.insert(at, text.substr(static_cast<std::size_t>(random.number(0, static_cast<int>(at))), length));
                break;
            default:
                text[at] = "[]{}=\"'\\#|.,-_0123456789\n"[random.number(0, 24)];
                break;
            }
        }
        CAPTURE(text);
        const auto result = read_priors_text(text, "damaged");
        REQUIRE(result.priors.has_value() != has_error(result.faults));
        if (!result.priors) {
            ++refused;
            continue;
        }
        ++read;
        const Priors& priors = *result.priors;
        REQUIRE(priors.minutes_reading > 0);
        REQUIRE(priors.enough < 1);
        REQUIRE(priors.flow_error > 0);
        for (const auto& kind : priors.kind) {
            const double sum = std::accumulate(kind.mechanism.begin(), kind.mechanism.end(), 0.0);
            REQUIRE(std::abs(sum - 1) < 1e-8);
        }
        const auto again = read_priors_text(write_priors_text(priors), "again");
        REQUIRE_MESSAGE(again.priors.has_value(), all_of(again.faults));
        REQUIRE(*again.priors == priors);
    }
    // Both sides of the reader were tried.
    CHECK(read > 300);
    CHECK(refused > 300);
}

TEST_CASE("docs/priors.toml holds the defaults of the program, a comment on each figure, and is told from a map") {
    const std::string page = RINGLAND_SOURCE_DIR "/docs/priors.toml", made = RINGLAND_BINARY_DIR "/priors.toml";
    std::ifstream in(page, std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    const std::string defaults = write_priors_text(Priors{});
    const bool same = text.str() == defaults;
    if (!same) std::ofstream(made, std::ios::binary) << defaults;
    CHECK_MESSAGE(same, "the defaults have changed: copy " << made << " to docs/priors.toml");
    CHECK(holds(defaults, "common\n# practice, no source"));
    std::istringstream lines(defaults);
    std::string line, before;
    std::size_t figures = 0;
    while (std::getline(lines, line)) {
        if (holds(line, " = ")) {
            CHECK_MESSAGE(before.rfind("# ", 0) == 0, line);
            ++figures;
        }
        before = line;
    }
    CHECK(figures > 40);
    const auto read = read_priors(page);
    REQUIRE_MESSAGE(read.faults.empty(), all_of(read.faults));
    CHECK(*read.priors == Priors{});
    CHECK(holds_priors(page));
    CHECK_FALSE(holds_priors(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml"));
    CHECK_FALSE(holds_priors(RINGLAND_SOURCE_DIR "/assets-demo/bench-example.toml"));
    CHECK_FALSE(holds_priors(RINGLAND_SOURCE_DIR "/no-such-file.toml"));
}
