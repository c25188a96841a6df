// Half sections of turned parts: regions of the (x, r) plane made by adding and removing rectangles, traced as loops.
//
// A turned part is what is left when rectangles are cut from rectangles, as on a lathe. Kept this way, parts that must
// not overlap are simply cut from each other.
#pragma once

#include <vector>

#include <glm/vec2.hpp>

namespace ringland::model {

/// An axis-parallel rectangle of the half section: x along the axis, r from it, both in mm.
struct SectionRect {
    double x0 = 0, x1 = 0, r0 = 0, r1 = 0;
};

/// A closed line of the half section. Metal lies to the left of its direction: outlines run counter-clockwise in (x,
/// r), holes clockwise.
using ProfileLoop = std::vector<glm::dvec2>;

/// The outline of (union of `add`) minus (union of `cut`).
[[nodiscard]] std::vector<ProfileLoop> trace_region(const std::vector<SectionRect>& add,
                                                    const std::vector<SectionRect>& cut);

/// Breaks corners: convex corners get a chamfer of the given leg, shortened where an edge is too short for it. Points
/// on the axis stay.
[[nodiscard]] ProfileLoop chamfered(const ProfileLoop& loop, double leg);

/// Rounds the inner corners of a casting with the given radius where two long edges meet at a right angle.
[[nodiscard]] ProfileLoop filleted(const ProfileLoop& loop, double radius);

} // namespace ringland::model
