// cover by the program itself, held against the charts of `expect`: what it says is found is found, what it calls alike
// is alike, and its shortest check is the shortest.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "answer.h"

namespace {

using namespace ringland::test;
using nlohmann::json;

/// Words of a chart: by port under air, by place ("case" for the open case).
using Words = std::map<std::string, std::map<std::string, std::string>>;

Words words_of(const Bench& bench, const std::string& map, const std::string& more) {
    Words words;
    const json chart = answer(bench, fmt::format("expect {} {}", map, more));
    for (const auto& row : chart["rows"]) {
        auto& of = words[row["into"]["port"]];
        of["case"] = row["case"]["word"];
        for (const auto& at : row["at"])
            of[at["port"]] = at["word"];
    }
    return words;
}

/// The sizes at which cover looks: from 0.3 to 5 mm, evenly in the logarithm.
double size_mm(int i) { return 0.3 * std::pow(5 / 0.3, i / 8.0); }
constexpr int sizes = 9;

/// The words of a unit with a hole in one seal, at each size.
std::vector<Words> traces(const Bench& bench, const std::string& map, const std::string& seal) {
    std::vector<Words> list;
    for (int i = 0; i < sizes; ++i)
        list.push_back(words_of(bench, map, fmt::format("--seal {} --hole {:.9f}mm", seal, size_mm(i))));
    return list;
}

/// Rows in which two charts differ.
std::set<std::string> rows_apart(const Words& a, const Words& b) {
    std::set<std::string> rows;
    for (const auto& row : a) {
        if (b.at(row.first) != row.second) rows.insert(row.first);
    }
    return rows;
}

/// A map of rings, plugs and bridges only: these leak alike both ways, so that a hole of `expect` is the fault that
/// cover looks for.
constexpr const char* two_way_map = R"(
[unit]
name = "Bench four"
[[stack]]
id = "shaft"
name = "Input shaft"
row = "pump end | Low | Coast | Top | Lube | drum end"
[[seal]]
id = "G1"
kind = "gasket-bridge"
relation = "face"
between = ["low", "top"]
[[seal]]
id = "C1"
kind = "plug"
relation = "shaft"
between = ["low", "lube"]
[[seal]]
id = "O1"
kind = "o-ring"
relation = "drum"
between = ["low", "coast"]
[[port]]
id = "P1"
circuit = "Low"
[[port]]
id = "P2"
circuit = "Coast"
[[port]]
id = "P3"
circuit = "Top"
[[port]]
id = "P4"
circuit = "Lube"
[[by-design]]
from = "Lube"
to = "sump"
hole_mm = 2
reason = "lube is open to the case"
)";

} // namespace

TEST_CASE("cover: every seal is found from the size on that it says, where it says, and not from a smaller one") {
    const Bench bench;
    const std::string map = bench.write("four.toml", two_way_map);
    const json cover = answer(bench, "cover " + map);
    const Words sound = words_of(bench, map, "");
    REQUIRE(cover["seals"].size() == 8);
    for (const auto& seal : cover["seals"]) {
        CAPTURE(seal.dump());
        REQUIRE(seal["findable"] == true);
        CHECK(seal["why_not"] == "");
        const auto trace = traces(bench, map, seal["id"]);
        int first = 0;
        while (first < sizes && rows_apart(trace[static_cast<std::size_t>(first)], sound).empty())
            ++first;
        REQUIRE(first < sizes);
        CHECK(seal["smallest_mm"].get<double>() == doctest::Approx(size_mm(first)));
        const Words& found = trace[static_cast<std::size_t>(first)];
        const std::string into = seal["into"], at = seal["at"];
        CHECK(found.at(into).at(at) != sound.at(into).at(at));
    }
}

TEST_CASE("cover: look-alikes are those whose charts are alike at every size, and no others") {
    const Bench bench;
    const std::string map = bench.write("four.toml", two_way_map);
    const json cover = answer(bench, "cover " + map);
    std::map<std::string, std::vector<Words>> all;
    for (const auto& seal : cover["seals"])
        all[seal["id"]] = traces(bench, map, seal["id"]);
    const auto called_alike = [&](const std::string& a, const std::string& b) {
        return std::any_of(cover["look_alikes"].begin(), cover["look_alikes"].end(), [&](const json& group) {
            return std::find(group.begin(), group.end(), a) != group.end() &&
                   std::find(group.begin(), group.end(), b) != group.end();
        });
    };
    int alike = 0;
    for (const auto& a : all) {
        for (const auto& b : all) {
            if (a.first >= b.first) continue;
            CAPTURE(a.first);
            CAPTURE(b.first);
            CHECK(called_alike(a.first, b.first) == (a.second == b.second));
            alike += a.second == b.second ? 1 : 0;
        }
    }
    // R2 and O1 divide the same two circuits.
    CHECK(called_alike("R2", "O1"));
    CHECK(alike < 28);
}

TEST_CASE("cover: the shortest check finds every seal, and no smaller set of readings does") {
    const Bench bench;
    const std::string map = bench.write("four.toml", two_way_map);
    const json cover = answer(bench, "cover " + map);
    CHECK(cover["exact"] == true);
    CHECK(cover["lower_bound"] == cover["shortest"].size());
    const Words sound = words_of(bench, map, "");
    std::vector<std::set<std::string>> shown_by;
    json beyond = json::array(); // not by a hole of the size that the check is reckoned for
    for (const auto& seal : cover["seals"]) {
        const std::string fault = fmt::format("--seal {} --hole {:.9f}mm", seal["id"].get<std::string>(),
                                              cover["reference_mm"].get<double>());
        auto rows = rows_apart(words_of(bench, map, fault), sound);
        if (rows.empty())
            beyond.push_back(seal["id"]);
        else
            shown_by.push_back(std::move(rows));
    }
    CHECK(cover["beyond"] == beyond);
    CHECK(shown_by.size() >= 7);
    const auto finds_all = [&](const std::set<std::string>& ports) {
        return std::all_of(shown_by.begin(), shown_by.end(), [&](const std::set<std::string>& by) {
            return std::any_of(ports.begin(), ports.end(), [&](const std::string& p) { return by.count(p) != 0; });
        });
    };
    const std::set<std::string> shortest(cover["shortest"].begin(), cover["shortest"].end());
    CHECK(finds_all(shortest));
    const std::vector<std::string> ports{"P1", "P2", "P3", "P4"};
    for (unsigned mask = 0; mask < 16; ++mask) {
        std::set<std::string> some;
        for (unsigned p = 0; p < 4; ++p) {
            if ((mask >> p & 1U) != 0) some.insert(ports[p]);
        }
        if (some.size() < shortest.size()) CHECK_FALSE(finds_all(some));
    }
}

TEST_CASE("cover as JSON has the documented fields on the demo units") {
    const Bench bench;
    for (const char* unit : {"larch-five", "wren-three", "heron-shift"}) {
        CAPTURE(unit);
        const json cover = answer(bench, fmt::format("cover assets-demo/{}.toml", unit));
        CHECK(cover["invented"] == true);
        CHECK(cover["supply_bar"].get<double>() ==
              doctest::Approx(cover["supply_psi"].get<double>() * 0.06894757293168));
        std::size_t lost = 0;
        for (const auto& seal : cover["seals"]) {
            CAPTURE(seal.dump());
            CHECK(seal["name"] != "");
            const bool findable = seal["findable"];
            CHECK(seal["smallest_mm"].is_number() == findable);
            CHECK((seal["into"] != "") == findable);
            CHECK((seal["why_not"] == "") == findable);
            CHECK(seal["into"] != seal["at"]);
            lost += findable ? 0 : 1;
        }
        CHECK(cover["not_findable"].size() == lost);
        CHECK(cover["lower_bound"] <= cover["shortest"].size());
        CHECK(cover["exact"].is_boolean());
        CHECK(cover["reference_mm"].is_number());
        CHECK(cover["beyond"].is_array());
        CHECK(cover["bench"]["file"] == "");
        CHECK(cover["defaults"]["seals"]["all"] == cover["seals"].size());
        CHECK_FALSE(cover.contains("card"));
    }
    // Behind more noise of the bench less is found: the thresholds of the bench count.
    bench.write("deaf.toml", "[bench]\nheard-from_lpm = [200, 300, 400]\n");
    const json usual = answer(bench, "cover assets-demo/larch-five.toml");
    const json deaf = answer(bench, "cover assets-demo/larch-five.toml --bench deaf.toml");
    CHECK(deaf["not_findable"].size() > usual["not_findable"].size());
    const json soft = answer(bench, "cover assets-demo/larch-five.toml --pressure 1bar");
    CHECK(soft["supply_bar"].get<double>() == doctest::Approx(1));
}

TEST_CASE("cover says in words what it found") {
    const Bench bench;
    const std::string call = "cover assets-demo/larch-five.toml";
    const json cover = answer(bench, call);
    const Ran ran = bench.run(call, no_shop);
    CHECK(ran.exit == 0);
    CHECK(ran.err == "");
    CHECK(has(ran.out, fmt::format("Air finds {} of 37 seals", 37 - cover["not_findable"].size())));
    for (const auto& seal : cover["seals"]) {
        if (!seal["findable"].get<bool>()) continue;
        CAPTURE(seal.dump());
        const std::string line = "\n  " + seal["id"].get<std::string>() + " ";
        const auto at = ran.out.find(line);
        REQUIRE(at != std::string::npos);
        const std::string text = ran.out.substr(at + 1, ran.out.find('\n', at + 1) - at - 1);
        CHECK(has(text, fmt::format("{:.3g} mm ({:.3f} in)", seal["smallest_mm"].get<double>(),
                                    seal["smallest_mm"].get<double>() / 25.4)));
        CHECK(has(text, " " + seal["into"].get<std::string>() + " "));
    }
    for (const auto& group : cover["look_alikes"]) {
        std::string line = "\n  ";
        for (const auto& id : group)
            line += (line.size() > 3 ? ", " : "") + id.get<std::string>();
        CHECK(has(ran.out, line + "\n"));
    }
    CHECK(has(ran.out, fmt::format("{} readings, and fewer cannot", cover["shortest"].size())));
    CHECK(has(ran.out, "common practice, no source"));
    CHECK(has(ran.out, "Caution: regulated air"));
}

TEST_CASE("cover names what air cannot find, with the reason") {
    const Bench bench;
    bench.write("blind.toml", R"(
[unit]
name = "Blind"
[[circuit]]
id = "mid"
name = "Mid"
no-port = true
[[stack]]
id = "shaft"
row = "pump end | Low | Mid | Top | drum end"
[[port]]
id = "P1"
circuit = "Low"
[[port]]
id = "P2"
circuit = "Top"
)");
    const json cover = answer(bench, "cover blind.toml");
    CHECK(cover["not_findable"] == json{"R2", "R3"});
    for (const auto& seal : cover["seals"]) {
        if (seal["id"] == "R2") CHECK(seal["why_not"] == "Mid has no port");
    }
    const Ran ran = bench.run("cover blind.toml", no_shop);
    CHECK(has(ran.out, "Air finds 2 of 4 seals"));
    CHECK(has(ran.out, "\nAir cannot find:\n  R2  "));
    CHECK(has(ran.out, ": Mid has no port\n"));
    // Where nothing at all is found there is no check and no card, and that is an answer too.
    bench.write("deaf.toml", "[bench]\nheard-from_lpm = [5000, 6000, 7000]\n");
    const Ran none = bench.run("cover blind.toml --bench deaf.toml", no_shop);
    CHECK(none.exit == 0);
    CHECK(has(none.out, "Air finds 0 of 4 seals."));
    CHECK(has(none.out, "No check of this unit by air is worth making."));
    const Ran card = bench.run("cover blind.toml --bench deaf.toml --card", no_shop);
    CHECK(card.exit == 0);
    CHECK(has(card.out, "no card"));
}

TEST_CASE("the bench card has every reading of the shortest check, what a good unit does, and a blank for each place") {
    const Bench bench;
    const std::string wren = "assets-demo/wren-three.toml";
    const json cover = answer(bench, "cover " + wren + " --card"), chart = answer(bench, "expect " + wren);
    const Ran ran = bench.run("cover " + wren + " --card", no_shop);
    CHECK(ran.exit == 0);
    CHECK(ran.err == "");
    const std::size_t ports = chart["rows"].size(), readings = cover["shortest"].size();
    REQUIRE(cover["card"].size() == readings);
    std::size_t begin = 0;
    for (std::size_t i = 0; i < readings; ++i) {
        const json& row = cover.at("card").at(i);
        CHECK(row["into"]["port"] == cover["shortest"][i]);
        // The row is the healthy one of the expected chart.
        CHECK(std::find(chart["rows"].begin(), chart["rows"].end(), row) != chart["rows"].end());
        begin = ran.out.find(
            fmt::format("\n{} of {}   AIR INTO {} ", i + 1, readings, row["into"]["port"].get<std::string>()), begin);
        REQUIRE(begin != std::string::npos);
        const std::string part = ran.out.substr(begin, ran.out.find("\n\n", begin) - begin);
        CHECK(has(part, "at 30 psi (2.07 bar), all others open\n"));
        std::size_t blanks = 0;
        for (auto at = part.find(" ____________"); at != std::string::npos; at = part.find(" ____________", at + 1))
            ++blanks;
        CHECK(blanks == ports + 1);
        const auto line = [&](const std::string& place) {
            const auto at = part.find("\n  " + place);
            return at == std::string::npos ? "" : part.substr(at + 1, part.find('\n', at + 1) - at - 1);
        };
        for (const auto& at : row["at"])
            CHECK(has(line(at["port"].get<std::string>() + " "), " " + at["word"].get<std::string>() + " "));
        CHECK(has(line("inside the case"), " " + row["case"]["word"].get<std::string>() + " "));
        CHECK(has(line("its own gauge"), fmt::format("({:.2f} bar)", row["port_gauge_bar"].get<double>())));
    }
    CHECK(has(ran.out, "By design:\n  [1] "));
    CHECK(has(ran.out, "thud / soft / none"));
    CHECK(has(ran.out, "Caution: regulated air"));
    CHECK(has(ran.out, "29 CFR 1910.242(b)"));
    // It prints: no line is wider than a page.
    for (std::size_t at = 0; at < ran.out.size();) {
        const std::size_t end = ran.out.find('\n', at);
        const auto wide = std::count_if(ran.out.begin() + static_cast<std::ptrdiff_t>(at),
                                        ran.out.begin() + static_cast<std::ptrdiff_t>(end),
                                        [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; });
        CHECK(wide <= 118);
        at = end + 1;
    }
    const Ran bar = bench.run("cover " + wren + " --card --pressure 2.4bar", no_shop);
    CHECK(has(bar.out, "Regulator at 34.8 psi (2.40 bar)"));
    CHECK_FALSE(has(bench.run("cover " + wren + " --card --pressure 29psi", no_shop).out, "29 CFR"));
}
