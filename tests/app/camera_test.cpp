// Camera mathematics: projections, framing, flights, ways of lying.
#include <algorithm>
#include <array>
#include <cmath>

#include <doctest/doctest.h>
#include <glm/geometric.hpp>

#include "../../viewer/app/camera.h"
#include "../../viewer/app/commands.h"
#include "../../viewer/app/framing.h"
#include "../demo_maps.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;
namespace cmd = ringland::viewer::command;

namespace {

constexpr std::array<model::Lying, 4> all_lyings{model::Lying::belly_up, model::Lying::bell_down,
                                                 model::Lying::tail_down, model::Lying::in_vehicle};

glm::dvec3 turned(model::Lying lying, glm::dvec3 v) { return glm::dvec3(lying_matrix(lying) * glm::dvec4(v, 0)); }

double off(const Camera& a, const Camera& b) {
    return glm::distance(a.target, b.target) + std::abs(a.distance - b.distance) +
           std::abs(std::remainder(a.azimuth_deg - b.azimuth_deg, 360.0)) + std::abs(a.elevation_deg - b.elevation_deg);
}

} // namespace

TEST_CASE("camera: the target is in the middle of the picture, at its distance") {
    const Camera camera{{30, -20, 55}, 640, 33, 21};
    const Viewport viewport{100, 50, 900, 600};
    for (const auto lying : all_lyings) {
        const glm::dvec3 unit_point = glm::transpose(glm::dmat3(lying_matrix(lying))) * camera.target;
        const glm::dvec3 seen = project(unit_point, camera, lying, viewport);
        CHECK(seen.x == doctest::Approx(550));
        CHECK(seen.y == doctest::Approx(350));
        CHECK(seen.z == doctest::Approx(640));
    }
    CHECK(glm::distance(eye_of(camera), camera.target) == doctest::Approx(640));
}

TEST_CASE("camera: project agrees with the matrices that draw") {
    const Camera camera{{5, 6, 7}, 400, -35, 18};
    const Viewport viewport{0, 0, 1280, 720};
    const glm::dvec3 point{40, -30, 12};
    const glm::dvec4 clip = projection_matrix(camera, 1280.0 / 720.0) * view_matrix(camera) *
                            lying_matrix(model::Lying::belly_up) * glm::dvec4(point, 1);
    const glm::dvec3 seen = project(point, camera, model::Lying::belly_up, viewport);
    CHECK(seen.x == doctest::Approx((clip.x / clip.w * 0.5 + 0.5) * 1280));
    CHECK(seen.y == doctest::Approx((0.5 - clip.y / clip.w * 0.5) * 720));
    CHECK(seen.z == doctest::Approx(clip.w));
}

TEST_CASE("camera: azimuth 0 looks along +y, and more azimuth takes the eye towards +x") {
    CHECK(eye_of({{0, 0, 0}, 100, 0, 0}).y == doctest::Approx(-100));
    CHECK(eye_of({{0, 0, 0}, 100, 90, 0}).x == doctest::Approx(100));
    CHECK(eye_of({{0, 0, 0}, 100, 0, 90}).z == doctest::Approx(100));
}

TEST_CASE("lying: each way puts the right end down and is a turn without mirror") {
    using model::Lying;
    CHECK(turned(Lying::belly_up, {0, 0, -1}).z == doctest::Approx(1));
    CHECK(turned(Lying::bell_down, {1, 0, 0}).z == doctest::Approx(1));
    CHECK(turned(Lying::tail_down, {1, 0, 0}).z == doctest::Approx(-1));
    CHECK(turned(Lying::in_vehicle, {0, 0, 1}).z == doctest::Approx(1));
    for (const auto lying : all_lyings) {
        const glm::dmat3 m(lying_matrix(lying));
        CHECK(glm::dot(glm::cross(m[0], m[1]), m[2]) == doctest::Approx(1));
    }
    const Translator en, es = translator_of("es");
    CHECK(end_with_lie(en, "pump end", Lying::bell_down, true) == "pump end (down)");
    CHECK(end_with_lie(en, "pump end", Lying::bell_down, false) == "pump end (up)");
    CHECK(end_with_lie(en, "pump end", Lying::tail_down, true) == "pump end (up)");
    CHECK(end_with_lie(en, "pump end", Lying::in_vehicle, true) == "pump end");
    CHECK(end_with_lie(es, "pump end", Lying::bell_down, true) == "lado de la bomba (abajo)");
    CHECK(end_with_lie(es, "quill end", Lying::belly_up, true) == "quill end");
}

TEST_CASE("framing: every corner is inside the margin, and the subject fills the frame") {
    for (const double aspect : {16.0 / 9.0, 1.0, 0.6, 2.6}) {
        for (const double azimuth : {-35.0, 0.0, 120.0}) {
            for (const double elevation : {-16.0, 0.0, 40.0}) {
                std::vector<glm::dvec3> points;
                for (int i = 0; i < 8; ++i) {
                    points.emplace_back((i & 1) != 0 ? 430 : 0, (i & 2) != 0 ? 120 : -110, (i & 4) != 0 ? 90 : -170);
                }
                const Camera camera = frame_points(points, azimuth, elevation, aspect);
                const Viewport viewport{0, 0, 1000 * aspect, 1000};
                double fullest = 0;
                for (const auto& p : points) {
                    const glm::dvec3 seen = project(p, camera, model::Lying::in_vehicle, viewport);
                    const double x = std::abs(2 * seen.x / viewport.width - 1),
                                 y = std::abs(2 * seen.y / viewport.height - 1);
                    CHECK(seen.z > 0);
                    CHECK(x <= 0.84 + 1e-6);
                    CHECK(y <= 0.84 + 1e-6);
                    fullest = std::max({fullest, x, y});
                }
                CHECK(fullest > 0.8);
            }
        }
    }
}

TEST_CASE("framing: what is taken stays free, and the subject is as large as that allows") {
    std::vector<FramePoint> points;
    for (int i = 0; i < 8; ++i)
        points.push_back({{(i & 1) != 0 ? 430 : 0, (i & 2) != 0 ? 120 : -110, (i & 4) != 0 ? 90 : -170}, {0, 0}});
    points.push_back({{400, 0, 90}, {20, 100}}); // an arrow stands out above
    for (const double aspect : {16.0 / 9.0, 1.0, 0.6}) {
        DrawingRoom room;
        room.height_points = 900;
        room.taken = {{0, 0, 0.3, 0.12}, {0, 0.85, 0.8, 1}};
        for (const double azimuth : {-35.0, 10.0, 120.0}) {
            const Camera camera = frame_in_room(points, azimuth, 20, aspect, room);
            const Viewport viewport{0, 0, 900 * aspect, 900};
            double left = 1e9, right = -1e9, top = 1e9, bottom = -1e9;
            for (const auto& p : points) {
                const glm::dvec3 seen = project(p.at, camera, model::Lying::in_vehicle, viewport);
                const double x = seen.x + p.reach.x, y = seen.y - p.reach.y;
                left = std::min(left, x), right = std::max(right, x), top = std::min(top, y);
                bottom = std::max(bottom, y);
                for (const auto& box : room.taken) {
                    CHECK_FALSE((x > box.x0 * viewport.width && x < box.x1 * viewport.width && y > box.y0 * 900 &&
                                 y < box.y1 * 900));
                }
            }
            CHECK(left >= room_margin_points - 0.5);
            CHECK(right <= viewport.width - room_margin_points + 0.5);
            CHECK(top >= room_margin_points - 0.5);
            CHECK(bottom <= 900 - room_margin_points + 0.5);
            const double across = (right - left) / (viewport.width - 2 * room_margin_points),
                         down = (bottom - top) / (0.85 * 900 - room_margin_points);
            CHECK(std::max(across, down) > 0.8);
        }
    }
}

TEST_CASE("named views: the unit, or the suspect's rings, are in the frame however it lies") {
    Workbench bench;
    std::string why;
    REQUIRE_MESSAGE(bench.open(demo, why), why);
    REQUIRE(bench.dispatch(cmd::AirInto{"P3"}, 0).empty());
    REQUIRE(bench.dispatch(cmd::CameOut{"P4"}, 0).empty());
    const Viewport viewport{0, 0, 1600, 900};
    for (const auto lying : all_lyings) {
        REQUIRE(bench.dispatch(cmd::SetLying{lying}, 10).empty());
        const Session& session = bench.session();
        for (const auto viewpoint : {Viewpoint::bench, Viewpoint::section}) {
            const Camera camera = named_camera(session, bench.derived(), viewpoint, 16.0 / 9.0);
            for (const auto& shape : bench.derived().shapes) {
                for (std::size_t i = 0; i < shape.mesh.positions.size(); i += 5) {
                    const glm::dvec3 p(shape.mesh.positions[i]);
                    const bool gone = viewpoint == Viewpoint::section && p.y * cut_side(lying) > 0 &&
                                      shape.section == model::SectionRule::cut;
                    if (gone) continue;
                    const glm::dvec3 seen = project(p, camera, lying, viewport);
                    if (seen.x > 0 && seen.x < 1600 && seen.y > 0 && seen.y < 900) continue;
                    FAIL_CHECK(shape.name << " at " << seen.x << ", " << seen.y);
                    break;
                }
            }
        }
        const Camera close = named_camera(session, bench.derived(), Viewpoint::stack, 16.0 / 9.0);
        for (const auto& stack : bench.derived().layout.stacks) {
            for (const auto& ring : stack.rings) {
                if (ring.seal != bench.derived().suspect) continue;
                const glm::dvec3 seen = project({ring.x, stack.axis.y, stack.axis.z}, close, lying, viewport);
                CHECK((seen.x > 250 && seen.x < 1350 && seen.y > 150 && seen.y < 750));
            }
        }
        // The half that the section takes away is the one towards the eye.
        const Camera section = named_camera(session, bench.derived(), Viewpoint::section, 16.0 / 9.0);
        CHECK(glm::dot(eye_of(section) - section.target, turned(lying, {0, cut_side(lying), 0})) > 0);
        CHECK(glm::dot(eye_of(close) - close.target, turned(lying, {0, cut_side(lying), 0})) > 0);
        // Never along the axis: the rings would hide each other.
        const glm::dvec3 sight = glm::normalize(close.target - eye_of(close));
        CHECK(std::abs(glm::dot(sight, turned(lying, {1, 0, 0}))) < 0.6);
        const Camera follow = named_camera(session, bench.derived(), Viewpoint::follow, 16.0 / 9.0);
        REQUIRE(bench.derived().air);
        for (const auto& p : bench.derived().air->points) {
            const glm::dvec3 seen = project(p, follow, lying, viewport);
            CHECK((seen.x > 0 && seen.x < 1600 && seen.y > 0 && seen.y < 900));
        }
    }
}

TEST_CASE("flight: begins where the camera is, ends at the goal, never jumps") {
    Flight flight;
    flight.to = {{0, 0, 0}, 1000, -170, 20};
    const Camera goal{{100, 50, 20}, 200, 170, -5};
    fly_to(flight, goal, 10, 0.6);
    CHECK(off(camera_at(flight, 10), {{0, 0, 0}, 1000, -170, 20}) < 1e-9);
    CHECK(off(camera_at(flight, 10.6), goal) < 1e-9);
    CHECK(off(camera_at(flight, 99), goal) < 1e-9);
    CHECK(in_flight(flight, 10.3));
    // The short way round: 20 degrees through 180, not 340 through 0.
    CHECK(std::abs(std::remainder(camera_at(flight, 10.3).azimuth_deg - 180, 360.0)) < 1e-9);
    Camera last = camera_at(flight, 10);
    for (double t = 10; t <= 10.6; t += 0.01) {
        const Camera now = camera_at(flight, t);
        CHECK(off(now, last) < 60);
        last = now;
    }
}

TEST_CASE("flight: can be interrupted at any instant without a jump") {
    for (double when = 0; when < 0.6; when += 0.07) {
        Flight flight;
        flight.to = {{0, 0, 0}, 1000, -35, 20};
        fly_to(flight, {{100, 50, 20}, 200, 60, 5}, 0, 0.6);
        const Camera before = camera_at(flight, when);
        fly_to(flight, {{-40, 0, 0}, 500, -80, 30}, when, 0.6);
        CHECK(off(camera_at(flight, when), before) < 1e-6);
        CHECK(off(camera_at(flight, when + 1e-4), before) < 1);
    }
}

TEST_CASE("flight: a hand on the drawing ends it where it is") {
    Workbench bench;
    std::string why;
    REQUIRE_MESSAGE(bench.open(demo, why), why);
    REQUIRE(bench.dispatch(cmd::ShowView{Viewpoint::stack}, 5).empty());
    const Camera before = camera_at(bench.session().view.flight, 5.2);
    REQUIRE(bench.dispatch(cmd::Orbit{3, 0}, 5.2).empty());
    CHECK_FALSE(in_flight(bench.session().view.flight, 5.2));
    const Camera after = camera_at(bench.session().view.flight, 5.2);
    CHECK(after.distance == doctest::Approx(before.distance));
    CHECK(std::remainder(after.azimuth_deg - before.azimuth_deg, 360.0) == doctest::Approx(3));
    REQUIRE(bench.dispatch(cmd::Orbit{0, 500}, 5.3).empty());
    CHECK(bench.session().view.flight.to.elevation_deg == elevation_limit_deg);
}
