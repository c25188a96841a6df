// Which edges are inked, against every pair of triangles that share two corners.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>
#include <utility>
#include <vector>

#include <glm/geometric.hpp>
#include <glm/trigonometric.hpp>

#include "../../model-data/solids.h"
#include "../../viewer/render/edges.h"

using namespace ringland;
using namespace ringland::viewer;

namespace {

constexpr double crease_degrees = 31;

using Place = std::tuple<float, float, float>;
using Line = std::pair<std::pair<Place, Place>, int>; // ends in order, kind

Place place(const glm::vec3& p) { return {p.x, p.y, p.z}; }

Line line(const glm::vec3& a, const glm::vec3& b, int kind) { return {std::minmax(place(a), place(b)), kind}; }

model::Shape shape_of(const std::vector<glm::vec3>& soup) {
    model::Shape shape;
    shape.mesh = model::finish_mesh(soup, crease_degrees);
    return shape;
}

/// A rod, round about its axis and with ends that are not.
std::vector<glm::vec3> rod() {
    std::vector<glm::vec3> soup;
    model::rod(soup, {-20, 3, 1}, {25, 3, 1}, 8, 12);
    return soup;
}

std::vector<glm::vec3> box() {
    std::vector<glm::vec3> soup;
    model::box(soup, {-5, -6, -7}, {8, 9, 10});
    return soup;
}

/// A box without its first triangle.
std::vector<glm::vec3> open_box() {
    auto soup = box();
    soup.erase(soup.begin(), soup.begin() + 3);
    return soup;
}

/// By the words of the header: a crease where a face beside it is turned to the eye, a smooth edge where exactly one
/// is, an open border always, and a flat edge never.
std::multiset<Line> inked(const model::Mesh& mesh, const glm::vec3& eye) {
    std::map<std::pair<Place, Place>, std::vector<std::size_t>> beside;
    const auto corner = [&](std::size_t t, std::size_t k) { return mesh.positions[mesh.triangles[3 * t + k % 3]]; };
    for (std::size_t t = 0; 3 * t < mesh.triangles.size(); ++t) {
        for (std::size_t k = 0; k < 3; ++k)
            beside[std::minmax(place(corner(t, k)), place(corner(t, k + 1)))].push_back(t);
    }
    const auto normal = [&](std::size_t t) {
        return glm::normalize(glm::cross(corner(t, 1) - corner(t, 0), corner(t, 2) - corner(t, 0)));
    };
    std::multiset<Line> lines;
    for (const auto& [ends, faces] : beside) {
        if (faces.size() == 1) {
            lines.insert({ends, 0});
            continue;
        }
        REQUIRE(faces.size() == 2);
        const auto turned = [&](std::size_t t) { return glm::dot(normal(t), eye - corner(t, 0)) > 0; };
        const float cosine = glm::dot(normal(faces[0]), normal(faces[1]));
        const bool one = turned(faces[0]), other = turned(faces[1]);
        if (cosine > 0.99999f) continue;
        if (cosine < std::cos(glm::radians(crease_degrees))) {
            if (one || other) lines.insert({ends, 0});
        } else if (one != other) {
            lines.insert({ends, 1});
        }
    }
    return lines;
}

} // namespace

TEST_CASE("edges that are inked are those of every pair of faces by the rule") {
    const std::vector<model::Shape> shapes{shape_of(rod()), shape_of(box()), shape_of(open_box())};
    REQUIRE(shapes[0].mesh.smooth.size() >= 12);
    REQUIRE(shapes[0].mesh.crease.size() >= 24);
    REQUIRE(shapes[1].mesh.crease.size() == 12);
    REQUIRE(shapes[1].mesh.smooth.empty());
    REQUIRE(shapes[2].mesh.crease.size() == 13); // the diagonal of the open side has become a border
    glm::mat4 sees_everything(0);
    sees_everything[3][3] = 1;
    for (const auto& eye : {glm::vec3(100, 60, 80), glm::vec3(-90, -40, 20), glm::vec3(0.5f, -200, -3)}) {
        CAPTURE(eye.x);
        // Moved along the axis, a shape is seen by an eye that is moved the other way.
        for (const float along : {0.0f, 30.0f}) {
            std::vector<LineInstance> lines;
            Edges(shapes).collect(lines, eye, 0, sees_everything,
                                  std::vector<Pose>(shapes.size(), Pose{along, false, false}));
            for (std::size_t s = 0; s < shapes.size(); ++s) {
                std::multiset<Line> got;
                for (const auto& each : lines) {
                    const glm::vec3 back(along, 0, 0);
                    if (each.shape == s) got.insert(line(each.from - back, each.to - back, each.kind));
                }
                const auto wanted = inked(shapes[s].mesh, eye - glm::vec3(along, 0, 0));
                CHECK(wanted.size() >= 4);
                if (along == 0) CHECK(got == wanted);
                CHECK(got.size() == wanted.size());
            }
        }
    }
}
