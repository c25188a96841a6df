#include "law.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace ringland::diagnosis::airflow {

namespace {

// Below this share of the upstream pressure a hole passes air in proportion to the difference and no longer to its
// root: about where the flow through a hole of 1 mm is laminar (Reynolds number near 50, difference near 1 Pa).
constexpr double soft_share = 1e-5;

constexpr double gamma_exponent = 2 * gamma_air / (gamma_air - 1); // 7
const double critical_ratio = std::pow(2 / (gamma_air + 1), gamma_air / (gamma_air - 1));
// √γ (2/(γ+1))^((γ+1)/(2(γ−1))): choked flow of an ideal nozzle is A p k/√(RT).
const double choked_factor =
    std::sqrt(gamma_air) * std::pow(2 / (gamma_air + 1), (gamma_air + 1) / (2 * (gamma_air - 1)));

/// A value and its derivative by x, the share of the upstream pressure that is lost.
struct Slope {
    double value, by_x;
};

/// √x, but with a finite slope at 0: x/(x²+ε²)^¼, with the ε² fading out so that it is exactly √x at x = kink.
Slope soft_root(double x, double kink) {
    const double a = 1 - soft_share * soft_share / (kink * kink);
    const double q = a * x * x + soft_share * soft_share;
    const double quarter = std::sqrt(std::sqrt(q));
    return {x / quarter, (0.5 * a * x * x + soft_share * soft_share) / (quarter * q)};
}

/// (1 − (1−x)^(2/7))/x: the isentropic drop of temperature for a share x of lost pressure, per x.
Slope temperature_drop(double x) {
    if (x < 1e-3) // the difference would lose its digits
        return {2.0 / 7 + x * (5.0 / 49 + x * (20.0 / 343 + x * (95.0 / 2401))),
                5.0 / 49 + x * (40.0 / 343 + x * (285.0 / 2401))};
    const double log_r = std::log1p(-x);
    const double value = -std::expm1(2.0 / 7 * log_r) / x;
    // (1−x)^(−5/7) = (1−x)^(2/7)/(1−x).
    return {value, (2.0 / 7 * (1 - x * value) / (1 - x) - value) / x};
}

/// Flow over A·p1/√(RT) of a sharp-edged hole; the contraction follows from the balance of momentum (Jobson 1955).
Slope sharp(double x, double incompressible_cd) {
    const double f = 1 / incompressible_cd - 0.5 / (incompressible_cd * incompressible_cd);
    if (const double r = 1 - x; r > critical_ratio) {
        const Slope root = soft_root(x, 1 - critical_ratio), w = temperature_drop(x);
        const double inner = std::sqrt(1 - 4 * f / (gamma_exponent * w.value));
        const double root_w = std::sqrt(w.value);
        const double contraction = (1 - inner) / (2 * f);
        const double h = root_w * contraction;
        const double h_by_w =
            0.5 * contraction / root_w - root_w / (2 * f) * (2 * f / (gamma_exponent * w.value * w.value)) / inner;
        const double scale = std::sqrt(gamma_exponent);
        return {scale * h * root.value, scale * (h * root.by_x + h_by_w * w.by_x * root.value)};
    }
    const double k2f = choked_factor * choked_factor * f;
    const double b = (gamma_air + 1) * critical_ratio - (1 - x);
    const double inner = std::sqrt(b * b - 4 * k2f * x);
    const double cd = (b - inner) / (2 * k2f);
    const double cd_by_x = (1 - (b - 2 * k2f) / inner) / (2 * k2f);
    return {choked_factor * cd, choked_factor * cd_by_x};
}

/// The same of a hole with a constant coefficient 1.
Slope nozzle(double x) {
    if (1 - x <= critical_ratio) return {choked_factor, 0};
    const Slope root = soft_root(x, 1 - critical_ratio), w = temperature_drop(x);
    // r^(5/7) = r/r^(2/7), and its derivative by x is −(5/7) r^(−2/7).
    const double cool = 1 - x * w.value;
    const double expansion = (1 - x) / cool, expansion_by_x = -5.0 / 7 / cool;
    const double root_w = std::sqrt(w.value);
    const double scale = std::sqrt(gamma_exponent);
    return {scale * expansion * root_w * root.value,
            scale * (expansion_by_x * root_w * root.value + expansion * 0.5 * w.by_x / root_w * root.value +
                     expansion * root_w * root.by_x)};
}

/// ISO 6358 over C·p1·ρ0·√(T0/T1): 1 where choked, else √(1 − ((r−b)/(1−b))²) = √(u(2−u)) with u = x/(1−b).
Slope ellipse(double x, double critical) {
    const double u = x / (1 - critical);
    if (u >= 1) return {1, 0};
    const Slope root = soft_root(x, 1 - critical);
    const double across = std::sqrt((2 - u) / (1 - critical));
    return {root.value * across, root.by_x * across - root.value * 0.5 / (across * (1 - critical) * (1 - critical))};
}

} // namespace

AirFactors::AirFactors(const Air& air)
    : rt(gas_constant_air * air.temperature_k), root_rt(std::sqrt(rt)), viscosity(viscosity_pa_s(air.temperature_k)),
      iso_reference(normal_density * std::sqrt(normal_temperature_k / air.temperature_k)) {}

Law Law::sharp_hole(double area_m2, double incompressible_cd) {
    assert(area_m2 >= 0 && incompressible_cd > 0.5 && incompressible_cd < 1);
    Law law;
    if (area_m2 <= 0) return law;
    law.kind_ = Kind::sharp_hole;
    law.size_ = area_m2;
    law.shape_ = incompressible_cd;
    return law;
}

Law Law::round_hole(double area_m2, double cd) {
    assert(area_m2 >= 0 && cd > 0 && cd <= 1);
    Law law;
    if (area_m2 <= 0) return law;
    law.kind_ = Kind::round_hole;
    law.size_ = area_m2;
    law.shape_ = cd;
    return law;
}

Law Law::conductance(double c_m3_per_s_pa, double critical) {
    assert(c_m3_per_s_pa >= 0 && critical >= 0 && critical < 1);
    Law law;
    if (c_m3_per_s_pa <= 0) return law;
    law.kind_ = Kind::conductance;
    law.size_ = c_m3_per_s_pa;
    law.shape_ = critical;
    return law;
}

Law Law::passage(double diameter_m, double length_m, double friction, double losses, const Air& air) {
    assert(diameter_m > 0 && length_m >= 0);
    const AirFactors factors(air);
    const double resistance = friction * length_m / diameter_m + losses;
    return conductance(circle_area(diameter_m) / (factors.iso_reference * std::sqrt(factors.rt * resistance)), 0);
}

Law Law::slot(double width_m, double height_m, double length_m) {
    assert(width_m >= 0 && height_m >= 0 && length_m > 0);
    Law law;
    if (width_m * height_m <= 0) return law;
    law.kind_ = Kind::slot;
    law.size_ = width_m * height_m * height_m * height_m / length_m;
    return law;
}

Law Law::one_way(double opens_pa) const {
    Law law = *this;
    law.opens_pa_ = std::max(opens_pa, 1.0); // at 0 the slope would jump
    return law;
}

Law Law::scaled(double factor) const {
    assert(factor >= 0);
    Law law = *this;
    law.size_ *= factor;
    if (law.size_ <= 0) law.kind_ = Kind::closed;
    return law;
}

Through Law::through(const AirFactors& air, double first_pa, double second_pa, double difference_pa) const {
    if (kind_ == Kind::closed) return {};
    const double difference = difference_pa;
    const bool forward = difference >= 0;
    if (is_one_way() && difference <= opens_pa_) return {};

    Through t;
    if (kind_ == Kind::slot) {
        const double k = size_ / (24 * air.viscosity * air.rt);
        t = {k * difference * (first_pa + second_pa), 2 * k * first_pa, -2 * k * second_pa};
    } else {
        const double high = forward ? first_pa : second_pa;
        const double x = std::abs(difference) / high;
        Slope g{};
        double scale = size_;
        if (kind_ == Kind::sharp_hole) {
            g = sharp(x, shape_);
            scale /= air.root_rt;
        } else if (kind_ == Kind::round_hole) {
            g = nozzle(x);
            scale *= shape_ / air.root_rt;
        } else {
            g = ellipse(x, shape_);
            scale *= air.iso_reference;
        }
        // x = 1 − low/high: by high it grows with low/high², by low it falls with 1/high.
        const double flow = scale * high * g.value;
        const double per_high = scale * (g.value + g.by_x * (1 - x)), per_low = -scale * g.by_x;
        t = forward ? Through{flow, per_high, per_low} : Through{-flow, -per_low, -per_high};
    }
    return is_one_way() ? flow::behind_ball(t, difference, opens_pa_) : t;
}

} // namespace ringland::diagnosis::airflow
