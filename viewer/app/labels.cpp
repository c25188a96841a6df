#include "labels.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>

#include <glm/geometric.hpp>

namespace ringland::viewer {

namespace {

constexpr int directions = 24;
constexpr double ring_growth = 1.42;
/// Pixels of leader that a label rather has longer than to leave its place.
constexpr double stays_for = 130;
constexpr double room_px = 5;

double side_of(const glm::dvec2& a, const glm::dvec2& b, const glm::dvec2& c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

LabelBox grown(const LabelBox& b, double by) { return {b.x0 - by, b.y0 - by, b.x1 + by, b.y1 + by}; }

bool inside(const LabelBox& box, const LabelBox& bounds) {
    return box.x0 >= bounds.x0 && box.y0 >= bounds.y0 && box.x1 <= bounds.x1 && box.y1 <= bounds.y1;
}

/// -1 to 1, without a jump anywhere: a label slides along its anchor as the direction turns.
double share(double component) { return std::clamp(component / 0.6, -1.0, 1.0); }

/// The box whose nearest point lies at `at` when it is seen from the anchor in that direction.
LabelPlace box_at(const LabelRequest& request, const glm::dvec2& direction, double distance) {
    const glm::dvec2 at = request.anchor + direction * distance;
    LabelPlace place;
    place.box.x0 = at.x - request.size.x * (0.5 - 0.5 * share(direction.x));
    place.box.y0 = at.y - request.size.y * (0.5 - 0.5 * share(direction.y));
    place.box.x1 = place.box.x0 + request.size.x;
    place.box.y1 = place.box.y0 + request.size.y;
    place.joint = at;
    place.shown = true;
    return place;
}

struct Leader {
    glm::dvec2 from, to;
};

struct Scene {
    const LabelBox& bounds;
    const std::vector<LabelBox>& obstacles;
    std::vector<LabelBox> boxes;
    std::vector<Leader> leaders;

    [[nodiscard]] bool allows(const LabelRequest& request, const LabelPlace& place) const {
        if (!inside(place.box, bounds)) return false;
        const auto room = grown(place.box, room_px);
        for (const auto& b : boxes) {
            if (overlap(room, b) || line_meets(request.anchor, place.joint, grown(b, 1))) return false;
        }
        for (const auto& b : obstacles) {
            if (overlap(room, b)) return false;
        }
        for (const auto& l : leaders) {
            if (lines_cross(request.anchor, place.joint, l.from, l.to) || line_meets(l.from, l.to, room)) return false;
        }
        return true;
    }
    /// A leader over the subject is worse than a longer one beside it.
    [[nodiscard]] double cost(const LabelRequest& request, const LabelPlace& place, double turned,
                              double distance) const {
        double sum = turned * 60 + distance;
        for (const auto& b : obstacles) {
            const bool begins_there = request.anchor.x > b.x0 && request.anchor.x < b.x1 && request.anchor.y > b.y0 &&
                                      request.anchor.y < b.y1;
            if (!begins_there && line_meets(request.anchor, place.joint, b)) sum += 80;
        }
        return sum;
    }
};

struct Found {
    LabelPlace place;
    LabelMemory::Slot slot;
    double cost = 0;
};

Found at_slot(const LabelRequest& request, const Scene& scene, const LabelMemory::Slot& slot) {
    const double preferred = std::atan2(request.prefer.y, request.prefer.x);
    const glm::dvec2 direction(std::cos(slot.angle), std::sin(slot.angle));
    const double distance = request.least_distance * std::pow(ring_growth, slot.ring);
    Found found{box_at(request, direction, distance), slot, 0};
    const double turned = std::abs(std::remainder(slot.angle - preferred, 2 * std::numbers::pi));
    found.cost = scene.cost(request, found.place, turned, distance);
    return found;
}

std::optional<Found> best_place(const LabelRequest& request, const Scene& scene, double most_distance) {
    std::optional<Found> best;
    const double preferred = std::atan2(request.prefer.y, request.prefer.x);
    for (int direction = 0; direction < directions; ++direction) {
        // The wished direction first, then to both sides of it by turns.
        const int steps = (direction + 1) / 2;
        const double angle = preferred + (direction % 2 == 0 ? steps : -steps) * (2 * std::numbers::pi / directions);
        for (int ring = 0; request.least_distance * std::pow(ring_growth, ring) <= most_distance; ++ring) {
            auto found = at_slot(request, scene, {angle, ring});
            if ((best && best->cost <= found.cost) || !scene.allows(request, found.place)) continue;
            best = found;
        }
    }
    return best;
}

} // namespace

bool overlap(const LabelBox& a, const LabelBox& b) { return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1; }

bool lines_cross(const glm::dvec2& a, const glm::dvec2& b, const glm::dvec2& c, const glm::dvec2& d) {
    return side_of(a, b, c) * side_of(a, b, d) < 0 && side_of(c, d, a) * side_of(c, d, b) < 0;
}

bool line_meets(const glm::dvec2& a, const glm::dvec2& b, const LabelBox& box) {
    // Shortened to the box from side to side; what is left of it runs through.
    double from = 0, to = 1;
    const auto shorten = [&](double start, double way, double low, double high) {
        if (std::abs(way) < 1e-12) return start > low && start < high;
        const double t0 = (low - start) / way, t1 = (high - start) / way;
        from = std::max(from, std::min(t0, t1));
        to = std::min(to, std::max(t0, t1));
        return from < to;
    };
    return shorten(a.x, b.x - a.x, box.x0, box.x1) && shorten(a.y, b.y - a.y, box.y0, box.y1) && to - from > 1e-6;
}

std::vector<LabelPlace> place_labels(const std::vector<LabelRequest>& requests, const LabelBox& bounds,
                                     const std::vector<LabelBox>& obstacles, LabelMemory* memory) {
    Scene scene{bounds, obstacles, {}, {}};
    std::vector<LabelPlace> places(requests.size());
    std::vector<char> done(requests.size(), 0);
    std::map<std::string, LabelMemory::Slot> kept;
    const auto take = [&](std::size_t i, const Found& found) {
        places[i] = found.place;
        done[i] = 1;
        scene.boxes.push_back(found.place.box);
        scene.leaders.push_back({requests[i].anchor, found.place.joint});
        if (!requests[i].key.empty()) kept[requests[i].key] = found.slot;
    };
    const auto search = [&](std::size_t i) {
        auto found = best_place(requests[i], scene, requests[i].most_distance);
        if (!found && requests[i].must)
            found = best_place(requests[i], scene, std::hypot(bounds.x1 - bounds.x0, bounds.y1 - bounds.y0));
        return found;
    };
    // Whoever has a place keeps it before anybody looks for a new one, or one that moves would push the others about.
    for (std::size_t i = 0; memory != nullptr && i < requests.size(); ++i) {
        const auto before = memory->slots.find(requests[i].key);
        if (before == memory->slots.end()) continue;
        const auto stay = at_slot(requests[i], scene, before->second);
        if (stay.cost > requests[i].least_distance + stays_for || !scene.allows(requests[i], stay.place)) {
            const auto best = search(i);
            if (!best || stay.cost > best->cost + stays_for || !scene.allows(requests[i], stay.place)) continue;
        }
        take(i, stay);
    }
    for (std::size_t i = 0; i < requests.size(); ++i) {
        if (done[i] != 0) continue;
        if (const auto found = search(i)) {
            take(i, *found);
        } else if (memory != nullptr) {
            // It may find room again where it was.
            const auto before = memory->slots.find(requests[i].key);
            if (before != memory->slots.end()) kept.insert(*before);
        }
    }
    if (memory != nullptr) memory->slots = std::move(kept);
    return places;
}

LabelBox beside_pointer(const glm::dvec2& pointer, const glm::dvec2& size, const LabelBox& bounds,
                        const std::vector<LabelKeep>& keep, double gap) {
    const auto cost_of = [&](const LabelBox& box) {
        const auto hidden = [&box](const LabelBox& other) {
            return std::max(0.0, std::min(box.x1, other.x1) - std::max(box.x0, other.x0)) *
                   std::max(0.0, std::min(box.y1, other.y1) - std::max(box.y0, other.y0));
        };
        // Under the pointer itself it would hide what it speaks of.
        double cost = 1e3 * hidden({pointer.x - 1, pointer.y - 1, pointer.x + 1, pointer.y + 1});
        for (const LabelKeep& kept : keep)
            cost += kept.weight * hidden(kept.box);
        return cost;
    };
    LabelBox best;
    double least = std::numeric_limits<double>::infinity();
    // Farther off where the pointer is on a label itself.
    for (const double off : {gap, 3 * gap, 6 * gap}) {
        const double right = pointer.x + off, left = pointer.x - off - size.x, below = pointer.y + off,
                     above = pointer.y - off - size.y, across = pointer.x - size.x / 2, level = pointer.y - size.y / 2;
        const std::array<glm::dvec2, 8> corners{{{right, below},
                                                 {left, below},
                                                 {right, above},
                                                 {left, above},
                                                 {right, level},
                                                 {left, level},
                                                 {across, below},
                                                 {across, above}}};
        for (const auto& corner : corners) {
            const double x = std::max(bounds.x0, std::min(corner.x, bounds.x1 - size.x)),
                         y = std::max(bounds.y0, std::min(corner.y, bounds.y1 - size.y));
            const LabelBox box{x, y, x + size.x, y + size.y};
            const double cost = cost_of(box);
            if (cost < least) {
                least = cost;
                best = box;
            }
        }
    }
    return best;
}

} // namespace ringland::viewer
