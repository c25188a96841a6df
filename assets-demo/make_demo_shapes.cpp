// Makes larch-five.glb: a cast case and a gear pump for the invented demo unit Larch Five, in the places where its
// layout expects them. All shapes are invented. Run it after the map's figures change: make_demo_shapes MAP OUT.glb
#include <cmath>
#include <cstdio>
#include <numbers>

#include <glm/geometric.hpp>

#include "../model-data/gltf_io.h"
#include "../model-data/map_io.h"
#include "../model-data/solids.h"

namespace {

using namespace ringland::model;
using std::numbers::pi;

const TurningAxis unit_axis;

glm::vec3 around(double x, double r, double angle) { return {x, r * std::sin(angle), -r * std::cos(angle)}; }

/// A web of the (x, r) outline (counter-clockwise) that stands on the case at an angle.
void web(Soup& soup, const ProfileLoop& outline, double angle, double half_thickness) {
    const glm::vec3 side(0, std::cos(angle), std::sin(angle)); // the way in which the angle grows
    const auto at = [&](const glm::dvec2& p, float s) {
        return around(p.x, p.y, angle) + side * (s * static_cast<float>(half_thickness));
    };
    const auto triangle = [&](const glm::vec3& a, const glm::vec3& b, const glm::vec3& c) {
        soup.insert(soup.end(), {a, b, c});
    };
    for (std::size_t i = 0; i < outline.size(); ++i) {
        const auto a = outline[i], b = outline[(i + 1) % outline.size()];
        triangle(at(a, -1), at(b, -1), at(b, 1));
        triangle(at(a, -1), at(b, 1), at(a, 1));
    }
    for (std::size_t i = 1; i + 1 < outline.size(); ++i) {
        triangle(at(outline[0], 1), at(outline[i], 1), at(outline[i + 1], 1));
        triangle(at(outline[0], -1), at(outline[i + 1], -1), at(outline[i], -1));
    }
}

void bolt(Soup& soup, const glm::vec3& at, double size) {
    const TurningAxis axis{at, {1, 0, 0}, {0, 0, -1}};
    turn(soup, axis, trace_region({{0.05, 1.2, 0, size * 1.25}}, {}), 24);
    extrude_outline(soup, axis, 1.25, size * 0.95, std::vector<double>(6, size), 0);
}

Soup cast_case(const CasePlace& c) {
    Soup soup;
    const double skin = 6, bell = c.x0 + 58, tail = c.barrel_x1, r = c.radius;
    std::vector<glm::dvec2> outer{{c.x0, c.bell_radius},
                                  {c.x0 + 11, c.bell_radius},
                                  {c.x0 + 11.5, c.bell_radius - 10},
                                  {c.x0 + 24, c.bell_radius - 15},
                                  {bell - 8, r + 9},
                                  {bell, r + 8},
                                  {bell + 10, r + 8},
                                  {bell + 12, r}};
    for (const double x : {c.x0 + 128.0, c.x0 + 176.0, c.x0 + 272.0, tail - 18}) { // ribs round the barrel
        for (const auto& [dx, dr] : {std::pair{-4.5, 0.0}, {-3.0, 3.4}, {3.0, 3.4}, {4.5, 0.0}}) {
            outer.emplace_back(x + dx, r + dr);
        }
    }
    for (const auto& p : {glm::dvec2{tail, r},
                          {tail + 3, r - 3},
                          {tail + 6, c.tail_radius + 16},
                          {c.x1 - 12, c.tail_radius + 5},
                          {c.x1 - 11.5, c.tail_radius + 11},
                          {c.x1, c.tail_radius + 11}}) {
        outer.push_back(p);
    }
    const std::vector<glm::dvec2> inner{{c.x0, c.bell_radius - 13},     {c.x0 + 20, c.bell_radius - 21},
                                        {bell - 4, r - skin + 2},       {bell + 2, r - skin - 3},
                                        {tail - 4, r - skin - 3},       {tail - 1, c.tail_radius + 8},
                                        {c.x1 - 16, c.tail_radius - 4}, {c.x1, c.tail_radius - 4}};
    ProfileLoop loop = inner;
    loop.insert(loop.end(), outer.rbegin(), outer.rend());
    turn(soup, unit_axis, {loop}, 96);
    for (int k = 0; k < 10; ++k) { // ears of the bell flange, and webs from the bell to the barrel
        const double angle = (k + 0.5) * 2 * pi / 10;
        const TurningAxis ear{around(c.x0, c.bell_radius + 1, angle), {1, 0, 0}, {0, 0, -1}};
        turn(soup, ear, {chamfered(trace_region({{0.2, 10.8, 4.5, 11}}, {})[0], 0.9)}, 28);
        web(soup,
            {{c.x0 + 30, c.bell_radius - 20}, {bell + 40, r - 1}, {bell + 44, r + 1.5}, {c.x0 + 14, c.bell_radius - 9}},
            angle, 2.6);
    }
    for (int k = 0; k < 6; ++k)
        bolt(soup, around(c.x1, c.tail_radius + 4.5, k * pi / 3), 4.6);
    return soup;
}

Soup gear_pump(const PartPlace& p) {
    Soup soup;
    const double r = p.outer_radius, split = p.x0 + (p.x1 - p.x0) * 0.42, inner = p.inner_radius;
    const double pocket0 = split - 12, pocket1 = split;
    const auto body =
        trace_region({{p.x0, split - 0.2, inner, r - 7}, {p.x0 - 9, p.x0, inner, inner + 9}},
                     {{pocket0, pocket1, inner + 2, r * 0.66}, {p.x0 + 3, split - 5, r * 0.72, r * 0.82}});
    const auto cover = trace_region({{split + 0.2, p.x1, inner, r}},
                                    {{p.x1 - 9, p.x1 - 5, r - 3, r + 1}, {p.x1 - 6, p.x1 + 1, r * 0.62, r * 0.8}});
    for (const auto& loop : body)
        turn(soup, unit_axis, {chamfered(loop, 1.3)}, 88);
    for (const auto& loop : cover)
        turn(soup, unit_axis, {chamfered(loop, 1.3)}, 88);
    // Drive gear within the driven one, both in the pocket of the body.
    const double drive = r * 0.42, driven = r * 0.645;
    extrude_outline(soup, unit_axis, pocket0 + 0.4, pocket1 - 0.4, toothed(17, drive * 0.88, drive), inner + 2.4);
    extrude_outline(soup, unit_axis, pocket0 + 0.4, pocket1 - 0.4, std::vector<double>(88, driven), drive + 2.2);
    for (int k = 0; k < 8; ++k)
        bolt(soup, around(p.x1 - 6.0, r * 0.71, (k + 0.5) * pi / 4), 4.2);
    return soup;
}

} // namespace

int main(int argc, char** argv) {
    if (argc != 3) {
        std::fputs("usage: make_demo_shapes MAP OUT.glb\n", stderr);
        return 2;
    }
    const auto result = read_map(argv[1]);
    for (const auto& fault : result.faults)
        std::fprintf(stderr, "%s\n", to_string(fault).c_str());
    if (!result.map) return 1;
    const auto layout = lay_out(*result.map);
    std::vector<Shape> shapes(2);
    shapes[0].name = "case";
    shapes[0].mesh = finish_mesh(cast_case(layout.housing), 31);
    shapes[1].name = "pump";
    for (const auto& part : layout.parts) {
        if (part.kind == PartKind::pump) shapes[1].mesh = finish_mesh(gear_pump(part), 31);
    }
    const auto error = write_glb(argv[2], *result.map, shapes, [](const Shape&) {
        return ExportMaterial{"aluminium casting", {0.57, 0.60, 0.60, 1}, 0.4, 0.6};
    });
    if (!error.empty()) std::fprintf(stderr, "%s\n", error.c_str());
    return error.empty() ? 0 : 1;
}
