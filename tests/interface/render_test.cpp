// The drawing itself, without a window: what is where, in which colour, and the same every time.
#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <string>
#include <utility>
#include <vector>

#include <epoxy/gl.h>
#include <glm/geometric.hpp>

#include "../../model-data/shapes.h"
#include "../../viewer/app/camera.h"
#include "../../viewer/app/colours.h"
#include "../../viewer/platform/context.h"
#include "../../viewer/render/renderer.h"

using namespace ringland;
using namespace ringland::viewer;

namespace {

using ProfilePoint = std::pair<double, double>; // along the axis, radius

/// Triangle corners of a closed profile turned about the x axis, outside out.
std::vector<glm::vec3> turned(const std::vector<ProfilePoint>& profile) {
    constexpr int steps = 64;
    constexpr double whole_turn = 6.283185307179586;
    const auto at = [](const ProfilePoint& p, int k) {
        const double angle = whole_turn * (k % steps) / steps;
        return glm::vec3(p.first, p.second * std::cos(angle), p.second * std::sin(angle));
    };
    std::vector<glm::vec3> corners;
    double volume = 0;
    for (std::size_t i = 0; i < profile.size(); ++i) {
        const auto &a = profile[i], &b = profile[(i + 1) % profile.size()];
        for (int k = 0; k < steps; ++k) {
            if (b.second > 0) corners.insert(corners.end(), {at(a, k), at(b, k), at(b, k + 1)});
            if (a.second > 0) corners.insert(corners.end(), {at(a, k), at(b, k + 1), at(a, k + 1)});
        }
    }
    for (std::size_t i = 0; i < corners.size(); i += 3) {
        volume += glm::dot(corners[i], glm::cross(corners[i + 1], corners[i + 2]));
    }
    if (volume < 0) {
        for (std::size_t i = 0; i < corners.size(); i += 3)
            std::swap(corners[i + 1], corners[i + 2]);
    }
    return corners;
}

std::vector<ProfilePoint> tube(double x0, double x1, double inner, double outer) {
    return {{x0, outer}, {x1, outer}, {x1, inner}, {x0, inner}};
}

/// A shaft with three rings and two circuits between them, and a sleeve around that the section cuts.
struct Bench {
    Session session;
    Derived derived;

    void add(const std::string& name, model::Subject subject, model::Material material,
             const std::vector<ProfilePoint>& profile, bool whole, bool space = false) {
        model::Shape shape;
        shape.name = name;
        shape.subject = std::move(subject);
        shape.material = material;
        shape.section = whole ? model::SectionRule::whole : model::SectionRule::cut;
        shape.circuit_space = space;
        shape.mesh = model::finish_mesh(turned(profile), 30);
        derived.shapes.push_back(std::move(shape));
    }

    Bench() {
        auto& map = session.document.map;
        for (const char* id : {"low", "top"}) {
            model::Circuit circuit;
            circuit.id = id;
            map.circuits.push_back(circuit);
        }
        const std::array<std::array<const char*, 2>, 3> between{{{"sump", "low"}, {"low", "top"}, {"top", "sump"}}};
        for (int i = 0; i < 3; ++i) {
            model::Seal seal;
            seal.id = "R" + std::to_string(i + 1);
            seal.between = {between[static_cast<std::size_t>(i)][0], between[static_cast<std::size_t>(i)][1]};
            map.seals.push_back(seal);
        }
        using model::SubjectKind;
        add("shaft", {SubjectKind::part, "shaft"}, model::Material::steel, {{-60, 0}, {-60, 20}, {60, 20}, {60, 0}},
            true);
        for (int i = 0; i < 3; ++i) {
            const double x = -20 + 20 * i;
            add("ring " + std::to_string(i + 1), {SubjectKind::seal, "R" + std::to_string(i + 1)},
                model::Material::ptfe, tube(x - 3, x + 3, 20.1, 26), true);
        }
        add("low", {SubjectKind::circuit, "low"}, model::Material::steel, tube(-14, -6, 20.1, 24), true, true);
        add("top", {SubjectKind::circuit, "top"}, model::Material::steel, tube(6, 14, 20.1, 24), true, true);
        add("sleeve", {SubjectKind::part, "sleeve"}, model::Material::aluminium, tube(-40, 40, 27, 48), false);
        derived.shapes_revision = 1;
        derived.layout.low = {-60, -48, -48};
        derived.layout.high = {60, 48, 48};
        auto& view = session.view;
        view.section = true;
        view.lying = model::Lying::in_vehicle;
        Camera camera;
        camera.distance = 300;
        camera.azimuth_deg = cut_side(view.lying) > 0 ? 180 : 0; // square to the cut
        camera.elevation_deg = 10;
        view.flight.from = view.flight.to = camera;
    }
};

struct Pixels {
    int width = 0, height = 0;
    std::vector<std::uint8_t> rgba; ///< rows from the bottom
    [[nodiscard]] std::array<int, 3> at(int x, int y_from_top) const {
        const auto i = static_cast<std::size_t>(((height - 1 - y_from_top) * width + x) * 4);
        return {rgba[i], rgba[i + 1], rgba[i + 2]};
    }
};

Pixels drawn(Renderer& renderer, const Bench& bench, const FrameSpec& spec) {
    GLuint target = 0, colour = 0;
    glGenFramebuffers(1, &target);
    glGenRenderbuffers(1, &colour);
    glBindRenderbuffer(GL_RENDERBUFFER, colour);
    glRenderbufferStorage(GL_RENDERBUFFER, GL_RGBA8, spec.width, spec.height);
    glBindFramebuffer(GL_FRAMEBUFFER, target);
    glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_RENDERBUFFER, colour);
    renderer.draw(target, bench.session, bench.derived, spec);
    Pixels pixels{spec.width, spec.height, {}};
    pixels.rgba.resize(static_cast<std::size_t>(spec.width * spec.height * 4));
    glBindFramebuffer(GL_FRAMEBUFFER, target);
    glReadPixels(0, 0, spec.width, spec.height, GL_RGBA, GL_UNSIGNED_BYTE, pixels.rgba.data());
    glBindFramebuffer(GL_FRAMEBUFFER, 0);
    glDeleteFramebuffers(1, &target);
    glDeleteRenderbuffers(1, &colour);
    CHECK(glGetError() == GL_NO_ERROR);
    return pixels;
}

FrameSpec frame(int width, int height) {
    FrameSpec spec;
    spec.width = width;
    spec.height = height;
    spec.drawing = {0, 0, static_cast<double>(width), static_cast<double>(height)};
    return spec;
}

glm::dvec3 on_screen(const Bench& bench, const FrameSpec& spec, const glm::dvec3& unit_point) {
    return project(unit_point, bench.session.view.flight.to, bench.session.view.lying, spec.drawing);
}

/// The point of a turned surface at x that is turned to the eye.
glm::dvec3 towards_eye(const Bench& bench, double x, double radius) {
    return {x, radius * cut_side(bench.session.view.lying), 0};
}

bool is_vermillion(const std::array<int, 3>& c) { return c[0] > 150 && c[1] > 40 && c[1] < 130 && c[2] < 60; }

} // namespace

TEST_CASE("a pixel at the middle of a ring picks that ring, moving or still") {
    const OffscreenContext context;
    Renderer renderer;
    const Bench bench;
    for (const bool still : {true, false}) {
        auto spec = frame(640, 400);
        spec.still = still;
        static_cast<void>(drawn(renderer, bench, spec));
        for (int i = 0; i < 3; ++i) {
            const auto p = on_screen(bench, spec, towards_eye(bench, -20 + 20 * i, 26));
            CHECK(renderer.pick(p.x, p.y) == model::Subject{model::SubjectKind::seal, "R" + std::to_string(i + 1)});
        }
        const auto circuit = on_screen(bench, spec, towards_eye(bench, 10, 24));
        CHECK(renderer.pick(circuit.x, circuit.y) == model::Subject{model::SubjectKind::circuit, "top"});
        CHECK(renderer.pick(3, 3) == model::Subject{});
        CHECK(renderer.pick(-5, 900) == model::Subject{});
    }
}

TEST_CASE("the cut face of the sleeve is hatched paper and belongs to the sleeve") {
    const OffscreenContext context;
    Renderer renderer;
    Bench bench;
    const auto spec = frame(640, 400);
    const auto pixels = drawn(renderer, bench, spec);
    const auto middle = on_screen(bench, spec, {0, 0, 38});
    CHECK(renderer.pick(middle.x, middle.y) == model::Subject{model::SubjectKind::part, "sleeve"});
    int light = 0, dark = 0;
    for (int dx = -20; dx <= 20; ++dx) {
        const auto c = pixels.at(static_cast<int>(middle.x) + dx, static_cast<int>(middle.y));
        light += c[0] > 200;
        dark += c[0] < 150;
    }
    CHECK(light > 15); // paper between
    CHECK(dark >= 3);  // lines of the hatch

    // Whole, the same place shows the outside of the sleeve and the rings inside cannot be picked.
    bench.session.view.section = false;
    static_cast<void>(drawn(renderer, bench, spec));
    const auto ring = on_screen(bench, spec, towards_eye(bench, 0, 26));
    CHECK(renderer.pick(ring.x, ring.y) == model::Subject{model::SubjectKind::part, "sleeve"});
}

TEST_CASE("only the suspect is vermillion") {
    const OffscreenContext context;
    Renderer renderer;
    Bench bench;
    const auto spec = frame(640, 400);
    const auto share = [&](const Pixels& pixels) {
        int count = 0;
        for (int y = 0; y < pixels.height; ++y) {
            for (int x = 0; x < pixels.width; ++x)
                count += is_vermillion(pixels.at(x, y));
        }
        return count;
    };
    CHECK(share(drawn(renderer, bench, spec)) == 0);
    bench.derived.suspect = "R2";
    const auto pixels = drawn(renderer, bench, spec);
    const auto p = on_screen(bench, spec, towards_eye(bench, 0, 26));
    CHECK(is_vermillion(pixels.at(static_cast<int>(p.x), static_cast<int>(p.y))));
    CHECK(share(pixels) > 500);
    for (const double x : {-20.0, 20.0}) {
        const auto other = on_screen(bench, spec, towards_eye(bench, x, 26));
        CHECK_FALSE(is_vermillion(pixels.at(static_cast<int>(other.x), static_cast<int>(other.y))));
    }
}

TEST_CASE("a picture in tiles is the picture in one piece") {
    const OffscreenContext context;
    Renderer renderer;
    Bench bench;
    bench.derived.suspect = "R2";
    const auto whole = drawn(renderer, bench, frame(640, 400));
    int worst = 0, different = 0;
    for (int row = 0; row < 2; ++row) {
        for (int column = 0; column < 2; ++column) {
            auto spec = frame(320, 200);
            spec.tile = {column * 0.5, row * 0.5, 0.5, 0.5};
            const auto tile = drawn(renderer, bench, spec);
            for (int y = 0; y < 200; ++y) {
                for (int x = 0; x < 320; ++x) {
                    const auto a = whole.at(column * 320 + x, row * 200 + y), b = tile.at(x, y);
                    int off = 0;
                    for (std::size_t k = 0; k < 3; ++k)
                        off = std::max(off, std::abs(a[k] - b[k]));
                    worst = std::max(worst, off);
                    different += off > 6;
                }
            }
        }
    }
    MESSAGE("tiles: largest difference ", worst, ", pixels off by more than 6: ", different, " of 256000");
    CHECK(different < 64); // single pixels on edges, where the rasteriser may round the other way
}

TEST_CASE("the same session gives the same bytes, in the same renderer and in a new one") {
    const OffscreenContext context;
    Bench bench;
    bench.derived.suspect = "R2";
    model::AirPath path;
    const double side = cut_side(bench.session.view.lying);
    path.points = {{-10, 0, 70}, {-10, 0, 24}, {-10, 25 * side, 0}, {10, 25 * side, 0}, {10, 0, 24}, {10, 0, 70}};
    path.crossing = 2;
    bench.derived.air = path;
    auto& flows = bench.derived.air_now.emplace().seal_lpm;
    flows.assign(bench.session.document.map.seals.size(), 60);
    const auto spec = frame(480, 300);
    Renderer first;
    const auto a = drawn(first, bench, spec);
    auto moving = spec;
    moving.still = false;
    static_cast<void>(drawn(first, bench, moving));
    const auto b = drawn(first, bench, spec);
    Renderer second;
    const auto c = drawn(second, bench, spec);
    CHECK(a.rgba == b.rgba);
    CHECK(a.rgba == c.rgba);

    // The air moves and nothing else does.
    auto later = spec;
    later.now_s = 0.5;
    CHECK(drawn(second, bench, later).rgba == a.rgba);
    later.air_travel_points = 15;
    CHECK(drawn(second, bench, later).rgba != a.rgba);
    // A breath has few arrows and less than that none.
    std::fill(flows.begin(), flows.end(), 0.1);
    const auto breath = drawn(second, bench, spec);
    CHECK(breath.rgba != a.rgba);
    std::fill(flows.begin(), flows.end(), 0.0);
    const auto nothing = drawn(second, bench, spec);
    CHECK(nothing.rgba != breath.rgba);
    bench.derived.air.reset();
    const auto without = drawn(second, bench, spec);
    CHECK(drawn(second, bench, later).rgba == without.rgba);
    CHECK(nothing.rgba == without.rgba);
    CHECK(without.rgba != a.rgba);
}

TEST_CASE("beside the drawing the frame has the colour of the panel") {
    const OffscreenContext context;
    Renderer renderer;
    const Bench bench;
    auto spec = frame(640, 400);
    spec.drawing = {200, 40, 440, 300};
    const auto pixels = drawn(renderer, bench, spec);
    const std::array<int, 3> panel{0xFC, 0xFB, 0xF8};
    for (const auto& [x, y] : {std::pair{10, 200}, {199, 100}, {400, 39}, {400, 341}})
        CHECK(pixels.at(x, y) == panel);
    CHECK(pixels.at(205, 45) != panel);
    const auto ring =
        project(towards_eye(bench, 0, 26), bench.session.view.flight.to, bench.session.view.lying, spec.drawing);
    CHECK(renderer.pick(ring.x, ring.y) == model::Subject{model::SubjectKind::seal, "R2"});
    CHECK(renderer.pick(100, 100) == model::Subject{});
}

TEST_CASE("circuits go through the palette in order, then come round with a second mark") {
    model::UnitMap map;
    for (int i = 0; i < 8; ++i) {
        model::Circuit circuit;
        circuit.id = "c" + std::to_string(i);
        map.circuits.push_back(circuit);
    }
    map.circuits[2].kind = model::CircuitKind::lube;
    map.circuits[3].colour = "#123456";
    CHECK(circuit_colour(map, "c0").colour == rgb(0x56B4E9));
    CHECK(circuit_colour(map, "c1").colour == rgb(0x009E73));
    CHECK(circuit_colour(map, "c2").colour == neutral_circuit_colour);
    CHECK(circuit_colour(map, "c3").colour == rgb(0x123456));
    CHECK(circuit_colour(map, "c4").colour == rgb(0xCC79A7));
    CHECK_FALSE(circuit_colour(map, "c7").dashed);
    for (int i = 0; i < 2; ++i) {
        model::Circuit circuit;
        circuit.id = "d" + std::to_string(i);
        map.circuits.push_back(circuit);
    }
    CHECK(circuit_colour(map, "d0").colour == rgb(0x56B4E9));
    CHECK(circuit_colour(map, "d0").dashed);
    CHECK(circuit_colour(map, "sump").colour == neutral_circuit_colour);
    for (const auto& circuit : map.circuits)
        CHECK(circuit_colour(map, circuit.id).colour != suspect_colour);
}
