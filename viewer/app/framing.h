// Framing: the camera that shows points as large as they go into what is left free of a drawing.
//
// A picture carries a title, a legend and the mark of the engine end; labels and the arrows of the air stand out beyond
// the mouths of the ports. All of these are measured in points of the screen and do not grow with the subject, so the
// largest frame is searched for: the outline as it is seen, grown and shifted until it fits.
#pragma once

#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "session.h"

namespace ringland::viewer {

/// A point of the subject, world space, and how far something fixed to it stands out on the screen: points, y up.
struct FramePoint {
    glm::dvec3 at{0};
    glm::dvec2 reach{0};
};

/// Right, up and forward of a direction of view.
struct SightAxes {
    glm::dvec3 right{1, 0, 0}, up{0, 0, 1}, forward{0, 1, 0};
};
[[nodiscard]] glm::dvec3 towards_eye(double azimuth_deg, double elevation_deg);
[[nodiscard]] SightAxes sight_axes(double azimuth_deg, double elevation_deg);

/// The camera of a direction that holds all points (world space) with a margin of 8 % of the frame on every side.
[[nodiscard]] Camera frame_points(const std::vector<glm::dvec3>& world_points, double azimuth_deg, double elevation_deg,
                                  double aspect);
/// The camera of a direction that shows all points and what stands out from them as large as the room allows: inside
/// the margin, and clear of what is taken.
[[nodiscard]] Camera frame_in_room(const std::vector<FramePoint>& points, double azimuth_deg, double elevation_deg,
                                   double aspect, const DrawingRoom& room);

/// Points of the screen that a framed subject keeps from the border, and from what stands on the drawing.
inline constexpr double room_margin_points = 22, room_gap_points = 10;

} // namespace ringland::viewer
