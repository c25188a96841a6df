// What pushes the pistons back and holds the packs in: return springs with their retainers, and snap rings.

#include <algorithm>
#include <cmath>
#include <numbers>

#include <glm/geometric.hpp>

#include "shape_build.h"

namespace ringland::model::build {
namespace {

using std::numbers::pi;

/// Springs are bent from round or flat wire: everything on them is smooth.
constexpr double spring_crease_degrees = 100;

void quad(Soup& soup, const glm::vec3& a, const glm::vec3& b, const glm::vec3& c, const glm::vec3& d) {
    soup.insert(soup.end(), {a, b, c, a, c, d});
}

/// A coil spring about a line along x, its ends laid flat.
void coil(Soup& soup, const Vec3& foot, double x0, double x1, double radius, double wire, double turns) {
    constexpr int around = 5, per_turn = 9;
    const int steps = static_cast<int>(std::lround(turns * per_turn));
    const auto ring = [&](int s, int k) {
        const double t = static_cast<double>(s) / steps, angle = 2 * pi * turns * t;
        const double lead = std::clamp((t - 0.12) / 0.76, 0.0, 1.0); // the first and the last coil lie flat
        const double x = x0 + wire + (x1 - x0 - 2 * wire) * lead;
        const double b = 2 * pi * (k % around) / around, r = radius + wire * std::cos(b);
        return glm::vec3(foot + Vec3(x + wire * std::sin(b), r * std::sin(angle), -r * std::cos(angle)));
    };
    for (int s = 0; s < steps; ++s) {
        for (int k = 0; k < around; ++k)
            quad(soup, ring(s, k), ring(s + 1, k), ring(s + 1, k + 1), ring(s, k + 1));
    }
    for (int k = 1; k + 1 < around; ++k) {
        soup.insert(soup.end(), {ring(0, 0), ring(0, k), ring(0, k + 1)});
        soup.insert(soup.end(), {ring(steps, 0), ring(steps, k + 1), ring(steps, k)});
    }
}

/// A flat ring that runs in waves between two planes.
void wave(Soup& soup, const TurningAxis& axis, double x0, double x1, double r0, double r1) {
    constexpr int waves = 7, segments = 84;
    constexpr double sheet = 0.9;
    const double middle = (x0 + x1) / 2, reach = std::max(0.0, (x1 - x0 - sheet) / 2);
    const Vec3 x = glm::normalize(axis.direction), u = axis.zero, v = glm::cross(x, u);
    const auto at = [&](double along, double r, int s) {
        const double angle = 2 * pi * (s % segments) / segments;
        return glm::vec3(axis.origin + x * (middle + reach * std::sin(angle * waves) + along) +
                         (u * std::cos(angle) + v * std::sin(angle)) * r);
    };
    const double h = sheet / 2;
    for (int s = 0; s < segments; ++s) {
        quad(soup, at(h, r0, s), at(h, r1, s), at(h, r1, s + 1), at(h, r0, s + 1));
        quad(soup, at(-h, r0, s), at(-h, r0, s + 1), at(-h, r1, s + 1), at(-h, r1, s));
        quad(soup, at(-h, r1, s), at(-h, r1, s + 1), at(h, r1, s + 1), at(h, r1, s));
        quad(soup, at(-h, r0, s), at(h, r0, s), at(h, r0, s + 1), at(-h, r0, s + 1));
    }
}

} // namespace

void add_return_springs(Workshop& shop, std::vector<Turned>& list) {
    int number = 0;
    for (const auto& c : shop.layout.clutches) {
        const std::string base = c.element.empty() ? "clutch " + std::to_string(number) : c.element;
        ++number;
        if (c.drum_index < 0) continue; // in the case there is no room inside the pack
        const double way = c.towards_tail ? 1 : -1;
        // Between the hub (or the piston outside it) and the teeth of the friction plates.
        const double r0 = c.piston_inner + 0.9, r1 = c.plates_inner - 3.4, room = r1 - r0;
        if (room < 2.4) continue;
        const double length = std::clamp(std::abs(c.plates_x1 - c.plates_x0) * 0.55, 6.0, 15.0);
        const double seat = c.piston_x1 - way * 2.8, end = seat + way * length;
        const double low = std::min(seat, end), high = std::max(seat, end);
        const auto rect = [](double a, double b, double inner, double outer) {
            return SectionRect{std::min(a, b), std::max(a, b), inner, outer};
        };
        Shape spring;
        spring.name = base + " return spring";
        spring.subject = part_subject(c.drum.empty() ? shop.layout.housing.part : c.drum);
        spring.material = Material::spring_steel;
        Soup soup;
        if (room > 6) {
            const double wire = std::min(0.85, room / 9), radius = std::min(3.4, room / 2 - wire - 0.2);
            const double centre = (r0 + r1) / 2;
            const int springs = std::clamp(static_cast<int>(2 * pi * centre / (radius * 2 + 16)), 6, 10);
            for (int k = 0; k < springs; ++k) {
                const double a = 2 * pi * (k + 0.5) / springs;
                coil(soup, c.axis + Vec3(0, centre * std::sin(a), -centre * std::cos(a)), low, high, radius, wire, 3.0);
            }
        } else {
            wave(soup, along_x(c.axis), low, high, r0, r1);
        }
        finish(shop, std::move(spring), std::move(soup), {spring_crease_degrees});

        // A plate over the springs, and the ring that holds it on the hub.
        Turned retainer;
        retainer.name = base + " spring retainer";
        retainer.subject = part_subject(c.drum);
        retainer.material = Material::steel;
        retainer.axis = c.axis;
        retainer.chamfer = 0.3;
        retainer.add.push_back(rect(end + way * 0.1, end + way * 1.7, r0 - 0.4, r1));
        retainer.add.push_back(rect(end - way * 1.2, end + way * 0.1, r1 - 0.9, r1));
        list.push_back(std::move(retainer));

        // The snap ring in the mouth of the drum, before the last plate of the pack.
        const auto splines = splines_of(shop, c);
        if (!splines || splines->groove_radius <= 0) continue;
        const auto [x0, x1] = snap_ring_at(c);
        Shape ring;
        ring.name = base + " snap ring";
        ring.subject = part_subject(c.drum);
        ring.material = Material::spring_steel;
        Soup bent;
        const double gap = 0.11, joint = 1.9; // its ends look out on the side that the section shows
        turn_part(
            bent, along_x(c.axis),
            chamfered(trace_region({rect(x0, x1, c.plates_outer - 2.4, splines->groove_radius - 0.1)}, {})[0], 0.3),
            joint + gap / 2, joint + 2 * pi - gap / 2, 0, 60);
        finish(shop, std::move(ring), std::move(bent));
    }
}

} // namespace ringland::model::build
