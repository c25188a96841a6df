// Every fault of a map by itself: where it is said to be, what is said to be wrong, and what would be right.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include <fmt/format.h>

#include "../../model-data/map_io.h"
#include "faults_said.h"

using namespace ringland::model;
using namespace ringland::tests;

namespace {

/// A good map of fifteen lines; what a case adds begins in line 16.
const std::string good_map = "[unit]\n"                                    // 1
                             "name = \"Bench three\"\n"                    // 2
                             "[[stack]]\n"                                 // 3
                             "id = \"input\"\n"                            // 4
                             "row = \"pump end | Low | Top | drum end\"\n" // 5
                             "[[port]]\n"                                  // 6
                             "circuit = \"Low\"\n"                         // 7
                             "[[port]]\n"                                  // 8
                             "circuit = \"Top\"\n"                         // 9
                             "[[part]]\n"                                  // 10
                             "id = \"drum\"\n"                             // 11
                             "kind = \"drum\"\n"                           // 12
                             "[[part]]\n"                                  // 13
                             "id = \"pump\"\n"                             // 14
                             "kind = \"pump\"\n";                          // 15

/// The text has exactly this one fault.
void check_single(const std::string& text, const FaultCase& expected, Severity severity) {
    CAPTURE(text);
    const auto result = read_map_text(text, "m.toml");
    check_single_fault(result.faults, "m.toml", expected, severity);
    CHECK(result.map.has_value() == (severity == Severity::warning));
}

void check_errors(const std::vector<FaultCase>& cases) {
    for (const auto& c : cases)
        check_single(good_map + c.text, c, Severity::error);
}

} // namespace

TEST_CASE("the good map that the other cases spoil has no fault") {
    const auto result = read_map_text(good_map, "m.toml");
    CHECK_MESSAGE(result.faults.empty(), all_of(result.faults));
    REQUIRE(result.map.has_value());
    CHECK(result.map->seals.size() == 3);
}

TEST_CASE("an unknown key is a warning with the nearest known one") {
    const std::vector<FaultCase> cases{
        {"[[circuit]]\nid = \"x\"\nno-port = true\ncolor = \"red\"\n", 19, 1, "a circuit has no key \"color\"",
         "colour?"},
        {"[[part]]\nid = \"x\"\nkind = \"case\"\nouter-diameter = 4\n", 19, 1, "no key \"outer-diameter\"",
         "outer-diameter_mm?"},
        {"[[part]]\nid = \"x\"\nkind = \"case\"\nouter_diameter_mm = 4\n", 19, 1, "no key", "outer-diameter_mm?"},
        {"[[part]]\nid = \"x\"\nkind = \"case\"\nxyzzyxyzzy = 4\n", 19, 1, "no key \"xyzzyxyzzy\"", "passed over"},
        {"[[prt]]\ncircuit = \"Low\"\n", 16, 3, "nothing called \"prt\"", "part?"},
        {"[[element]]\nkind = \"clutch\"\napplied_by = []\napplied-by = [\"Low\"]\n", 18, 1, "\"applied_by\"",
         "applied-by?"},
    };
    for (const auto& c : cases)
        check_single(good_map + c.text, c, Severity::warning);
}

TEST_CASE("wrong types and sizes") {
    check_errors({
        {"[[circuit]]\nid = \"x\"\nno-port = \"yes\"\n[[port]]\ncircuit = \"x\"\n", 18, 11, "no-port is a text",
         "true or false"},
        {"[[part]]\nid = 7\nkind = \"case\"\n", 17, 6, "a whole number", "a text in quotes"},
        {"[[part]]\nid = \"x\"\nkind = \"case\"\nfrom_mm = \"12\"\n", 19, 11, "from_mm is a text", "without quotes"},
        {"[[part]]\nid = \"x\"\nkind = \"case\"\nline = 1.5\n", 19, 8, "line is a number", "a whole number"},
        {"[[part]]\nid = \"x\"\nkind = \"case\"\nafter = \"drum\"\n", 19, 9, "after is a text", "a list of texts"},
        {"[[part]]\nid = \"x\"\nkind = \"case\"\nrenew = [\"a\", 2]\n", 19, 15, "a whole number", "a text in quotes"},
        {"[[part]]\nid = \"x\"\nkind = 3\n", 18, 8, "kind is a whole number", "case"},
        {"[[seal]]\nkind = \"lip\"\nbetween = [\"Low\"]\n", 18, 11, "1 entries", "two circuits"},
        {"[[port]]\ncircuit = \"Low\"\nat-mm = [1, 2, 3]\n", 18, 9, "3 entries", "two numbers"},
        {"[[passage]]\ncircuit = \"Low\"\npoints-mm = [[1, 2, 3], [4, 5]]\n", 18, 25, "not three numbers", "[x, y, z]"},
        {"[[passage]]\ncircuit = \"Low\"\npoints-mm = [[1, 2, 3]]\n", 18, 13, "one point", "two points"},
        {"[range]\nname = \"1\"\n", 16, 1, "range is a table", "[[range]]"},
    });
    check_single("unit = 3\n" + good_map.substr(good_map.find("[[stack]]")),
                 {"", 1, 8, "unit is a whole number", "[unit]"}, Severity::error);
}

TEST_CASE("words, texts, ids and colours") {
    check_errors({
        {"[[part]]\nid = \"x\"\nkind = \"drumm\"\n", 18, 8, "\"drumm\" is no kind", "drum? It is one of case, pump"},
        {"[[seal]]\nkind = \"ring\"\njoint = \"zzzzzz\"\nstack = \"input\"\nnth = 1\n", 18, 9, "\"zzzzzz\" is no joint",
         "one of none, butt"},
        {"[[part]]\nid = \"a b\"\nkind = \"case\"\n", 17, 6, "\"a b\" cannot be an id", "letters"},
        {"[[part]]\nid = \"" + std::string(41, 'a') + "\"\nkind = \"case\"\n", 17, 6, "cannot be an id", "1 to 40"},
        {"[[part]]\nid = \"Drüm\"\nkind = \"case\"\n", 17, 6, "cannot be an id", "letters"},
        {"[[part]]\nid = \"drum\"\nkind = \"case\"\n", 17, 6, "\"drum\" is used twice", "a part in line 10"},
        {"[[port]]\nid = \"drum\"\ncircuit = \"Low\"\n", 17, 6, "\"drum\" is used twice", "a part in line 10"},
        {"[[circuit]]\nid = \"x\"\nno-port = true\ncolour = \"red\"\n", 19, 10, "\"red\" is no colour", "#0072b2"},
        {"[[circuit]]\nid = \"x\"\nno-port = true\ntag = \"ABCDE\"\n", 19, 7, "too long", "four at most"},
        {"[[part]]\nkind = \"case\"\nname = \"a\\nb\"\n", 18, 8, "line break", "one line"},
        {"[[part]]\nkind = \"case\"\nnote = \"a\\u0001b\"\n", 18, 8, "control character", "plain text"},
        {"[[part]]\nkind = \"case\"\nnote = \"" + std::string(4001, 'a') + "\"\n", 18, 8, "4001 bytes", "4000 at most"},
        {"[[part]]\nid = \"x\"\n", 16, 1, "this part has no kind", "one of case, pump"},
        {"[[element]]\nid = \"x\"\napplied-by = [\"Low\"]\n", 16, 1, "this element has no kind", "one of clutch"},
        {"[[clearance]]\nlower_mm = 1\n", 16, 1, "has no name", "name ="},
        {"[[port]]\nid = \"x\"\n", 16, 1, "port \"x\" has no circuit", "circuit ="},
        {"[[by-design]]\nfrom = \"Low\"\nto = \"sump\"\n", 16, 1, "has no reason", "reason ="},
    });
}

TEST_CASE("figures") {
    const std::string part = "[[part]]\nid = \"x\"\nkind = \"case\"\n";
    check_errors({
        {part + "from_mm = nan\n", 19, 11, "from_mm is not a figure", "plain number"},
        {part + "from_in = inf\n", 19, 11, "from_in is not a figure", "plain number"},
        {part + "from_mm = -1\n", 19, 11, "from_mm is -1", "not less than 0"},
        {part + "from_mm = 20001\n", 19, 11, "from_mm is 20001", "20000 at most"},
        {part + "from_in = 20000\n", 19, 11, "from_in is 20000", "787"},
        {part + "outer-diameter_mm = 0\n", 19, 21, "outer-diameter_mm is 0", "more than 0"},
        {part + "from_mm = 30\nto_mm = 20\n", 20, 9, "ends before it begins", "to larger than from"},
        {part + "from_mm = 30\nto_in = 1\n", 20, 9, "ends before it begins", "to larger than from"},
        {part + "outer-diameter_mm = 30\ninner-diameter_mm = 30\n", 20, 21, "wider inside", "below the outer"},
        {part + "from_mm = 30\nfrom_in = 1\n", 20, 11, "from is given twice", "measured"},
        {part + "minutes = -2\n", 19, 11, "minutes is -2", "not less than 0"},
        {part + "line = 0\n", 19, 8, "line is 0", "not less than 1"},
        {part + "line = 99999999999999\n", 19, 8, "line is", "20 at most"},
        {"[[clearance]]\nname = \"pack\"\nlower_mm = 2\nupper_mm = 1\n", 18, 12, "lies above the upper",
         "lower not above upper"},
        {"[[passage]]\ncircuit = \"Low\"\npoints-mm = [[1, 2, 3], [4, 5, nan]]\n", 18, 32, "not a figure",
         "plain number"},
        {"[[port]]\ncircuit = \"Low\"\nat-mm = [1, 30000]\n", 18, 13, "30000", "20000 at most"},
    });
}

TEST_CASE("references that lead nowhere, with the nearest that exists") {
    check_errors({
        {"[[port]]\ncircuit = \"Lew\"\n", 17, 11, "no circuit \"Lew\"", "\"low\"?"},
        {"[[part]]\nid = \"x\"\nkind = \"case\"\non = \"drun\"\n", 19, 6, "no part \"drun\"", "\"drum\"?"},
        {"[[part]]\nid = \"x\"\nkind = \"case\"\nafter = [\"pump\", \"dram\"]\n", 19, 18, "no part \"dram\"",
         "\"drum\"?"},
        {"[[part]]\nid = \"x\"\nkind = \"case\"\non = \"wholly-other\"\n", 19, 6, "no part", "the id or name of one"},
        {"[[seal]]\nstack = \"imput\"\nnth = 1\n", 17, 9, "no stack \"imput\"", "\"input\"?"},
        {"[[range]]\nname = \"1\"\non = [\"B1\"]\n", 18, 7, "no element \"B1\"", "id or name"},
        {"[[passage]]\ncircuit = \"Low\"\nport = \"P9\"\n", 18, 8, "no port \"P9\"", "\"P1\"?"},
        {"[[clearance]]\nname = \"c\"\nof = \"drums\"\n", 18, 6, "no element, part or stack \"drums\"", "\"drum\"?"},
        {"[[seal]]\nkind = \"lip\"\nbetween = [\"Low\", \"Tip\"]\n", 18, 19, "no circuit \"Tip\"", "\"top\"?"},
        {"[[by-design]]\nfrom = \"Low\"\nto = \"sumo\"\nreason = \"r\"\n", 18, 6, "no circuit \"sumo\"", "\"sump\"?"},
    });
}

TEST_CASE("circuits and ports") {
    check_errors({
        {"[[circuit]]\nid = \"x\"\n", 16, 1, "no port leads into circuit \"x\"", "no-port = true"},
        {"[[circuit]]\nid = \"low\"\nname = \"Low\"\nno-port = true\n", 19, 11, "has a port and says that it has none",
         "leave no-port out"},
        {"[[port]]\ncircuit = \"sump\"\n", 17, 11, "leads into the sump", "holds pressure"},
        {"[[circuit]]\nid = \"x\"\nkind = \"sump\"\n", 18, 8, "of kind sump", "id = \"sump\""},
        {"[[circuit]]\nid = \"sump\"\nkind = \"lube\"\n", 18, 8, "open case", "another id"},
        {"[[passage]]\ncircuit = \"Low\"\nport = \"P2\"\n", 18, 8, "leads into \"top\", not into \"low\"",
         "same circuit"},
        {"[[by-design]]\nfrom = \"Low\"\nto = \"low\"\nreason = \"r\"\n", 18, 6, "to itself", "another circuit"},
        {"[[element]]\nid = \"x\"\nkind = \"clutch\"\n", 16, 1, "nothing applies clutch \"x\"", "applied-by"},
    });
}

TEST_CASE("stacks") {
    const std::string end = "[[port]]\ncircuit = \"A\"\n";
    check_errors({
        {"[[stack]]\nrow = \"one end | other end\"\n", 17, 7, "no circuit between its ends", "first end | circuit"},
        {"[[stack]]\nrow = \"A\"\n", 17, 7, "no ends", "first end | circuit"},
        {"[[stack]]\nrow = \" | A | other end\"\n", 17, 7, "the first end of this row has no name", "first end |"},
        {"[[stack]]\nrow = \"one end | A | \"\n", 17, 7, "the second end of this row has no name", "second end"},
        {"[[stack]]\nrow = \"one end | Low | | Top | other end\"\n", 17, 7, "between bar 2 and the next",
         "a circuit between"},
        {"[[stack]]\nrow = \"one end | Low | Top | low | other end\"\n", 17, 7, "\"low\" stands twice",
         "each circuit once"},
        {"[[stack]]\nrow = \"one end | Lou | other end\"\n", 17, 7, "no port leads into circuit \"Lou\"",
         "is \"low\" meant?"},
        {"[[stack]]\nid = \"x\"\n", 16, 1, "has no circuit", "row ="},
        {"[[stack]]\nrow = \"one end | A | other end\"\nseals = [\"a\"]\n" + end, 18, 9, "1 circuits and lists 1 seals",
         "2 seals"},
        {"[[stack]]\nrow = \"one end | A | other end\"\nfirst-end = \"b\"\n" + end, 18, 13, "both given",
         "one of the two"},
        {"[[stack]]\nrow = \"one end | A | other end\"\noutside = [\"sump\", \"A\"]\n" + end, 18, 20,
         "divide \"a\" from itself", "another circuit"},
        {"[[stack]]\nrow = \"one end | A | other end\"\noutside = [\"lub\", \"sump\"]\n" + end, 18, 12,
         "no circuit \"lub\"", "id or name"},
        {"[[stack]]\nrow = \"one end | A | other end\"\npitch_mm = 2\nring-width_mm = 2\n" + end, 18, 12,
         "lie in one another", "larger"},
        {"[[stack]]\nrow = \"one end | A | other end\"\ndiameter_mm = 8\ngroove-depth_mm = 4\n" + end, 19, 19,
         "cut the shaft through", "half"},
    });
    std::string wide = "[[stack]]\nrow = \"one end";
    for (int i = 0; i < 65; ++i)
        wide += fmt::format(" | c{}", i);
    check_errors({{wide + " | other end\"\n", 17, 7, "65 circuits", "64 at most"}});
}

TEST_CASE("seals") {
    const std::string lip = "[[seal]]\nid = \"L\"\nkind = \"lip\"\n";
    check_errors({
        {"[[seal]]\nid = \"L\"\nbetween = [\"Low\", \"Top\"]\n", 16, 1, "\"L\" has no kind", "kind = \"lip\""},
        {lip, 16, 1, "does not say what it divides", "between ="},
        {lip + "between = [\"Low\", \"low\"]\n", 19, 11, "divides \"low\" from itself", "two different"},
        {lip + "between = [\"Low\", \"Top\"]\nfaces = \"sump\"\n", 20, 9, "does not touch", "\"low\" or \"top\""},
        {"[[seal]]\nid = \"W\"\nkind = \"wall\"\nbetween = [\"Low\", \"Top\"]\n", 16, 1, "where it stands",
         "relation ="},
        {"[[seal]]\nid = \"X\"\nkind = \"ring\"\nbetween = [\"Low\", \"Top\"]\n", 16, 1, "in which stack", "stack ="},
        {"[[seal]]\nstack = \"input\"\nnth = 4\n", 18, 7, "has no seal 4", "nth = 1 to 3, counted from the pump end"},
        {"[[seal]]\nstack = \"input\"\nnth = 0\n", 18, 7, "nth is 0", "not less than 1"},
        {"[[seal]]\nid = \"X\"\nstack = \"input\"\n", 16, 1, "does not say which", "nth = 1 to 3"},
        {"[[seal]]\nid = \"X\"\nkind = \"lip\"\nnth = 1\nbetween = [\"Low\", \"Top\"]\n", 16, 1, "nth and no stack",
         "stack ="},
        {"[[seal]]\nstack = \"input\"\nnth = 1\n[[seal]]\nstack = \"input\"\nnth = 1\n", 21, 7, "described twice",
         "line 16"},
        {"[[seal]]\nstack = \"input\"\nnth = 1\nbetween = [\"Low\", \"Top\"]\n", 19, 11, "does not divide these two",
         "[\"sump\", \"low\"]"},
        {"[[seal]]\nstack = \"input\"\nnth = 1\nrelation = \"face\"\n", 19, 12, "stands in a stack",
         "relation = \"stack\""},
    });
}

TEST_CASE("parts that need each other in a circle") {
    const std::string two =
        "[[part]]\nid = \"a\"\nkind = \"case\"\n{} = {}\n[[part]]\nid = \"b\"\nkind = \"case\"\n{} = {}\n";
    check_errors({
        {fmt::format(fmt::runtime(two), "after", "[\"b\"]", "after", "[\"a\"]"), 23, 9,
         "wait for each other to come off: a - b - a", "left out"},
        {fmt::format(fmt::runtime(two), "on", "\"b\"", "on", "\"a\""), 23, 6, "carry each other in a circle: a - b - a",
         "left out"},
        {"[[part]]\nid = \"a\"\nkind = \"case\"\nafter = [\"a\"]\n", 19, 9, "a - a", "left out"},
    });
}

TEST_CASE("a shapes file cannot lie outside of the folder of the map") {
    for (const char* name : {"../x.glb", "a/x.glb", "/etc/x.glb", "..\\\\x.glb", "C:x.glb"}) {
        std::string text = good_map;
        text.insert(text.find("[[stack]]"), fmt::format("shapes = \"{}\"\n", name));
        check_single(text, {"", 3, 10, "leaves the folder", "beside the map"}, Severity::error);
    }
    std::string text = good_map;
    text.insert(text.find("[[stack]]"), "shapes = \"x.stl\"\n");
    check_single(text, {"", 3, 10, "no .glb file", ".glb"}, Severity::error);
}

TEST_CASE("what a map must have") {
    check_single("[unit]\nname = \"x\"\n[[circuit]]\nid = \"a\"\n[[port]]\ncircuit = \"a\"\n",
                 {"", 1, 1, "no stack", "[[stack]]"}, Severity::error);
    check_single("[unit]\nname = \"x\"\n[[stack]]\nrow = \"a | b | c\"\n", {"", 1, 1, "no port", "[[port]]"},
                 Severity::error);
    check_single(good_map.substr(good_map.find("[[stack]]")), {"", 1, 1, "no [unit]", "[unit] with a name"},
                 Severity::error);
    check_single("[unit]\n" + good_map.substr(good_map.find("[[stack]]")), {"", 1, 1, "the unit has no name", "name ="},
                 Severity::error);
}

TEST_CASE("what is not TOML is said with its place") {
    check_single("[unit]\nname = \"x\n", {"", 2, 10, "not TOML", "mend"}, Severity::error);
    check_single("[unit]\nname = ]\n", {"", 2, 8, "nothing stands behind", "a value"}, Severity::error);
    check_single("[unit]\nname = \"x\"\nname = \"y\"\n", {"", 3, 8, "not TOML", "mend"}, Severity::error);
}

TEST_CASE("several faults are all named at once, in the order of the file") {
    const std::string text = "[unit]\nname = \"x\"\ncase = \"shut\"\n"
                             "[[circuit]]\nid = \"low\"\ncolour = \"blue\"\nvolum_cm3 = 3\n"
                             "[[stack]]\nrow = \"pump end | Low | drum end\"\n"
                             "[[seal]]\nkind = \"lip\"\nbetween = [\"Low\", \"Tap\"]\nend-gap_mm = -1\n"
                             "[[port]]\ncircuit = \"Low\"\n[[port]]\nid = \"low\"\ncircuit = \"sump\"\n";
    const auto result = read_map_text(text, "m.toml");
    CHECK_FALSE(result.map.has_value());
    std::vector<std::pair<int, int>> places;
    for (const auto& fault : result.faults)
        places.emplace_back(fault.line, fault.column);
    const std::vector<std::pair<int, int>> expected{{3, 8}, {6, 10}, {7, 1}, {12, 19}, {13, 14}, {17, 6}, {18, 11}};
    CHECK_MESSAGE(places == expected, all_of(result.faults));
}

TEST_CASE("a fault reads as file, line, column, what is wrong, what would be right") {
    const auto result = read_map_text(good_map + "[[port]]\ncircuit = \"Lew\"\n", "bench/three.toml");
    REQUIRE(result.faults.size() == 1);
    CHECK(to_string(result.faults[0]) == "bench/three.toml:17:11: circuit: there is no circuit \"Lew\": \"low\"?");
}

TEST_CASE("the nearest word") {
    CHECK(nearest_word("relase", {"apply", "release", "lube"}) == "release");
    CHECK(nearest_word("APPLY", {"apply", "release"}) == "apply");
    CHECK(nearest_word("aplpy", {"apply", "other"}) == "apply");
    CHECK(nearest_word("xyz", {"apply", "release"}).empty());
    CHECK(nearest_word("", {"apply"}).empty());
    CHECK(nearest_word(std::string(100000, 'a'), {"apply"}).empty());
}

TEST_CASE("a letter beyond ASCII outside quotes is named, and inside quotes it is welcome") {
    check_single(good_map + "[[circuit]]\nid = \"x\"\nno-port = true\nn\u00f6te = 1\n",
                 {"", 19, 2, "beyond ASCII stands outside quotes", "plain ASCII"}, Severity::error);
    const auto named =
        read_map_text("\xEF\xBB\xBF" + good_map +
                          "[[circuit]]\nid = \"x\"\nname = \"Tambor de \u00f1and\u00fa\"\nno-port = true # caf\u00e9\n",
                      "m.toml");
    CHECK_MESSAGE(named.faults.empty(), all_of(named.faults));
}
