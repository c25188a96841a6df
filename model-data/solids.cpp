#include "solids.h"

#include <algorithm>
#include <cmath>
#include <numbers>

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
    const double middle = 0.5 * (root_radius + tip_radius);
    for (int t = 0; t < teeth; ++t) {
        for (const double r :
             {root_radius, root_radius, middle, tip_radius, tip_radius, tip_radius, middle, root_radius}) {
            radii.push_back(r);
        }
    }
    return radii;
}

} // namespace ringland::model
