#include "solids.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

#include <glm/geometric.hpp>

namespace ringland::model {
namespace {

using std::numbers::pi;

struct AxisFrame {
    glm::dvec3 origin, x, u, v;
    explicit AxisFrame(const TurningAxis& axis)
        : origin(axis.origin), x(glm::normalize(axis.direction)),
          u(glm::normalize(axis.zero - x * glm::dot(axis.zero, x))), v(glm::cross(x, u)) {}
    [[nodiscard]] glm::vec3 at(double along, double radius, double angle) const {
        return glm::vec3(origin + x * along + (u * std::cos(angle) + v * std::sin(angle)) * radius);
    }
};

void triangle(Soup& soup, const glm::vec3& a, const glm::vec3& b, const glm::vec3& c) {
    soup.push_back(a);
    soup.push_back(b);
    soup.push_back(c);
}

void quad(Soup& soup, const glm::vec3& a, const glm::vec3& b, const glm::vec3& c, const glm::vec3& d) {
    triangle(soup, a, b, c);
    triangle(soup, a, c, d);
}

} // namespace

int segments_for(double radius) {
    return std::clamp(static_cast<int>(std::lround(std::sqrt(radius) * 7.6 / 4.0)) * 4, 16, 96);
}

void turn(Soup& soup, const TurningAxis& axis, const std::vector<ProfileLoop>& loops, int segments) {
    const AxisFrame frame(axis);
    for (const auto& loop : loops) {
        for (std::size_t i = 0; i < loop.size(); ++i) {
            const auto a = loop[i];
            const auto b = loop[(i + 1) % loop.size()];
            if (a.y < 1e-9 && b.y < 1e-9) continue;
            for (int s = 0; s < segments; ++s) {
                const double t0 = 2 * pi * s / segments, t1 = 2 * pi * ((s + 1) % segments) / segments;
                const auto a0 = frame.at(a.x, a.y, t0), a1 = frame.at(a.x, a.y, t1);
                const auto b0 = frame.at(b.x, b.y, t0), b1 = frame.at(b.x, b.y, t1);
                if (a.y < 1e-9)
                    triangle(soup, a0, b0, b1);
                else if (b.y < 1e-9)
                    triangle(soup, a0, b0, a1);
                else
                    quad(soup, a0, b0, b1, a1);
            }
        }
    }
}

namespace {

/// A corner of a loop in the columns of the channels and in those of the lands.
struct SplinedCorner {
    glm::dvec2 channel, land;
};

/// A slot as far as the loop has both sides of the wall there.
struct Slot {
    double x0 = 0, x1 = 0, inner = 0, outer = 0;
};

constexpr double same_place = 1e-6;

bool on_floor(const Splines& s, const glm::dvec2& a, const glm::dvec2& b) {
    return std::abs(a.y - s.root) < same_place && std::abs(b.y - s.root) < same_place &&
           std::min(a.x, b.x) > s.x0 - same_place && std::max(a.x, b.x) < s.x1 + same_place;
}

SplinedCorner splined_corner(const std::vector<Splines>& splines, const glm::dvec2& p) {
    SplinedCorner corner{p, p};
    for (const auto& s : splines) {
        constexpr double broken_edge = 2.0; // corners of the mouth are broken by less
        if (p.x < s.x0 - same_place || p.x > s.x1 + same_place || p.y < s.land || p.y > s.root + broken_edge) continue;
        corner.land.y = p.y > s.root + same_place ? p.y - (s.root - s.land) : s.land;
    }
    return corner;
}

/// The loop with corners where grooves and slots begin and end.
std::vector<SplinedCorner> splined_corners(const ProfileLoop& loop, const std::vector<Splines>& splines,
                                           std::vector<Slot>& slots) {
    std::vector<SplinedCorner> corners;
    std::vector<double> floor(splines.size(), 0), outside(splines.size(), 0);
    for (std::size_t i = 0; i < loop.size(); ++i) {
        const auto a = loop[i], b = loop[(i + 1) % loop.size()];
        corners.push_back(splined_corner(splines, a));
        std::vector<SplinedCorner> more;
        const double low = std::min(a.x, b.x) + 0.05, high = std::max(a.x, b.x) - 0.05;
        const auto within = [&](double x0, double x1) { return x0 < x1 && x0 > low && x1 < high; };
        for (std::size_t k = 0; k < splines.size() && std::abs(a.y - b.y) < same_place; ++k) {
            const auto& s = splines[k];
            if (on_floor(s, a, b)) {
                if (s.groove_radius > 0 && within(s.groove_x0, s.groove_x1)) {
                    for (const auto& [x, r] : {std::pair(s.groove_x0, s.land),
                                               {s.groove_x0, s.groove_radius},
                                               {s.groove_x1, s.groove_radius},
                                               {s.groove_x1, s.land}})
                        more.push_back({{x, s.root}, {x, r}});
                }
                if (within(s.slot_x0, s.slot_x1)) {
                    for (const double x : {s.slot_x0, s.slot_x1})
                        more.push_back({{x, s.root}, {x, s.land}});
                    floor[k] = s.root;
                }
            } else if (a.x > b.x && a.y > s.root && within(s.slot_x0, s.slot_x1)) {
                for (const double x : {s.slot_x0, s.slot_x1})
                    more.push_back({{x, a.y}, {x, a.y}});
                outside[k] = a.y;
            }
        }
        const bool forwards = b.x > a.x;
        std::stable_sort(more.begin(), more.end(), [&](const SplinedCorner& p, const SplinedCorner& q) {
            return forwards ? p.channel.x < q.channel.x : p.channel.x > q.channel.x;
        });
        corners.insert(corners.end(), more.begin(), more.end());
    }
    for (std::size_t k = 0; k < splines.size(); ++k) {
        if (floor[k] > 0 && outside[k] > 0)
            slots.push_back({splines[k].slot_x0, splines[k].slot_x1, floor[k], outside[k]});
    }
    return corners;
}

struct SplineStop {
    double angle = 0;
    bool land = false, slot = false; ///< the slot begins here and lasts to the next stop
};

std::vector<SplineStop> spline_stops(int channels) {
    std::vector<SplineStop> stops;
    const double step = 2 * pi / channels;
    const auto stop = [&](int k, double share, bool land, bool slot) {
        stops.push_back({(k + share) * step, land, slot});
    };
    for (int k = 0; k < channels; ++k) {
        stop(k, -0.34, true, false);
        stop(k, -0.29, false, false);
        if (k % 2 == 0) {
            stop(k, 0, false, false);
        } else {
            stop(k, -0.13, false, true);
            stop(k, 0.13, false, false);
        }
        stop(k, 0.29, false, false);
        stop(k, 0.34, true, false);
        stop(k, 0.5, true, false);
    }
    return stops;
}

} // namespace

void turn_splined(Soup& soup, const TurningAxis& axis, const std::vector<ProfileLoop>& loops,
                  const std::vector<Splines>& splines, int channels) {
    const AxisFrame frame(axis);
    const auto stops = spline_stops(channels);
    for (const auto& loop : loops) {
        std::vector<Slot> slots;
        const auto corners = splined_corners(loop, splines, slots);
        const auto at = [&](const SplinedCorner& c, std::size_t stop) {
            const auto& s = stops[stop % stops.size()];
            const auto& p = s.land ? c.land : c.channel;
            return frame.at(p.x, p.y, s.angle);
        };
        const auto in_slot = [&](const SplinedCorner& a, const SplinedCorner& b) {
            return std::any_of(slots.begin(), slots.end(), [&](const Slot& s) {
                const auto on = [&](const glm::dvec2& p) {
                    return p.x > s.x0 - same_place && p.x < s.x1 + same_place &&
                           (std::abs(p.y - s.inner) < same_place || std::abs(p.y - s.outer) < same_place);
                };
                return on(a.channel) && on(b.channel) && std::abs(a.channel.y - b.channel.y) < same_place;
            });
        };
        for (std::size_t k = 0; k < stops.size(); ++k) {
            const auto swept = [&](const SplinedCorner& a, const SplinedCorner& b) {
                quad(soup, at(a, k), at(b, k), at(b, k + 1), at(a, k + 1));
            };
            for (std::size_t i = 0; i < corners.size(); ++i) {
                const auto &a = corners[i], &b = corners[(i + 1) % corners.size()];
                if (!(stops[k].slot && in_slot(a, b))) swept(a, b);
            }
            if (!stops[k].slot) continue;
            for (const auto& s : slots) {
                const auto corner = [](double x, double r) { return SplinedCorner{{x, r}, {x, r}}; };
                const auto a = corner(s.x0, s.inner), b = corner(s.x0, s.outer), c = corner(s.x1, s.outer),
                           d = corner(s.x1, s.inner);
                swept(a, b);
                swept(c, d);
                quad(soup, at(a, k), at(d, k), at(c, k), at(b, k));
                quad(soup, at(a, k + 1), at(b, k + 1), at(c, k + 1), at(d, k + 1));
            }
        }
    }
}

namespace {

struct EarStop {
    double angle = 0, rim = 0; ///< radius of the rim there
    double hole = 0, half = 0; ///< middle of the hole there, and how far it reaches up and down
};

std::vector<EarStop> ear_stops(const Ears& e) {
    std::vector<EarStop> stops;
    const double step = 2 * pi / e.count;
    // Beyond this angle the circle of an ear lies within the rim.
    const double side = std::acos(
        std::clamp((e.circle * e.circle + e.rim * e.rim - e.radius * e.radius) / (2 * e.circle * e.rim), -1.0, 1.0));
    const double bore = std::asin(std::clamp(e.hole / e.circle, 0.0, 1.0));
    std::vector<double> from_middle{0, bore * 0.7, bore, (bore + side) / 2, side * 0.86, side};
    constexpr int between = 4;
    for (int k = 1; k < between; ++k)
        from_middle.push_back(side + (step / 2 - side) * k / between);
    const auto stop = [&](double middle, double a) {
        EarStop s{middle + a, e.rim, 0, 0};
        const double across = e.circle * std::sin(a), inside = e.radius * e.radius - across * across;
        if (std::abs(a) < side && inside > 0) s.rim = std::max(e.rim, e.circle * std::cos(a) + std::sqrt(inside));
        const double open = e.hole * e.hole - across * across;
        s.hole = std::min(e.circle * std::cos(a), s.rim - 1);
        if (std::abs(a) < bore * 0.999 && open > 0) s.half = std::sqrt(open);
        stops.push_back(s);
    };
    for (int k = 0; k < e.count; ++k) {
        const double middle = (k + 0.5) * step;
        for (std::size_t i = from_middle.size() - 1; i > 0; --i)
            stop(middle, -from_middle[i]);
        for (const double a : from_middle)
            stop(middle, a);
        stop(middle, step / 2);
    }
    return stops;
}

} // namespace

void turn_eared(Soup& soup, const TurningAxis& axis, const ProfileLoop& loop, const Ears& ears) {
    const AxisFrame frame(axis);
    const auto n = loop.size();
    if (n == 0) return;
    const auto on_rim = [&](std::size_t i) { return std::abs(loop[i % n].y - ears.rim) < same_place; };
    std::size_t first = 0; // of the two corners of the rim
    while (first < n && !(on_rim(first) && on_rim(first + 1)))
        ++first;
    const auto before = loop[(first + n - 1) % n], after = loop[(first + 2) % n];
    const double lowest = ears.circle - ears.hole;
    if (first == n || before.y > lowest || after.y > lowest || ears.count < 1) {
        turn(soup, axis, {loop}, segments_for(ears.rim));
        return;
    }
    const auto stops = ear_stops(ears);
    for (std::size_t k = 0; k < stops.size(); ++k) {
        const auto &s = stops[k], &t = stops[(k + 1) % stops.size()];
        const auto corner = [&](std::size_t i, const EarStop& at) {
            const auto& p = loop[i % n];
            return glm::dvec2(p.x, on_rim(i) ? at.rim : p.y);
        };
        /// Where one of the flange's sides meets the hole: above or below its middle.
        const auto mouth = [&](bool back, double sign, const EarStop& at) {
            const auto foot = back ? before : after;
            const auto top = corner(back ? first : first + 1, at);
            const double r = at.hole + sign * at.half;
            return foot + (top - foot) * ((r - foot.y) / (top.y - foot.y));
        };
        const auto swept = [&](const glm::dvec2& a0, const glm::dvec2& b0, const glm::dvec2& b1, const glm::dvec2& a1) {
            quad(soup, frame.at(a0.x, a0.y, s.angle), frame.at(b0.x, b0.y, s.angle), frame.at(b1.x, b1.y, t.angle),
                 frame.at(a1.x, a1.y, t.angle));
        };
        for (std::size_t i = first; i < first + n; ++i) {
            if (i == first + 1) { // from the rim down the front, past the hole
                swept(corner(i, s), mouth(false, 1, s), mouth(false, 1, t), corner(i, t));
                swept(mouth(false, -1, s), after, after, mouth(false, -1, t));
            } else if (i == first + n - 1) { // and up the back
                swept(before, mouth(true, -1, s), mouth(true, -1, t), before);
                swept(mouth(true, 1, s), corner(first, s), corner(first, t), mouth(true, 1, t));
            } else {
                swept(corner(i, s), corner(i + 1, s), corner(i + 1, t), corner(i, t));
            }
        }
        if (s.half <= 0 && t.half <= 0) continue;
        swept(mouth(true, -1, s), mouth(false, -1, s), mouth(false, -1, t), mouth(true, -1, t));
        swept(mouth(false, 1, s), mouth(true, 1, s), mouth(true, 1, t), mouth(false, 1, t));
    }
}

void bolt_head(Soup& soup, const TurningAxis& axis, double size) {
    turn(soup, axis, trace_region({{0.05, size * 0.2, 0, size * 1.25}}, {}), 16);
    extrude_outline(soup, axis, size * 0.2 + 0.05, size * 0.9, std::vector<double>(6, size), 0);
}

void bolt_circle(Soup& soup, const TurningAxis& axis, double radius, int count, double size) {
    const AxisFrame frame(axis);
    for (int k = 0; k < count; ++k)
        bolt_head(soup, {glm::dvec3(frame.at(0, radius, (k + 0.5) * 2 * pi / count)), axis.direction, axis.zero}, size);
}

void web(Soup& soup, const TurningAxis& axis, const ProfileLoop& outline, double angle, double half_thickness) {
    const AxisFrame frame(axis);
    const glm::vec3 side = frame.v * std::cos(angle) - frame.u * std::sin(angle); // the way in which the angle grows
    const auto at = [&](const glm::dvec2& p, float s) {
        return frame.at(p.x, p.y, angle) + side * (s * static_cast<float>(half_thickness));
    };
    for (std::size_t i = 0; i < outline.size(); ++i) {
        const auto a = outline[i], b = outline[(i + 1) % outline.size()];
        quad(soup, at(a, -1), at(b, -1), at(b, 1), at(a, 1));
    }
    for (std::size_t i = 1; i + 1 < outline.size(); ++i) {
        triangle(soup, at(outline[0], 1), at(outline[i], 1), at(outline[i + 1], 1));
        triangle(soup, at(outline[0], -1), at(outline[i + 1], -1), at(outline[i], -1));
    }
}

bool barrel_boss(Soup& soup, const TurningAxis& axis, double barrel, double inner, double outer, double end,
                 int segments) {
    constexpr double broken = 1.2;
    const glm::dvec3 way = glm::normalize(axis.direction), u = axis.zero, v = glm::cross(way, u);
    // The rings of corners from the foot outside over the edge to the foot inside.
    std::vector<std::array<glm::vec3, 5>> corners;
    for (int s = 0; s < segments; ++s) {
        const double angle = 2 * std::numbers::pi * s / segments;
        const glm::dvec3 out = u * std::cos(angle) + v * std::sin(angle);
        const auto foot = [&](double radius) {
            const glm::dvec3 p = axis.origin + out * radius;
            const double a = way.y * way.y + way.z * way.z, b = p.y * way.y + p.z * way.z,
                         square = b * b - a * (p.y * p.y + p.z * p.z - barrel * barrel);
            return a > 0 && square >= 0 ? (std::sqrt(square) - b) / a : end;
        };
        const double outside = foot(outer), inside = foot(inner);
        if (outside > end - 2 * broken || inside > end - 2 * broken) return false;
        const auto at = [&](double radius, double along) {
            return glm::vec3(axis.origin + out * radius + way * along);
        };
        corners.push_back(
            {at(outer, outside), at(outer, end - broken), at(outer - broken, end), at(inner, end), at(inner, inside)});
    }
    for (std::size_t s = 0; s < corners.size(); ++s) {
        const auto &here = corners[s], &next = corners[(s + 1) % corners.size()];
        for (std::size_t k = 0; k < here.size(); ++k) {
            const std::size_t up = (k + 1) % here.size();
            quad(soup, here[k], next[k], next[up], here[up]);
        }
    }
    return true;
}

void turn_part(Soup& soup, const TurningAxis& axis, const ProfileLoop& loop, double from, double to, double slant,
               int segments) {
    const AxisFrame frame(axis);
    double middle = 0;
    for (const auto& p : loop)
        middle += p.x / static_cast<double>(loop.size());
    const auto at = [&](const glm::dvec2& p, int s) {
        const double angle = from + (to - from) * s / segments + slant * (p.x - middle);
        return frame.at(p.x, p.y, angle);
    };
    for (std::size_t i = 0; i < loop.size(); ++i) {
        const auto a = loop[i];
        const auto b = loop[(i + 1) % loop.size()];
        for (int s = 0; s < segments; ++s)
            quad(soup, at(a, s), at(b, s), at(b, s + 1), at(a, s + 1));
    }
    for (std::size_t i = 1; i + 1 < loop.size(); ++i) {
        triangle(soup, at(loop[0], 0), at(loop[i + 1], 0), at(loop[i], 0));
        triangle(soup, at(loop[0], segments), at(loop[i], segments), at(loop[i + 1], segments));
    }
}

void extrude_outline(Soup& soup, const TurningAxis& axis, double x0, double x1, const std::vector<double>& radius_at,
                     double inner_radius) {
    const AxisFrame frame(axis);
    const auto n = radius_at.size();
    for (std::size_t i = 0; i < n; ++i) {
        const auto j = (i + 1) % n;
        const double t0 = 2 * pi * static_cast<double>(i) / static_cast<double>(n);
        const double t1 = 2 * pi * static_cast<double>(j) / static_cast<double>(n);
        const auto a0 = frame.at(x0, radius_at[i], t0), a1 = frame.at(x0, radius_at[j], t1);
        const auto b0 = frame.at(x1, radius_at[i], t0), b1 = frame.at(x1, radius_at[j], t1);
        quad(soup, a0, a1, b1, b0);
        if (inner_radius > 0) {
            const auto c0 = frame.at(x0, inner_radius, t0), c1 = frame.at(x0, inner_radius, t1);
            const auto d0 = frame.at(x1, inner_radius, t0), d1 = frame.at(x1, inner_radius, t1);
            quad(soup, c0, d0, d1, c1);
            quad(soup, a0, c0, c1, a1);
            quad(soup, b0, b1, d1, d0);
        } else {
            triangle(soup, a0, frame.at(x0, 0, 0), a1);
            triangle(soup, b0, b1, frame.at(x1, 0, 0));
        }
    }
}

void rod(Soup& soup, const glm::dvec3& a, const glm::dvec3& b, double radius, int segments) {
    const auto direction = b - a;
    const double length = glm::length(direction);
    if (length < 1e-6) return;
    const auto side = std::abs(direction.z) > 0.9 * length ? glm::dvec3(1, 0, 0) : glm::dvec3(0, 0, 1);
    ProfileLoop loop{{-radius, 0}};
    for (const double t : {45.0})
        loop.emplace_back(-radius * std::cos(t * pi / 180), radius * std::sin(t * pi / 180));
    loop.emplace_back(0, radius);
    loop.emplace_back(length, radius);
    for (const double t : {45.0})
        loop.emplace_back(length + radius * std::cos(t * pi / 180), radius * std::sin(t * pi / 180));
    loop.emplace_back(length + radius, 0);
    // Metal to the left: along the axis forwards first, then back over the outside.
    const ProfileLoop forward(loop.rbegin(), loop.rend());
    turn(soup, {a, direction, side}, {forward}, segments);
}

void box(Soup& soup, const glm::dvec3& low, const glm::dvec3& high) {
    slab(soup, {{low.x, low.y}, {high.x, low.y}, {high.x, high.y}, {low.x, high.y}}, low.z, high.z);
}

void slab(Soup& soup, const std::vector<glm::dvec2>& outline, double z0, double z1) {
    glm::dvec2 middle(0);
    for (const auto& p : outline)
        middle += p / static_cast<double>(outline.size());
    for (std::size_t i = 0; i < outline.size(); ++i) {
        const auto a = outline[i];
        const auto b = outline[(i + 1) % outline.size()];
        const glm::vec3 a0(a.x, a.y, z0), a1(a.x, a.y, z1), b0(b.x, b.y, z0), b1(b.x, b.y, z1);
        quad(soup, a0, b0, b1, a1);
        triangle(soup, glm::vec3(middle.x, middle.y, z1), a1, b1);
        triangle(soup, glm::vec3(middle.x, middle.y, z0), b0, a0);
    }
}

std::vector<double> toothed(int teeth, double root_radius, double tip_radius) {
    std::vector<double> radii;
    radii.reserve(static_cast<std::size_t>(std::max(0, teeth)) * 4);
    for (int t = 0; t < teeth; ++t)
        radii.insert(radii.end(), {root_radius, tip_radius, tip_radius, root_radius});
    return radii;
}

} // namespace ringland::model
