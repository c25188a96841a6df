#include "framing.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

#include <glm/geometric.hpp>
#include <glm/trigonometric.hpp>

#include "camera.h"

namespace ringland::viewer {

namespace {

constexpr double frame_margin = 0.08;
/// Share of the size that half the width away from the middle may cost.
constexpr double worth_of_middle = 0.7;

double half_height() { return std::tan(glm::radians(field_of_view_deg / 2)); }

double cross(const glm::dvec2& a, const glm::dvec2& b) { return a.x * b.y - a.y * b.x; }

/// A box on the screen, y up, in half heights of the drawing from its middle.
struct Span {
    glm::dvec2 low{std::numeric_limits<double>::max()}, high{std::numeric_limits<double>::lowest()};
};

/// A convex outline, counter-clockwise, and the box around it.
struct Outline {
    std::vector<glm::dvec2> points;
    Span span;
};

Outline convex(std::vector<glm::dvec2> points) {
    const auto before = [](const glm::dvec2& a, const glm::dvec2& b) { return a.x != b.x ? a.x < b.x : a.y < b.y; };
    std::sort(points.begin(), points.end(), before);
    points.erase(std::unique(points.begin(), points.end()), points.end());
    Outline outline;
    for (const auto& p : points) {
        outline.span.low = glm::min(outline.span.low, p);
        outline.span.high = glm::max(outline.span.high, p);
    }
    if (points.size() < 3) {
        outline.points = std::move(points);
        return outline;
    }
    auto& hull = outline.points;
    const auto walk = [&](auto from, auto to) {
        const std::size_t start = hull.size();
        for (auto it = from; it != to; ++it) {
            while (hull.size() >= start + 2 && cross(hull.back() - hull[hull.size() - 2], *it - hull.back()) <= 0)
                hull.pop_back();
            hull.push_back(*it);
        }
        hull.pop_back();
    };
    walk(points.begin(), points.end());
    walk(points.rbegin(), points.rend());
    return outline;
}

/// Whether an outline that is moved by `shift` touches a box: they are apart where a side of either divides them.
bool touches(const Outline& outline, const glm::dvec2& shift, const Span& box) {
    const glm::dvec2 low = outline.span.low + shift, high = outline.span.high + shift;
    if (low.x >= box.high.x || high.x <= box.low.x || low.y >= box.high.y || high.y <= box.low.y) return false;
    const auto& points = outline.points;
    for (std::size_t i = 0; i < points.size(); ++i) {
        const glm::dvec2 side = points[(i + 1) % points.size()] - points[i];
        const glm::dvec2 out(side.y, -side.x);
        // The corner of the box that lies farthest towards the outline.
        const glm::dvec2 corner(out.x > 0 ? box.low.x : box.high.x, out.y > 0 ? box.low.y : box.high.y);
        if (glm::dot(out, corner - points[i] - shift) >= 0) return false;
    }
    return true;
}

/// What is free, in half heights from the middle of the drawing.
struct Free {
    Span inside;
    std::vector<Span> taken;
};

Free free_of(const DrawingRoom& room, double aspect) {
    const double point = 2 / std::max(1.0, room.height_points);
    const double margin = room_margin_points * point, gap = room_gap_points * point;
    Free free{{glm::dvec2(-aspect + margin, -1 + margin), glm::dvec2(aspect - margin, 1 - margin)}, {}};
    for (const auto& box : room.taken) {
        free.taken.push_back({{aspect * (2 * box.x0 - 1) - gap, 1 - 2 * box.y1 - gap},
                              {aspect * (2 * box.x1 - 1) + gap, 1 - 2 * box.y0 + gap}});
    }
    return free;
}

/// The shift that puts an outline into what is free: as near to the middle of the drawing from side to side as it goes,
/// and up and down as far from everything. Nothing where it is too large. With `any`, the first one that is found.
std::optional<glm::dvec2> fit(const Outline& outline, const Free& free, bool any) {
    const glm::dvec2 low = free.inside.low - outline.span.low, high = free.inside.high - outline.span.high;
    if (low.x > high.x || low.y > high.y) return std::nullopt;
    constexpr int steps = 12;
    const double middle_x = std::clamp(-0.5 * (outline.span.low.x + outline.span.high.x), low.x, high.x);
    std::optional<glm::dvec2> best;
    double best_off = std::numeric_limits<double>::max();
    for (int i = 0; i <= steps; ++i) {
        // The middle first, then to both sides by turns.
        const double out = double((i + 1) / 2) * (i % 2 == 0 ? 1 : -1) / steps;
        const double x = std::clamp(middle_x + out * (high.x - low.x), low.x, high.x);
        double first = 0, last = 0;
        int good = 0;
        for (int k = 0; k <= steps; ++k) {
            const double y = low.y + (high.y - low.y) * k / steps;
            if (std::any_of(free.taken.begin(), free.taken.end(), [&](const Span& box) {
                    return touches(outline, {x, y}, box);
                }))
                continue;
            if (any) return glm::dvec2(x, y);
            if (good == 0) first = y;
            last = y;
            ++good;
        }
        if (good == 0 || std::abs(x - middle_x) >= best_off) continue;
        best_off = std::abs(x - middle_x);
        // The middle of what is allowed, where that is one piece; else its lower end.
        const double y = 0.5 * (first + last);
        const bool whole = std::none_of(free.taken.begin(), free.taken.end(), [&](const Span& box) {
            return touches(outline, {x, y}, box);
        });
        best = glm::dvec2(x, whole ? y : first);
    }
    return best;
}

/// The points as they are seen, in half heights, grown by a factor, with what stands out from them as it is.
Outline seen_from(const std::vector<FramePoint>& points, const Camera& camera, const SightAxes& axes, double grown,
                  double point) {
    std::vector<glm::dvec2> seen;
    seen.reserve(points.size());
    for (const auto& p : points) {
        const glm::dvec3 q = p.at - camera.target;
        const double depth = std::max(1.0, camera.distance + glm::dot(q, axes.forward)) * half_height();
        seen.push_back(glm::dvec2(glm::dot(q, axes.right), glm::dot(q, axes.up)) * (grown / depth) + p.reach * point);
    }
    return convex(std::move(seen));
}

} // namespace

glm::dvec3 towards_eye(double azimuth_deg, double elevation_deg) {
    const double az = glm::radians(azimuth_deg), el = glm::radians(elevation_deg);
    return {std::sin(az) * std::cos(el), -std::cos(az) * std::cos(el), std::sin(el)};
}

SightAxes sight_axes(double azimuth_deg, double elevation_deg) {
    const glm::dvec3 forward = -towards_eye(azimuth_deg, elevation_deg);
    const glm::dvec3 right = glm::normalize(glm::cross(forward, glm::dvec3(0, 0, 1)));
    return {right, glm::cross(right, forward), forward};
}

Camera frame_points(const std::vector<glm::dvec3>& world_points, double azimuth_deg, double elevation_deg,
                    double aspect) {
    Camera camera;
    camera.azimuth_deg = azimuth_deg;
    camera.elevation_deg = elevation_deg;
    if (world_points.empty()) return camera;
    const SightAxes axes = sight_axes(azimuth_deg, elevation_deg);
    const double limit_y = half_height() * (1 - 2 * frame_margin);
    const double limit_x = limit_y * aspect;

    glm::dvec3 sum{0};
    for (const auto& p : world_points)
        sum += p;
    camera.target = sum / double(world_points.size());
    // Perspective shifts the middle of what is seen, so distance and middle are found in turns; the last turn sets the
    // distance, so that everything is inside whatever the middle.
    for (int turn = 0; turn < 6; ++turn) {
        double distance = nearest_mm;
        for (const auto& p : world_points) {
            const glm::dvec3 q = p - camera.target;
            const double depth = glm::dot(q, axes.forward);
            distance = std::max({distance, std::abs(glm::dot(q, axes.right)) / limit_x - depth,
                                 std::abs(glm::dot(q, axes.up)) / limit_y - depth, -depth * 1.1});
        }
        camera.distance = distance;
        if (turn == 5) break;
        glm::dvec2 low{std::numeric_limits<double>::max()}, high{std::numeric_limits<double>::lowest()};
        for (const auto& p : world_points) {
            const glm::dvec3 q = p - camera.target;
            const glm::dvec2 seen =
                glm::dvec2(glm::dot(q, axes.right), glm::dot(q, axes.up)) / (distance + glm::dot(q, axes.forward));
            low = glm::min(low, seen);
            high = glm::max(high, seen);
        }
        const glm::dvec2 middle = 0.5 * (low + high) * distance;
        camera.target += axes.right * middle.x + axes.up * middle.y;
    }
    camera.distance = std::min(camera.distance, farthest_mm);
    return camera;
}

Camera frame_in_room(const std::vector<FramePoint>& points, double azimuth_deg, double elevation_deg, double aspect,
                     const DrawingRoom& room) {
    std::vector<glm::dvec3> bare;
    bare.reserve(points.size());
    for (const auto& p : points)
        bare.push_back(p.at);
    Camera camera = frame_points(bare, azimuth_deg, elevation_deg, aspect);
    if (points.empty()) return camera;
    const SightAxes axes = sight_axes(azimuth_deg, elevation_deg);
    const double point = 2 / std::max(1.0, room.height_points);
    const Free free = free_of(room, aspect);
    const auto fits = [&](double grown, bool any) {
        return fit(seen_from(points, camera, axes, grown, point), free, any);
    };
    const auto place = [&](double grown, const glm::dvec2& shift) {
        camera.distance = std::clamp(camera.distance / grown, nearest_mm, farthest_mm);
        camera.target -= (axes.right * shift.x + axes.up * shift.y) * (half_height() * camera.distance);
    };
    // Perspective changes with the distance, so the largest frame is found in turns.
    for (int turn = 0; turn < 3; ++turn) {
        double grown = 1.6;
        while (grown > 0.1 && !fits(grown, true))
            grown *= 0.8;
        if (grown <= 0.1) return camera; // more is taken than is free
        double too_large = grown * 1.25;
        for (int halving = 0; halving < 7; ++halving) {
            const double middle = 0.5 * (grown + too_large);
            (fits(middle, true) ? grown : too_large) = middle;
        }
        // A little smaller it may stand nearer to the middle: that looks better than the last bit of size.
        double best_score = -1;
        std::pair<double, glm::dvec2> best{grown, glm::dvec2(0)};
        for (double share = 0.995; share > 0.85; share -= 0.018) {
            const Outline outline = seen_from(points, camera, axes, share * grown, point);
            const auto shift = fit(outline, free, false);
            if (!shift) continue;
            const double off = std::abs(0.5 * (outline.span.low.x + outline.span.high.x) + shift->x) / aspect;
            if (const double score = share - worth_of_middle * off; score > best_score)
                best_score = score, best = {share * grown, *shift};
        }
        place(best.first, best.second);
    }
    // A shift turns the perspective a little: what it pushed out comes in again.
    for (int turn = 0; turn < 12; ++turn) {
        const Outline outline = seen_from(points, camera, axes, 1, point);
        const bool in = outline.span.low.x >= free.inside.low.x && outline.span.low.y >= free.inside.low.y &&
                        outline.span.high.x <= free.inside.high.x && outline.span.high.y <= free.inside.high.y;
        if (in && std::none_of(free.taken.begin(), free.taken.end(),
                               [&](const Span& box) { return touches(outline, glm::dvec2(0), box); }))
            break;
        place(0.99, glm::dvec2(0));
    }
    return camera;
}

} // namespace ringland::viewer
