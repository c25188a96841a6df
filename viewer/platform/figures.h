// Figures as a person types them on the command line: a number with its unit, "35psi", "2.4bar", "3mm", ".118in".
//
// A figure without its unit is refused: 35 psi taken for 35 bar is not a slip that anyone should have to notice later.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "../../model-data/quantity.h"

namespace ringland::viewer {

/// The figure, or in `why` what would be right.
template <class Dimension> struct TypedFigure {
    std::optional<model::Quantity<Dimension>> value;
    std::string why;
};

/// Gauge pressure of air, 0 to 10 bar: psi, kPa or bar. "0" needs no unit.
[[nodiscard]] TypedFigure<model::PressureDimension> parse_pressure(std::string_view typed);

/// Diameter of a hole, 0 to 10 mm: mm or in, also as a fraction of an inch: "1/16in". "0" needs no unit.
[[nodiscard]] TypedFigure<model::LengthDimension> parse_hole(std::string_view typed);

/// A measured length, 0 to 500 mm, written as a hole is.
[[nodiscard]] TypedFigure<model::LengthDimension> parse_length(std::string_view typed);

/// "35 psi (2.41 bar)".
[[nodiscard]] std::string pressure_text(double gauge_pa);
/// "3 mm (0.118 in)".
[[nodiscard]] std::string hole_text(double diameter_m);
/// Normal litres a minute with as many digits as an ear can use: "0.04", "2.3", "156".
[[nodiscard]] std::string flow_text(double lpm);

} // namespace ringland::viewer
