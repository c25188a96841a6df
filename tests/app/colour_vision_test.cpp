// Distances of colours against published figures, and the laws that hold for any colours.
#include <algorithm>
#include <array>
#include <cmath>
#include <random>

#include <doctest/doctest.h>

#include "../../viewer/app/colour_vision.h"

using namespace ringland::viewer;

namespace {

struct Row {
    Lab first, second;
    double delta;
};

/// Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula", Color Res. Appl. 30 (2005) 21-30, Table 1; rows as
/// public code that cites it prints them.
const std::array<Row, 27> published{{
    {{50, 2.6772, -79.7751}, {50, 0, -82.7485}, 2.0425},
    {{50, 3.1571, -77.2803}, {50, 0, -82.7485}, 2.8615},
    {{50, 2.8361, -74.0200}, {50, 0, -82.7485}, 3.4412},
    {{50, -1.3802, -84.2814}, {50, 0, -82.7485}, 1.0000},
    {{50, 0, 0}, {50, -1, 2}, 2.3669},
    {{50, 2.49, -0.001}, {50, -2.49, 0.0009}, 7.1792},
    {{50, 2.49, -0.001}, {50, -2.49, 0.0011}, 7.2195},
    {{50, -0.001, 2.49}, {50, 0.0009, -2.49}, 4.8045},
    {{50, -0.001, 2.49}, {50, 0.0010, -2.49}, 4.8045},
    {{50, -0.001, 2.49}, {50, 0.0011, -2.49}, 4.7461},
    {{50, 2.5, 0}, {50, 0, -2.5}, 4.3065},
    {{50, 2.5, 0}, {73, 25, -18}, 27.1492},
    {{50, 2.5, 0}, {61, -5, 29}, 22.8977},
    {{50, 2.5, 0}, {56, -27, -3}, 31.9030},
    {{50, 2.5, 0}, {58, 24, 15}, 19.4535},
    {{50, 2.5, 0}, {50, 3.1736, 0.5854}, 1.0000},
    {{50, 2.5, 0}, {50, 3.2972, 0}, 1.0000},
    {{60.2574, -34.0099, 36.2677}, {60.4626, -34.1751, 39.4387}, 1.2644},
    {{63.0109, -31.0961, -5.8663}, {62.8187, -29.7946, -4.0864}, 1.2630},
    {{61.2901, 3.7196, -5.3901}, {61.4292, 2.2480, -4.9620}, 1.8731},
    {{35.0831, -44.1164, 3.7933}, {35.0232, -40.0716, 1.5901}, 1.8645},
    {{22.7233, 20.0904, -46.6940}, {23.0331, 14.9730, -42.5619}, 2.0373},
    {{36.4612, 47.8580, 18.3852}, {36.2715, 50.5065, 21.2231}, 1.4146},
    {{90.8027, -2.0831, 1.4410}, {91.1528, -1.6435, 0.0447}, 1.4441},
    {{90.9257, -0.5406, -0.9208}, {88.6381, -0.8985, -0.7239}, 1.5381},
    {{6.7747, -0.2908, -2.4247}, {5.8714, -0.0985, -2.2286}, 0.6377},
    {{2.0776, 0.0795, -1.1350}, {0.9033, -0.0636, -0.5514}, 0.9082},
}};

Rgb any_colour(std::mt19937_64& random) {
    const auto part = [&] { return static_cast<double>(random() % 256) / 255; };
    return {part(), part(), part()};
}

double rounded(double value, double places) { return std::round(value * places) / places; }

} // namespace

TEST_CASE("CIEDE2000 gives the published table to its last digit") {
    for (const Row& row : published) {
        CAPTURE(row.delta);
        CHECK(rounded(delta_e_2000(row.first, row.second), 1e4) == doctest::Approx(row.delta).epsilon(1e-9));
        CHECK(delta_e_2000(row.first, row.second) == doctest::Approx(delta_e_2000(row.second, row.first)));
    }
}

TEST_CASE("sRGB to Lab: white, black and grey have no hue, and the primaries stand where they are known to") {
    CHECK(lab_of({1, 1, 1}).l == doctest::Approx(100).epsilon(1e-9));
    CHECK(lab_of({0, 0, 0}).l == doctest::Approx(0));
    for (int i = 0; i <= 255; ++i) {
        const double v = i / 255.0;
        const Lab grey = lab_of({v, v, v});
        CHECK(std::abs(grey.a) < 1e-9);
        CHECK(std::abs(grey.b) < 1e-9);
        CHECK(srgb_of_linear(linear_of_srgb(v)) == doctest::Approx(v).epsilon(1e-6));
    }
    // Value from memory of the usual tables of sRGB in Lab: red 53.24, 80.09, 67.20; green 87.73, -86.18, 83.18; blue
    // 32.30, 79.19, -107.86. The last digits hang on how the white is rounded.
    const Lab red = lab_of({1, 0, 0}), green = lab_of({0, 1, 0}), blue = lab_of({0, 0, 1});
    CHECK(std::hypot(red.l - 53.24, red.a - 80.09, red.b - 67.20) < 0.05);
    CHECK(std::hypot(green.l - 87.73, green.a + 86.18, green.b - 83.18) < 0.05);
    CHECK(std::hypot(blue.l - 32.30, blue.a - 79.19, blue.b + 107.86) < 0.05);
}

TEST_CASE("contrast: the worked examples of the web's guidelines") {
    // w3c.github.io/wcag, understanding relative luminance: #767676 on white 4.54, black on white 21. Manning, "Math
    // for Web Design": #0000FF on white 8.59, #0000FF on #FF0000 2.15. Yellow on white 1.07.
    const Rgb white = rgb(0xFFFFFF);
    CHECK(rounded(contrast(rgb(0x767676), white), 100) == doctest::Approx(4.54));
    CHECK(contrast(rgb(0x000000), white) == doctest::Approx(21));
    CHECK(rounded(contrast(white, rgb(0x0000FF)), 100) == doctest::Approx(8.59));
    CHECK(rounded(contrast(rgb(0x0000FF), rgb(0xFF0000)), 100) == doctest::Approx(2.15));
    CHECK(rounded(contrast(rgb(0xFFFF00), white), 100) == doctest::Approx(1.07));
    CHECK(contrast(rgb(0x767676), white) > least_text_contrast);
    CHECK(contrast(rgb(0x777777), white) < least_text_contrast);
}

TEST_CASE("luminance of the Okabe-Ito colours") {
    // Reckoned independently of this code for the page of check values, five digits.
    CHECK(relative_luminance(rgb(0xE69F00)) == doctest::Approx(0.41619).epsilon(2e-5));
    CHECK(relative_luminance(rgb(0x56B4E9)) == doctest::Approx(0.40504).epsilon(2e-5));
    CHECK(relative_luminance(rgb(0x009E73)) == doctest::Approx(0.25692).epsilon(2e-5));
    CHECK(relative_luminance(rgb(0xF0E442)) == doctest::Approx(0.74405).epsilon(2e-5));
    CHECK(relative_luminance(rgb(0x0072B2)) == doctest::Approx(0.15249).epsilon(3e-5));
    CHECK(relative_luminance(rgb(0xD55E00)) == doctest::Approx(0.22152).epsilon(2e-5));
    CHECK(relative_luminance(rgb(0xCC79A7)) == doctest::Approx(0.29302).epsilon(2e-5));
}

TEST_CASE("colour blindness: greys stay grey, and what the missing cone told apart comes together") {
    for (const Vision vision : all_visions) {
        for (int i = 0; i <= 255; i += 15) {
            const double v = i / 255.0;
            const Rgb seen = as_seen_by(vision, {v, v, v});
            CHECK(std::max({std::abs(seen.r - v), std::abs(seen.g - v), std::abs(seen.b - v)}) < 1e-4);
        }
    }
    // A red and a green that differ mostly by the long and middle cones; a blue and a green for the short ones.
    const auto seen_distance = [](Vision vision, Rgb first, Rgb second) {
        return delta_e_2000(as_seen_by(vision, first), as_seen_by(vision, second));
    };
    const Rgb brick = rgb(0xB05A3C), moss = rgb(0x7A7A28), blue = rgb(0x3C78C8), teal = rgb(0x1E8A8A);
    for (const Vision red_green : {Vision::protan, Vision::deutan}) {
        CHECK(seen_distance(red_green, brick, moss) < 0.6 * delta_e_2000(brick, moss));
        CHECK(seen_distance(red_green, brick, moss) < 0.7 * seen_distance(Vision::tritan, brick, moss));
        CHECK(seen_distance(Vision::tritan, blue, teal) < 0.7 * seen_distance(red_green, blue, teal));
    }
}

TEST_CASE("distances of any colours: none to themselves, the same both ways; an outline reaches its contrast") {
    std::mt19937_64 random(20051);
    for (int i = 0; i < 2000; ++i) {
        const Rgb a = any_colour(random), b = any_colour(random);
        CHECK(delta_e_2000(a, a) == doctest::Approx(0));
        const double there = delta_e_2000(a, b);
        CHECK(there == doctest::Approx(delta_e_2000(b, a)));
        CHECK((a == b || there > 0));
        CHECK(least_delta_e(a, b) <= there + 1e-12);
        CHECK(contrast(made_to_contrast(a, b, 4.5), b) >= 4.5);
    }
}
