// weigh by the program itself: its figures hold together, following its advice finds the ring, and readings that cannot
// be are refused.
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

constexpr const char* shaft_part_map = R"(
[unit]
name = "Bench three"
[[part]]
id = "shaft-part"
name = "Input shaft"
kind = "shaft"
minutes = 20
renew = ["R1", "R2", "R3", "R4"]
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
)";

/// Words heard at some ports with air into one of them.
std::string reading(const std::string& into, const std::vector<std::pair<std::string, std::string>>& heard,
                    const std::string& more = "") {
    std::string text = fmt::format("[[reading]]\ninto = \"{}\"\n{}", into, more);
    for (const auto& at : heard)
        text += fmt::format("[[reading.seen]]\nat = \"{}\"\nword = \"{}\"\n", at.first, at.second);
    return text;
}

/// What the program's own air computation shows at every port, as a reading; `fault` as in "--seal R3 --hole 2mm".
std::string blown(const Bench& bench, const std::string& map, const std::string& into, const std::string& fault,
                  const std::string& more = "") {
    const json row = answer(bench, fmt::format("expect {} --into {} {}", map, into, fault)).at("rows").at(0);
    std::vector<std::pair<std::string, std::string>> heard{{"case", row["case"]["word"]}};
    for (const auto& at : row["at"]) {
        if (!at["same_circuit"].get<bool>()) heard.emplace_back(at["port"], at["word"]);
    }
    return reading(into, heard, more);
}

/// What a gauge on one port reads, as a reading.
std::string gauged(const Bench& bench, const std::string& map, const std::string& into, const std::string& at,
                   const std::string& fault) {
    const json ports = answer(bench, fmt::format("air {} --into {} --plug {} {}", map, into, at, fault)).at("ports");
    for (const auto& port : ports) {
        if (port["port"] == at)
            return fmt::format("[[reading]]\ninto = \"{}\"\n[[reading.seen]]\nat = \"{}\"\npressure_psi = {:.2f}\n",
                               into, at, port["gauge_psi"].get<double>());
    }
    FAIL(fmt::format("no port {}", at));
    return {};
}

/// The first advised step as its own air computation answers it, for a plain hole in a seal; empty where no step can be
/// written into a readings file.
std::string follow(const Bench& bench, const std::string& map, const json& next, const std::string& seal,
                   const std::string& fault) {
    for (const auto& step : next) {
        const std::string kind = step["kind"], into = step["into"];
        if (kind == "listen") return blown(bench, map, into, fault);
        if (kind == "gauge") return gauged(bench, map, into, step.at("watch").at(0), fault);
        if (kind == "wet") return blown(bench, map, into, fault, "wet = true\n");
        if (kind == "turn") return blown(bench, map, into, fault, "shaft_turned_deg = 90\n");
        if (kind == "push") return blown(bench, map, into, fault, "pushed = \"in\"\n");
        if (kind == "resnug") return blown(bench, map, into, fault, "plate_resnugged = true\n");
        if (kind == "look")
            return fmt::format("[[look]]\nseal = \"{}\"\nfound = \"{}\"\n", step["seal"].get<std::string>(),
                               step["seal"] == seal ? "damaged" : "sound");
    }
    return {};
}

double sum_of_all(const json& weighed) {
    double sum =
        weighed["nothing_wrong"].get<double>() + weighed["rig"].get<double>() + weighed["unexplained"].get<double>();
    for (const auto& suspect : weighed["suspects"])
        sum += suspect["probability"].get<double>();
    return sum;
}

bool is_chance(const json& figure) { return figure.is_number() && figure >= 0 && figure <= 1 + 1e-9; }

void check_suspect(const json& suspect) {
    CAPTURE(suspect.dump());
    CHECK(is_chance(suspect["probability"]));
    CHECK(suspect["probability"] >= 0.001);
    REQUIRE((suspect["seals"].size() == 1 || suspect["seals"].size() == 2));
    CHECK(suspect["hole_mm_low"] <= suspect["hole_mm"]);
    CHECK(suspect["hole_mm"] <= suspect["hole_mm_high"]);
    CHECK(suspect["hole_mm_low"] >= 0.3 - 1e-9);
    CHECK(suspect["hole_mm_high"] <= 5 + 1e-9);
    CHECK(suspect["second_hole_mm"].is_number() == (suspect["seals"].size() == 2));
    CHECK(suspect["for"].is_array());
    CHECK(suspect["against"].is_array());
    double shares = 0;
    for (const auto& share : suspect["mechanism"])
        shares += share.get<double>();
    CHECK(shares == doctest::Approx(suspect["seals"].size() == 1 ? 1 : 0));
    REQUIRE(suspect["places"].size() == suspect["seals"].size());
    for (std::size_t i = 0; i < suspect["seals"].size(); ++i) {
        const json& place = suspect["places"][i];
        CHECK(place["id"] == suspect["seals"][i]);
        CHECK(place["name"].is_string());
        CHECK(place.contains("stack") == (place["relation"] == "stack"));
        if (place.contains("stack"))
            CHECK(place["nth_from_first_end"].get<int>() + place["nth_from_second_end"].get<int>() ==
                  place["seals_in_stack"].get<int>() + 1);
    }
}

} // namespace

TEST_CASE("weigh as JSON has the documented fields, and its figures hold together") {
    const Bench bench;
    for (const char* readings :
         {"assets-demo/larch-five-readings.toml", "assets-demo/larch-five-two-faults.toml", ""}) {
        CAPTURE(readings);
        const json weighed = answer(bench, fmt::format("weigh {} {}", larch, readings));
        CHECK(weighed["unit"] == "Larch Five");
        CHECK(weighed["invented"] == true);
        CHECK(weighed["converged"] == true);
        CHECK(is_chance(weighed["nothing_wrong"]));
        CHECK(is_chance(weighed["rig"]));
        CHECK(is_chance(weighed["unexplained"]));
        // What is below one in a thousand is not listed, so a little may be missing and never more than all there is.
        CHECK(sum_of_all(weighed) <= 1 + 1e-9);
        CHECK(sum_of_all(weighed) > 0.6);
        double before = 1;
        for (const auto& suspect : weighed["suspects"]) {
            check_suspect(suspect);
            CHECK(suspect["probability"] <= before);
            before = suspect["probability"];
            // At fault alone is part of at fault at all.
            for (const auto& id : suspect["seals"])
                CHECK(weighed["seal_probability"][id.get<std::string>()] >= before - 1e-12);
        }
        CHECK(weighed["seal_probability"].size() == 37);
        before = 2;
        for (const auto& group : weighed["groups"]) {
            CHECK(is_chance(group["probability"]));
            CHECK(group["probability"] <= before);
            before = group["probability"];
            CHECK_FALSE(group["seals"].empty());
            CHECK(group["minutes"] >= 0);
            CHECK(group["minutes_complete"].is_boolean());
            CHECK(group["words"] != "");
            CHECK(group["parts"].is_array());
        }
        for (const auto& group : weighed["look_alikes"])
            CHECK(group.size() >= 2);
        double best = 1e9;
        REQUIRE_FALSE(weighed["next"].empty());
        for (const auto& step : weighed["next"]) {
            CAPTURE(step.dump());
            CHECK(step["bits"] > 0);
            CHECK(step["bits"] <= weighed["entropy_bits"].get<double>() + 1e-9);
            CHECK(step["minutes"] > 0);
            const double worth = step["bits"].get<double>() / step["minutes"].get<double>();
            CHECK(worth <= best);
            best = worth;
            CHECK(step["plugged"].is_array());
            CHECK(step["watch"].is_array());
            CHECK(step["words"] != "");
            CHECK(step["pressure_psi"].is_number() == (step["into"] != ""));
            CHECK((step["seal"] != "") == (step["kind"] == "look"));
        }
        CHECK((weighed["stop"] == "go on" || weighed["stop"] == "enough" || weighed["stop"] == "no more"));
        CHECK(weighed["stop_words"] != "");
        CHECK(weighed["enough_at"] == 0.95);
        CHECK(weighed["bench"]["file"] == "");
        CHECK(weighed["priors"]["file"] == "");
        CHECK(weighed["defaults"]["seals"]["all"] == 37);
        CHECK(weighed["contradiction"].is_string());
        CHECK(weighed.contains("worst_fit"));
    }
}

TEST_CASE("weigh says in words what it says as JSON") {
    const Bench bench;
    const std::string call = "weigh " + larch + " assets-demo/larch-five-readings.toml";
    const json weighed = answer(bench, call);
    const Ran ran = bench.run(call, no_shop);
    CHECK(ran.exit == 0);
    CHECK(ran.err == "");
    CHECK(weighed["readings"] == 4);
    CHECK(has(ran.out, "Larch Five (an invented unit)\n4 readings.\n"));
    const json& first = weighed.at("suspects").at(0);
    REQUIRE(first["seals"] == json{"R3"});
    CHECK(has(ran.out, fmt::format("{:.0f} %  #", 100 * first["probability"].get<double>())));
    CHECK(has(ran.out, "R3: Ring 3 of 5 on the input shaft\n"));
    CHECK(has(ran.out, "where    3rd from the pump end · 3rd from the drum end\n"));
    CHECK(has(ran.out, fmt::format("as large as a hole of {:.3g} mm ({:.3f} in)", first["hole_mm"].get<double>(),
                                   first["hole_mm"].get<double>() / 25.4)));
    REQUIRE_FALSE(first["for"].empty());
    // As lines are broken in the text, a reason is looked for by its beginning.
    CHECK(has(ran.out, "for      " + first.at("for").at(0).get<std::string>().substr(0, 40)));
    REQUIRE_FALSE(weighed["look_alikes"].empty());
    CHECK(has(ran.out, "\n  R3, O1\n"));
    const json& pull = weighed.at("groups").at(0);
    CHECK(pull["parts"] == json{"test-plate", "pump", "front-drum", "input-shaft"});
    CHECK(has(ran.out, "Input shaft; before it: Test plate, Pump, Front drum"));
    CHECK(has(ran.out, fmt::format("{:g} min; comes out with it: R1, R2, R3, R4, R5", pull["minutes"].get<double>())));
    CHECK(has(ran.out, "1. " + weighed.at("next").at(0)["words"].get<std::string>().substr(0, 40)));
    CHECK(has(ran.out, weighed["stop_words"].get<std::string>().substr(0, 30)));
    CHECK(has(ran.out, "nothing is wrong"));
    CHECK(has(ran.out, "the rig: plate, its gasket, hose"));
    CHECK(has(ran.out, "defaults, common practice, no source."));
    CHECK(has(ran.out, "Caution: regulated air"));
    CHECK(has(ran.out, "29 CFR 1910.242(b)"));
}

TEST_CASE("weigh: following the advice finds the part to pull, and stops there") {
    const Bench bench;
    for (const char* seal : {"R3", "R8", "S1"}) {
        CAPTURE(seal);
        const std::string fault = fmt::format("--seal {} --hole 2mm", seal);
        std::string readings;
        json weighed = answer(bench, "weigh " + larch);
        std::size_t made = 0;
        constexpr std::size_t most = 16;
        for (; weighed["stop"] == "go on" && made < most; ++made) {
            const std::string more = follow(bench, larch, weighed["next"], seal, fault);
            if (more.empty()) break;
            readings += more;
            weighed = answer(bench, fmt::format("weigh {} {}", larch, bench.write("now.toml", readings)));
        }
        CAPTURE(readings);
        CHECK(weighed["stop"] != "go on");
        CHECK(made < most);
        const json& seals = weighed.at("groups").at(0)["seals"];
        const auto alike = [&] {
            // Pulled right is also a look-alike of the true one: no reading tells them apart.
            for (const auto& group : weighed["look_alikes"]) {
                if (std::find(group.begin(), group.end(), seal) == group.end()) continue;
                for (const auto& id : group) {
                    if (std::find(seals.begin(), seals.end(), id) != seals.end()) return true;
                }
            }
            return false;
        };
        CHECK((std::find(seals.begin(), seals.end(), seal) != seals.end() || alike()));
        CHECK(weighed["unexplained"] < 0.1);
        if (weighed["stop"] == "enough") CHECK(weighed.at("groups").at(0)["probability"] >= 0.95);
    }
}

TEST_CASE("weigh: a unit that shows at every port what a good one shows is called good") {
    const Bench bench;
    const std::string map = bench.write("three.toml", shaft_part_map);
    std::string readings;
    for (const char* port : {"P1", "P2", "P3"})
        readings += blown(bench, map, port, "");
    bench.write("good.toml", readings);
    const json before = answer(bench, "weigh three.toml"), after = answer(bench, "weigh three.toml good.toml");
    CHECK(after["nothing_wrong"] > before["nothing_wrong"].get<double>());
    CHECK(after["nothing_wrong"] > 0.8);
    CHECK(after["contradiction"] == "");
    // And the same unit with a hole is not.
    std::string holed;
    for (const char* port : {"P1", "P2", "P3"})
        holed += blown(bench, map, port, "--seal R2 --hole 2mm");
    // The gasket of the plate between the same two ports is the other suspect, until the bolts are snugged anew.
    bench.write("rig.toml", holed);
    CHECK(answer(bench, "weigh three.toml rig.toml")["rig"] > 0.1);
    holed += blown(bench, map, "P1", "--seal R2 --hole 2mm", "plate_resnugged = true\n");
    bench.write("holed.toml", holed);
    const json bad = answer(bench, "weigh three.toml holed.toml");
    CHECK(bad["nothing_wrong"] < 0.01);
    CHECK(bad.at("suspects").at(0).at("seals").at(0) == "R2");
    CHECK(bad["seal_probability"]["R2"] > 0.9);
    CHECK(bad["stop"] == "enough");
    CHECK(bad.at("groups").at(0)["parts"] == json{"shaft-part"});
    const Ran text = bench.run("weigh three.toml holed.toml", no_shop);
    CHECK(has(text.out, "Enough: "));
    CHECK(has(text.out, "Enough to pull the first of these"));
    CHECK(has(text.out, "20 min; comes out with it: R1, R2, R3, R4"));
    CHECK_FALSE(has(text.out, "Next, what tells most"));
}

TEST_CASE("weigh without readings says what is likely beforehand and what to blow first") {
    const Bench bench;
    const Ran ran = bench.run("weigh " + larch, no_shop);
    CHECK(ran.exit == 0);
    CHECK(ran.err == "");
    CHECK(has(ran.out, "Nothing was blown yet."));
    CHECK(has(ran.out, "Blow first, what tells most about the part to pull first for its minutes:\n  1. Air into P"));
    CHECK(has(ran.out, "Go on: nothing was blown or looked at yet."));
    CHECK_FALSE(has(ran.out, "To pull"));
    const json weighed = answer(bench, "weigh " + larch);
    CHECK(weighed["readings"] == 0);
    CHECK(weighed["stop"] == "go on");
    CHECK(weighed["contradiction"] == "");
    for (const auto& suspect : weighed["suspects"]) {
        CHECK(suspect["for"].empty());
        CHECK(suspect["against"].empty());
    }
    // The map weighs R3 half as much again as its neighbours.
    CHECK(weighed["seal_probability"]["R3"] > weighed["seal_probability"]["R2"].get<double>());
}

TEST_CASE("weigh: readings that contradict each other are said to, with the one that fits worst") {
    const Bench bench;
    bench.write("torn.toml", reading("P3", {{"P4", "strong"}}) + reading("P3", {{"P4", "nothing"}}));
    const Ran ran = bench.run("weigh " + larch + " torn.toml", no_shop);
    CHECK(ran.exit == 0);
    CHECK(ran.err == "");
    CHECK(has(ran.out, " fits worst: air into P3, "));
    const json torn = answer(bench, "weigh " + larch + " torn.toml");
    REQUIRE(torn["worst_fit"].is_object());
    CHECK((torn["worst_fit"]["reading"] == 1 || torn["worst_fit"]["reading"] == 2));
    CHECK(torn["worst_fit"]["seen"] == 1);
    CHECK(torn["worst_fit"]["surprise_bits"] > 0);
    CHECK(torn["contradiction"] != "");
    // The same reading twice is none.
    bench.write("agree.toml", reading("P3", {{"P4", "strong"}}) + reading("P3", {{"P4", "strong"}}));
    const json agree = answer(bench, "weigh " + larch + " agree.toml");
    CHECK(agree["contradiction"] == "");
    CHECK(agree["worst_fit"].is_null());
}

TEST_CASE("weigh speaks in the units in which the readings were written") {
    const Bench bench;
    bench.write("bar.toml", reading("P3", {{"P4", "strong"}}, "pressure_bar = 2.4\n"));
    bench.write("psi.toml", reading("P3", {{"P4", "strong"}}, "pressure_psi = 35\n"));
    const std::string in_bar = answer(bench, "weigh " + larch + " bar.toml").at("suspects").at(0).at("for").at(0);
    const std::string in_psi = answer(bench, "weigh " + larch + " psi.toml").at("suspects").at(0).at("for").at(0);
    CHECK(has(in_bar, " mm in "));
    CHECK(has(in_psi, " in in "));
}

TEST_CASE("weigh: a priors file counts, and one that is wrong is never passed over") {
    const Bench bench;
    bench.write("one.toml", reading("P3", {{"P4", "strong"}}));
    bench.write("lips.toml", "[kind.ring]\nfails = 0.001\n[kind.lip]\nfails = 0.2\n");
    const std::string call = "weigh " + larch + " one.toml";
    const json usual = answer(bench, call), lips = answer(bench, call + " --priors lips.toml");
    CHECK(usual.at("suspects").at(0)["seals"] == json{"R3"});
    CHECK(lips.at("suspects").at(0).at("seals").at(0) == "L1");
    CHECK(lips["priors"]["file"] == "lips.toml");
    CHECK(has(bench.run(call + " --priors lips.toml", no_shop).out, "priors file lips.toml."));
    bench.write("wrong.toml", "[priors]\nmisheard = 3\n");
    const Ran wrong = bench.run(call + " --priors wrong.toml", no_shop);
    CHECK(wrong.exit == 1);
    CHECK(wrong.out == "");
    CHECK(has(wrong.err, "wrong.toml:2:"));
    // The shop's own file is found where its bench is.
    std::filesystem::create_directories(bench.file("config/ringland"));
    bench.write("config/ringland/priors.toml", "[priors]\nenough = 0.5\n");
    const Ran own = bench.run(call + " --json", "XDG_CONFIG_HOME=\"$PWD/config\"");
    REQUIRE_MESSAGE(own.exit == 0, own.err);
    CHECK(json::parse(own.out)["enough_at"] == 0.5);
}

TEST_CASE("weigh: readings that cannot be, all of them named") {
    const Bench bench;
    struct Case {
        std::string readings;
        const char* says;
    };
    const std::string air = "[[reading]]\ninto = \"P3\"\n", seen = "[[reading.seen]]\nat = \"P4\"\nword = \"strong\"\n";
    for (const Case& wrong :
         {Case{"[[reading]]\ninto = \"P33\"\n" + seen, "wrong.toml:2:8: there is no port \"P33\""},
          Case{air + "[[reading.seen]]\nat = \"coats\"\nword = \"strong\"\n", "wrong.toml:4:6: there is no port"},
          Case{air + "plugged = [\"P3\"]\n" + seen, "P3 gets the air and is plugged"},
          Case{air + "plugged = [\"P4\"]\n" + seen, "wrong.toml:"},
          Case{air + "pressure_psi = 0\n" + seen, "wrong.toml:3:16: pressure_psi is 0"},
          Case{air + "pressure_psi = 500\n" + seen, "wrong.toml:3:16: pressure_psi is 500"},
          Case{air + "pressure_psi = nan\n" + seen, "wrong.toml:3:16: pressure_psi"},
          Case{air + "[[reading.seen]]\nat = \"P4\"\nword = \"loud\"\n", "wrong.toml:5:8: \"loud\""},
          Case{air + seen + "[[look]]\nseal = \"R33\"\nfound = \"sound\"\n", "R33"}, Case{"", "the file is empty"},
          Case{"[[reading", "wrong.toml:1:"}}) {
        bench.write("wrong.toml", wrong.readings);
        CAPTURE(wrong.readings);
        const Ran ran = bench.run("weigh " + larch + " wrong.toml", no_shop);
        CHECK(ran.exit == 1);
        CHECK(ran.out == "");
        CHECK_MESSAGE(has(ran.err, wrong.says), ran.err);
    }
    bench.write("both.toml", air + "pressure_psi = 500\nplugged = [\"P3\"]\n" + seen);
    const Ran both = bench.run("weigh " + larch + " both.toml", no_shop);
    CHECK(has(both.err, "pressure_psi is 500"));
    CHECK(has(both.err, "P3 gets the air and is plugged"));
    // A reading of which nothing was written down is a warning, and weighs nothing.
    bench.write("mute.toml", air);
    const Ran mute = bench.run("weigh " + larch + " mute.toml --json", no_shop);
    CHECK(mute.exit == 0);
    CHECK(has(mute.err, "mute.toml:1:1: warning"));
    CHECK(json::parse(mute.out)["nothing_wrong"].get<double>() ==
          doctest::Approx(answer(bench, "weigh " + larch)["nothing_wrong"].get<double>()));
}

TEST_CASE("weigh: pressures at the limits and every kind of figure give figures, never NaN") {
    const Bench bench;
    const std::string seen = "[[reading.seen]]\nat = \"P4\"\n";
    for (const std::string& text :
         {"[[reading]]\ninto = \"P3\"\npressure_psi = 0.001\n" + seen + "word = \"strong\"\n",
          "[[reading]]\ninto = \"P3\"\npressure_psi = 145\n" + seen + "word = \"nothing\"\n",
          "[[reading]]\ninto = \"P3\"\n" + seen + "pressure_psi = 0\n",
          "[[reading]]\ninto = \"P3\"\n" + seen + "pressure_psi = 145\n",
          "[[reading]]\ninto = \"P3\"\n" + seen + "flow_lpm = 0\n",
          "[[reading]]\ninto = \"P3\"\n" + seen + "flow_lpm = 900\n",
          "[[reading]]\ninto = \"P3\"\n" + seen + "applies_after_s = 0\n",
          "[[reading]]\ninto = \"P3\"\napplied = \"none\"\n" + seen + "word = \"not sure\"\n",
          std::string("[[look]]\nseal = \"G4\"\nfound = \"damaged\"\n[[look]]\nseal = \"G4\"\nfound = \"sound\"\n")}) {
        CAPTURE(text);
        bench.write("limit.toml", text);
        const Ran ran = bench.run("weigh " + larch + " limit.toml --json", no_shop);
        REQUIRE_MESSAGE(ran.exit == 0, ran.err);
        // A figure that is none would be written as null.
        const json weighed = json::parse(ran.out);
        CHECK(is_chance(weighed["nothing_wrong"]));
        CHECK(is_chance(weighed["rig"]));
        CHECK(is_chance(weighed["unexplained"]));
        for (const auto& chance : weighed["seal_probability"])
            CHECK(is_chance(chance));
        for (const auto& suspect : weighed["suspects"])
            check_suspect(suspect);
        for (const auto& step : weighed["next"])
            CHECK(step["bits"].is_number());
        CHECK(bench.run("weigh " + larch + " limit.toml", no_shop).exit == 0);
    }
}

TEST_CASE("weigh and cover: words that cannot be are wrong usage") {
    const Bench bench;
    bench.write("three.toml", shaft_part_map);
    std::string many = "[unit]\nname = \"Many\"\n";
    for (int stack = 0; stack < 4; ++stack) {
        many += "[[stack]]\nrow = \"a";
        for (int c = 0; c < 30; ++c)
            many += fmt::format(" | C{}", 30 * stack + c);
        many += " | b\"\n";
    }
    for (int c = 0; c < 120; ++c)
        many += fmt::format("[[port]]\ncircuit = \"C{}\"\n", c);
    bench.write("many.toml", many);
    struct Case {
        const char* arguments;
        const char* says;
    };
    for (const Case& wrong :
         {Case{"weigh", "map is required"}, Case{"weigh three.toml --pressure 35psi", "--pressure"},
          Case{"cover three.toml --pressure 35", "--pressure \"35\": the unit is missing"},
          Case{"cover three.toml --pressure 0", "without pressure no air finds anything"},
          Case{"cover three.toml --pressure 500psi", "10 bar (145 psi) at most"}, Case{"cover", "map is required"},
          Case{"weigh many.toml", "this map has 120 ports"}, Case{"cover many.toml", "this map has 120 ports"}}) {
        CAPTURE(wrong.arguments);
        const Ran ran = bench.run(wrong.arguments, no_shop);
        CHECK(ran.exit == 2);
        CHECK(ran.out == "");
        CHECK_MESSAGE(has(ran.err, wrong.says), ran.err);
    }
}

TEST_CASE("input that is no map, readings, priors or bench does no harm to weigh and cover") {
    const Bench bench;
    bench.write("three.toml", shaft_part_map);
    bench.write("one.toml", reading("P1", {{"P2", "strong"}}));
    bench.write("empty.toml", "");
    bench.write("binary.toml", std::string("\x7f\x45\x4c\x46\x00\x01\xff\xfe", 8));
    bench.write("deep.toml", "x = " + std::string(60'000, '['));
    for (const char* file : {"missing.toml", ".", "empty.toml", "binary.toml", "deep.toml", "/dev/zero"}) {
        for (const char* command : {"weigh FILE one.toml", "weigh three.toml FILE", "weigh three.toml --priors FILE",
                                    "weigh three.toml --bench FILE", "cover FILE"}) {
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
