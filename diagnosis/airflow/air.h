// Air on this bench: its temperature, the local pressure, and what follows from them.
//
// Inside the computation pressures are absolute pascals and flows are kilograms a second. What people read is gauge
// pressure and normal litres a minute; the conversions stand here and nowhere else.
#pragma once

namespace ringland::diagnosis::airflow {

/// Ratio of specific heats and specific gas constant of dry air, J/(kg K).
inline constexpr double gamma_air = 1.4;
inline constexpr double gas_constant_air = 287.05;
/// Density of air at the reference of ISO 8778 (20 °C, 100 kPa, 65 % humidity), kg/m³: what "normal litres" count.
inline constexpr double normal_density = 1.185;
/// Temperature of the same reference, K.
inline constexpr double normal_temperature_k = 293.15;
inline constexpr double standard_pressure_pa = 101325;

/// The air that is blown and the air around. All of it has one temperature: the passages are metal and the flows
/// small.
struct Air {
    double temperature_k = normal_temperature_k;
    double ambient_pa = standard_pressure_pa; ///< absolute
    friend bool operator==(const Air& a, const Air& b) {
        return a.temperature_k == b.temperature_k && a.ambient_pa == b.ambient_pa;
    }
};

/// Dynamic viscosity, Pa s: Sutherland's formula with the constants of the U.S. Standard Atmosphere 1976, equation 51.
[[nodiscard]] double viscosity_pa_s(double temperature_k);

/// Pressure of the standard atmosphere at an altitude below 11 km, absolute: U.S. Standard Atmosphere 1976, equation
/// 33a with its lowest layer (288.15 K, -6.5 K/km).
[[nodiscard]] double pressure_at_altitude_pa(double altitude_m);

/// Flow as people read it, normal litres a minute (ISO 8778).
[[nodiscard]] constexpr double normal_lpm(double flow_kgps) { return flow_kgps / normal_density * 60e3; }
/// The mass flow of so many normal litres a minute.
[[nodiscard]] constexpr double kgps_of_normal_lpm(double lpm) { return lpm * normal_density / 60e3; }

/// Area of a round hole, and diameter of a round hole of that area.
[[nodiscard]] double circle_area(double diameter_m);
[[nodiscard]] double circle_diameter(double area_m2);

} // namespace ringland::diagnosis::airflow
