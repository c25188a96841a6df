#include "viscosity.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>

namespace ringland::diagnosis::oil {

namespace {

constexpr double zero_celsius_k = 273.15;

double z_of(double v) { return v + 0.7 + std::exp(-1.47 - 1.84 * v - 0.51 * v * v); }

double viscosity_of(double z) {
    const double y = z - 0.7;
    return y - std::exp(-0.7487 - 3.295 * y + 0.6119 * y * y - 0.3193 * y * y * y);
}

double height(double mm2ps) {
    return std::log10(std::log10(z_of(std::clamp(mm2ps, ViscosityLine::least_mm2ps, ViscosityLine::most_mm2ps))));
}

/// L = a Y² + b Y + c and H = d Y² + e Y + f from this Y on.
struct IndexRow {
    double from, a, b, c, d, e, f;
};
constexpr std::array<IndexRow, 16> index_rows{{
    {2.0, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077},
    {3.8, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183},
    {4.4, 2.5000, -7.2143, 13.812, 0.82143, 1.5679, 0.119},
    {5.0, 0.10100, 16.6350, -45.469, 0.04985, 9.1613, -18.557},
    {6.4, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656},
    {7.0, 0.01191, 21.4750, -72.870, 0.79762, -0.7321, 14.610},
    {7.7, 0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240},
    {9.0, 0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810},
    {12, 0.76720, 10.7972, -38.180, 0.20073, 8.4658, -22.490},
    {15, 0.97305, 5.3135, -2.200, 0.28889, 5.9741, -4.930},
    {18, 0.97256, 5.2500, -0.980, 0.24504, 7.4160, -16.730},
    {22, 0.91413, 7.4759, -21.820, 0.20323, 9.1267, -34.230},
    {28, 0.87031, 9.7157, -50.770, 0.18411, 10.1015, -46.750},
    {40, 0.84703, 12.6752, -133.310, 0.17029, 11.4866, -80.620},
    {55, 0.85921, 11.1009, -83.190, 0.17130, 11.3680, -76.940},
    {70, 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947},
}};

} // namespace

ViscosityLine::ViscosityLine(ViscosityPoint one, ViscosityPoint other) {
    assert(one.celsius != other.celsius);
    const double x1 = std::log10(one.celsius + zero_celsius_k), x2 = std::log10(other.celsius + zero_celsius_k);
    const double y1 = height(one.mm2ps), y2 = height(other.mm2ps);
    b_ = (y1 - y2) / (x2 - x1);
    a_ = y1 + b_ * x1;
}

double ViscosityLine::mm2ps(double celsius) const {
    const double y = a_ - b_ * std::log10(celsius + zero_celsius_k);
    // Held before the two exponentials, which overflow soon.
    if (y >= height(most_mm2ps)) return most_mm2ps;
    if (y <= height(least_mm2ps)) return least_mm2ps;
    return viscosity_of(std::pow(10.0, std::pow(10.0, y)));
}

double ViscosityLine::celsius(double mm2ps) const { return std::pow(10.0, (a_ - height(mm2ps)) / b_) - zero_celsius_k; }

double density_at(double density_15, double celsius) { return density_15 / (1 + 0.0007 * (celsius - 15)); }

double viscosity_index(double mm2ps_40, double mm2ps_100) {
    assert(mm2ps_100 >= 2 && mm2ps_40 > mm2ps_100);
    const double y = mm2ps_100, u = mm2ps_40;
    auto row = index_rows.begin();
    for (auto next = row + 1; next != index_rows.end() && next->from <= y; ++next)
        row = next;
    const double l = (row->a * y + row->b) * y + row->c, h = (row->d * y + row->e) * y + row->f;
    if (u >= h) return 100 * (l - u) / (l - h);
    const double n = (std::log10(h) - std::log10(u)) / std::log10(y);
    return (std::pow(10.0, n) - 1) / 0.00715 + 100;
}

} // namespace ringland::diagnosis::oil
