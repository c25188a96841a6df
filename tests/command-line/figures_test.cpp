// Figures as people type them: what is understood, and what is refused with the right words.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdint>
#include <random>
#include <string>

#include "../../viewer/platform/figures.h"

namespace {

using namespace ringland::viewer;

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

double pressure_pa(const char* typed) {
    const auto figure = parse_pressure(typed);
    REQUIRE_MESSAGE(figure.value.has_value(), figure.why);
    CHECK(figure.why.empty());
    return figure.value->si();
}

double hole_mm(const char* typed) {
    const auto figure = parse_hole(typed);
    REQUIRE_MESSAGE(figure.value.has_value(), figure.why);
    return figure.value->si() * 1e3;
}

std::string refused_pressure(const char* typed) {
    const auto figure = parse_pressure(typed);
    CHECK_FALSE(figure.value.has_value());
    return figure.why;
}

std::string refused_hole(const char* typed) {
    const auto figure = parse_hole(typed);
    CHECK_FALSE(figure.value.has_value());
    return figure.why;
}

} // namespace

TEST_CASE("a figure with its unit is understood as it is usually written") {
    // 1 psi = 6894.757 Pa, from the international pound and inch.
    for (const char* typed : {"35psi", "35 psi", "35PSI", " 35psi ", "35.0psi", "35.psi"}) {
        CAPTURE(typed);
        CHECK(pressure_pa(typed) == doctest::Approx(35 * 6894.757293168).epsilon(1e-12));
    }
    CHECK(pressure_pa("2.4bar") == doctest::Approx(2.4e5));
    CHECK(pressure_pa("240kPa") == doctest::Approx(2.4e5));
    CHECK(pressure_pa("10bar") == doctest::Approx(10e5));
    CHECK(pressure_pa("0") == 0);
    CHECK(pressure_pa("0psi") == 0);
    CHECK(hole_mm("3mm") == doctest::Approx(3));
    CHECK(hole_mm(".118in") == doctest::Approx(2.9972));
    CHECK(hole_mm("1/8in") == doctest::Approx(3.175));
    CHECK(hole_mm("1/64 in") == doctest::Approx(0.396875));
    CHECK(hole_mm(".040\"") == doctest::Approx(1.016));
    CHECK(hole_mm("0") == 0);
    CHECK(hole_mm("10mm") == doctest::Approx(10));
}

TEST_CASE("a figure keeps the unit in which it was typed") {
    CHECK(parse_pressure("2.4bar").value ==
          ringland::model::GaugePressure{2.4, ringland::model::PressureDimension::Unit::bar});
    CHECK(parse_hole(".118in").value == ringland::model::Length{0.118, ringland::model::LengthDimension::Unit::in});
}

TEST_CASE("what is refused says what would be right") {
    CHECK(holds(refused_pressure("35"), "\"35\": the unit is missing; write 35psi, 240kPa or 2.4bar"));
    CHECK(holds(refused_hole("3"), "the unit is missing; write 3mm, .118in or 1/8in"));
    CHECK(holds(refused_pressure("2,4bar"), "a point for the comma"));
    CHECK(holds(refused_pressure("-3psi"), "not below 0"));
    CHECK(holds(refused_hole("-3mm"), "a hole is not below 0"));
    CHECK(holds(refused_pressure("35psig"), "psi?"));
    CHECK(holds(refused_pressure("35pis"), "psi?"));
    CHECK(holds(refused_pressure("3mm"), "no unit of a pressure"));
    CHECK(holds(refused_hole("35psi"), "no unit of a hole"));
    CHECK(holds(refused_pressure("11bar"), "10 bar (145 psi) at most"));
    CHECK(holds(refused_pressure("1000psi"), "at most"));
    CHECK(holds(refused_hole("11mm"), "10 mm (0.394 in) at most"));
    CHECK(holds(refused_hole("1in"), "at most"));
    for (const char* typed : {"", " ", "psi", ".", ".psi", "1.2.3psi", "3/4psi", "nanpsi", "inf", "0x10psi", "1e5psi",
                              "35psi 2", "+35psi", "99999999999999999999psi", "1_0psi"}) {
        CAPTURE(typed);
        CHECK(holds(refused_pressure(typed), "2.4"));
    }
    for (const char* typed : {"1/0in", "/8in", "1/in", "1/8/2in", "1 1/8in"}) {
        CAPTURE(typed);
        CHECK(holds(refused_hole(typed), "1/8in"));
    }
}

TEST_CASE("200000 random figures: nothing but a figure in bounds or a reason comes back") {
    std::mt19937_64 engine(3);
    const std::string letters = "0123456789./,-+ psibarkPmin\"x\xc3\xa9\t\n";
    int good = 0;
    for (int round = 0; round < 200000; ++round) {
        std::string typed;
        for (auto left = engine() % 9; left > 0; --left)
            typed += letters[engine() % letters.size()];
        if (round % 3 == 0) typed = std::to_string(engine() % 400) + "." + std::to_string(engine() % 100) + "psi";
        const auto pressure = parse_pressure(typed);
        const auto hole = parse_hole(typed);
        CAPTURE(typed);
        REQUIRE(pressure.value.has_value() == pressure.why.empty());
        REQUIRE(hole.value.has_value() == hole.why.empty());
        if (pressure.value) {
            REQUIRE(pressure.value->si() >= 0);
            REQUIRE(pressure.value->si() <= 10.0001e5);
            ++good;
        }
        if (hole.value) {
            REQUIRE(hole.value->si() >= 0);
            REQUIRE(hole.value->si() <= 10.0001e-3);
        }
    }
    CHECK(good > 10000);
    CHECK(good < 100000);
}

TEST_CASE("figures are shown in both unit systems, with as many digits as they are worth") {
    CHECK(pressure_text(35 * 6894.757293168361) == "35 psi (2.41 bar)");
    CHECK(pressure_text(2.4e5) == "34.8 psi (2.40 bar)");
    CHECK(pressure_text(0) == "0 psi (0.00 bar)");
    CHECK(hole_text(3e-3) == "3 mm (0.118 in)");
    CHECK(flow_text(0) == "0");
    CHECK(flow_text(0.004) == "0");
    CHECK(flow_text(0.04) == "0.04");
    CHECK(flow_text(0.996) == "1.0");
    CHECK(flow_text(2.34) == "2.3");
    CHECK(flow_text(9.96) == "10");
    CHECK(flow_text(156.4) == "156");
}
