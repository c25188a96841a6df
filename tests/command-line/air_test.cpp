// expect and air by the program itself: the chart holds together, faults show where they must, and words that cannot be
// are refused.
#include <cmath>
#include <string>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "answer.h"

namespace {

using namespace ringland::test;
using nlohmann::json;

constexpr const char* check_ball_map = R"(
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
[[port]]
id = "P4"
circuit = "Low"
[[by-design]]
from = "Low"
to = "Coast"
kind = "check-ball"
one-way = true
hole_mm = 2
reason = "the check ball lifts"
)";

/// The entry of a list whose field has that value.
const json& entry(const json& list, const char* field, const std::string& value) {
    for (const auto& item : list) {
        if (item.at(field) == value) return item;
    }
    FAIL(fmt::format("no {} {}", field, value));
    return list;
}

const json& row(const json& chart, const std::string& into) {
    for (const auto& item : chart.at("rows")) {
        if (item.at("into").at("port") == into) return item;
    }
    FAIL(fmt::format("no row {}", into));
    return chart;
}

std::string word_for(double lpm, const json& from) {
    const char* words[]{"nothing", "faint", "clear", "strong"};
    int word = 0;
    while (word < 3 && lpm >= from.at(static_cast<std::size_t>(word)).get<double>())
        ++word;
    return words[word];
}

void check_row(const json& there, const json& heard_from) {
    double out = there["case"]["flow_lpm"];
    CHECK(there["case"]["word"] == word_for(there["case"]["flow_lpm"], heard_from));
    CHECK(there["port_gauge_psi"] <= there["supply_psi"]);
    for (const auto& at : there["at"]) {
        CAPTURE(at.dump());
        CHECK(at["flow_lpm"] >= -1e-9);
        CHECK(at["word"] == word_for(at["flow_lpm"], heard_from));
        CHECK(at["plugged_gauge_psi"] <= there["supply_psi"].get<double>() * (1 + 1e-9));
        CHECK(at["plugged_gauge_bar"].get<double>() ==
              doctest::Approx(at["plugged_gauge_psi"].get<double>() * 0.06894757293168));
        out += at["flow_lpm"].get<double>();
    }
    // What goes in comes out somewhere.
    CHECK(out == doctest::Approx(there["supply_lpm"].get<double>()).epsilon(1e-6));
}

} // namespace

TEST_CASE("expect as JSON has the documented fields, and every row balances") {
    const Bench bench;
    for (const char* unit : {"larch-five", "wren-three", "heron-shift"}) {
        CAPTURE(unit);
        const json chart = answer(bench, fmt::format("expect assets-demo/{}.toml", unit));
        CHECK(chart["invented"] == true);
        CHECK(chart["converged"] == true);
        CHECK(chart["faults"].empty());
        CHECK(chart["bench"]["file"] == "");
        CHECK(chart["bench"]["temperature_c"] == 20.0);
        CHECK(chart["defaults"]["seals"]["all"] > 0);
        CHECK(chart["defaults"]["seals"]["ours"] <= chart["defaults"]["seals"]["all"]);
        CHECK(chart["defaults"]["passages"]["all"] == chart["rows"].size());
        REQUIRE(chart["rows"].size() >= 5);
        for (const auto& there : chart["rows"]) {
            CAPTURE(there["into"].dump());
            CHECK(there["at"].size() == chart["rows"].size() - 1);
            CHECK(there["supply_psi"] == chart["supply_psi"]);
            check_row(there, chart["bench"]["heard_from_lpm"]);
        }
    }
}

TEST_CASE("one row by itself is the row of the chart") {
    const Bench bench;
    const json chart = answer(bench, "expect " + larch);
    for (const char* port : {"P3", "P12"}) {
        const json alone = answer(bench, fmt::format("expect {} --into {}", larch, port));
        REQUIRE(alone["rows"].size() == 1);
        CHECK(alone["rows"][0] == row(chart, port));
    }
    // The lube port passes so much that its own gauge falls far below the supply: that is what stands on the diagonal.
    const double own_psi = row(chart, "P1")["port_gauge_psi"];
    REQUIRE(own_psi < 0.9 * chart["supply_psi"].get<double>());
    CHECK(has(bench.run("expect " + larch, no_shop).out, fmt::format("\nP1            {:.1f} ", own_psi)));
    CHECK(answer(bench, "expect " + larch + " --into low")["rows"][0]["into"]["port"] == "P3");
}

TEST_CASE("a flow by design shows in its direction only, with its reason") {
    const Bench bench;
    const std::string map = bench.write("three.toml", check_ball_map);
    const json chart = answer(bench, "expect " + map);
    const json& with = entry(row(chart, "P1")["at"], "port", "P2");
    CHECK(with["word"] == "strong");
    REQUIRE(with["by_design"].size() == 1);
    CHECK(with["by_design"][0]["reason"] == "the check ball lifts");
    const json& against = entry(row(chart, "P2")["at"], "port", "P1");
    CHECK(against["by_design"].empty());
    CHECK(against["flow_lpm"].get<double>() < 5);
    CHECK(entry(row(chart, "P1")["at"], "port", "P4")["same_circuit"] == true);
    const Ran ran = bench.run("expect " + map, no_shop);
    CHECK(ran.exit == 0);
    CHECK(ran.err == "");
    CHECK(has(ran.out, "[1] Low → Coast: the check ball lifts"));
    CHECK(has(ran.out, "=strong"));
    CHECK(has(ran.out, "a healthy unit"));
    const Ran one = bench.run("expect " + map + " --into P1", no_shop);
    CHECK(has(one.out, "the same circuit"));
    CHECK(has(one.out, "The gauge at P1 reads"));
    CHECK(has(one.out, "P2 Coast           strong"));
}

TEST_CASE("figures of ours are recognisable, and the cautions are there") {
    const Bench bench;
    const std::string map = bench.write("three.toml", check_ball_map);
    const Ran ran = bench.run("expect " + map, no_shop);
    CHECK(has(ran.out,
              "Defaults of the kind stand in for 4 of 4 sound seals, 4 of 4 passages: common practice, no source; the "
              "maker's\ninformation decides."));
    CHECK(has(ran.out, "defaults, common practice, no source."));
    CHECK(has(ran.out, "Caution: regulated air"));
    CHECK(has(ran.out, "29 CFR 1910.242(b)"));
    CHECK_FALSE(has(bench.run("expect " + map + " --pressure 29psi", no_shop).out, "29 CFR"));
    const std::string known = std::string(check_ball_map) +
                              "[[seal]]\nstack = \"shaft\"\nnth = 2\nend-gap_mm = 0.2\n"
                              "[[passage]]\ncircuit = \"Top\"\nport = \"P3\"\nbore_mm = 6\nlength_mm = 100\n";
    const json shares = answer(bench, "expect " + bench.write("known.toml", known))["defaults"];
    CHECK(shares["seals"] == json{{"ours", 3}, {"all", 4}});
    CHECK(shares["passages"] == json{{"ours", 3}, {"all", 4}});
    CHECK(shares["holes_by_design"] == json{{"ours", 0}, {"all", 1}});
}

TEST_CASE("a 3 mm hole shows most of the supply pressure at the neighbour, a sound ring only a breath") {
    const Bench bench;
    const json sound = answer(bench, "expect " + larch + " --into P3");
    const json hole = answer(bench, "expect " + larch + " --into P3 --seal R3 --hole 3mm");
    const json& healthy = entry(sound["rows"][0]["at"], "port", "P4");
    const json& faulty = entry(hole["rows"][0]["at"], "port", "P4");
    CHECK(healthy["word"] == "faint");
    CHECK(faulty["word"] == "strong");
    CHECK(faulty["plugged_gauge_psi"].get<double>() > 0.9 * hole["supply_psi"].get<double>());
    CHECK(hole["faults"] == json::parse(R"([{"seal": "R3", "hole_mm": 3.0}])"));
    const Ran text = bench.run("expect " + larch + " --into P3 --seal r3 --hole .118in", no_shop);
    CHECK(has(text.out, "a unit with a fault (R3 with a hole of 3 mm (0.118 in))"));
}

TEST_CASE("air: what is set is what is shown, and what goes in comes out") {
    const Bench bench;
    const std::string call = "air " + larch + " --into P3 --seal R3 --hole 2mm --seal R2 --hole 1mm";
    const json open = answer(bench, call);
    const json shut = answer(bench, call + " --plug P4 --plug P7");
    const json towel = answer(bench, call + " --towel coast");
    for (const json* air : {&open, &shut, &towel}) {
        CHECK((*air)["solve"]["converged"] == true);
        CHECK((*air)["solve"]["mass_residual"] < 1e-9);
        CHECK((*air)["solve"]["pressure_residual"] < 1e-9);
        CHECK((*air)["faults"].size() == 2);
        double out = (*air)["case"]["flow_lpm"];
        for (const auto& port : (*air)["ports"]) {
            if (port.contains("flow_lpm")) out += port["flow_lpm"].get<double>();
        }
        CHECK(out == doctest::Approx((*air)["supply_lpm"].get<double>()).epsilon(1e-6));
    }
    CHECK(open["faults"] == json::parse(R"([{"seal": "R3", "hole_mm": 2.0}, {"seal": "R2", "hole_mm": 1.0}])"));
    const json& plugged = entry(shut["ports"], "port", "P4");
    CHECK(plugged["state"] == "plugged");
    CHECK_FALSE(plugged.contains("flow_lpm"));
    CHECK(plugged["gauge_psi"].get<double>() > 10 * entry(open["ports"], "port", "P4")["gauge_psi"].get<double>());
    CHECK(entry(open["ports"], "port", "P3")["state"] == "air");
    CHECK(entry(towel["ports"], "port", "P4")["state"] == "towel");
    CHECK(entry(towel["ports"], "port", "P4")["flow_lpm"] < entry(open["ports"], "port", "P4")["flow_lpm"]);
    CHECK(entry(open["seals"], "id", "R3")["flow_lpm"].get<double>() > 20);
    CHECK(entry(open["circuits"], "circuit", "low")["gauge_psi"].get<double>() > 20);
    CHECK(entry(open["by_design"], "id", "low-bleed")["flow_lpm"].get<double>() > 1);
}

TEST_CASE(
    "air in time: the fed clutch applies, a blocked neighbour late where the seal is sound and at once where not") {
    const Bench bench;
    const auto clutch = [&](const std::string& more, const char* name) {
        const json air = answer(bench, "air " + larch + " --into P3 --plug P4 " + more);
        CHECK(air["time"]["completed"] == true);
        return entry(air["time"]["elements"], "name", name);
    };
    const json low = clutch("", "Low clutch");
    CHECK(low["fed"] == true);
    REQUIRE(low["applied_s"].is_number());
    CHECK(low["hold_s"].get<double>() > 0);
    const json late = clutch("", "Coast clutch"), early = clutch("--seal R3 --hole 3mm", "Coast clutch");
    CHECK(late["fed"] == false);
    REQUIRE(early["applied_s"].is_number());
    // Late, or not while the trigger is held.
    if (late["applied_s"].is_number())
        CHECK(late["applied_s"].get<double>() > 5 * early["applied_s"].get<double>());
    else
        CHECK(late["applied_s"].is_null());
    const Ran text = bench.run("air " + larch + " --into P3 --plug P4 --seal R3 --hole 3mm --seconds 1.5", no_shop);
    CHECK(has(text.out, "trigger held 1.50 s"));
    CHECK(has(text.out, "Low clutch: moves after"));
    CHECK(has(text.out, "elements that this circuit does not feed:\n  Coast clutch"));
    CHECK(has(text.out, "Balanced: "));
}

TEST_CASE("no pressure: nothing flows, and it is still an answer") {
    const Bench bench;
    const json air = answer(bench, "air " + larch + " --into P3 --pressure 0");
    CHECK(air["supply_lpm"].get<double>() == doctest::Approx(0));
    CHECK(air["case"]["word"] == "nothing");
    for (const auto& times : air["time"]["elements"])
        CHECK(times["moves_s"].is_null());
    CHECK(bench.run("expect " + larch + " --pressure 0", no_shop).exit == 0);
}

TEST_CASE("a pressure is the same in every unit it may be typed in") {
    const Bench bench;
    const double psi = answer(bench, "expect " + larch + " --into P3 --pressure 40psi")["rows"][0]["supply_lpm"];
    const double bar =
        answer(bench, "expect " + larch + " --into P3 --pressure 2.757902917bar")["rows"][0]["supply_lpm"];
    CHECK(psi == doctest::Approx(bar).epsilon(1e-7));
    // Without --pressure the map's own figure counts.
    CHECK(answer(bench, "expect " + larch + " --into P3")["supply_psi"].get<double>() == doctest::Approx(35));
}

TEST_CASE("the bench: --bench, the shop's own file, the defaults") {
    const Bench bench;
    const std::string map = bench.write("three.toml", check_ball_map);
    const auto used = [&](const std::string& arguments, const std::string& environment) {
        return answer(bench, "expect " + map + " --into P1 " + arguments, environment);
    };
    std::filesystem::create_directories(bench.file("config/ringland"));
    bench.write("config/ringland/bench.toml", "[bench]\nname = \"own\"\npressure_psi = 50\naltitude_m = 1500\n");
    bench.write("named.toml", "[bench]\nname = \"named\"\nlocal-pressure_kpa = 90\nheard-from_lpm = [100, 200, 300]\n");
    const std::string own = "XDG_CONFIG_HOME=\"$PWD/config\"";
    const json shop = used("", own);
    CHECK(shop["bench"]["name"] == "own");
    CHECK(shop["supply_psi"].get<double>() == doctest::Approx(50));
    // Pressure of the standard atmosphere at 1500 m, 84.556 kPa: U.S. Standard Atmosphere 1976, equation 33a,
    // calculated.
    CHECK(shop["bench"]["local_pressure_kpa"].get<double>() == doctest::Approx(84.556).epsilon(1e-4));
    CHECK(has(shop["bench"]["file"], "config/ringland/bench.toml"));
    const json named = used("--bench named.toml", own);
    CHECK(named["bench"]["name"] == "named");
    CHECK(named["bench"]["local_pressure_kpa"] == 90.0);
    // Behind the same flow stands another word.
    CHECK(entry(named["rows"][0]["at"], "port", "P2")["word"] != entry(shop["rows"][0]["at"], "port", "P2")["word"]);
    CHECK(used("", no_shop)["bench"]["file"] == "");
    // Without XDG_CONFIG_HOME the folder .config of the home counts; a relative one is passed over.
    std::filesystem::create_directories(bench.file(".config"));
    std::filesystem::copy(bench.file("config/ringland"), bench.file(".config/ringland"));
    CHECK(used("", "XDG_CONFIG_HOME= HOME=\"$PWD\"")["bench"]["name"] == "own");
    CHECK(used("", "XDG_CONFIG_HOME=config HOME=/no/such/folder")["bench"]["file"] == "");
}

TEST_CASE("a bench file that is wrong is never passed over") {
    const Bench bench;
    const std::string map = bench.write("three.toml", check_ball_map);
    std::filesystem::create_directories(bench.file("config/ringland"));
    bench.write("config/ringland/bench.toml", "[bench]\npressure_psi = -3\n");
    for (const char* command :
         {"expect three.toml", "air three.toml --into P1", "leak-down --supply 80psi --orifice 1mm --reading 60psi",
          "calibrate --hole 1mm=faint"}) {
        CAPTURE(command);
        const Ran ran = bench.run(command, "XDG_CONFIG_HOME=\"$PWD/config\"");
        CHECK(ran.exit == 1);
        CHECK(ran.out == "");
        CHECK(has(ran.err, "bench.toml:2:16: pressure_psi is -3"));
        const Ran missing = bench.run(std::string(command) + " --bench none.toml", no_shop);
        CHECK(missing.exit == 1);
        CHECK(has(missing.err, "none.toml:0:0: there is no such file"));
    }
    bench.write("warned.toml", "[bench]\ntemprature_c = 30\n");
    const Ran warned = bench.run("expect three.toml --bench warned.toml", no_shop);
    CHECK(warned.exit == 0);
    CHECK(has(warned.err, "warned.toml:2:1: warning"));
    const Ran check = bench.run("check config/ringland/bench.toml assets-demo/bench-example.toml");
    CHECK(check.exit == 1);
    CHECK(has(check.out, "bench.toml: 1 error, 0 warnings"));
    CHECK(has(check.out, "bench-example.toml: good: air bench Demo bench"));
    const json files = json::parse(bench.run("check --json assets-demo/bench-example.toml").out)["maps"];
    CHECK(files[0]["good"] == true);
    CHECK(files[0]["bench"] == "Demo bench");
}

TEST_CASE("words that cannot be are wrong usage, all of them named") {
    const Bench bench;
    const std::string map = bench.write("three.toml", check_ball_map);
    struct Case {
        const char* arguments;
        const char* says;
    };
    for (const Case& wrong :
         {Case{"expect three.toml --pressure 35", "--pressure \"35\": the unit is missing"},
          Case{"expect three.toml --into coats", "Did you mean \"Coast\"?"},
          Case{"expect three.toml --into sump", "no port leads into"},
          Case{"expect three.toml --seal R2", "1 of --seal and 0 of --hole"},
          Case{"expect three.toml --hole 3mm", "0 of --seal and 1 of --hole"},
          Case{"expect three.toml --seal R22 --hole 3mm", "Did you mean \"R2\"?"},
          Case{"expect three.toml --seal R2 --hole 3", "--hole \"3\": the unit is missing"},
          Case{"expect three.toml --seal R2 --hole 3mm --seal r2 --hole 1mm", "seal R2 is given twice"},
          Case{"air three.toml --into P1 --plug P1", "--plug P1: this port gets the air"},
          Case{"air three.toml --into P1 --towel P1", "--towel P1: this port gets the air"},
          Case{"air three.toml --into P1 --plug P2 --towel P2", "P2 is plugged and under a towel"},
          Case{"air three.toml --into P1 --plug P9", "no port or circuit \"P9\""},
          Case{"air three.toml --into P1 --seconds 0", "--seconds 0: 0.05 to 60"},
          Case{"air three.toml --into P1 --seconds nan", "--seconds nan"},
          Case{"air three.toml --into P1 --seconds soon", "--seconds"}, Case{"air three.toml", "--into is required"},
          Case{"expect", "map is required"}}) {
        CAPTURE(wrong.arguments);
        const Ran ran = bench.run(wrong.arguments, no_shop);
        CHECK(ran.exit == 2);
        CHECK(ran.out == "");
        CHECK_MESSAGE(has(ran.err, wrong.says), ran.err);
    }
    const Ran two = bench.run("expect three.toml --pressure 35 --seal X --hole 3", no_shop);
    CHECK(has(two.err, "--pressure"));
    CHECK(has(two.err, "--hole"));
    CHECK(has(two.err, "no seal \"X\""));
}

TEST_CASE("a map of too many ports has no whole chart, but every row") {
    const Bench bench;
    std::string map = "[unit]\nname = \"Many\"\n";
    for (int stack = 0; stack < 7; ++stack) {
        map += "[[stack]]\nrow = \"a";
        for (int c = 0; c < 30; ++c)
            map += fmt::format(" | C{}", 30 * stack + c);
        map += " | b\"\n";
    }
    for (int c = 0; c < 210; ++c)
        map += fmt::format("[[port]]\ncircuit = \"C{}\"\n", c);
    bench.write("many.toml", map);
    const Ran all = bench.run("expect many.toml", no_shop);
    CHECK(all.exit == 2);
    CHECK(has(all.err, "210 ports"));
    CHECK(has(all.err, "--into PORT"));
    CHECK(answer(bench, "expect many.toml --into C100")["rows"][0]["at"].size() == 209);
}

TEST_CASE("input that is no map or no bench does no harm to expect and air") {
    const Bench bench;
    bench.write("three.toml", check_ball_map);
    bench.write("empty.toml", "");
    bench.write("binary.toml", std::string("\x7f\x45\x4c\x46\x00\x01\xff\xfe", 8));
    bench.write("deep.toml", "x = " + std::string(60'000, '['));
    bench.write("large.toml", "x = " + std::string(5'000'000, '['));
    for (const char* file :
         {"missing.toml", ".", "empty.toml", "binary.toml", "deep.toml", "large.toml", "/dev/zero"}) {
        for (const char* command : {"expect FILE", "air FILE --into P1", "expect three.toml --bench FILE",
                                    "calibrate --hole 1mm=faint --bench FILE"}) {
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
