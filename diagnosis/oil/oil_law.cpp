#include "oil_law.h"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "../airflow/air.h"

namespace ringland::diagnosis::oil {

namespace {

/// Cd = 0.2 √Re where an orifice is laminar (Merritt, Hydraulic Control Systems: value from memory).
constexpr double laminar_delta = 0.2;

/// Flow by a difference, and its slope by it.
struct Slope {
    double value, by_difference;
};

/// C A √(2 ρ Δp) far above the difference at which its Reynolds number is (C/δ)², and in proportion to Δp far below.
Slope orifice(const OilFactors& oil, double area, double cd, double diameter, double difference) {
    const double reynolds = cd * cd / (laminar_delta * laminar_delta);
    const double speed = reynolds * oil.viscosity / (oil.density * diameter * cd);
    const double bend = 0.5 * oil.density * speed * speed;
    const double scale = cd * area * std::sqrt(2 * oil.density);
    const double q = difference * difference + bend * bend, quarter = std::sqrt(std::sqrt(q));
    return {scale * difference / quarter, scale * (0.5 * difference * difference + bend * bend) / (quarter * q)};
}

/// Darcy's f and d ln f/d ln Re, Churchill 1977 for a smooth wall.
struct Friction {
    double f, log_slope;
};

Friction churchill(double reynolds) {
    if (reynolds < 10) return {64 / reynolds, -1}; // the rest of the formula is below the last digit
    const double inner = 0.9 * std::log(reynolds / 7), b = std::pow(37530 / reynolds, 16);
    const double a = std::pow(2.457 * inner, 16), a_slope = 16 * 0.9 / inner;
    const double turbulent = std::pow(a + b, -1.5), turbulent_slope = -1.5 * (a * a_slope - 16 * b) / (a + b);
    const double laminar = std::pow(8 / reynolds, 12);
    const double sum = laminar + turbulent;
    return {8 * std::pow(sum, 1.0 / 12), (-12 * laminar + turbulent * turbulent_slope) / (12 * sum)};
}

/// The flow of a passage: ln(Re² (K + f L/d)) grows with ln Re, and is brought to ln(2 ρ d² Δp/μ²).
Slope bored(const OilFactors& oil, double area, double diameter, double length, double losses, double difference) {
    const double slenderness = length / diameter;
    const double per_difference = area * oil.density * diameter * diameter / (32 * oil.viscosity * length); // laminar
    // Re where all of it were laminar; a passage without other losses is so far down.
    const double laminar =
        2 * oil.density * diameter * diameter * difference / (oil.viscosity * oil.viscosity * 64 * slenderness);
    if (laminar < 1e-12) return {per_difference * difference, per_difference};
    const double wanted = std::log(laminar * 64 * slenderness);
    // Friction is never below the laminar one, so Re is never above it.
    double low = -40, high = std::log(laminar),
           x = std::min(high, 0.5 * (wanted - std::log(losses + 0.03 * slenderness)));
    double slope = 1;
    for (int n = 0; n < 100; ++n) {
        const Friction friction = churchill(std::exp(x));
        const double wall = friction.f * slenderness;
        const double miss = 2 * x + std::log(losses + wall) - wanted;
        slope = 2 + wall * friction.log_slope / (losses + wall);
        (miss > 0 ? high : low) = x;
        double next = x - miss / slope;
        if (next <= low || next >= high) next = 0.5 * (low + high);
        const double moved = std::abs(next - x);
        x = next;
        if (moved < 1e-15 * std::max(1.0, std::abs(x))) break;
    }
    const double flow = area * oil.viscosity / diameter * std::exp(x);
    return {flow, flow / (difference * slope)};
}

} // namespace

OilFactors::OilFactors(const Oil& oil) : density(oil.density), viscosity(oil.density * oil.kinematic_m2ps) {}

OilLaw OilLaw::hole(double area_m2, double cd) {
    assert(area_m2 >= 0 && cd > 0);
    OilLaw law;
    if (area_m2 <= 0) return law;
    law.kind_ = Kind::hole;
    law.size_ = area_m2;
    law.shape_ = cd;
    law.diameter_ = airflow::circle_diameter(area_m2);
    return law;
}

OilLaw OilLaw::slot_of(double conductance_m3) {
    assert(conductance_m3 >= 0);
    OilLaw law;
    if (conductance_m3 <= 0) return law;
    law.kind_ = Kind::slot;
    law.size_ = conductance_m3;
    return law;
}

OilLaw OilLaw::slot(double width_m, double height_m, double length_m) {
    assert(width_m >= 0 && height_m >= 0 && length_m > 0);
    return slot_of(width_m * height_m * height_m * height_m / length_m);
}

OilLaw OilLaw::annulus(double diameter_m, double clearance_m, double length_m, double eccentricity) {
    assert(eccentricity >= 0 && eccentricity <= 1);
    return slot(M_PI * diameter_m, clearance_m, length_m).scaled(1 + 1.5 * eccentricity * eccentricity);
}

OilLaw OilLaw::disc_gap(double height_m, double inner_radius_m, double outer_radius_m) {
    assert(inner_radius_m > 0 && outer_radius_m > inner_radius_m);
    return slot(2 * M_PI, height_m, std::log(outer_radius_m / inner_radius_m));
}

OilLaw OilLaw::passage(double diameter_m, double length_m, double losses) {
    assert(diameter_m > 0 && length_m > 0 && losses >= 0);
    OilLaw law;
    law.kind_ = Kind::passage;
    law.size_ = airflow::circle_area(diameter_m);
    law.diameter_ = diameter_m;
    law.length_ = length_m;
    law.losses_ = losses;
    return law;
}

OilLaw OilLaw::supply(double most_m3ps, double band_pa) {
    assert(most_m3ps >= 0 && band_pa > 0);
    OilLaw law;
    if (most_m3ps <= 0) return law;
    law.kind_ = Kind::supply;
    law.size_ = most_m3ps;
    law.shape_ = band_pa;
    return law;
}

OilLaw OilLaw::one_way(double opens_pa) const {
    OilLaw law = *this;
    law.opens_pa_ = std::max(opens_pa, 1.0); // at 0 the slope would jump
    return law;
}

OilLaw OilLaw::scaled(double factor) const {
    assert(factor >= 0);
    OilLaw law = *this;
    law.size_ *= factor;
    if (law.size_ <= 0) law.kind_ = Kind::closed;
    return law;
}

Through OilLaw::through(const OilFactors& oil, double /*first_pa*/, double /*second_pa*/, double difference_pa) const {
    if (kind_ == Kind::closed || (is_one_way() && difference_pa <= opens_pa_)) return {};
    const double difference = std::abs(difference_pa);
    Slope s{};
    switch (kind_) {
    case Kind::closed:
        break;
    case Kind::hole:
        s = orifice(oil, size_, shape_, diameter_, difference);
        break;
    case Kind::slot: {
        const double k = oil.density * size_ / (12 * oil.viscosity);
        s = {k * difference, k};
        break;
    }
    case Kind::passage:
        s = bored(oil, size_, diameter_, length_, losses_, difference);
        break;
    case Kind::supply: {
        const double u = std::min(difference / shape_, 1.0), most = oil.density * size_;
        s = {most * u * (2 - u), most * 2 * (1 - u) / shape_};
        break;
    }
    }
    const Through t{difference_pa < 0 ? -s.value : s.value, s.by_difference, -s.by_difference};
    return is_one_way() ? flow::behind_ball(t, difference_pa, opens_pa_) : t;
}

} // namespace ringland::diagnosis::oil
