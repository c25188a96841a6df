// Oil by its temperature: viscosity from two published points, density, viscosity index.
//
// A data sheet gives the kinematic viscosity at 40 °C and at 100 °C; on the chart of ASTM D341 these two make a
// straight line, and every other temperature lies on it. Temperatures are °C and viscosities mm²/s here, as the sheets
// print them.
#pragma once

namespace ringland::diagnosis::oil {

/// A kinematic viscosity (mm²/s, or cSt) at a temperature.
struct ViscosityPoint {
    double celsius = 0;
    double mm2ps = 0;
};

/// The two figures of a usual automatic transmission fluid, where a map has none: 7.4 mm²/s at 100 °C (SAE
/// 2007-01-3974, "conventional ATF"), 34 mm²/s at 40 °C (value from memory, no page).
inline constexpr ViscosityPoint usual_at_40{40, 34}, usual_at_100{100, 7.4};
/// kg/m³ at 15 °C, where a map has none (value from memory, no page).
inline constexpr double usual_density_15 = 850;

/// ASTM D341: log₁₀ log₁₀ Z = A − B log₁₀ T with T in kelvin and Z = ν + 0.7 + exp(−1.47 − 1.84 ν − 0.51 ν²). Back from
/// Z, with y = Z − 0.7: ν = y − exp(−0.7487 − 3.295 y + 0.6119 y² − 0.3193 y³). The exponentials count below 2 mm²/s.
class ViscosityLine {
public:
    /// Through two points of different temperature; the hotter one is the thinner. Viscosities outside of
    /// `least_mm2ps` to `most_mm2ps` are taken as that limit.
    ViscosityLine(ViscosityPoint one, ViscosityPoint other);

    /// At a temperature above -273 °C, between the two limits.
    [[nodiscard]] double mm2ps(double celsius) const;
    /// The temperature at which it is so thick: the other direction.
    [[nodiscard]] double celsius(double mm2ps) const;

    [[nodiscard]] double a() const { return a_; }
    [[nodiscard]] double b() const { return b_; }

    /// Below it the formula ends (Z must be above 1); above it an oil does not flow in any sense that matters here.
    static constexpr double least_mm2ps = 0.21, most_mm2ps = 1e6;

private:
    double a_ = 0, b_ = 0;
};

/// kg/m³ at a temperature, of an oil with this density at 15 °C: it swells by 0.0007 of its volume per kelvin (common
/// practice, no source).
[[nodiscard]] double density_at(double density_15, double celsius);

/// Viscosity index by ASTM D2270 from the kinematic viscosities at 40 °C and at 100 °C, at least 2 mm²/s at 100 °C:
/// procedure A to 100, procedure B above. L and H by the quadratics of the standard (values from memory of ASTM D2270,
/// table of coefficients; held to its printed examples). Not rounded.
[[nodiscard]] double viscosity_index(double mm2ps_40, double mm2ps_100);

} // namespace ringland::diagnosis::oil
