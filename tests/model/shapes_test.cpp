// Solids are closed and turned outwards, rings have their joints, and every thing of a map has a shape.
#include <cmath>
#include <map>
#include <numbers>
#include <set>

#include <doctest/doctest.h>
#include <glm/geometric.hpp>

#include "../../model-data/map_io.h"
#include "../../model-data/shapes.h"
#include "../../model-data/solids.h"
#include "random_map.h"

using namespace ringland::model;
using std::numbers::pi;

namespace {

/// Volume enclosed by a soup, positive where its faces look outwards (divergence theorem).
double volume(const Soup& soup) {
    double v = 0;
    for (std::size_t i = 0; i < soup.size(); i += 3) {
        v += glm::dot(glm::dvec3(soup[i]), glm::cross(glm::dvec3(soup[i + 1]), glm::dvec3(soup[i + 2]))) / 6;
    }
    return v;
}

double volume(const Mesh& mesh) {
    Soup soup;
    for (const auto i : mesh.triangles)
        soup.push_back(mesh.positions[i]);
    return volume(soup);
}

/// Every edge of a closed mesh is run through as often one way as the other.
bool closed(const Mesh& mesh) {
    std::map<std::array<long, 6>, int> edges;
    const auto key = [&](std::uint32_t i) {
        const auto& p = mesh.positions[i];
        return std::array<long, 3>{std::lround(p.x * 100), std::lround(p.y * 100), std::lround(p.z * 100)};
    };
    for (std::size_t t = 0; t < mesh.triangles.size(); t += 3) {
        for (std::size_t k = 0; k < 3; ++k) {
            const auto a = key(mesh.triangles[t + k]), b = key(mesh.triangles[t + (k + 1) % 3]);
            ++edges[{a[0], a[1], a[2], b[0], b[1], b[2]}];
            --edges[{b[0], b[1], b[2], a[0], a[1], a[2]}];
        }
    }
    for (const auto& [edge, count] : edges) {
        if (count != 0) return false;
    }
    return true;
}

std::vector<Shape> shapes_of(const UnitMap& map) {
    std::vector<Fault> faults;
    auto shapes = make_shapes(map, lay_out(map), RINGLAND_SOURCE_DIR "/assets-demo", faults);
    for (const auto& fault : faults)
        CHECK_MESSAGE(false, to_string(fault));
    return shapes;
}

} // namespace

TEST_CASE("turned, extruded and piped solids have the volumes of the textbook") {
    const TurningAxis axis;
    Soup tube;
    turn(tube, axis, trace_region({{0, 10, 2, 5}}, {{3, 4, 4, 5}}), 400);
    CHECK(volume(tube) == doctest::Approx(pi * (21 * 10 - 9)).epsilon(0.001));
    Soup sector;
    turn_part(sector, axis, trace_region({{0, 2, 4, 5}}, {})[0], 0.1, 6.0, 0.05, 400);
    CHECK(volume(sector) == doctest::Approx(9 * 2 * 5.9 / 2).epsilon(0.001)); // (r1² - r0²)/2 · angle · width
    Soup bar;
    extrude_outline(bar, axis, 0, 3, std::vector<double>(400, 5.0), 2);
    CHECK(volume(bar) == doctest::Approx(pi * 21 * 3).epsilon(0.001));
    Soup cuboid;
    box(cuboid, {1, 2, 3}, {2, 4, 6});
    CHECK(volume(cuboid) == doctest::Approx(6));
    Soup pipe;
    rod(pipe, {0, 0, 0}, {3, 4, 12}, 1, 200);
    CHECK(volume(pipe) > pi * 13);
    CHECK(volume(pipe) < pi * (13 + 4.0 / 3));
}

TEST_CASE("regions are traced with their holes, and corners broken only outwards") {
    const auto loops = trace_region({{0, 10, 0, 10}}, {{3, 6, 3, 6}});
    REQUIRE(loops.size() == 2);
    double area = 0;
    for (const auto& loop : loops) {
        for (std::size_t i = 0; i < loop.size(); ++i) {
            const auto a = loop[i], b = loop[(i + 1) % loop.size()];
            area += (a.x * b.y - b.x * a.y) / 2;
        }
    }
    CHECK(area == doctest::Approx(100 - 9)); // the hole runs the other way round
    const auto chamfer = chamfered(trace_region({{0, 10, 5, 10}}, {})[0], 1);
    CHECK(chamfer.size() == 8);
    CHECK(trace_region({{0, 1, 0, 1}}, {{-1, 2, -1, 2}}).empty());
}

TEST_CASE("every seal, circuit, port and placed part of the demo units has a closed shape turned outwards") {
    for (const char* name : {"larch-five.toml", "wren-three.toml", "heron-shift.toml"}) {
        INFO(name);
        const auto result = read_map(std::string(RINGLAND_SOURCE_DIR "/assets-demo/") + name);
        REQUIRE(result.map.has_value());
        const auto shapes = shapes_of(*result.map);
        std::set<std::string> names;
        std::map<std::pair<SubjectKind, std::string>, int> subjects;
        for (const auto& shape : shapes) {
            INFO(shape.name);
            CHECK(names.insert(shape.name).second);
            ++subjects[{shape.subject.kind, shape.subject.id}];
            CHECK(volume(shape.mesh) > 0);
            CHECK(closed(shape.mesh));
            for (const auto i : shape.mesh.triangles)
                REQUIRE(i < shape.mesh.positions.size());
        }
        for (const auto& seal : result.map->seals)
            CHECK_MESSAGE(subjects.contains({SubjectKind::seal, seal.id}), seal.id);
        for (const auto& port : result.map->ports)
            CHECK_MESSAGE(subjects.contains({SubjectKind::port, port.id}), port.id);
        for (const auto& circuit : result.map->circuits) {
            if (circuit.kind != CircuitKind::sump)
                CHECK_MESSAGE(subjects.contains({SubjectKind::circuit, circuit.id}), circuit.id);
        }
        for (const auto& part : lay_out(*result.map).parts) {
            if (!part.part.empty()) CHECK_MESSAGE(subjects.contains({SubjectKind::part, part.part}), part.part);
        }
    }
}

TEST_CASE("triangles of the largest demo unit stay within the budget of a machine without a GPU") {
    const auto result = read_map(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml");
    REQUIRE(result.map.has_value());
    std::size_t triangles = 0;
    for (const auto& shape : shapes_of(*result.map))
        triangles += shape.mesh.triangles.size() / 3;
    MESSAGE("triangles " << triangles);
    CHECK(triangles < 190000);
}

TEST_CASE("random maps have shapes") {
    for (std::uint64_t seed = 1; seed <= 12; ++seed) {
        INFO("seed " << seed);
        auto map = ringland::tests::RandomMap(seed).make(1 + static_cast<int>(seed % 4), 6);
        map.unit.shapes.clear();
        const auto shapes = shapes_of(map);
        CHECK(shapes.size() > map.stacks.size());
        for (const auto& shape : shapes) {
            INFO(shape.name);
            CHECK(closed(shape.mesh));
            for (const auto& p : shape.mesh.positions)
                REQUIRE(std::isfinite(p.x + p.y + p.z));
        }
    }
}
