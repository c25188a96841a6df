// The chart: in which ranges a path between two circuits can be felt. Layouts one to six of the trade notes (invented).
#include <algorithm>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "../../diagnosis/gears/chart.h"
#include "layouts.h"

using namespace ringland;
using namespace ringland::diagnosis::gears;
using namespace ringland::tests;

namespace {

Words names(const model::UnitMap& map, const std::vector<std::size_t>& ranges) {
    Words list;
    for (const std::size_t r : ranges)
        list.push_back(map.ranges[r].name);
    return list;
}
Words affected(const model::UnitMap& map, const std::string& a, const std::string& b) {
    return names(map, Chart(map).affected({circuit(map, a), circuit(map, b)}));
}
Words masked(const model::UnitMap& map, const std::string& a, const std::string& b) {
    return names(map, Chart(map).masked({circuit(map, a), circuit(map, b)}));
}

} // namespace

// The rule: affected ranges are the symmetric difference (reasoning from the application chart; common practice, no
// source).
TEST_CASE("layout 1: a ring between two clutches shows where exactly one of them is on") {
    const auto map = layout_one();
    CHECK(affected(map, "F", "D") == Words{"1", "2", "4", "1-held"});
    CHECK(affected(map, "D", "F") == affected(map, "F", "D"));
    CHECK(masked(map, "F", "D") == Words{"3"});
}

TEST_CASE(
    "layout 2: out to the lube it shows in all ranges of the circuit, and the piston's own seal in the same ones") {
    const auto map = layout_two();
    CHECK(affected(map, "P", "Lube") == Words{"1", "2", "3", "4"});
    CHECK(affected(map, "P", "sump") == affected(map, "P", "Lube"));
    CHECK(masked(map, "P", "Lube").empty());
}

TEST_CASE("layout 3: a band that is held off by its release side still has its apply side full") {
    const auto map = layout_three();
    CHECK(affected(map, "A", "D") == Words{"2", "R"});
    const Chart chart(map);
    const auto band =
        static_cast<std::size_t>(&*std::find_if(map.elements.begin(), map.elements.end(), [](const auto& e) {
            return e.id == "band";
        }) - map.elements.data());
    CHECK(chart.elements_on(1)[band]);
    CHECK_FALSE(chart.elements_on(2)[band]);
}

TEST_CASE("layout 4: between two directions every range, between two speeds the ranges of both") {
    const auto map = layout_four();
    CHECK(affected(map, "V", "W") == Words{"F1", "F2", "F3", "R1", "R2", "R3"});
    CHECK(affected(map, "S1", "S2") == Words{"F1", "F2", "R1", "R2"});
    CHECK(affected(map, "V", "Lube") == Words{"F1", "F2", "F3"});
}

TEST_CASE("layout 5: a tube between circuits that are no neighbours") {
    const auto map = layout_five();
    CHECK(affected(map, "K1", "K2") == Words{"1", "3", "4"});
    CHECK(masked(map, "K1", "K2") == Words{"2"});
}

TEST_CASE("layout 6: a clutch with two chambers, of which one is on alone") {
    const auto map = layout_six();
    CHECK(affected(map, "Ms", "ML") == Words{"3"});
    CHECK(masked(map, "Ms", "ML") == Words{"R"});
}

TEST_CASE("a circuit that applies two elements is on where both are") {
    // As in Larch Five: low-reverse alone puts the brake on, reverse feeds brake and clutch.
    const auto map = layout(R"(
[[circuit]]
name = "X"
[[circuit]]
name = "Y"
[[element]]
id = "brake"
kind = "brake"
applied-by = ["X", "Y"]
[[element]]
id = "clutch"
kind = "clutch"
applied-by = ["Y"]
)",
                            {"X", "Y"}, {{"1", {"brake"}}, {"R", {"brake", "clutch"}}});
    const Chart chart(map);
    CHECK(chart.on(0)[circuit(map, "X")]);
    CHECK_FALSE(chart.on(0)[circuit(map, "Y")]);
    CHECK(chart.on(1)[circuit(map, "Y")]);
}
