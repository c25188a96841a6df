// Steps of lay_out, in the order in which they run. Private to the layout.
#pragma once

#include "layout.h"

namespace ringland::model::plan {

/// Figures that are drawn where the map is silent; common practice, no source (they decide only how a drawing looks).
namespace usual {
inline constexpr double ring_width = 3.0, ring_thickness = 3.0, groove_margin = 0.8, pitch = 13.0;
inline constexpr double shaft_radius = 24, support_radius = 33, clearance_drawn = 0.9, clearance_true = 0.2;
inline constexpr double recess_depth = 2.0, feed_radius = 3.0, drilling_radius = 2.4;
inline constexpr double pump_x0 = 58, pump_thickness = 34, drum_radius = 84, other_line_drum_radius = 66;
inline constexpr double plate_thickness = 3.0, end_margin = 9.0;
} // namespace usual

/// State handed from step to step.
struct Draft {
    const UnitMap& map;
    Layout& out;
    std::vector<Vec3> line_axis; ///< by line number - 1
    std::vector<double> cursor;  ///< first free x on each line
    std::vector<double> shaft_radius;
};

[[nodiscard]] bool turns(const UnitMap& map, const std::string& part, bool if_unknown);
[[nodiscard]] int line_of(const UnitMap& map, const std::string& part);
/// Circuit that fills the chamber of an element, or empty.
[[nodiscard]] std::string filling_circuit(const Element& element);

void place_lines(Draft& draft);
void place_stacks(Draft& draft);
void place_drums(Draft& draft);
void place_other_parts(Draft& draft);
void place_case(Draft& draft);
void place_case_brakes(Draft& draft);
void place_bands_and_servos(Draft& draft);
void place_ports(Draft& draft);
void run_nets(Draft& draft);
void place_seals(Draft& draft);
void bound(Draft& draft);

} // namespace ringland::model::plan
