// The ride along the way of the air: from the mouth of the port down the drilling to the seal, and out again.
#pragma once

#include "camera.h"

namespace ringland::viewer {

inline constexpr double ride_mm_per_s = 95;  ///< along the way, the same everywhere
inline constexpr double ride_enters_s = 1.0; ///< from where the camera is to the beginning of the way
inline constexpr double ride_waits_s = 1.4;  ///< at the seal
inline constexpr double ride_leaves_s = 1.2; ///< from the end of the way to the whole of it
/// So much of the way ahead is kept in sight.
inline constexpr double ride_ahead_mm = 26;

/// A flight from a camera along the way of the air to another camera; without a way it is a plain flight.
[[nodiscard]] Flight ride_along(const Session& session, const Derived& derived, const Camera& from, const Camera& to,
                                double aspect, double now_s);

/// The way in world space, its corners rounded, and where on it the seal is, in millimetres from its beginning.
struct RideWay {
    std::vector<glm::dvec3> points;
    double seal_mm = 0, length_mm = 0;
};
[[nodiscard]] RideWay ride_way(const model::AirPath& path, model::Lying lying);
/// The point so many millimetres along.
[[nodiscard]] glm::dvec3 along_way(const RideWay& way, double mm);

} // namespace ringland::viewer
