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

Soup cast_case(const Layout& layout) {
    const auto& c = layout.housing;
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
    constexpr int ears = 10;
    turn_eared(soup, unit_axis, loop, {ears, c.bell_radius, c.bell_radius + 1, 11, 4.5});
    double face = 0; // half its width
    for (const auto& port : layout.ports)
        face = std::max(face, std::abs(port.at.y) + 34);
    for (int k = 0; k < ears; ++k) { // webs from the bell to the barrel, beside the case face
        const double angle = (k + 0.5) * 2 * pi / ears;
        if (std::cos(angle) > 0 && r * std::abs(std::sin(angle)) < face) continue;
        web(soup, unit_axis,
            {{bell + 12, r + 0.1},
             {bell + 44, r + 0.1},
             {bell + 44, r + 2},
             {bell - 6, r + 16},
             {bell - 7.9, r + 9.1},
             {bell, r + 8.1},
             {bell + 10, r + 8.1}},
            angle, 2.6);
    }
    bolt_circle(soup, {{c.x1, 0, 0}, {1, 0, 0}, {0, 0, -1}}, c.tail_radius + 4.5, 6, 4.6);
    return soup;
}

Soup gear_pump(const PartPlace& p) {
    Soup soup;
    const double r = p.outer_radius, split = p.x0 + (p.x1 - p.x0) * 0.42, inner = p.inner_radius;
    const double pocket0 = split - 12, pocket1 = split;
    // The seat for the seal of the converter's hub, which runs round the stator support; bolts in a shallow track.
    const double circle = r - 19;
    const auto body = trace_region({{p.x0, split - 0.2, inner, r - 7},
                                    {p.x0 - 7, p.x0, inner + 11, inner + 18},
                                    {p.x0 - 16, p.x0, inner, inner + 3}},
                                   {{pocket0, pocket1, inner + 2, r * 0.66},
                                    {p.x0 - 8, pocket0, inner + 5.5, inner + 11},
                                    {p.x0 - 1, p.x0 + 1.6, circle - 8, circle + 7}});
    const auto cover = trace_region({{split + 0.2, p.x1, inner, r}},
                                    {{p.x1 - 9, p.x1 - 5, r - 3, r + 1}, {p.x1 - 6, p.x1 + 1, r * 0.62, r * 0.8}});
    for (const auto& loop : body)
        turn(soup, unit_axis, {chamfered(filleted(loop, 1.5), 1.3)}, 72);
    for (const auto& loop : cover)
        turn(soup, unit_axis, {chamfered(filleted(loop, 1.5), 1.3)}, 72);
    // Drive gear within the driven one, both in the pocket of the body.
    const double drive = r * 0.42, driven = r * 0.645;
    extrude_outline(soup, unit_axis, pocket0 + 0.4, pocket1 - 0.4, toothed(17, drive * 0.88, drive), inner + 2.4);
    extrude_outline(soup, unit_axis, pocket0 + 0.4, pocket1 - 0.4, std::vector<double>(72, driven), drive + 2.2);
    extrude_outline(soup, unit_axis, p.x0 - 15, p.x0 - 5, toothed(26, inner + 3.05, inner + 4.8), inner + 3.02);
    bolt_circle(soup, {{p.x0 + 1.6, 0, 0}, {-1, 0, 0}, {0, 0, -1}}, circle, 8, 4.4);
    bolt_circle(soup, {{p.x1 - 6, 0, 0}, {1, 0, 0}, {0, 0, -1}}, r * 0.71, 8, 4.2);
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
    shapes[0].mesh = finish_mesh(cast_case(layout), 31);
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
