#include "colour_vision.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ringland::viewer {
namespace {

using Triple = std::array<double, 3>;
using Matrix = std::array<Triple, 3>;

constexpr double radians_per_degree = std::numbers::pi / 180;

Triple times(const Matrix& m, const Triple& v) {
    Triple result{};
    for (std::size_t i = 0; i < 3; ++i)
        result[i] = m[i][0] * v[0] + m[i][1] * v[1] + m[i][2] * v[2];
    return result;
}

Triple linear(Rgb c) { return {linear_of_srgb(c.r), linear_of_srgb(c.g), linear_of_srgb(c.b)}; }

/// sRGB primaries and D65, IEC 61966-2-1.
constexpr Matrix xyz_of_rgb{{{0.4124, 0.3576, 0.1805}, {0.2126, 0.7152, 0.0722}, {0.0193, 0.1192, 0.9505}}};

/// CIE 15: the cube root, and a straight line near black.
double lab_curve(double t) {
    constexpr double d = 6.0 / 29;
    return t > d * d * d ? std::cbrt(t) : t / (3 * d * d) + 4.0 / 29;
}

double seventh_share(double chroma) {
    const double c7 = std::pow(chroma, 7);
    return std::sqrt(c7 / (c7 + std::pow(25.0, 7)));
}

double hue_deg(double a, double b) {
    if (a == 0 && b == 0) return 0;
    const double h = std::atan2(b, a) / radians_per_degree;
    return h < 0 ? h + 360 : h;
}

/// Difference and mean of two hues on the circle; one of a grey counts as the other's.
struct Hues {
    double difference = 0, mean = 0;
};
Hues compare_hues(double h1, double h2, bool grey) {
    if (grey) return {0, h1 + h2};
    Hues hues{h2 - h1, (h1 + h2) / 2};
    if (std::abs(h2 - h1) > 180) {
        hues.difference += h2 > h1 ? -360 : 360;
        hues.mean += h1 + h2 < 360 ? 180 : -180;
    }
    return hues;
}

double cos_deg(double degrees) { return std::cos(degrees * radians_per_degree); }

/// Severity 1 of the paper, on linear sRGB; the figures as public code that cites it prints them.
constexpr Matrix protan_of_rgb{
    {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}}};
constexpr Matrix deutan_of_rgb{
    {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}}};
constexpr Matrix tritan_of_rgb{
    {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}}};

const Matrix& matrix_of(Vision vision) {
    return vision == Vision::protan ? protan_of_rgb : vision == Vision::deutan ? deutan_of_rgb : tritan_of_rgb;
}

} // namespace

double linear_of_srgb(double value) {
    return value <= 0.04045 ? value / 12.92 : std::pow((value + 0.055) / 1.055, 2.4);
}

double srgb_of_linear(double light) {
    return light <= 0.0031308 ? light * 12.92 : 1.055 * std::pow(light, 1 / 2.4) - 0.055;
}

Lab lab_of(Rgb colour) {
    const Triple xyz = times(xyz_of_rgb, linear(colour));
    // The white that r = g = b = 1 gives, so that greys have no hue at all.
    const Triple white = times(xyz_of_rgb, {1, 1, 1});
    const double x = lab_curve(xyz[0] / white[0]), y = lab_curve(xyz[1] / white[1]), z = lab_curve(xyz[2] / white[2]);
    return {116 * y - 16, 500 * (x - y), 200 * (y - z)};
}

double delta_e_2000(const Lab& first, const Lab& second) {
    const double mean_c = (std::hypot(first.a, first.b) + std::hypot(second.a, second.b)) / 2;
    const double stretch = 1 + 0.5 * (1 - seventh_share(mean_c));
    const double a1 = first.a * stretch, a2 = second.a * stretch;
    const double c1 = std::hypot(a1, first.b), c2 = std::hypot(a2, second.b);
    const Hues hues = compare_hues(hue_deg(a1, first.b), hue_deg(a2, second.b), c1 * c2 == 0);

    const double dl = second.l - first.l, dc = c2 - c1;
    const double dh = 2 * std::sqrt(c1 * c2) * std::sin(hues.difference / 2 * radians_per_degree);
    const double l = (first.l + second.l) / 2 - 50, c = (c1 + c2) / 2, h = hues.mean;
    const double t =
        1 - 0.17 * cos_deg(h - 30) + 0.24 * cos_deg(2 * h) + 0.32 * cos_deg(3 * h + 6) - 0.20 * cos_deg(4 * h - 63);
    const double sl = 1 + 0.015 * l * l / std::sqrt(20 + l * l), sc = 1 + 0.045 * c, sh = 1 + 0.015 * c * t;
    const double turn_deg = 30 * std::exp(-std::pow((h - 275) / 25, 2));
    const double rt = -2 * seventh_share(c) * std::sin(2 * turn_deg * radians_per_degree);
    return std::sqrt(dl / sl * (dl / sl) + dc / sc * (dc / sc) + dh / sh * (dh / sh) + rt * (dc / sc) * (dh / sh));
}

double relative_luminance(Rgb colour) {
    const Triple light = linear(colour);
    return 0.2126 * light[0] + 0.7152 * light[1] + 0.0722 * light[2];
}

double contrast(Rgb first, Rgb second) {
    const double a = relative_luminance(first), b = relative_luminance(second);
    return (std::max(a, b) + 0.05) / (std::min(a, b) + 0.05);
}

Rgb as_seen_by(Vision vision, Rgb colour) {
    if (vision == Vision::all_cones) return colour;
    const Triple seen = times(matrix_of(vision), linear(colour));
    const auto back = [](double light) { return srgb_of_linear(std::clamp(light, 0.0, 1.0)); };
    return {back(seen[0]), back(seen[1]), back(seen[2])};
}

double least_delta_e(Rgb first, Rgb second) {
    double least = 1e9;
    for (const Vision vision : all_visions)
        least = std::min(least, delta_e_2000(as_seen_by(vision, first), as_seen_by(vision, second)));
    return least;
}

Rgb made_to_contrast(Rgb colour, Rgb ground, double least) {
    const Rgb goal = relative_luminance(ground) > 0.18 ? Rgb{0, 0, 0} : Rgb{1, 1, 1};
    Rgb made = colour;
    for (int step = 1; step <= 50 && contrast(made, ground) < least; ++step) {
        const double share = step / 50.0;
        made = {colour.r + (goal.r - colour.r) * share, colour.g + (goal.g - colour.g) * share,
                colour.b + (goal.b - colour.b) * share};
    }
    return made;
}

} // namespace ringland::viewer
