// Oil by its temperature against published figures. The source stands beside each; "calculated" marks a figure that was
// reckoned from the named formula independently of this program.
#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "../../diagnosis/oil/viscosity.h"
#include "../airflow/nearly.h"

using namespace ringland::diagnosis::oil;
using ringland::tests::nearly;

TEST_CASE("viscosity: the worked example of ASTM D341") {
    // ASTM D341-20 as worked by a pipeline handbook: 32 and 5.4 mm²/s at 40 and 100 °C make 8.5 at 80 °C.
    const ViscosityLine line({40, 32}, {100, 5.4});
    CHECK(std::abs(line.mm2ps(80) - 8.5) <= 0.05);
    // Calculated with 273.15 K at 0 °C (the print takes 273).
    CHECK(std::abs(line.a() - 9.53082) < 6e-6);
    CHECK(std::abs(line.b() - 3.74658) < 6e-6);
    CHECK(nearly(line.mm2ps(80), 8.5332, 1e-5));
    CHECK(nearly(line.mm2ps(120), 3.7239, 2e-5));
    CHECK(nearly(line.mm2ps(0), 336.0, 2e-4));
    CHECK(nearly(line.mm2ps(-20), 2291, 3e-4));
}

TEST_CASE("viscosity: the usual transmission fluid") {
    // Calculated from 7.4 mm²/s at 100 °C (SAE 2007-01-3974) and 34 at 40 °C (value from memory).
    const ViscosityLine line(usual_at_40, usual_at_100);
    CHECK(std::abs(line.a() - 7.70447) < 6e-6);
    CHECK(std::abs(line.b() - 3.01186) < 6e-6);
    const std::array<ViscosityPoint, 5> expected{
        {{20, 75.0}, {60, 18.28}, {80, 11.12}, {200.0 / 1.8 - 32 / 1.8, 8.40}, {120, 5.27}}};
    for (const ViscosityPoint& point : expected) { // one of them is 200 °F
        CAPTURE(point.celsius);
        CHECK(std::abs(line.mm2ps(point.celsius) - point.mm2ps) <= (point.mm2ps > 70 ? 0.05 : 0.006));
    }
}

TEST_CASE("viscosity: both directions, and through its own two points") {
    for (const double at_40 : {1.5, 4.0, 23.0, 34.0, 460.0}) {
        for (const double share : {0.15, 0.4, 0.7}) {
            const ViscosityLine line({40, at_40}, {100, at_40 * share});
            CAPTURE(at_40);
            CAPTURE(share);
            // The two exponential terms of the standard undo one another to a few parts in ten thousand below 2 mm²/s.
            CHECK(nearly(line.mm2ps(40), at_40, 2e-3));
            CHECK(nearly(line.mm2ps(100), at_40 * share, at_40 * share > 2 ? 1e-4 : 1e-2));
            double before = 1e9;
            for (int celsius = -50; celsius <= 200; celsius += 5) {
                const double v = line.mm2ps(celsius);
                CHECK(v <= before);
                CHECK(v >= 0.999 * ViscosityLine::least_mm2ps);
                CHECK(v <= ViscosityLine::most_mm2ps);
                before = v;
                if (v > 2 && v < 1e5) CHECK(std::abs(line.celsius(v) - celsius) < 0.05);
            }
        }
    }
}

TEST_CASE("viscosity: below 2 mm²/s the exponential terms count") {
    // Calculated: without them log log (ν + 0.7) of 2.0 and 0.8 mm²/s at 40 and 100 °C gives another figure between.
    const ViscosityLine line({40, 2.0}, {100, 0.8});
    const auto plain = [](double v) { return std::log10(std::log10(v + 0.7)); };
    const double b = (plain(2.0) - plain(0.8)) / (std::log10(373.15) - std::log10(313.15));
    const double without = std::pow(10, std::pow(10, plain(2.0) - b * (std::log10(393.15) - std::log10(313.15)))) - 0.7;
    CHECK(std::abs(line.mm2ps(120) / without - 1) > 0.01);
    // And do not where an oil is thick.
    CHECK(nearly(ViscosityLine({40, 34}, {100, 7.4}).mm2ps(70), 14.06, 2e-3));
}

TEST_CASE("viscosity: any two points of a map give a figure at any temperature") {
    for (const double at_40 : {1e-3, 0.5, 34.0, 1e4}) {
        for (const double at_100 : {1e-4, 0.4, 7.4, 9e3}) {
            if (at_100 >= at_40) continue;
            const ViscosityLine line({40, at_40}, {100, at_100});
            for (const double celsius : {-50.0, 0.0, 40.0, 100.0, 200.0}) {
                CAPTURE(celsius);
                CHECK(line.mm2ps(celsius) >= 0.999 * ViscosityLine::least_mm2ps);
                CHECK(line.mm2ps(celsius) <= ViscosityLine::most_mm2ps);
            }
        }
    }
}

TEST_CASE("viscosity index: the worked examples of ASTM D2270") {
    // The standard's own examples: procedure A 92.43, reported 92; procedure B 156.37, reported 156.
    CHECK(std::abs(viscosity_index(73.30, 8.86) - 92.43) < 0.02);
    CHECK(std::round(viscosity_index(73.30, 8.86)) == 92);
    CHECK(std::abs(viscosity_index(22.83, 5.05) - 156.37) < 0.15);
    CHECK(std::round(viscosity_index(22.83, 5.05)) == 156);
    // Value from memory of ASTM D2270: 111.
    CHECK(std::round(viscosity_index(53.47, 7.80)) == 111);
    // L and H above 70 mm²/s, as the standard prints the formulas with fewer digits: at Y = 75 L 5582.81, H 1739.0. An
    // oil as thin as L has the index 0, as H 100.
    CHECK(std::abs(viscosity_index(5582.81, 75)) < 0.02);
    CHECK(std::abs(viscosity_index(1739.0, 75) - 100) < 0.02);
}

TEST_CASE("viscosity index: the quadratics of the table meet where they join") {
    // The index of an oil half way between has no step at any border; L and H of the standard are one smooth curve.
    for (const double border : {3.8, 4.4, 5.0, 6.4, 7.0, 7.7, 9.0, 12.0, 15.0, 18.0, 22.0, 28.0, 40.0, 55.0, 70.0}) {
        const double at_40 = 94 * std::pow(border / 8.86, 1.75); // between L and H all the way
        const double below = viscosity_index(at_40, border * (1 - 1e-9)), above = viscosity_index(at_40, border);
        CAPTURE(border);
        CHECK(above > 0);
        CHECK(above < 100);
        CHECK(std::abs(above - below) < 0.25); // an index is reported as a whole number
    }
}

TEST_CASE("density: thinner when hot") {
    CHECK(density_at(850, 15) == 850);
    // 0.0007 of its volume per kelvin (common practice, no source): 850 kg/m³ at 15 °C is 806 at 93 °C.
    CHECK(nearly(density_at(850, 93), 806, 1e-3));
}
