#include "air.h"

#include <cmath>

namespace ringland::diagnosis::airflow {

double viscosity_pa_s(double temperature_k) {
    constexpr double beta = 1.458e-6, sutherland_k = 110.4;
    return beta * temperature_k * std::sqrt(temperature_k) / (temperature_k + sutherland_k);
}

double pressure_at_altitude_pa(double altitude_m) {
    // The standard counts geopotential metres; the difference at bench altitudes is below 0.1 % of the height.
    constexpr double sea_level_k = 288.15, lapse_k_per_m = 0.0065, gravity = 9.80665;
    constexpr double gas_constant_of_standard = 8314.32 / 28.9644;
    constexpr double earth_radius_m = 6356766;
    const double geopotential_m = earth_radius_m * altitude_m / (earth_radius_m + altitude_m);
    return standard_pressure_pa * std::pow(1 - lapse_k_per_m * geopotential_m / sea_level_k,
                                           gravity / (gas_constant_of_standard * lapse_k_per_m));
}

double circle_area(double diameter_m) { return 0.25 * M_PI * diameter_m * diameter_m; }
double circle_diameter(double area_m2) { return std::sqrt(area_m2 * 4 / M_PI); }

} // namespace ringland::diagnosis::airflow
