// Camera mathematics: matrices, named views, flights and projections. No OpenGL.
//
// World space is unit space turned by how the unit lies, z up, bench below. Azimuth 0 looks from -y towards +y,
// positive azimuth moves the eye towards +x; the eye is at target + distance * (sin az cos el, -cos az cos el, sin el).
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include <glm/mat4x4.hpp>
#include <glm/vec2.hpp>

#include "derived.h"
#include "session.h"
#include "texts.h"

namespace ringland::viewer {

inline constexpr double field_of_view_deg = 24; ///< vertical; a long lens, as in a technical plate

/// Part of the window in which the drawing stands, in pixels from the top left.
struct Viewport {
    double x = 0, y = 0, width = 1, height = 1;
};

/// From unit space to world space for a way of lying.
[[nodiscard]] glm::dmat4 lying_matrix(model::Lying lying);
/// Which half the section takes away: that where unit-space y * cut_side(lying) > 0, the one towards the eye of the
/// named views. The plane itself is y = 0, through the input axis and square to the case face.
[[nodiscard]] double cut_side(model::Lying lying);
/// "pump end (down)": the name of an end of a stack together with where it is now.
[[nodiscard]] std::string end_with_lie(const Translator& tr, const std::string& end, model::Lying lying,
                                       bool towards_engine);

/// Whether a named view opens the unit. Rings and lips are seen in the opened half only; what stands on the case face,
/// in a shaft or in a servo would go with the half that is taken away, or hide in metal.
[[nodiscard]] bool looks_into_section(const Session& session, const Derived& derived, Viewpoint viewpoint);

[[nodiscard]] glm::dvec3 eye_of(const Camera& camera);
[[nodiscard]] glm::dmat4 view_matrix(const Camera& camera);
[[nodiscard]] glm::dmat4 projection_matrix(const Camera& camera, double aspect);

/// Limits of what a hand may do with the camera; the named views keep inside them.
inline constexpr double elevation_limit_deg = 85, nearest_mm = 30, farthest_mm = 60000;

/// Where the camera is at a time: eased along its flight.
[[nodiscard]] Camera camera_at(const Flight& flight, double now_s);
[[nodiscard]] bool in_flight(const Flight& flight, double now_s);
/// A ride or a turntable: it goes on until something is touched.
[[nodiscard]] bool goes_by_itself(const Flight& flight, double now_s);
/// Starts a move from wherever the camera is now.
void fly_to(Flight& flight, const Camera& to, double now_s, double duration_s);

/// The camera of a named view for the session as it is: frames its subject at the given aspect ratio.
[[nodiscard]] Camera named_camera(const Session& session, const Derived& derived, Viewpoint viewpoint, double aspect);
/// A camera that frames one subject from the present direction.
[[nodiscard]] Camera focus_camera(const Session& session, const Derived& derived, const model::Subject& subject,
                                  const Camera& now, double aspect);

/// Pixel of a point of unit space; z of the result is the distance along the line of sight, negative behind the eye.
[[nodiscard]] glm::dvec3 project(const glm::dvec3& unit_point, const Camera& camera, model::Lying lying,
                                 const Viewport& viewport);

} // namespace ringland::viewer
