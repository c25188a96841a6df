// What a rebuilder knows the parts by: plates in the splines of their drum, a band between strut and adjusting screw,
// ears and bolts. Asked of the solids themselves: what is metal, and what is free.
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <glm/geometric.hpp>

#include "../../model-data/map_io.h"
#include "../../model-data/shapes.h"
#include "../../model-data/solids.h"

using namespace ringland::model;
using std::numbers::pi;

namespace {

const std::array<std::string, 3> all_demo_units{"larch-five", "wren-three", "heron-shift"};

UnitMap demo_map(const std::string& name) {
    auto result = read_map(RINGLAND_SOURCE_DIR "/assets-demo/" + name + ".toml");
    REQUIRE(result.map.has_value());
    return *result.map;
}

struct Drawn {
    UnitMap map;
    Layout layout;
    std::vector<Shape> shapes;
    explicit Drawn(UnitMap unit) : map(std::move(unit)), layout(lay_out(map)) {
        std::vector<Fault> faults;
        shapes = make_shapes(map, layout, RINGLAND_SOURCE_DIR "/assets-demo", faults);
        REQUIRE(faults.empty());
    }
    [[nodiscard]] const Shape* shape(const std::string& name) const {
        const auto it = std::find_if(shapes.begin(), shapes.end(), [&](const Shape& s) { return s.name == name; });
        return it == shapes.end() ? nullptr : &*it;
    }
};

/// How often the surface goes round a point: 1 in the metal, 0 outside (the sum of the solid angles of its triangles,
/// van Oosterom and Strackee, IEEE Trans. Biomed. Eng. 30 (1983) 125).
double winding(const std::vector<glm::vec3>& corners, const glm::dvec3& p) {
    double sum = 0;
    for (std::size_t i = 0; i + 2 < corners.size(); i += 3) {
        const auto a = glm::dvec3(corners[i]) - p, b = glm::dvec3(corners[i + 1]) - p,
                   c = glm::dvec3(corners[i + 2]) - p;
        const double la = glm::length(a), lb = glm::length(b), lc = glm::length(c);
        sum += 2 * std::atan2(glm::dot(a, glm::cross(b, c)),
                              la * lb * lc + glm::dot(a, b) * lc + glm::dot(b, c) * la + glm::dot(c, a) * lb);
    }
    return sum / (4 * pi);
}

std::vector<glm::vec3> corners_of(const Mesh& mesh) {
    std::vector<glm::vec3> corners;
    corners.reserve(mesh.triangles.size());
    for (const auto i : mesh.triangles)
        corners.push_back(mesh.positions[i]);
    return corners;
}

bool metal(const std::vector<glm::vec3>& corners, const glm::dvec3& p) { return winding(corners, p) > 0.5; }

bool closed(const std::vector<glm::vec3>& corners) {
    std::map<std::array<long, 6>, int> edges;
    const auto at = [&](std::size_t i) {
        const auto& p = corners[i];
        return std::array<long, 3>{std::lround(p.x * 100), std::lround(p.y * 100), std::lround(p.z * 100)};
    };
    for (std::size_t i = 0; i < corners.size(); ++i) {
        const auto a = at(i), b = at(i % 3 == 2 ? i - 2 : i + 1);
        ++edges[{a[0], a[1], a[2], b[0], b[1], b[2]}];
        --edges[{b[0], b[1], b[2], a[0], a[1], a[2]}];
    }
    return std::all_of(edges.begin(), edges.end(), [](const auto& e) { return e.second == 0; });
}

glm::dvec3 around(double x, double r, double angle) { return {x, r * std::sin(angle), -r * std::cos(angle)}; }

double radius_about(const Vec3& axis, const glm::vec3& p) { return std::hypot(p.y - axis.y, p.z - axis.z); }

/// The smallest distance from the corners of one shape to the surface of another, to within half a millimetre.
double apart(const Shape& a, const Shape& b) {
    double least = 1e9;
    const auto corners = corners_of(b.mesh);
    for (std::size_t i = 0; i + 2 < corners.size(); i += 3) {
        const auto u = corners[i + 1] - corners[i], v = corners[i + 2] - corners[i];
        const int steps = 1 + static_cast<int>(std::max(glm::length(u), glm::length(v)));
        for (int j = 0; j <= steps; ++j) {
            for (int k = 0; j + k <= steps; ++k) {
                const auto q = corners[i] + u * (float(j) / float(steps)) + v * (float(k) / float(steps));
                for (const auto& p : a.mesh.positions)
                    least = std::min(least, double(glm::distance(p, q)));
            }
        }
    }
    return least;
}

} // namespace

TEST_CASE("a splined wall has channels and lands, a groove in the lands and slots in every other channel") {
    Soup wall;
    const Splines splines{2, 20, 53, 50, 16, 18, 51.5, 6, 12};
    turn_splined(wall, {}, trace_region({{0, 2, 50, 56}, {2, 20, 53, 56}}, {}), {splines}, 12);
    CHECK(closed(wall));
    const double step = 2 * pi / 12;
    CHECK_FALSE(metal(wall, around(9, 52, 0)));          // a channel at angle 0
    CHECK(metal(wall, around(9, 54, 0)));                // without a slot
    CHECK(metal(wall, around(9, 51, step / 2)));         // a land
    CHECK_FALSE(metal(wall, around(9, 49.5, step / 2))); // no more than that
    CHECK_FALSE(metal(wall, around(9, 54, step)));       // a slot in the next channel
    CHECK(metal(wall, around(14, 54, step)));            // only so long
    CHECK(metal(wall, around(9, 54, 2 * step)));
    CHECK_FALSE(metal(wall, around(17, 51, step / 2))); // the groove
    CHECK(metal(wall, around(17, 52.2, step / 2)));
    CHECK(metal(wall, around(1, 51, 0))); // no channel before they begin
}

TEST_CASE("a flange with ears has a hole in each, and no ear where the flange is too narrow") {
    const ProfileLoop ring{{0, 80}, {10, 80}, {10, 100}, {0, 100}};
    Soup flange;
    turn_eared(flange, {}, ring, {6, 100, 101, 11, 4.5});
    CHECK(closed(flange));
    const double middle = pi / 6;
    CHECK_FALSE(metal(flange, around(5, 101, middle)));
    CHECK(metal(flange, around(5, 108, middle)));
    CHECK(metal(flange, around(5, 95, middle)));
    CHECK_FALSE(metal(flange, around(5, 108, 0))); // between ears it is round
    CHECK(metal(flange, around(5, 99, 0)));
    Soup narrow;
    turn_eared(narrow, {}, {{0, 98}, {10, 98}, {10, 100}, {0, 100}}, {6, 100, 101, 11, 4.5});
    CHECK(closed(narrow));
    CHECK_FALSE(metal(narrow, around(5, 108, middle)));
}

TEST_CASE("a boss stands on its barrel: its foot follows it all round, its bore is free, and none is made beside it") {
    for (const double slant : {0.0, 0.5}) { // the way out, and aslant along the barrel and round it
        CAPTURE(slant);
        const auto way = glm::normalize(glm::dvec3(slant, 1, slant)), out = glm::normalize(glm::cross(way, {1, 0, 0}));
        const TurningAxis axis{{7, 30, 0}, way, out};
        Soup boss;
        REQUIRE(barrel_boss(boss, axis, 80, 5, 12, 90, 48));
        CHECK(closed(boss));
        int on_barrel = 0, at_end = 0;
        for (const auto& p : boss) {
            const double along = glm::dot(glm::dvec3(p) - axis.origin, way), off = std::hypot(p.y, p.z) - 80;
            if (std::abs(off) < 1e-3) ++on_barrel;
            if (std::abs(along - 90) < 1e-3) ++at_end;
            CHECK(off > -1e-3);
            CHECK(along < 90 + 1e-3);
        }
        CHECK(on_barrel >= 2 * 48);
        CHECK(at_end >= 2 * 48);
        CHECK(metal(boss, axis.origin + way * 85.0 + out * 8.0));
        CHECK_FALSE(metal(boss, axis.origin + way * 85.0 + out * 4.0));
        CHECK_FALSE(metal(boss, axis.origin + way * 85.0 + out * 12.5));
        CHECK_FALSE(metal(boss, axis.origin + way * 90.5 + out * 8.0));
        CHECK_FALSE(metal(boss, axis.origin + way * 25.0 + out * 8.0)); // within the barrel
    }
    Soup none;
    CHECK_FALSE(barrel_boss(none, {{0, 30, 75}, {0, 1, 0}, {1, 0, 0}}, 80, 5, 12, 90, 48)); // the barrel ends beside it
    CHECK_FALSE(barrel_boss(none, {{0, 30, 0}, {0, 1, 0}, {1, 0, 0}}, 80, 5, 12, 51, 48));  // it would not stand out
    CHECK(none.empty());
}

TEST_CASE("inner corners of castings are round where their edges are long") {
    // A step of 10 by 10: a quarter circle of radius 2 leaves (1 - pi/4) * 4 in its inner corner.
    const auto step = trace_region({{0, 20, 5, 10}, {0, 10, 10, 20}}, {});
    REQUIRE(step.size() == 1);
    const auto area = [](const ProfileLoop& loop) {
        double twice = 0;
        for (std::size_t i = 0; i < loop.size(); ++i) {
            const auto a = loop[i], b = loop[(i + 1) % loop.size()];
            twice += a.x * b.y - b.x * a.y;
        }
        return twice / 2;
    };
    CHECK(area(filleted(step[0], 2)) - area(step[0]) == doctest::Approx(4 * (1 - pi / 4)).epsilon(0.12)); // by chords
    CHECK(filleted(step[0], 5).size() == step[0].size());                                                 // no room
}

TEST_CASE("the teeth of steel plates stand in the channels of their drum and nowhere in its metal") {
    for (const auto& name : all_demo_units) {
        CAPTURE(name);
        const Drawn unit(demo_map(name));
        int packs = 0;
        for (const auto& c : unit.layout.clutches) {
            if (c.drum_index < 0) continue;
            const auto& drum = unit.layout.drums[static_cast<std::size_t>(c.drum_index)];
            const auto* body = unit.shape(drum.part);
            const auto* ring = unit.shape(c.element + " snap ring");
            if (body == nullptr || ring == nullptr) continue; // lies inside another clutch
            CAPTURE(c.element);
            ++packs;
            const auto corners = corners_of(body->mesh);
            const double land = drum.outer_radius - 6;
            for (const auto& what : {" steel plates", " pressure plate", " snap ring"}) {
                CAPTURE(what);
                const auto* shape = unit.shape(c.element + what);
                REQUIRE(shape != nullptr);
                double tip = 0;
                for (std::size_t i = 0; i < shape->mesh.positions.size(); i += 7) {
                    tip = std::max(tip, radius_about(c.axis, shape->mesh.positions[i]));
                    CHECK_FALSE(metal(corners, shape->mesh.positions[i]));
                }
                CHECK(tip > land + 0.5); // reaches into the wall
            }
        }
        CHECK(packs >= 2);
    }
}

TEST_CASE("a band is split, pushed by the servo through a strut and held by a screw from the case") {
    int bands = 0;
    for (const auto& name : all_demo_units) {
        CAPTURE(name);
        const Drawn unit(demo_map(name));
        for (const auto& band : unit.layout.bands) {
            ++bands;
            CAPTURE(band.part);
            const auto servo = std::find_if(unit.layout.servos.begin(), unit.layout.servos.end(),
                                            [&](const ServoPlace& s) { return s.element == band.element; });
            REQUIRE(servo != unit.layout.servos.end());
            const auto *strap = unit.shape(band.part), *strut = unit.shape(band.part + " strut"),
                       *screw = unit.shape(band.part + " adjusting screw"), *pin = unit.shape(servo->part + " piston");
            for (const auto* shape : {strap, strut, screw, pin})
                REQUIRE(shape != nullptr);
            CHECK(strut->subject == strap->subject); // comes off with the band
            CHECK(screw->subject.id == unit.layout.housing.part);
            CHECK(apart(*strut, *pin) < 1.5);
            CHECK(apart(*strut, *strap) < 1.5);
            CHECK(apart(*screw, *strap) < 1.5);
            double outside = 0;
            for (const auto& p : screw->mesh.positions)
                outside = std::max(outside, radius_about(band.axis, p));
            CHECK(outside > unit.layout.housing.radius + 8); // where a wrench gets at it
            const auto in_strap = corners_of(strap->mesh), in_drum = [&] {
                std::vector<glm::vec3> all;
                for (const auto& drum : unit.layout.drums) {
                    if (const auto* s = unit.shape(drum.part); s != nullptr) {
                        const auto more = corners_of(s->mesh);
                        all.insert(all.end(), more.begin(), more.end());
                    }
                }
                return all;
            }();
            for (const auto* shape : {strut, screw, pin}) {
                CAPTURE(shape->name);
                for (const auto& p : shape->mesh.positions) {
                    CHECK_FALSE(metal(in_strap, p));
                    CHECK_FALSE(metal(in_drum, p));
                }
            }
            // Half a millimetre inside its outer face the band is metal all the way round but for the split.
            int open = 0;
            constexpr int places = 180;
            const double x = band.x0 + 2, r = band.radius + 1.7;
            for (int k = 0; k < places; ++k)
                open += !metal(in_strap, band.axis + around(x, r, 2 * pi * k / places));
            CHECK(open >= 4);
            CHECK(open < 14);
        }
    }
    CHECK(bands == 3);
}

TEST_CASE("parts of odd sizes are closed solids as well") {
    for (const auto& name : all_demo_units) {
        for (const double scale : {0.42, 0.7, 1.9}) {
            CAPTURE(name);
            CAPTURE(scale);
            auto map = demo_map(name);
            map.unit.shapes.clear();
            for (auto& part : map.parts) {
                if (part.kind == PartKind::shaft || part.kind == PartKind::support) continue;
                if (part.outer_diameter) part.outer_diameter->value *= scale;
                if (part.kind == PartKind::band && part.from && part.to) // down to a strip
                    part.to->value = part.from->value + (part.to->value - part.from->value) * scale * 0.5;
            }
            const Drawn unit(std::move(map));
            for (const auto& shape : unit.shapes) {
                CAPTURE(shape.name);
                const auto corners = corners_of(shape.mesh);
                CHECK(closed(corners));
                for (const auto& p : corners)
                    REQUIRE(std::isfinite(p.x + p.y + p.z));
            }
        }
    }
}
