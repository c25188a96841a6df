// What oil pressure does to a clutch: head of the oil that spins with its drum, and the torque that its plates carry.
#pragma once

#include <optional>

#include "../../model-data/unit_map.h"

namespace ringland::diagnosis::oil {

/// Turns a minute as rad/s.
[[nodiscard]] constexpr double radians_per_second(double rpm) { return rpm * (3.14159265358979323846 / 30); }

/// Pressure that spinning oil gains from one radius to another, Pa: ½ ρ ω² (r² − r₀²), rigid rotation (Munson, Young
/// and Okiishi, Fundamentals of Fluid Mechanics, rigid-body rotation).
[[nodiscard]] constexpr double centrifugal_head_pa(double density, double omega, double from_radius_m,
                                                   double to_radius_m) {
    return 0.5 * density * omega * omega * (to_radius_m * to_radius_m - from_radius_m * from_radius_m);
}

/// The ring of oil behind a piston.
struct Chamber {
    double inner_radius_m = 0, outer_radius_m = 0;
};

/// The same head averaged over the area of a chamber, ½ ρ ω² ((r₁² + r₂²)/2 − r₀²): times the area it is the thrust
/// (π ρ ω²/4) ((r₂⁴ − r₁⁴) − 2 r₀² (r₂² − r₁²)). `from_radius_m` is where the oil has the pressure of its circuit.
[[nodiscard]] constexpr double mean_head_pa(double density, double omega, double from_radius_m,
                                            const Chamber& chamber) {
    const double square =
        0.5 * (chamber.inner_radius_m * chamber.inner_radius_m + chamber.outer_radius_m * chamber.outer_radius_m);
    return 0.5 * density * omega * omega * (square - from_radius_m * from_radius_m);
}

/// The chamber of an element: by its own diameters, by one of them and the apply area, or by the apply area around the
/// middle of its plates. None where the map gives less, or figures that make no ring.
[[nodiscard]] std::optional<Chamber> chamber_of(const model::Element& element);

/// Radius at which the friction of a ring of plates may be thought to act. Worn plates (pressure × radius the same all
/// over): (r₁ + r₂)/2. New, stiff ones (pressure the same all over): (2/3)(r₂³ − r₁³)/(r₂² − r₁²), never less. Both are
/// the textbook forms (Khurmi and Gupta, Theory of Machines, ch. 10; Shigley, Mechanical Engineering Design, ch. 16).
[[nodiscard]] constexpr double uniform_wear_radius_m(double inner_m, double outer_m) {
    return 0.5 * (inner_m + outer_m);
}
[[nodiscard]] constexpr double uniform_pressure_radius_m(double inner_m, double outer_m) {
    // (r₂³ − r₁³)/(r₂² − r₁²) without the difference that would lose its digits.
    return 2.0 / 3 * (inner_m * inner_m + inner_m * outer_m + outer_m * outer_m) / (inner_m + outer_m);
}

/// Torque of so many rubbing faces pressed together with one force, N m: T = n μ W R.
[[nodiscard]] constexpr double clutch_torque_nm(int faces, double friction, double force_n, double radius_m) {
    return faces * friction * force_n * radius_m;
}

/// Torque that the plates of an element carry under a force, worn: the lower of the two forms. Each friction plate rubs
/// on both sides. None for a band (its wrap is not in a map), and where plates, their diameters or friction are not
/// told.
[[nodiscard]] std::optional<double> capacity_nm(const model::Element& element, double force_n);

} // namespace ringland::diagnosis::oil
