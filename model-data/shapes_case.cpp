// The case: cast bell and barrel, or a housing around several lines.

#include <algorithm>
#include <cmath>
#include <numbers>

#include <glm/geometric.hpp>

#include "shape_build.h"

namespace ringland::model::build {
namespace {

using std::numbers::pi;

constexpr int case_ears = 10; ///< of the bell flange; even: none in the plane of the section

/// As far as there is room before the face with the ports.
double bell_length(const Layout& layout) {
    const auto& c = layout.housing;
    return std::min({54.0, (c.x1 - c.x0) * 0.18, std::max(22.0, face_begins(layout) - 5 - c.x0)});
}

/// Half section of a cast case: bell flange, bell, barrel with ribs, tail.
ProfileLoop case_outline(const Layout& layout) {
    const auto& c = layout.housing;
    const double skin = 6, length = c.x1 - c.x0, bell = bell_length(layout), tail = length > 0 ? c.x1 - c.barrel_x1 : 0;
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

/// Webs from the bell flange to the barrel; none where the face with the ports sits.
void add_webs(Soup& soup, const Layout& layout) {
    const auto& c = layout.housing;
    const double bell = c.x0 + bell_length(layout), over = 0.08;
    const ProfileLoop outline{{bell, c.radius + over},
                              {bell + 30, c.radius + over},
                              {bell + 30, c.radius + 2},
                              {c.x0 + 10.5, c.bell_radius - 10},
                              {c.x0 + 10.5, c.bell_radius - 12}};
    for (int k = 0; k < case_ears; ++k) {
        const double angle = (k + 0.5) * 2 * pi / case_ears;
        if (!under_face(layout, c.radius * std::sin(angle), -c.radius * std::cos(angle), bell + 30))
            web(soup, along_x({}), outline, angle, 2.6);
    }
}

/// A loop of (x, distance from the lines) swept around several lines.
void sweep_around(Soup& soup, const CasePlace& c, const ProfileLoop& loop) {
    for (std::size_t i = 0; i < loop.size(); ++i) {
        const auto a = loop[i], b = loop[(i + 1) % loop.size()];
        const auto from = around_lines(c, a.y), to = around_lines(c, b.y);
        for (std::size_t k = 0; k < from.size(); ++k) {
            const auto next = (k + 1) % from.size();
            const auto at = [](double x, const glm::dvec2& yz) { return glm::vec3(x, yz.x, yz.y); };
            const auto p = at(a.x, from[k]), q = at(b.x, to[k]), r = at(b.x, to[next]), s = at(a.x, from[next]);
            soup.insert(soup.end(), {p, q, r, p, r, s});
        }
    }
}

/// A housing around several lines: a wall with a flange at each end, and the bolts of their covers.
void add_housing(Soup& soup, const CasePlace& c) {
    constexpr double skin = 7, flange = 11, lip = 13, broken = 1.5;
    const double x0 = c.x0 + 40, x1 = c.x1;
    const auto rects = x1 - x0 > 5 * flange
                           ? std::vector<SectionRect>{{x0, x1, c.radius - skin, c.radius},
                                                      {x0, x0 + flange, c.radius - skin, c.radius + lip},
                                                      {x1 - flange, x1, c.radius - skin, c.radius + lip}}
                           : std::vector<SectionRect>{{x0, x1, c.radius - skin, c.radius}};
    for (const auto& loop : trace_region(rects, {}))
        sweep_around(soup, c, chamfered(loop, broken));
    if (rects.size() == 1) return;
    const auto line = around_lines(c, c.radius + lip / 2);
    double since = 0;
    for (std::size_t k = 0; k < line.size(); ++k) {
        constexpr double apart = 78;
        const auto a = line[k], way = line[(k + 1) % line.size()] - a;
        const double length = glm::length(way);
        // None where the face with the ports sits, and none in the plane of the section.
        while (since < length) {
            const auto p = a + way * (since / std::max(length, 1e-9));
            since += apart;
            if (std::abs(p.x) < 12) continue;
            bolt_head(soup, {{x0, p.x, p.y}, {-1, 0, 0}, {0, 0, -1}}, 4.6);
            bolt_head(soup, {{x1, p.x, p.y}, {1, 0, 0}, {0, 0, -1}}, 4.6);
        }
        since -= length;
    }
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
        turn_eared(soup, along_x({}), case_outline(shop.layout),
                   {case_ears, c.bell_radius, c.bell_radius + 1, 11, 4.5});
        add_webs(soup, shop.layout);
    } else {
        add_housing(soup, c);
    }
    make_seat_for_face(shop.layout, soup);
    finish(shop, std::move(shape), std::move(soup));
    add_face_and_plate(shop);
}

} // namespace ringland::model::build
