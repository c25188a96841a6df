// The six worked layouts of the trade notes, all invented, with their charts: for the tests of chart and road.
#pragma once

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include <doctest/doctest.h>

#include "../../model-data/map_io.h"

namespace ringland::tests {

using Words = std::vector<std::string>;
using Rows = std::vector<std::pair<std::string, Words>>;

inline model::UnitMap layout(const std::string& body, const Words& ports, const Rows& rows) {
    std::string toml = "[unit]\nname = \"Layout\"\ninvented = true\n" + body;
    if (body.find("[[stack]]") == std::string::npos)
        toml +=
            "[[stack]]\nid = \"other-shaft\"\nrow = \"pump end | Spare | drum end\"\n[[port]]\ncircuit = \"Spare\"\n";
    for (const auto& circuit : ports)
        toml += "[[port]]\ncircuit = \"" + circuit + "\"\n";
    for (const auto& [name, on] : rows) {
        toml += "[[range]]\nid = \"range-" + name + "\"\nname = \"" + name + "\"\non = [";
        for (const auto& element : on)
            toml += "\"" + element + "\", ";
        toml += "]\n";
    }
    auto result = model::read_map_text(toml, "layout.toml");
    for (const auto& fault : result.faults) {
        if (fault.severity == model::Severity::error) FAIL_CHECK(model::to_string(fault));
    }
    REQUIRE(result.map.has_value());
    return *result.map;
}

/// Clutches on the input, each with a circuit of its name; other circuits are added by the tests.
inline std::string clutch(const std::string& id, const std::string& circuit, const std::string& more = "") {
    return "[[element]]\nid = \"" + id + "\"\nkind = \"clutch\"\napplied-by = [\"" + circuit + "\"]\n" + more;
}
inline std::string circuits(const Words& names) {
    std::string toml;
    for (const auto& name : names)
        toml += "[[circuit]]\nname = \"" + name + "\"\nno-port = true\n";
    return toml;
}

inline std::size_t circuit(const model::UnitMap& map, const std::string& name) {
    for (std::size_t c = 0; c < map.circuits.size(); ++c) {
        if (map.circuits[c].name == name || map.circuits[c].id == name) return c;
    }
    FAIL("no circuit ", name);
    return 0;
}
inline std::size_t seal(const model::UnitMap& map, const std::string& id) {
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        if (map.seals[s].id == id) return s;
    }
    FAIL("no seal ", id);
    return 0;
}
inline std::size_t range(const model::UnitMap& map, const std::string& name) {
    for (std::size_t r = 0; r < map.ranges.size(); ++r) {
        if (map.ranges[r].name == name || map.ranges[r].id == name) return r;
    }
    FAIL("no range ", name);
    return 0;
}

/// Adjacent ring r2 between F and D. The gears, where asked for, are two suns on one carrier (invented teeth): 1st with
/// the low brake behind a one-way clutch, and a low brake that holds both ways for reverse.
inline model::UnitMap layout_one(bool with_gears = true) {
    const auto joins = [&](const char* a, const char* b) {
        return with_gears ? std::string("joins = [\"") + a + "\", \"" + b + "\"]\n" : std::string();
    };
    std::string body = circuits({"B", "N", "L", "LR"}) + R"(
# Narrow exhausts, so that a leak can beat them.
[[circuit]]
name = "F"
feed_mm = 3
exhaust_mm = 1.5
[[circuit]]
name = "D"
feed_mm = 3
exhaust_mm = 1.5
[[stack]]
id = "shaft"
row = "pump end | D | F | drum end"
seals = ["r1", "r2", "r3"]
)";
    body += clutch("F", "F", joins("input", "small"));
    body += clutch("D", "D", joins("input", "carrier"));
    body += clutch("B", "B", joins("large", "case"));
    body += clutch("N", "N", joins("input", "large"));
    body += clutch("L", "L", joins("carrier", "case") + "one-way = true\n");
    body += clutch("LR", "LR", joins("carrier", "case"));
    if (with_gears) {
        body += R"(
[[gear-set]]
sun = "small"
carrier = "carrier"
ring = "output"
sun-teeth = 28
ring-teeth = 74
planets = "double"
[[gear-set]]
sun = "large"
carrier = "carrier"
ring = "output"
sun-teeth = 34
ring-teeth = 74
)";
    }
    return layout(body, {"F", "D"},
                  {{"1", {"F", "L"}},
                   {"2", {"F", "B"}},
                   {"3", {"F", "D"}},
                   {"4", {"D", "B"}},
                   {"R", {"N", "LR"}},
                   {"1-held", {"F", "LR"}}});
}

/// End ring of P to the lube.
inline model::UnitMap layout_two() {
    return layout(circuits({"Q", "S", "T", "U"}) + R"(
[[circuit]]
name = "Lube"
kind = "lube"
[[stack]]
id = "shaft"
row = "pump end | P | drum end"
outside = ["Lube", "sump"]
seals = ["r1", "r2"]
[[seal]]
id = "piston-seal"
kind = "lip"
between = ["P", "sump"]
[[by-design]]
from = "Lube"
to = "sump"
hole_mm = 3
reason = "open at every thrust washer"
)" + clutch("P", "P") +
                      clutch("Q", "Q") + clutch("S", "S") + clutch("T", "T") + clutch("U", "U"),
                  {"P", "Lube"},
                  {{"1", {"P", "U"}},
                   {"2", {"P", "T"}},
                   {"3", {"P", "S"}},
                   {"4", {"P", "Q"}},
                   {"5", {"Q", "T"}},
                   {"R", {"S", "U"}}});
}

/// Servo: apply side A, release side D, which also applies the direct clutch.
inline model::UnitMap layout_three() {
    return layout(circuits({"A", "D", "F", "L"}) + R"(
[[seal]]
id = "servo-seal"
kind = "o-ring"
between = ["A", "D"]
[[element]]
id = "band"
kind = "band"
applied-by = ["A"]
released-by = ["D"]
)" + clutch("direct", "D") +
                      clutch("forward", "F") + clutch("low", "L"),
                  {},
                  {{"1", {"forward", "low"}},
                   {"2", {"forward", "band"}},
                   {"3", {"forward", "band", "direct"}},
                   {"R", {"direct", "low"}}});
}

/// Powershift: V and W give the direction, S1 to S3 the speed.
inline model::UnitMap layout_four() {
    Rows rows{{"N", {}}};
    for (const auto& [letter, direction] : {std::pair{"F", "V"}, std::pair{"R", "W"}}) {
        for (const char* n : {"1", "2", "3"})
            rows.push_back({std::string(letter) + n, {direction, std::string("S") + n}});
    }
    return layout(R"(
[[circuit]]
name = "Lube"
kind = "lube"
[[stack]]
id = "direction-shaft"
row = "pump end | V | W | Lube | drum end"
seals = ["r1", "r2", "r3", "r4"]
[[stack]]
id = "speed-shaft"
row = "pump end | S1 | S2 | S3 | drum end"
seals = ["q1", "q2", "q3", "q4"]
)" + clutch("V", "V") +
                      clutch("W", "W") + clutch("S1", "S1") + clutch("S2", "S2") + clutch("S3", "S3"),
                  {"V", "W", "S1", "S2", "S3", "Lube"}, rows);
}

/// A tube joins K1 and K2, which are no neighbours in the row.
inline model::UnitMap layout_five() {
    return layout(
        circuits({"B"}) + R"(
[[stack]]
id = "shaft"
row = "pump end | K1 | K3 | K2 | drum end"
seals = ["r1", "r2", "r3", "r4"]
[[seal]]
id = "tube"
kind = "tube"
between = ["K1", "K2"]
)" + clutch("K1", "K1") +
            clutch("K2", "K2") + clutch("K3", "K3") + clutch("B", "B"),
        {"K1", "K2", "K3"},
        {{"1", {"K1", "B"}}, {"2", {"K1", "K2"}}, {"3", {"K2", "K3"}}, {"4", {"K1", "K3"}}, {"R", {"K3", "B"}}});
}

/// Two chambers behind one clutch: the small one alone in 3, both in R.
inline model::UnitMap layout_six() {
    return layout(circuits({"F", "B"}) + R"(
[[stack]]
id = "shaft"
row = "pump end | Ms | Other | ML | drum end"
[[seal]]
id = "centre-lip"
kind = "lip"
between = ["Ms", "ML"]
faces = "Ms"
)" + clutch("M-small", "Ms") +
                      clutch("M-large", "ML") + clutch("F", "F") + clutch("B", "B"),
                  {"Ms", "ML", "Other"},
                  {{"1", {"F", "B"}}, {"3", {"F", "M-small"}}, {"R", {"M-small", "M-large", "B"}}});
}

} // namespace ringland::tests
