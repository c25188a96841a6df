// What the half section shows: hatches that tell neighbours apart, tracks that lie in the case face, springs and rings.
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <glm/geometric.hpp>

#include "../../model-data/map_io.h"
#include "../../model-data/shapes.h"

using namespace ringland::model;

namespace {

struct Unit {
    UnitMap map;
    Layout layout;
    std::vector<Shape> shapes;
    explicit Unit(const std::string& name) {
        auto result = read_map(RINGLAND_SOURCE_DIR "/assets-demo/" + name + ".toml");
        REQUIRE(result.map.has_value());
        map = *result.map;
        layout = lay_out(map);
        std::vector<Fault> faults;
        shapes = make_shapes(map, layout, RINGLAND_SOURCE_DIR "/assets-demo", faults);
        REQUIRE(faults.empty());
    }
};

/// Places on the outline of a shape in the plane y = 0, half a millimetre apart.
std::vector<glm::dvec2> cut_places(const Mesh& mesh) {
    std::vector<glm::dvec2> places;
    for (std::size_t t = 0; t + 2 < mesh.triangles.size(); t += 3) {
        std::vector<glm::dvec2> ends;
        for (std::size_t k = 0; k < 3; ++k) {
            const glm::dvec3 a = mesh.positions[mesh.triangles[t + k]];
            const glm::dvec3 b = mesh.positions[mesh.triangles[t + (k + 1) % 3]];
            if ((a.y > 0) != (b.y > 0)) {
                const auto p = a + (b - a) * (a.y / (a.y - b.y));
                ends.emplace_back(p.x, p.z);
            }
        }
        if (ends.size() != 2) continue;
        const int steps = 1 + static_cast<int>(glm::distance(ends[0], ends[1]) / 0.5);
        for (int i = 0; i <= steps; ++i)
            places.push_back(ends[0] + (ends[1] - ends[0]) * (static_cast<double>(i) / steps));
    }
    return places;
}

bool near_each_other(const std::vector<glm::dvec2>& a, const std::vector<glm::dvec2>& b, double mm) {
    for (const auto& p : a) {
        for (const auto& q : b) {
            if (std::abs(p.x - q.x) < mm && std::abs(p.y - q.y) < mm && glm::distance(p, q) < mm) return true;
        }
    }
    return false;
}

bool has_lines(const Shape& s) {
    return s.section == SectionRule::cut && !s.circuit_space && s.subject.kind != SubjectKind::seal && s.hatch >= 0 &&
           s.material != Material::rubber && s.material != Material::friction;
}

} // namespace

TEST_CASE("cut parts that touch have different hatches on every demo unit, and one casting has one") {
    for (const std::string name : {"larch-five", "wren-three", "heron-shift"}) {
        CAPTURE(name);
        const Unit unit(name);
        std::vector<const Shape*> cut;
        std::vector<std::vector<glm::dvec2>> places;
        for (const auto& shape : unit.shapes) {
            if (!has_lines(shape)) continue;
            cut.push_back(&shape);
            places.push_back(cut_places(shape.mesh));
        }
        int pairs = 0;
        std::set<int> used;
        for (std::size_t a = 0; a < cut.size(); ++a) {
            if (!places[a].empty()) used.insert(cut[a]->hatch);
            for (std::size_t b = 0; b < a; ++b) {
                if (!near_each_other(places[a], places[b], 1.5)) continue;
                CAPTURE(cut[a]->name);
                CAPTURE(cut[b]->name);
                const bool one_casting = cut[a]->glass && cut[b]->glass && cut[a]->subject == cut[b]->subject;
                pairs += !one_casting;
                CHECK((cut[a]->hatch == cut[b]->hatch) == one_casting);
            }
        }
        MESSAGE(name, ": ", pairs, " pairs touch, ", used.size(), " hatches");
        CHECK(pairs >= 5);
        CHECK(used.size() <= 6); // as many as the drawing knows
    }
}

TEST_CASE("what is too thin for lines is solid ink") {
    for (const std::string name : {"larch-five", "wren-three", "heron-shift"}) {
        const Unit unit(name);
        int thin = 0;
        for (const auto& shape : unit.shapes) {
            CAPTURE(shape.name);
            if (shape.name.find("snap ring") != std::string::npos ||
                shape.name.find("spring retainer") != std::string::npos) {
                CHECK(shape.hatch == solid_ink);
                ++thin;
            }
            if (shape.name == unit.layout.housing.part || shape.subject.id == "pump") CHECK(shape.hatch >= 0);
        }
        CHECK(thin > 0);
    }
}

TEST_CASE("tracks along the case face are channels in it, closed below and open above") {
    for (const std::string name : {"larch-five", "wren-three", "heron-shift"}) {
        CAPTURE(name);
        const Unit unit(name);
        const auto face =
            std::find_if(unit.shapes.begin(), unit.shapes.end(), [](const Shape& s) { return s.name == "case face"; });
        REQUIRE(face != unit.shapes.end());
        const auto& mesh = face->mesh;
        /// Depth below the face at which a drop of oil would first meet metal.
        const auto depth_at = [&](double x, double y) {
            double least = 1e9;
            for (std::size_t t = 0; t < mesh.triangles.size(); t += 3) {
                std::array<glm::dvec3, 3> p;
                for (std::size_t k = 0; k < 3; ++k)
                    p[k] = mesh.positions[mesh.triangles[t + k]];
                const auto side = [&](std::size_t i, std::size_t j) {
                    return (p[j].x - p[i].x) * (y - p[i].y) - (p[j].y - p[i].y) * (x - p[i].x);
                };
                const double a = side(0, 1), b = side(1, 2), c = side(2, 0);
                if ((a < 0 || b < 0 || c < 0) && (a > 0 || b > 0 || c > 0)) continue;
                const double whole = a + b + c;
                if (std::abs(whole) < 1e-9) continue;
                least = std::min(least, (p[2].z * a + p[0].z * b + p[1].z * c) / whole - unit.layout.face_z);
            }
            return least;
        };
        int tracks = 0, drilled = 0;
        for (const auto& net : unit.layout.nets) {
            for (const auto& edge : net.edges) {
                const auto& a = net.nodes[static_cast<std::size_t>(edge.a)];
                const auto& b = net.nodes[static_cast<std::size_t>(edge.b)];
                if (edge.in != CircuitNet::Edge::In::face || std::abs(a.z - b.z) > 1e-6) continue;
                CAPTURE(net.circuit);
                const double depth = depth_at(0.3 * a.x + 0.7 * b.x, 0.3 * a.y + 0.7 * b.y + 0.01);
                if (std::abs(a.y - b.y) < 1e-6) { // along the axis
                    ++tracks;
                    CHECK(depth == doctest::Approx(7).epsilon(0.01));
                } else {
                    ++drilled;
                }
            }
        }
        MESSAGE(name, ": ", tracks, " tracks, ", drilled, " drillings across");
        CHECK(tracks >= 4);
        CHECK(depth_at(unit.layout.ports.front().at.x + 9, unit.layout.ports.front().at.y + 9) < 8);
    }
}

TEST_CASE("clutches have return springs between the piston and a retainer, and a snap ring in the drum's mouth") {
    for (const std::string name : {"larch-five", "wren-three", "heron-shift"}) {
        CAPTURE(name);
        const Unit unit(name);
        int springs = 0, rings = 0;
        for (const auto& c : unit.layout.clutches) {
            for (const auto& shape : unit.shapes) {
                const bool spring = shape.name == c.element + " return spring";
                const bool ring = shape.name == c.element + " snap ring";
                if (!spring && !ring) continue;
                CAPTURE(shape.name);
                springs += spring;
                rings += ring;
                CHECK(shape.material == Material::spring_steel);
                for (const auto& p : shape.mesh.positions) {
                    const double r = std::hypot(p.y - c.axis.y, p.z - c.axis.z);
                    const double past = c.towards_tail ? p.x - c.piston_x1 : c.piston_x1 - p.x;
                    // In the pocket of the piston and inside the pack, or before the pack and in the wall.
                    if (spring) CHECK((past > -3.2 && r > c.piston_inner && r < c.plates_inner - 2.4));
                    // (Its groove lies in the lands of the wall.)
                    if (ring) CHECK((past > 0 && r > c.plates_inner && r < c.plates_outer + 2.8));
                }
            }
        }
        CHECK(springs > 0);
        CHECK(rings > 0);
    }
}

TEST_CASE("no drilling of a port goes through the track of another circuit") {
    for (const std::string name : {"larch-five", "wren-three", "heron-shift"}) {
        CAPTURE(name);
        const Unit unit(name);
        int tracks = 0;
        for (const auto& net : unit.layout.nets) {
            for (const auto& edge : net.edges) {
                const auto& a = net.nodes[static_cast<std::size_t>(edge.a)];
                const auto& b = net.nodes[static_cast<std::size_t>(edge.b)];
                const bool track = edge.in == CircuitNet::Edge::In::face && std::abs(a.y - b.y) < 1e-6 &&
                                   std::abs(a.x - b.x) > 1 && a.z < unit.layout.face_z + 6;
                if (!track) continue;
                ++tracks;
                for (const auto& port : unit.layout.ports) {
                    if (find(unit.map.ports, port.port)->circuit == net.circuit) continue;
                    CAPTURE(net.circuit);
                    CAPTURE(port.port);
                    const bool beside = port.at.x < std::min(a.x, b.x) - 5 || port.at.x > std::max(a.x, b.x) + 5;
                    CHECK((beside || std::abs(port.at.y - a.y) > 5));
                }
            }
        }
        CHECK(tracks >= 3);
    }
}

TEST_CASE("each kind of ring joint has its own ends, and all are closed solids") {
    const Unit unit("wren-three");
    const auto& stack = unit.layout.stacks.front();
    std::map<Joint, std::size_t> levels; // places along the axis at which the ring has corners
    for (const auto joint : {Joint::butt, Joint::scarf, Joint::step, Joint::hook, Joint::solid}) {
        auto map = unit.map;
        for (auto& seal : map.seals) {
            if (seal.id == stack.rings.front().seal) seal.joint = joint;
        }
        std::vector<Fault> faults;
        const auto shapes = make_shapes(map, lay_out(map), RINGLAND_SOURCE_DIR "/assets-demo", faults);
        const auto ring = std::find_if(shapes.begin(), shapes.end(),
                                       [&](const Shape& s) { return s.name == stack.rings.front().seal; });
        REQUIRE(ring != shapes.end());
        std::set<long> along;
        std::map<std::array<long, 6>, int> edges;
        const auto& mesh = ring->mesh;
        const auto at = [&](std::size_t i) {
            const auto& p = mesh.positions[mesh.triangles[i]];
            return std::array<long, 3>{std::lround(p.x * 200), std::lround(p.y * 200), std::lround(p.z * 200)};
        };
        for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
            const auto a = at(i), b = at(i % 3 == 2 ? i - 2 : i + 1);
            ++edges[{a[0], a[1], a[2], b[0], b[1], b[2]}];
            --edges[{b[0], b[1], b[2], a[0], a[1], a[2]}];
            along.insert(a[0]);
        }
        CAPTURE(static_cast<int>(joint));
        CHECK(std::all_of(edges.begin(), edges.end(), [](const auto& e) { return e.second == 0; }));
        levels[joint] = along.size();
    }
    CHECK(levels[Joint::step] == 4);  // two sides, and the slit between the ends
    CHECK(levels[Joint::hook] == 6);  // and heads that reach across
    CHECK(levels[Joint::butt] == 4);  // two broken corners on each side
    CHECK(levels[Joint::solid] == 4); // the same, without ends
}

TEST_CASE("the drilling of a servo ends inside its chamber") {
    const Unit unit("larch-five");
    int servos = 0;
    for (const auto& servo : unit.layout.servos) {
        const auto way = glm::normalize(servo.outer - servo.inner);
        for (const auto& id : {servo.apply, servo.release}) {
            const auto reach = [&](const std::string& what) {
                double far = -1e9;
                for (const auto& shape : unit.shapes) {
                    if (shape.name != id + what) continue;
                    for (const auto& p : shape.mesh.positions) {
                        const auto q = glm::dvec3(p) - servo.inner;
                        const double along = glm::dot(q, way);
                        if (glm::length(q - way * along) < servo.radius - 4) far = std::max(far, along);
                    }
                }
                return far;
            };
            if (id.empty() || reach(" servo chamber") < 0) continue;
            ++servos;
            CAPTURE(id);
            CHECK(reach(" drillings") < reach(" servo chamber"));
        }
    }
    CHECK(servos >= 2);
}

TEST_CASE("port numbers are large, and plain strokes without lines around them") {
    const Unit unit("larch-five");
    int numbers = 0;
    for (const auto& shape : unit.shapes) {
        if (shape.name.size() < 7 || shape.name.substr(shape.name.size() - 7) != " number") continue;
        ++numbers;
        double low = 1e9, high = -1e9;
        for (const auto& p : shape.mesh.positions)
            low = std::min(low, double(p.y)), high = std::max(high, double(p.y));
        CHECK(high - low > 12);
        CHECK(shape.mesh.crease.empty());
        CHECK(shape.mesh.smooth.empty());
        // Beside its boss, and still on the plate.
        for (const auto& port : unit.layout.ports) {
            if (port.port + " number" == shape.name) CHECK(low > port.at.y + port.radius + 3.4);
        }
    }
    CHECK(numbers == 12);
}
