#include "labels.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>

#include <glm/geometric.hpp>

namespace ringland::viewer {

namespace {

struct Leader {
    glm::dvec2 from, to;
};

double turn(const glm::dvec2& a, const glm::dvec2& b, const glm::dvec2& c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

bool cross(const Leader& p, const Leader& q) {
    return turn(p.from, p.to, q.from) * turn(p.from, p.to, q.to) < 0 &&
           turn(q.from, q.to, p.from) * turn(q.from, q.to, p.to) < 0;
}

bool meets(const Leader& line, const LabelBox& box) {
    constexpr int steps = 12;
    for (int i = 1; i < steps; ++i) {
        const auto p = line.from + (line.to - line.from) * (static_cast<double>(i) / steps);
        if (p.x > box.x0 && p.x < box.x1 && p.y > box.y0 && p.y < box.y1) return true;
    }
    return false;
}

LabelBox grown(const LabelBox& b, double by) { return {b.x0 - by, b.y0 - by, b.x1 + by, b.y1 + by}; }

bool inside(const LabelBox& box, const LabelBox& bounds) {
    return box.x0 >= bounds.x0 && box.y0 >= bounds.y0 && box.x1 <= bounds.x1 && box.y1 <= bounds.y1;
}

/// The box whose nearest point lies at `at` when it is seen from the anchor in that direction.
LabelPlace box_at(const LabelRequest& request, const glm::dvec2& direction, double distance) {
    const glm::dvec2 at = request.anchor + direction * distance;
    LabelPlace place;
    const double side = direction.x > 0.3 ? 0 : direction.x < -0.3 ? 1 : 0.5;
    const double rise = direction.y > 0.3 ? 0 : direction.y < -0.3 ? 1 : 0.5;
    place.box.x0 = at.x - request.size.x * side;
    place.box.y0 = at.y - request.size.y * rise;
    place.box.x1 = place.box.x0 + request.size.x;
    place.box.y1 = place.box.y0 + request.size.y;
    place.joint = at;
    place.shown = true;
    return place;
}

struct Scene {
    const LabelBox& bounds;
    const std::vector<LabelBox>& obstacles;
    std::vector<LabelBox> boxes;
    std::vector<Leader> leaders;

    /// Cost of a place, or nothing where it is not allowed.
    [[nodiscard]] std::optional<double> cost(const LabelRequest& request, const LabelPlace& place, double turned,
                                             double distance) const {
        if (!inside(place.box, bounds)) return std::nullopt;
        const auto room = grown(place.box, 5);
        const Leader leader{request.anchor, place.joint};
        double sum = turned * 60 + distance;
        for (const auto& b : boxes) {
            if (overlap(room, b)) return std::nullopt;
            if (meets(leader, b)) sum += 250;
        }
        for (const auto& b : obstacles) {
            if (overlap(room, b)) return std::nullopt;
        }
        for (const auto& l : leaders) {
            if (cross(leader, l)) sum += 400;
            if (meets(l, room)) sum += 250;
        }
        return sum;
    }
};

} // namespace

bool overlap(const LabelBox& a, const LabelBox& b) { return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1; }

std::vector<LabelPlace> place_labels(const std::vector<LabelRequest>& requests, const LabelBox& bounds,
                                     const std::vector<LabelBox>& obstacles) {
    Scene scene{bounds, obstacles, {}, {}};
    std::vector<LabelPlace> places;
    for (const auto& request : requests) {
        const double preferred = std::atan2(request.prefer.y, request.prefer.x);
        LabelPlace best;
        double least = 0;
        for (int k = 0; k < 16; ++k) { // the wished direction first, then to both sides of it by turns
            const int steps = (k + 1) / 2;
            const double turned = (k % 2 == 0 ? steps : -steps) * (std::numbers::pi / 8);
            const glm::dvec2 direction(std::cos(preferred + turned), std::sin(preferred + turned));
            for (double distance = request.least_distance; distance <= request.most_distance; distance *= 1.45) {
                const auto place = box_at(request, direction, distance);
                const auto cost = scene.cost(request, place, std::abs(turned), distance);
                if (cost && (!best.shown || *cost < least)) best = place, least = *cost;
            }
        }
        if (!best.shown && request.must) {
            best = box_at(request, glm::normalize(request.prefer), request.least_distance);
            const double dx =
                std::clamp(0.0, bounds.x0 - best.box.x0, std::max(bounds.x0 - best.box.x0, bounds.x1 - best.box.x1));
            const double dy =
                std::clamp(0.0, bounds.y0 - best.box.y0, std::max(bounds.y0 - best.box.y0, bounds.y1 - best.box.y1));
            best.box = {best.box.x0 + dx, best.box.y0 + dy, best.box.x1 + dx, best.box.y1 + dy};
            best.joint += glm::dvec2(dx, dy);
        }
        if (best.shown) {
            scene.boxes.push_back(best.box);
            scene.leaders.push_back({request.anchor, best.joint});
        }
        places.push_back(best);
    }
    return places;
}

} // namespace ringland::viewer
