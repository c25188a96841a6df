// What a moving frame paints without OpenGL, against rays cast at every pixel and against the driver's own picture.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <string>
#include <vector>

#include <glm/geometric.hpp>
#include <glm/gtc/matrix_transform.hpp>

#include "../../model-data/solids.h"
#include "../../viewer/render/face_painter.h"
#include "../../viewer/render/inked_picture.h"
#include "real_loop.h"

using namespace ringland;
using namespace ringland::viewer;

namespace {

constexpr int painted_width = 120, painted_height = 80;

model::Shape tube_to_paint(double x0, double x1, double inner, double outer, model::SectionRule rule,
                           bool glass = false) {
    model::Soup soup;
    model::turn(soup, {}, model::trace_region({{x0, x1, inner, outer}}, {}), 32);
    model::Shape shape;
    shape.section = rule;
    shape.glass = glass;
    shape.mesh = model::finish_mesh(soup, 30);
    return shape;
}

Sight sight_from(const glm::vec3& eye, double side = 0) {
    Sight sight;
    sight.eye = eye;
    sight.side = side;
    sight.clip_from_unit =
        glm::perspective(glm::radians(30.0f), static_cast<float>(painted_width) / painted_height, 50.0f, 1000.0f) *
        glm::lookAt(eye, glm::vec3(0), glm::vec3(0, 0, 1));
    return sight;
}

/// Everything a painting needs, made afresh.
struct Painting {
    std::vector<model::Shape> shapes;
    FacePainter painter;
    std::vector<Pose> poses;
    std::vector<ShapeStyle> styles;
    Sight sight;

    explicit Painting(std::vector<model::Shape> all) : shapes(std::move(all)) {
        painter.take(solid_vertices(shapes));
        for (const auto& shape : shapes) {
            poses.push_back({0, false, shape.glass});
            styles.emplace_back();
            styles.back().alpha = 0.2f;
            styles.back().raise_mm = 0.1f * static_cast<float>(styles.size());
        }
    }
    void paint(const Sight& by) {
        sight = by;
        FaceLists lists;
        FrontFaces(shapes, 0).collect(lists, sight, Edges(shapes).boxes(), poses);
        painter.paint(lists, sight, poses, styles, painted_width, painted_height);
    }
};

/// What a ray through a pixel's middle meets first.
struct Hit {
    int shape = 0; ///< as a FacePixel has it
    double depth = 1;
    glm::dvec3 normal{0};
    int walls = 0;       ///< of glass, turned to the eye, before it
    double margin = 1e9; ///< how far from every edge of a triangle it passes: below that a pixel may go either way
};

Hit cast(const Painting& p, int x, int y) {
    const glm::dmat4 back = glm::inverse(glm::dmat4(p.sight.clip_from_unit));
    const glm::dvec4 far4 =
        back * glm::dvec4(2 * (x + 0.5) / painted_width - 1, 2 * (y + 0.5) / painted_height - 1, 1, 1);
    const glm::dvec3 eye(p.sight.eye), way = glm::dvec3(far4) / far4.w - eye;
    const double side = p.sight.side;
    struct Meeting {
        double t;
        bool front, glass, cut;
        int shape;
        glm::dvec3 normal;
    };
    std::vector<Meeting> all;
    Hit hit;
    for (std::size_t s = 0; s < p.shapes.size(); ++s) {
        const auto& mesh = p.shapes[s].mesh;
        for (std::size_t t = 0; t + 2 < mesh.triangles.size(); t += 3) {
            const auto* i = &mesh.triangles[t];
            const glm::dvec3 a(mesh.positions[i[0]]), b(mesh.positions[i[1]]), c(mesh.positions[i[2]]);
            const glm::dvec3 n = glm::cross(b - a, c - a);
            const double against = glm::dot(n, way);
            if (std::abs(against) < 1e-12) continue;
            const double at = glm::dot(n, a - eye) / against;
            const glm::dvec3 point = eye + way * at;
            const double size = glm::dot(n, n);
            const double u = glm::dot(glm::cross(c - b, point - b), n) / size,
                         v = glm::dot(glm::cross(a - c, point - c), n) / size, w = 1 - u - v;
            const double inside = std::min({u, v, w});
            if (at > 0) hit.margin = std::min(hit.margin, std::abs(inside) * std::sqrt(size));
            const glm::dvec4 clip = glm::dmat4(p.sight.clip_from_unit) * glm::dvec4(point, 1);
            if (at <= 0 || inside < 0 || clip.z < -clip.w) continue; // the last: before the near plane
            const bool cut = side != 0 && p.shapes[s].section == model::SectionRule::cut;
            if (cut && point.y * side > 0) continue;
            all.push_back({at, against < 0, p.shapes[s].glass && side == 0, cut, static_cast<int>(s) + 1,
                           glm::dvec3(mesh.normals[i[0]]) * u + glm::dvec3(mesh.normals[i[1]]) * v +
                               glm::dvec3(mesh.normals[i[2]]) * w});
        }
    }
    std::sort(all.begin(), all.end(), [](const Meeting& a, const Meeting& b) { return a.t < b.t; });
    const auto depth_at = [&](double t) {
        const glm::dvec4 c = glm::dmat4(p.sight.clip_from_unit) * glm::dvec4(eye + way * t, 1);
        return 0.5 + 0.5 * c.z / c.w;
    };
    for (const auto& m : all) {
        if (m.front && m.glass) ++hit.walls;
        if (m.glass) continue;
        if (m.front) {
            hit.shape = m.shape;
            hit.depth = depth_at(m.t);
            hit.normal = m.normal;
            return hit;
        }
        if (!m.cut) continue;
        // The inside of what is cut: the plane is seen there, unless something stays whole between the two.
        const double plane = -eye.y / way.y;
        hit.shape = -m.shape;
        hit.depth = depth_at(plane);
        for (const auto& other : all) {
            if (other.front && !other.cut && other.t < m.t && other.t > plane) hit.shape = 0;
        }
        return hit;
    }
    return hit;
}

int errors(const Painting& p, int& covered, int& cut_faces) {
    int wrong = 0;
    for (int y = 0; y < painted_height; ++y) {
        for (int x = 0; x < painted_width; ++x) {
            const Hit hit = cast(p, x, y);
            // Too near an edge to be told; cut faces stand a little before the plane, and win there.
            if (hit.margin < (p.sight.side == 0 ? 0.05 : 0.4)) continue;
            const auto at = static_cast<std::size_t>(y * painted_width + x);
            const auto& pixel = p.painter.solids()[at];
            covered += hit.shape > 0;
            cut_faces += hit.shape < 0;
            bool same = pixel.shape == hit.shape;
            if (same) same = std::abs(p.painter.depths().depth[at] - hit.depth) < 2e-4;
            if (same && hit.shape > 0) {
                const glm::dvec3 n(pixel.normal[0], pixel.normal[1], pixel.normal[2]);
                same = glm::dot(glm::normalize(n), glm::normalize(hit.normal)) > 0.995;
            }
            wrong += !same;
        }
    }
    return wrong;
}

} // namespace

TEST_CASE("moving painter: shape, depth and normal of every pixel are what a ray through it meets") {
    Painting p({tube_to_paint(-60, 60, 30, 40, model::SectionRule::cut),
                tube_to_paint(-90, 90, 2, 20, model::SectionRule::whole),
                tube_to_paint(40, 50, 22, 29, model::SectionRule::cut)});
    for (const double side : {0.0, 1.0, -1.0}) {
        for (const glm::vec3 eye : {glm::vec3(90, 260, 120), glm::vec3(-160, -230, 60), glm::vec3(300, 20, 10)}) {
            p.paint(sight_from(eye, side));
            int covered = 0, cut_faces = 0;
            CHECK(errors(p, covered, cut_faces) == 0);
            CHECK(covered > 300);
            CHECK((cut_faces > 100) == (static_cast<double>(eye.y) * side > 0 && std::abs(eye.y) > 100));
        }
    }
    // Near enough that the near plane goes through them.
    p.paint(sight_from({20, 70, 10}, 0));
    int covered = 0, cut_faces = 0;
    CHECK(errors(p, covered, cut_faces) == 0);
    CHECK(covered > 3000);
}

TEST_CASE("moving painter: what is moved along stands there, and what is hidden is not there") {
    Painting p({tube_to_paint(-30, 30, 10, 40, model::SectionRule::whole),
                tube_to_paint(-5, 5, 2, 60, model::SectionRule::whole)});
    const auto sight = sight_from({90, 260, 120});
    p.paint(sight);
    const auto before = p.painter.depths().depth;
    auto moved = p.shapes;
    for (auto& position : moved[0].mesh.positions)
        position.x += 25;
    Painting elsewhere(moved);
    elsewhere.paint(sight);
    p.poses[0].along = 25;
    p.paint(sight);
    CHECK(p.painter.depths().depth != before);
    double most = 0;
    for (std::size_t i = 0; i < before.size(); ++i)
        most = std::max(most, std::abs(static_cast<double>(p.painter.depths().depth[i]) -
                                       static_cast<double>(elsewhere.painter.depths().depth[i])));
    CHECK(most < 1e-5);
    p.poses[0].hidden = true;
    p.paint(sight);
    for (const auto& pixel : p.painter.solids())
        CHECK_FALSE(pixel.shape == 1);
}

TEST_CASE("moving painter: every wall of glass tints, and the nearest is kept") {
    Painting p({tube_to_paint(-60, 60, 30, 40, model::SectionRule::cut, true),
                tube_to_paint(-90, 90, 2, 20, model::SectionRule::whole)});
    p.paint(sight_from({90, 260, 120}));
    int walls = 0, bare = 0;
    for (int y = 0; y < painted_height; ++y) {
        for (int x = 0; x < painted_width; ++x) {
            const Hit hit = cast(p, x, y);
            if (hit.margin < 0.05) continue;
            const auto at = static_cast<std::size_t>(y * painted_width + x);
            CHECK((p.painter.glass()[at].shape == 1) == (hit.walls > 0));
            const double clear = static_cast<double>(p.painter.clearness()[at]);
            // A wall leaves 0.8 to 0.95 of what is behind it, by its inclination.
            CHECK(clear <= std::pow(0.95, hit.walls) + 1e-6);
            CHECK(clear >= std::pow(0.8, hit.walls) - 1e-6);
            CHECK((p.painter.depths_with_glass().depth[at] < p.painter.depths().depth[at]) == (hit.walls > 0));
            walls += hit.walls > 1;
            bare += hit.walls == 0;
        }
    }
    CHECK(walls > 50);
    CHECK(bare > 1000);
}

TEST_CASE("moving painter: the tiles tell where there is something to shade") {
    Painting p({tube_to_paint(-60, 60, 30, 40, model::SectionRule::cut, true),
                tube_to_paint(-90, 90, 2, 20, model::SectionRule::whole)});
    p.paint(sight_from({90, 400, 120}));
    const auto columns = static_cast<std::size_t>(p.painter.tile_columns());
    REQUIRE(columns == (painted_width + FacePainter::tile_pixels - 1) / FacePainter::tile_pixels);
    std::vector<FacePainter::Tile> wanted(p.painter.tiles().size());
    for (std::size_t i = 0; i < p.painter.solids().size(); ++i) {
        auto& tile = wanted[i / painted_width / FacePainter::tile_pixels * columns +
                            i % painted_width / FacePainter::tile_pixels];
        tile.solid |= p.painter.solids()[i].shape != 0;
        tile.ground |= p.painter.solids()[i].shape == 0;
        tile.glass |= p.painter.glass()[i].shape != 0;
    }
    int empty = 0;
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        const auto& got = p.painter.tiles()[i];
        CHECK((got.solid == wanted[i].solid && got.ground == wanted[i].ground && got.glass == wanted[i].glass));
        empty += !got.solid && !got.glass;
    }
    CHECK(empty > 2);
}

TEST_CASE("inked picture: a small picture is enlarged evenly, as OpenGL's linear filter does") {
    BytePicture small, large;
    small.fit(7, 5);
    for (std::size_t i = 0; i < small.rgba.size(); ++i)
        small.rgba[i] = static_cast<std::uint8_t>(i * 89 % 251);
    large.fit(23, 64);
    InkedPicture inked;
    const std::vector<SeenLine> no_lines;
    inked.begin(large.width, large.height, small, no_lines, 0);
    inked.fill(large, 0);
    int most = 0;
    for (int y = 0; y < large.height; ++y) {
        for (int x = 0; x < large.width; ++x) {
            const double u = std::clamp((x + 0.5) * small.width / large.width - 0.5, 0.0, small.width - 1.0),
                         v = std::clamp((y + 0.5) * small.height / large.height - 0.5, 0.0, small.height - 1.0);
            const int x0 = static_cast<int>(u), y0 = static_cast<int>(v);
            const int x1 = std::min(x0 + 1, small.width - 1), y1 = std::min(y0 + 1, small.height - 1);
            for (int k = 0; k < 3; ++k) {
                const auto of = [&](int px, int py) {
                    return static_cast<double>(small.rgba[static_cast<std::size_t>((py * small.width + px) * 4 + k)]);
                };
                const double low = of(x0, y0) + (of(x1, y0) - of(x0, y0)) * (u - x0),
                             high = of(x0, y1) + (of(x1, y1) - of(x0, y1)) * (u - x0);
                const int got = large.rgba[static_cast<std::size_t>((y * large.width + x) * 4 + k)];
                most = std::max(most, std::abs(got - static_cast<int>(std::lround(low + (high - low) * (v - y0)))));
            }
            CHECK(large.rgba[static_cast<std::size_t>((y * large.width + x) * 4 + 3)] == 255);
        }
    }
    CHECK(most <= 2);
}

TEST_CASE("inked picture: a line lays down as much ink as it has length and width, whichever way it runs") {
    BytePicture small, large;
    small.fit(100, 100);
    std::fill(small.rgba.begin(), small.rgba.end(), std::uint8_t{255});
    large.fit(100, 100);
    InkedPicture inked;
    const auto ink = [&](const std::vector<SeenLine>& lines, std::size_t nearest_from) {
        inked.begin(large.width, large.height, small, lines, nearest_from);
        inked.fill(large, 0);
        double sum = 0;
        for (std::size_t i = 0; i < large.rgba.size(); i += 4)
            sum += (255 - large.rgba[i]) / 255.0;
        return sum;
    };
    for (int degrees = 0; degrees < 360; degrees += 15) {
        for (const float half_width : {0.5f, 0.8f, 2.0f}) {
            const float angle = glm::radians(static_cast<float>(degrees)), reach = 30;
            const glm::vec2 middle(50.3f, 49.8f), way(std::cos(angle), std::sin(angle));
            const SeenLine line{middle - way * reach, middle + way * reach, half_width, {0, 0, 0, 255}};
            CHECK(ink({line}, 0) == doctest::Approx(60 * 2 * static_cast<double>(half_width)).epsilon(0.1));
        }
    }
    // Behind glass that lets half of it through; and out of the picture it goes nowhere.
    const SeenLine line{{20, 20.5f}, {80, 20.5f}, 1, {0, 0, 0, 255}};
    const double plain = ink({line}, 0);
    for (std::size_t i = 3; i < small.rgba.size(); i += 4)
        small.rgba[i] = 128;
    CHECK(ink({line}, 0) == doctest::Approx(plain));
    CHECK(ink({line}, 1) == doctest::Approx(plain / 2).epsilon(0.02));
    CHECK(ink({{{-500, -20}, {-10, 300}, 2, {0, 0, 0, 255}}, {{40, 120}, {60, 400}, 2, {0, 0, 0, 255}}}, 0) == 0);
}
