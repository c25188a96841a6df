// Every fault of a readings file by itself: where it is said to be, what is said to be wrong, and what would be right.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include <fmt/format.h>

#include "small_readings_map.h"

using namespace ringland::tests;

namespace {

/// Each case makes exactly this one fault.
void check_each_readings(const std::vector<FaultCase>& cases, Severity severity) {
    const UnitMap map = small_map();
    for (const auto& expected : cases) {
        const auto result = read_readings_text(expected.text, "r.toml", map);
        check_single_fault(result.faults, "r.toml", expected, severity);
        CHECK(result.check.has_value() == (severity == Severity::warning));
    }
}

} // namespace

TEST_CASE("what cannot be is an error at its place") {
    check_each_readings(
        {
            {"[[reading]]\napplied = \"thud\"\n", 1, 1, "into is not said", "into ="},
            {"[[reading]]\ninto = 3\napplied = \"thud\"\n", 2, 8, "a whole number", "a text in quotes"},
            {good + "[[reading.seen]]\nat = \"P7\"\nword = \"faint\"\n", 7, 6, "no port \"P7\"", "\"P1\"?"},
            {"[[reading]]\ninto = \"P1\"\nplugged = [\"P2\", \"P1\"]\napplied = \"thud\"\n", 3, 18,
             "P1 gets the air and is plugged", "one of the two"},
            {"[[reading]]\ninto = \"P1\"\nplugged = [\"P2\", \"coast\"]\napplied = \"thud\"\n", 3, 18,
             "P2 is plugged twice", "once"},
            {"[[reading]]\ninto = \"P1\"\nplugged = [\"P9\"]\napplied = \"thud\"\n", 3, 12, "no port \"P9\"", "?"},
            {"[[reading]]\ninto = \"P1\"\nplugged = [\"case\"]\napplied = \"thud\"\n", 3, 12, "is the open case", "P1"},
            {"[[reading]]\ninto = \"P1\"\nplugged = [\"\"]\napplied = \"thud\"\n", 3, 12,
             "an entry of plugged is empty", "a port"},
            {"[[reading]]\ninto = \"P1\"\nplugged = \"P2\"\napplied = \"thud\"\n", 3, 11, "plugged is a text",
             "a list"},
            {"[[reading]]\ninto = \"P1\"\nplugged = [\"P2\"]\n[[reading.seen]]\nat = \"P2\"\nword = \"faint\"\n", 5, 6,
             "P2 is plugged, so no air comes out", "gauge"},
            {"[[reading]]\ninto = \"P1\"\nplugged = [\"P2\"]\n[[reading.seen]]\nat = \"P2\"\nflow_lpm = 3\n", 5, 6,
             "P2 is plugged, so no air comes out", "gauge"},
            {"[[reading]]\ninto = \"P1\"\nplugged = [\"P2\"]\n[[reading.seen]]\nat = \"P2\"\nword = \"not sure\"\n", 5,
             6, "P2 is plugged, so no air comes out", "gauge"},
            {into_p1 + "[[reading.seen]]\nat = \"P1\"\nword = \"strong\"\n", 4, 6, "P1 gets the air", "pressure_psi"},
            {into_p1 + "[[reading.seen]]\nat = \"P1\"\nflow_lpm = 100\n", 4, 6, "P1 gets the air", "pressure_psi"},
            {into_p1 + "[[reading.seen]]\nat = \"P1\"\napplies_after_s = 1\n", 4, 6, "P1 gets the air", "applied"},
            {good + "[[reading.seen]]\nat = \"P2\"\nword = \"clear\"\n", 7, 6, "P2 is seen twice", "another"},
            {good + "[[reading.seen]]\nat = \"coast\"\nflow_lpm = 1\n", 7, 6, "P2 is seen twice", "another"},
            {into_p1 + "[[reading.seen]]\nat = \"case\"\npressure_psi = 3\n", 4, 6, "the open case has no gauge",
             "word"},
            {into_p1 + "[[reading.seen]]\nat = \"case\"\napplies_after_s = 3\n", 4, 6, "no element", "word"},
            {into_p1 + "[[reading.seen]]\nword = \"faint\"\n", 3, 1, "at is not said", "at ="},
            {at_p2, 3, 1, "does not say what was seen", "left out"},
            {at_p2 + "word = \"faint\"\nflow_lpm = 3\n", 6, 12, "word and flow_lpm are given together", "one of them"},
            {at_p2 + "word = \"not sure\"\npressure_bar = 1\n", 6, 16, "word and pressure_bar are", "one of them"},
            {at_p2 + "pressure_psi = 3\nflow_lpm = 3\napplies_after_s = 1\n", 7, 19,
             "pressure_psi, flow_lpm and applies_after_s are", "one of them"},
            {at_p2 + "word = \"loud\"\n", 5, 8, "\"loud\" is no word", "nothing, faint, clear, strong or not sure"},
            {at_p2 + "word = \"not-sure\"\n", 5, 8, "\"not-sure\" is no word", "not sure?"},
            {at_p2 + "word = 3\n", 5, 8, "word is a whole number", "one of the words"},
            {"[[reading]]\ninto = \"P1\"\npressure_psi = 0\napplied = \"thud\"\n", 3, 16, "pressure_psi is 0",
             "more than 0"},
            {"[[reading]]\ninto = \"P1\"\npressure_psi = 500\napplied = \"thud\"\n", 3, 16, "pressure_psi is 500",
             "145 at most"},
            {"[[reading]]\ninto = \"P1\"\npressure_bar = 10.1\napplied = \"thud\"\n", 3, 16, "pressure_bar is 10.1",
             "10 at most"},
            {"[[reading]]\ninto = \"P1\"\npressure_kpa = 1001\napplied = \"thud\"\n", 3, 16, "pressure_kpa is 1001",
             "1000 at most"},
            {"[[reading]]\ninto = \"P1\"\npressure_psi = nan\napplied = \"thud\"\n", 3, 16, "is not a figure", "plain"},
            {"[[reading]]\ninto = \"P1\"\npressure_psi = 35\npressure_bar = 2.4\napplied = \"thud\"\n", 4, 16,
             "given twice", "measured"},
            {"[[reading]]\ninto = \"P1\"\napplied = \"thump\"\n", 3, 11, "\"thump\" is no applied", "thud?"},
            {"[[reading]]\ninto = \"P1\"\nwet = 1\napplied = \"thud\"\n", 3, 7, "wet is a whole number",
             "true or false"},
            {"[[reading]]\ninto = \"P1\"\nshaft_turned_deg = 361\napplied = \"thud\"\n", 3, 20, "is 361",
             "360 at most"},
            {"[[reading]]\ninto = \"P1\"\nshaft_turned_deg = -361\napplied = \"thud\"\n", 3, 20, "is -361", "-360"},
            {"[[reading]]\ninto = \"P1\"\npushed = \"up\"\napplied = \"thud\"\n", 3, 10, "\"up\" is no pushed",
             "in or out"},
            {"[[reading]]\ninto = \"P1\"\nnote = \"a\\u0000b\"\napplied = \"thud\"\n", 3, 8, "control character",
             "plain text"},
            {at_p2 + "pressure_psi = -1\n", 5, 16, "pressure_psi is -1", "not less than 0"},
            {at_p2 + "pressure_psi = 146\n", 5, 16, "pressure_psi is 146", "145 at most"},
            {at_p2 + "pressure_psi = \"3\"\n", 5, 16, "pressure_psi is a text", "without quotes"},
            {at_p2 + "flow_lpm = -0.1\n", 5, 12, "flow_lpm is -0.1", "not less than 0"},
            {at_p2 + "flow_lpm = 1e9\n", 5, 12, "flow_lpm is", "10000 at most"},
            {at_p2 + "flow_lpm = inf\n", 5, 12, "flow_lpm is not a figure", "plain"},
            {at_p2 + "applies_after_s = -1\n", 5, 19, "applies_after_s is -1", "not less than 0"},
            {at_p2 + "applies_after_s = nan\n", 5, 19, "is not a figure", "plain"},
            {"[[look]]\nseal = \"R9\"\nfound = \"sound\"\n", 2, 8, "no seal \"R9\"", "?"},
            {"[[look]]\nfound = \"sound\"\n", 1, 1, "seal is not said", "seal ="},
            {"[[look]]\nseal = \"R2\"\n", 1, 1, "this look has no found", "sound or damaged"},
            {"[[look]]\nseal = \"R2\"\nfound = \"bad\"\n", 3, 9, "\"bad\" is no found", "sound or damaged"},
            {"[reading]\ninto = \"P1\"\n", 1, 1, "reading is a table", "[[reading]] with two brackets"},
            {"[[reading]]\ninto = \"P1\"\n[reading.seen]\nat = \"P2\"\n", 3, 1, "reading.seen is a table",
             "[[reading.seen]] with two brackets"},
            {"reading = [1]\n", 1, 12, "an entry of reading is a whole number", "[[reading]]"},
        },
        Severity::error);
}

TEST_CASE("an unknown key is a warning with the nearest one, a reading that says nothing another") {
    check_each_readings(
        {
            {good + "wrod = \"faint\"\n", 6, 1, "a [[reading.seen]] has no key \"wrod\"", "word?"},
            {"[[reading]]\ninto = \"P1\"\npressure = 30\napplied = \"thud\"\n", 3, 1,
             "a reading has no key \"pressure\"", "pressure_psi?"},
            {"[[reading]]\ninto = \"P1\"\npluged = [\"P2\"]\napplied = \"thud\"\n", 3, 1,
             "a reading has no key \"pluged\"", "plugged?"},
            {"[[reading]]\ninto = \"P1\"\nzzzz = 1\napplied = \"thud\"\n", 3, 1, "no key \"zzzz\"",
             "readings reference"},
            {good + "[[loook]]\nseal = \"R2\"\n", 6, 3, "nothing called \"loook\"", "[[look]]?"},
            {good + "[zzzz]\nx = 1\n", 6, 2, "nothing called \"zzzz\"", "[[reading]], [[look]] and [[complaint]]"},
            {into_p1, 1, 1, "does not say what came of it", "[[reading.seen]]"},
            {"# nothing yet\n", 1, 1, "the file has no [[reading]]", "into ="},
        },
        Severity::warning);
}

TEST_CASE("all faults of a file are told at once, in its order") {
    const auto result = read_readings_text("[[reading]]\ninto = \"P9\"\npressure_psi = 0\nplugged = [\"P8\"]\n"
                                           "[[reading.seen]]\nat = \"P7\"\nword = \"loud\"\n"
                                           "[[reading]]\ninto = \"Q\"\nwet = 3\n"
                                           "[[look]]\nseal = \"X1\"\nfound = \"bad\"\n",
                                           "r.toml", small_map());
    CAPTURE(all_of(result.faults));
    std::vector<int> lines;
    for (const auto& fault : result.faults)
        lines.push_back(fault.line);
    CHECK(lines == std::vector<int>{2, 3, 4, 6, 7, 8, 9, 10, 12, 13}); // 8: says nothing
    CHECK_FALSE(result.check.has_value());
}

TEST_CASE("what is no readings file is said in one sentence that speaks of readings") {
    const UnitMap map = small_map();
    const auto refusal = [&map](const std::string& text) {
        const auto result = read_readings_text(text, "r.toml", map);
        CHECK_FALSE(result.check.has_value());
        for (const auto& fault : result.faults) {
            if (fault.severity == Severity::error) return to_string(fault);
        }
        return std::string("no error");
    };
    CHECK(refusal("") == "r.toml:0:0: the file is empty: begin with [[reading]] and the port that got the air");
    CHECK(holds(refusal("[unit]\nname = \"x\"\n"), "r.toml:1:1: the file has no [[reading]]"));
    CHECK(holds(refusal("[bench]\nname = \"x\"\n"), "r.toml:1:1: the file has no [[reading]]"));
    CHECK(holds(refusal("reading = 3\n"), "r.toml:1:11: reading is a whole number: [[reading]] with two brackets"));
    CHECK(holds(refusal("[[reading]]\ninto = \"x\n"), "r.toml:2:"));
    CHECK(holds(refusal(std::string("a\0b", 3)), "a readings file is a TOML text file"));
    CHECK(holds(refusal("x = " + std::string(1000, '[')), "a readings file needs three at most"));
    CHECK(holds(refusal(std::string((1u << 20) + 1, '#')), "a readings file has 1048576 at most"));
    CHECK(holds(refusal("[[reading.seen]]\nat = \"P1\"\n"), "r.toml:1:1"));
    std::string many;
    for (int i = 0; i < 2001; ++i)
        many += "[[reading]]\ninto = \"P1\"\napplied = \"thud\"\n";
    CHECK(holds(refusal(many), "there are 2001 of [[reading]]: 2000 at most"));
    CHECK(holds(to_string(read_readings("/no/such/file.toml", map).faults.at(0)), "there is no such file"));
    CHECK(holds(to_string(read_readings("/", map).faults.at(0)), "name a readings file in it"));
    CHECK(holds(to_string(read_readings("/dev/zero", map).faults.at(0)), "cannot be read as a file"));
}

TEST_CASE("more faults than anyone reads are broken off, and hide no error") {
    const UnitMap map = small_map();
    std::string text;
    for (int i = 0; i < 1900; ++i)
        text += "[[reading]]\ninto = \"Qwertyuiop\"\nplugged = [\"zzzzzz\", \"yyyyyy\"]\n";
    const auto result = read_readings_text(text, "r.toml", map);
    REQUIRE(result.faults.size() == 501);
    CHECK(result.faults.back().what.english() == "after 500 faults the checks went no further");

    // As many warnings as the list holds, and behind them an error that no check comes to any more.
    std::string warned;
    for (int i = 0; i < 500; ++i)
        warned += fmt::format("k{} = 1\n", i);
    CHECK_FALSE(read_readings_text(warned + "[[reading]]\ninto = \"Qwertyuiop\"\n", "r.toml", map).check);
    CHECK_FALSE(read_map_text(warned + "[unit]\nname = \"x\"\n[[stack]]\nrow = \"a | b | c\"\n"
                                       "[[port]]\ncircuit = \"qwertyuiop\"\n",
                              "m.toml")
                    .map);
}
