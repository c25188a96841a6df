// A figure with the unit in which its author wrote it.
//
// A rebuilder writes 0.060 in and expects to read 0.060 in again, so a map keeps the figure and the unit as entered.
// Everything that computes asks for si(); conversion factors stand here and nowhere else.
#pragma once

#include <array>
#include <cstddef>
#include <string_view>

namespace ringland::model {

/// One unit of a dimension: the suffix that keys carry in a map file (`bore_mm`), and its size in SI.
struct UnitOfMeasure {
    std::string_view suffix;
    std::string_view label;
    double si_per_unit;
};

/// Lengths; SI unit metre. 1 in = 25.4 mm exactly (international inch, 1959).
struct LengthDimension {
    enum class Unit { mm, in };
    static constexpr std::array<UnitOfMeasure, 2> units{{{"mm", "mm", 1e-3}, {"in", "in", 0.0254}}};
};

/// Gauge pressures; SI unit pascal. 1 psi = 6894.757293168 Pa (lbf and in exact by definition).
struct PressureDimension {
    enum class Unit { psi, kpa, bar };
    static constexpr std::array<UnitOfMeasure, 3> units{
        {{"psi", "psi", 6894.757293168361}, {"kpa", "kPa", 1e3}, {"bar", "bar", 1e5}}};
};

/// Volumes; SI unit cubic metre.
struct VolumeDimension {
    enum class Unit { cm3, in3 };
    static constexpr std::array<UnitOfMeasure, 2> units{{{"cm3", "cm³", 1e-6}, {"in3", "in³", 1.6387064e-5}}};
};

/// Areas; SI unit square metre.
struct AreaDimension {
    enum class Unit { cm2, in2 };
    static constexpr std::array<UnitOfMeasure, 2> units{{{"cm2", "cm²", 1e-4}, {"in2", "in²", 6.4516e-4}}};
};

/// A figure and the unit that it was entered in. Equal means entered alike, not merely of equal size.
template <class Dimension> struct Quantity {
    using Unit = typename Dimension::Unit;
    double value{};
    Unit unit{};

    [[nodiscard]] constexpr const UnitOfMeasure& measure() const {
        return Dimension::units[static_cast<std::size_t>(unit)];
    }
    /// The figure in the SI unit of the dimension.
    [[nodiscard]] constexpr double si() const { return value * measure().si_per_unit; }

    friend constexpr bool operator==(const Quantity&, const Quantity&) = default;
};

using Length = Quantity<LengthDimension>;
using GaugePressure = Quantity<PressureDimension>;
using Volume = Quantity<VolumeDimension>;
using Area = Quantity<AreaDimension>;

/// Length in millimetres, the unit of the drawing.
[[nodiscard]] constexpr double in_mm(const Length& length) {
    return length.unit == LengthDimension::Unit::mm ? length.value : length.value * 25.4;
}
[[nodiscard]] constexpr Length mm(double value) { return {value, LengthDimension::Unit::mm}; }
[[nodiscard]] constexpr GaugePressure psi(double value) { return {value, PressureDimension::Unit::psi}; }

} // namespace ringland::model
