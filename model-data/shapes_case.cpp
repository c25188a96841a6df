// The case with its face and test plate, bands and servos.

#include <algorithm>
#include <cmath>
#include <numbers>

#include <glm/geometric.hpp>

#include "shape_build.h"

namespace ringland::model::build {
namespace {

using std::numbers::pi;

/// Half section of a cast case: bell flange, bell, barrel with ribs, tail.
ProfileLoop case_outline(const CasePlace& c) {
    const double skin = 6, length = c.x1 - c.x0, bell = std::min(54.0, length * 0.18),
                 tail = length > 0 ? c.x1 - c.barrel_x1 : 0;
    std::vector<glm::dvec2> outer{
        {c.x0, c.bell_radius}, {c.x0 + 9, c.bell_radius}, {c.x0 + 9.5, c.bell_radius - 9}, {c.x0 + bell, c.radius}};
    const double from = c.x0 + bell + 8, to = c.x1 - tail - 8;
    const int ribs = std::max(1, static_cast<int>((to - from) / 46));
    for (int k = 0; k < ribs; ++k) {
        const double x = from + (to - from) * (k + 0.5) / ribs;
        for (const auto& [dx, dr] : {std::pair{-5.0, 0.0}, {-3.5, 3.2}, {3.5, 3.2}, {5.0, 0.0}})
            outer.emplace_back(x + dx, c.radius + dr);
    }
    outer.emplace_back(c.x1 - tail, c.radius);
    outer.emplace_back(c.x1 - tail * 0.45, c.tail_radius + 10);
    outer.emplace_back(c.x1, c.tail_radius + 4);
    std::vector<glm::dvec2> inner{{c.x0, c.bell_radius - 12},
                                  {c.x0 + bell, c.radius - skin},
                                  {c.x1 - tail - 2, c.radius - skin},
                                  {c.x1 - tail * 0.45 - 3, c.tail_radius + 3},
                                  {c.x1, c.tail_radius - 3}};
    ProfileLoop loop = inner; // forwards along the inside, back over the outside: metal to the left
    loop.insert(loop.end(), outer.rbegin(), outer.rend());
    return loop;
}

/// A wall around several lines: outlines in the plane across the axis, joined from x0 to x1.
void wall_between(Soup& soup, const std::vector<glm::dvec2>& outer, const std::vector<glm::dvec2>& inner, double x0,
                  double x1) {
    const auto quad = [&](glm::vec3 a, glm::vec3 b, glm::vec3 c, glm::vec3 d) {
        for (const auto& p : {a, b, c, a, c, d})
            soup.push_back(p);
    };
    const auto at = [](double x, glm::dvec2 yz) { return glm::vec3(x, yz.x, yz.y); };
    for (std::size_t i = 0; i < outer.size(); ++i) {
        const auto j = (i + 1) % outer.size();
        quad(at(x0, outer[i]), at(x0, outer[j]), at(x1, outer[j]), at(x1, outer[i]));
        quad(at(x0, inner[i]), at(x1, inner[i]), at(x1, inner[j]), at(x0, inner[j]));
        quad(at(x0, outer[i]), at(x0, inner[i]), at(x0, inner[j]), at(x0, outer[j]));
        quad(at(x1, outer[i]), at(x1, outer[j]), at(x1, inner[j]), at(x1, inner[i]));
    }
}

std::vector<glm::dvec2> around_lines(const CasePlace& c, double radius) {
    double low = 0, high = 0;
    for (const auto& line : c.lines)
        low = std::min(low, line.z), high = std::max(high, line.z);
    std::vector<glm::dvec2> outline; // counter-clockwise in (y, z) seen from +x
    for (int k = 0; k <= 24; ++k)
        outline.emplace_back(radius * std::cos(k * pi / 24), high + radius * std::sin(k * pi / 24));
    for (int k = 24; k <= 48; ++k)
        outline.emplace_back(radius * std::cos(k * pi / 24), low + radius * std::sin(k * pi / 24));
    return outline;
}

} // namespace

void add_case(Workshop& shop) {
    const auto& c = shop.layout.housing;
    Shape shape;
    shape.name = c.part.empty() ? "case" : c.part;
    if (!c.part.empty()) shape.subject = {SubjectKind::part, c.part};
    shape.material = usual_material(shop.map, c.part, Material::aluminium);
    shape.glass = true;
    shape.hatch = 1;
    Soup soup;
    if (c.lines.size() <= 1) {
        turn(soup, along_x({}), {case_outline(c)}, 96);
        make_seat_for_face(shop.layout, soup);
    } else {
        wall_between(soup, around_lines(c, c.radius), around_lines(c, c.radius - 7), c.x0 + 40, c.x1);
    }
    finish(shop, std::move(shape), soup);
    add_face_and_plate(shop);
}

void add_bands_and_servos(Workshop& shop) {
    for (const auto& band : shop.layout.bands) {
        Shape s;
        s.name = band.part.empty() ? band.element + " band" : band.part;
        if (!band.part.empty()) s.subject = {SubjectKind::part, band.part};
        s.material = Material::spring_steel;
        s.hatch = 2;
        Soup soup;
        const double gap = 0.16;
        turn_part(soup, along_x(band.axis), trace_region({{band.x0, band.x1, band.radius, band.radius + 3.4}}, {})[0],
                  band.end_angle + gap, band.end_angle + 2 * pi - gap, 0, segments_for(band.radius));
        for (const double a : {band.end_angle + gap + 0.05, band.end_angle + 2 * pi - gap - 0.05}) { // the ears
            turn_part(soup, along_x(band.axis),
                      trace_region({{band.x0 + 6, band.x1 - 6, band.radius + 3.45, band.radius + 12}}, {})[0], a - 0.04,
                      a + 0.04, 0, 2);
        }
        finish(shop, std::move(s), soup);
    }
    int number = 0;
    for (const auto& servo : shop.layout.servos) {
        const Vec3 direction = servo.outer - servo.inner;
        const double length = glm::length(direction), r = servo.radius;
        const TurningAxis axis{servo.inner, direction, {1, 0, 0}};
        const double reach =
            number < static_cast<int>(shop.layout.bands.size())
                ? shop.layout.housing.radius - 16 - shop.layout.bands[static_cast<std::size_t>(number)].radius - 13
                : 12;
        ++number;
        Shape body;
        body.name = servo.part.empty() ? servo.element + " servo" : servo.part;
        if (!servo.part.empty()) body.subject = {SubjectKind::part, servo.part};
        body.material = Material::aluminium;
        body.glass = true;
        Soup soup;
        turn(soup, axis,
             {chamfered(
                 trace_region({{0, length, r, r + 5}, {length * 0.88, length + 3, 0, r + 5}, {0, 3, 6, r + 5}}, {})[0],
                 1.5)},
             56);
        finish(shop, body, soup);

        Shape piston = body;
        piston.name += " piston";
        piston.glass = false;
        Soup moving;
        turn(moving, axis,
             {chamfered(
                 trace_region(
                     {{length * 0.48, length * 0.66, 0, r - 0.5}, {-std::max(4.0, reach), length * 0.66, 0, 5}}, {})[0],
                 0.8)},
             48);
        finish(shop, std::move(piston), moving);
    }
}

} // namespace ringland::model::build
