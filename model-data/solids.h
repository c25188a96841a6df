// Closed solids as triangle soups: turned, extruded, piped. Corners come three per triangle, counter-clockwise from
// outside.
#pragma once

#include <functional>
#include <vector>

#include <glm/mat4x4.hpp>
#include <glm/vec3.hpp>

#include "profile.h"

namespace ringland::model {

using Soup = std::vector<glm::vec3>;

/// An axis in space about which a profile is turned: profile x runs from `origin` along `direction`, angle 0 along
/// `zero`.
struct TurningAxis {
    glm::dvec3 origin{0};
    glm::dvec3 direction{1, 0, 0};
    glm::dvec3 zero{0, 0, -1};
};

/// Full turn of the loops about the axis in equal segments.
void turn(Soup& soup, const TurningAxis& axis, const std::vector<ProfileLoop>& loops, int segments);

/// Channels along the inside of a turned wall, open towards the axis, with lands between them: where the teeth of
/// plates hang.
struct Splines {
    double x0 = 0, x1 = 0;     ///< from where to where along the axis, mm
    double root = 0, land = 0; ///< radius of the channels' floor, and the smaller one of the lands
    /// A ring groove in the lands between two places along the axis; radius 0: none.
    double groove_x0 = 0, groove_x1 = 0, groove_radius = 0;
    /// Slots through the wall in every other channel, between two places along the axis; the same place twice: none.
    double slot_x0 = 0, slot_x1 = 0;
};

/// Full turn of loops that run along the floor of the channels; the lands are raised from there. The middle of a
/// channel without a slot lies at angle 0.
void turn_splined(Soup& soup, const TurningAxis& axis, const std::vector<ProfileLoop>& loops,
                  const std::vector<Splines>& splines, int channels);

/// The head of a hexagon bolt with its washer, standing on the origin of the axis; `size` is half its width over
/// corners.
void bolt_head(Soup& soup, const TurningAxis& axis, double size);

/// Ears for bolts on the rim of a flange: round the middle of each, on a circle about the axis, the rim swells out.
struct Ears {
    int count = 0;                           ///< none at angle 0, and none opposite where it is even
    double rim = 0;                          ///< radius of the flange
    double circle = 0, radius = 0, hole = 0; ///< of the ears' middles about the axis, of an ear and of the hole in it
};

/// Full turn of a loop with one straight rim, the two corners of which have the radius of the ears' rim.
void turn_eared(Soup& soup, const TurningAxis& axis, const ProfileLoop& loop, const Ears& ears);

/// Bolt heads on a circle about the axis, in the plane of its origin; none at angle 0, and none opposite where `count`
/// is even.
void bolt_circle(Soup& soup, const TurningAxis& axis, double radius, int count, double size);

/// A plate of the outline (counter-clockwise in the half section of the axis, star-shaped about its first corner) that
/// stands on a turned part at an angle.
void web(Soup& soup, const TurningAxis& axis, const ProfileLoop& outline, double angle, double half_thickness);

/// A boss on a round barrel about the x axis: a sleeve about the axis, from the barrel, which its foot follows, to
/// `end` along it; its edge there is broken. False, and nothing is made, where the barrel ends beside it or it would
/// not stand out of the barrel.
bool barrel_boss(Soup& soup, const TurningAxis& axis, double barrel, double inner, double outer, double end,
                 int segments);

/// A turn of one convex loop from one angle to another (radians, to > from), closed by flat ends. The end at `to` may
/// be cut at a slant: there the angle grows by `slant` per mm of x beyond the middle, and the end at `from` lies
/// parallel to it.
void turn_part(Soup& soup, const TurningAxis& axis, const ProfileLoop& loop, double from, double to, double slant,
               int segments);

/// A bar along the axis from x0 to x1 with outline radius(angle), hollow inside `inner_radius` (0: full).
void extrude_outline(Soup& soup, const TurningAxis& axis, double x0, double x1, const std::vector<double>& radius_at,
                     double inner_radius);

/// A straight rod between two points with round ends of the same radius.
void rod(Soup& soup, const glm::dvec3& a, const glm::dvec3& b, double radius, int segments);

/// A box with its middle, half sizes and edges parallel to the axes of space.
void box(Soup& soup, const glm::dvec3& low, const glm::dvec3& high);

/// A plate of the outline (counter-clockwise in (x, y) seen from +z, convex or star-shaped about its middle) from z0 to
/// z1.
void slab(Soup& soup, const std::vector<glm::dvec2>& outline, double z0, double z1);

/// Outline of gear or spline teeth as radii at equal angles, four per tooth.
[[nodiscard]] std::vector<double> toothed(int teeth, double root_radius, double tip_radius);

/// Segments of a circle so that its chords stay within a tenth of a millimetre or so, bounded for small and large
/// circles.
[[nodiscard]] int segments_for(double radius);

} // namespace ringland::model
