// What is written reads back equal, and whatever is done to a map file, reading it ends in a map or in an error.
#include <doctest/doctest.h>

#include <fmt/format.h>

#include "../../model-data/map_io.h"
#include "faults_said.h"
#include "random_map.h"

using namespace ringland::model;
using namespace ringland::tests;

TEST_CASE("400 random maps are valid, and reading what was written gives the same map") {
    for (std::uint64_t seed = 1; seed <= 400; ++seed) {
        CAPTURE(seed);
        const UnitMap map = random_map(seed);
        const auto complaints = validate(map, "random");
        REQUIRE_MESSAGE(complaints.empty(), all_of(complaints));
        const auto again = read_map_text(write_map_text(map), "written");
        REQUIRE_MESSAGE(again.faults.empty(), all_of(again.faults));
        REQUIRE(again.map.has_value());
        REQUIRE(*again.map == map);
    }
}

TEST_CASE("a changed figure, word or order makes another map") {
    const UnitMap map = random_map(7);
    UnitMap other = map;
    other.seals[0].end_gap = mm(0.123456789);
    CHECK_FALSE(*read_map_text(write_map_text(other), "written").map == map);
    other = map;
    std::swap(other.circuits.front(), other.circuits.back());
    CHECK_FALSE(*read_map_text(write_map_text(other), "written").map == map);
}

TEST_CASE("a figure keeps the unit in which it was entered") {
    const std::string text =
        "[unit]\nname = \"u\"\nair-pressure_bar = 2.5\n[[stack]]\nrow = \"a | x | b\"\npitch_in = 0.060\n"
        "[[port]]\ncircuit = \"x\"\n";
    const auto map = read_map_text(text, "t").map;
    REQUIRE(map.has_value());
    CHECK(map->stacks[0].pitch == Length{0.060, LengthDimension::Unit::in});
    CHECK(map->unit.air_pressure == GaugePressure{2.5, PressureDimension::Unit::bar});
    CHECK(write_map_text(*map).find("pitch_in = 0.06\n") != std::string::npos);
}

TEST_CASE("2000 damaged maps neither crash the reader nor pass without a map or an error") {
    RandomMap random(99);
    std::size_t maps = 0, refused = 0;
    for (int round = 0; round < 2000; ++round) {
        std::string text = write_map_text(random_map(static_cast<std::uint64_t>(round % 40) + 1));
        for (int edits = random.number(1, 6); edits > 0 && !text.empty(); --edits) {
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
        const auto result = read_map_text(text, "damaged");
        CAPTURE(round);
        REQUIRE(result.map.has_value() != has_error(result.faults));
        if (!result.map) {
            ++refused;
            continue;
        }
        ++maps;
        // What was accepted holds to the rules, and survives another writing.
        REQUIRE(validate(*result.map, "damaged").empty());
        const auto again = read_map_text(write_map_text(*result.map), "again");
        REQUIRE_MESSAGE(again.map.has_value(), all_of(again.faults));
        REQUIRE(*again.map == *result.map);
    }
    // Both sides of the reader were tried.
    CHECK(maps > 20);
    CHECK(refused > 1000);
}
