#include "ride.h"

#include <algorithm>
#include <cmath>

#include <glm/geometric.hpp>
#include <glm/trigonometric.hpp>

namespace ringland::viewer {

namespace {

constexpr double step_mm = 2;
/// Corners are rounded over so much of the way to both sides, or the eye would jerk.
constexpr double rounding_mm = 14;
constexpr double frame_s = 1.0 / 60;

std::vector<glm::dvec3> resampled(const std::vector<glm::dvec3>& points, double step) {
    std::vector<glm::dvec3> even{points.front()};
    double over = step;
    for (std::size_t i = 0; i + 1 < points.size(); ++i) {
        const double length = glm::distance(points[i], points[i + 1]);
        for (; over <= length && length > 0; over += step)
            even.push_back(glm::mix(points[i], points[i + 1], over / length));
        over -= length;
    }
    even.push_back(points.back());
    return even;
}

std::vector<glm::dvec3> rounded(const std::vector<glm::dvec3>& points) {
    const auto half = static_cast<std::ptrdiff_t>(std::lround(rounding_mm / step_mm));
    const auto count = static_cast<std::ptrdiff_t>(points.size());
    std::vector<glm::dvec3> smooth;
    for (std::ptrdiff_t i = 0; i < count; ++i) {
        const std::ptrdiff_t reach = std::min({half, i, count - 1 - i}); // the ends stay
        glm::dvec3 sum{0};
        for (std::ptrdiff_t k = i - reach; k <= i + reach; ++k)
            sum += points[static_cast<std::size_t>(k)];
        smooth.push_back(sum / static_cast<double>(2 * reach + 1));
    }
    return smooth;
}

double length_of(const std::vector<glm::dvec3>& points) {
    double length = 0;
    for (std::size_t i = 0; i + 1 < points.size(); ++i)
        length += glm::distance(points[i], points[i + 1]);
    return length;
}

} // namespace

RideWay ride_way(const model::AirPath& path, model::Lying lying) {
    RideWay way;
    const glm::dmat4 to_world = lying_matrix(lying);
    std::vector<glm::dvec3> points;
    for (const auto& p : path.points)
        points.emplace_back(to_world * glm::dvec4(p, 1));
    const glm::dvec3 seal(to_world * glm::dvec4(path.points[std::min(path.crossing, path.points.size() - 1)], 1));
    way.points = rounded(resampled(points, step_mm));
    way.length_mm = length_of(way.points);
    double so_far = 0, nearest = 1e30;
    for (std::size_t i = 0; i < way.points.size(); ++i) {
        if (i > 0) so_far += glm::distance(way.points[i - 1], way.points[i]);
        if (const double d = glm::distance(way.points[i], seal); d < nearest) {
            nearest = d;
            way.seal_mm = so_far;
        }
    }
    return way;
}

glm::dvec3 along_way(const RideWay& way, double mm) {
    for (std::size_t i = 0; i + 1 < way.points.size(); ++i) {
        const double length = glm::distance(way.points[i], way.points[i + 1]);
        if (mm <= length)
            return length > 0 ? glm::mix(way.points[i], way.points[i + 1], std::max(0.0, mm) / length) : way.points[i];
        mm -= length;
    }
    return way.points.back();
}

Flight ride_along(const Session& session, const Derived& derived, const Camera& from, const Camera& to, double aspect,
                  double now_s) {
    Flight flight{from, to, now_s, from == to ? 0 : ride_leaves_s, nullptr, 0};
    if (!derived.air || derived.air->points.size() < 2) return flight;
    const RideWay way = ride_way(*derived.air, session.view.lying);
    if (way.length_mm < 4 * step_mm) return flight;
    // Near enough to see the drilling, and far enough that the arrow ahead and the label beside it are in the picture.
    const double seen_mm = std::clamp(0.34 * way.length_mm, 110.0, 260.0);
    Camera camera = to;
    camera.distance = seen_mm / (2 * std::tan(glm::radians(field_of_view_deg / 2)) * std::min(1.0, aspect));
    const auto at = [&](double mm) {
        // The middle of the picture runs ahead of the air, less and less towards the end.
        camera.target = along_way(way, std::min(way.length_mm, mm + 0.5 * ride_ahead_mm));
        return camera;
    };
    std::vector<RideStop> stops;
    const double to_seal_s = way.seal_mm / ride_mm_per_s, to_end_s = (way.length_mm - way.seal_mm) / ride_mm_per_s;
    for (double t = 0; t < to_seal_s; t += frame_s)
        stops.push_back({ride_enters_s + t, at(t * ride_mm_per_s)});
    const double seal_s = ride_enters_s + to_seal_s;
    stops.push_back({seal_s, at(way.seal_mm)});
    for (double t = 0; t < to_end_s; t += frame_s)
        stops.push_back({seal_s + ride_waits_s + t, at(way.seal_mm + t * ride_mm_per_s)});
    stops.push_back({seal_s + ride_waits_s + to_end_s, at(way.length_mm)});
    flight.duration_s = stops.back().at_s + ride_leaves_s;
    flight.ride = std::make_shared<const std::vector<RideStop>>(std::move(stops));
    return flight;
}

} // namespace ringland::viewer
