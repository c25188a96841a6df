// Cameras: every view frames its subject, remembers where a hand left it, rides along the air and goes round.
#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <doctest/doctest.h>
#include <glm/geometric.hpp>

#include "../../viewer/app/camera.h"
#include "../../viewer/app/commands.h"
#include "../../viewer/app/ride.h"
#include "../demo_maps.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;
namespace cmd = ringland::viewer::command;

namespace {

const std::array<Question, 3> cases{{{demo, "P3", "P4"}, {small_demo, "P4", "P5"}, {shift_demo, "P3", "P6"}}};

void open(Workbench& bench, const Question& one, double aspect, bool asked) {
    bench.set_aspect(aspect);
    std::string why;
    REQUIRE(bench.open(one.map, why));
    if (!asked) return;
    REQUIRE(bench.dispatch(cmd::AirInto{one.into}, 0).empty());
    REQUIRE(bench.dispatch(cmd::CameOut{one.out}, 0).empty());
    REQUIRE(bench.derived().air);
}

/// What a view must hold, in unit space.
std::vector<glm::dvec3> subject(const Workbench& bench, Viewpoint viewpoint) {
    const auto& layout = bench.derived().layout;
    std::vector<glm::dvec3> points;
    if (viewpoint == Viewpoint::follow) return bench.derived().air->points;
    if (viewpoint == Viewpoint::stack) {
        for (const auto& place : layout.seals) {
            if (place.seal == bench.derived().suspect) points.push_back(place.at);
        }
        if (!bench.derived().suspect.empty()) return points;
        const auto& stack = layout.stacks.front();
        for (const auto& ring : stack.rings) {
            for (const double side : {-1.0, 1.0})
                points.push_back(stack.axis + glm::dvec3(ring.x, 0, side * stack.bore_radius));
        }
        return points;
    }
    for (const auto& port : layout.ports)
        points.push_back(port.at);
    for (const auto& part : layout.parts) {
        points.push_back(part.axis + glm::dvec3(part.x0, 0, 0));
        points.push_back(part.axis + glm::dvec3(part.x1, 0, 0));
    }
    return points;
}

Camera camera(const Workbench& bench, double now_s) { return camera_at(bench.session().view.flight, now_s); }

} // namespace

TEST_CASE("views: each frames its subject in a wide, a full HD and an upright window") {
    for (const auto& one : cases) {
        for (const auto& window : {std::pair(1280.0, 720.0), std::pair(1920.0, 1080.0), std::pair(900.0, 1200.0)}) {
            const double width = window.first, height = window.second;
            for (const auto viewpoint : {Viewpoint::bench, Viewpoint::section, Viewpoint::stack, Viewpoint::follow}) {
                Workbench bench;
                open(bench, one, width / height, viewpoint == Viewpoint::follow);
                REQUIRE(bench.dispatch(cmd::ShowView{viewpoint}, 10).empty());
                CAPTURE(one.map);
                CAPTURE(width);
                CAPTURE(model::word(viewpoint));
                glm::dvec2 low(1e9), high(-1e9);
                for (const auto& p : subject(bench, viewpoint)) {
                    const auto seen = project(p, camera(bench, 99), bench.session().view.lying, {0, 0, width, height});
                    CHECK(seen.z > 0);
                    CHECK(seen.x > 0.02 * width);
                    CHECK(seen.x < 0.98 * width);
                    CHECK(seen.y > 0.02 * height);
                    CHECK(seen.y < 0.98 * height);
                    low = glm::min(low, glm::dvec2(seen.x, seen.y));
                    high = glm::max(high, glm::dvec2(seen.x, seen.y));
                }
                // And large: it reaches over a good part of the frame in one direction at least.
                CHECK(std::max((high.x - low.x) / width, (high.y - low.y) / height) > 0.3);
            }
        }
    }
}

TEST_CASE("views: coming back finds the view as a hand left it, and a second press resets it") {
    Workbench bench;
    open(bench, cases[0], 16.0 / 9, false);
    bench.dispatch(cmd::ShowView{Viewpoint::bench}, 0);
    const Camera named = camera(bench, 9);
    bench.dispatch(cmd::Orbit{31, 5}, 10);
    bench.dispatch(cmd::SetSection{true}, 10);
    const Camera left = camera(bench, 10);
    bench.dispatch(cmd::ShowView{Viewpoint::stack}, 11);
    bench.dispatch(cmd::Zoom{0.8}, 15);
    const Camera stack = camera(bench, 15);
    bench.dispatch(cmd::ShowView{Viewpoint::bench}, 16);
    CHECK(bench.session().view.section);
    CHECK(camera(bench, 20) == left);
    bench.dispatch(cmd::ShowView{Viewpoint::bench}, 21);
    CHECK(camera(bench, 25) == named);
    CHECK_FALSE(bench.session().view.section);
    bench.dispatch(cmd::ShowView{Viewpoint::stack}, 26);
    CHECK(camera(bench, 30) == stack);
    // An answer shows its ring, and the way back is the bench as it was left.
    bench.dispatch(cmd::ShowView{Viewpoint::bench}, 31);
    bench.dispatch(cmd::Orbit{-12, 0}, 40);
    const Camera again = camera(bench, 40);
    bench.dispatch(cmd::AirInto{"P3"}, 41);
    bench.dispatch(cmd::CameOut{"P4"}, 42);
    REQUIRE(bench.session().view.viewpoint == Viewpoint::stack);
    bench.dispatch(cmd::ShowView{Viewpoint::bench}, 50);
    CHECK(camera(bench, 60) == again);
}

TEST_CASE("ride: along the whole way at one speed, waiting at the seal, with the air ahead in sight") {
    for (const auto& one : cases) {
        for (const double aspect : {16.0 / 9, 0.75}) {
            Workbench bench;
            open(bench, one, aspect, true);
            CAPTURE(one.map);
            const double start = 100;
            REQUIRE(bench.dispatch(cmd::Ride{}, start).empty());
            const Flight flight = bench.session().view.flight;
            const RideWay way = ride_way(*bench.derived().air, bench.session().view.lying);
            CHECK(flight.duration_s ==
                  doctest::Approx(ride_enters_s + way.length_mm / ride_mm_per_s + ride_waits_s + ride_leaves_s)
                      .epsilon(0.01));
            const auto to_world = lying_matrix(bench.session().view.lying);
            const auto to_unit = glm::transpose(to_world);
            const double seal_s = ride_enters_s + way.seal_mm / ride_mm_per_s;
            double waited = 0;
            constexpr double step = 1.0 / 60;
            for (double t = ride_enters_s; t < flight.duration_s - ride_leaves_s - step; t += step) {
                const Camera a = camera_at(flight, start + t), b = camera_at(flight, start + t + step);
                const double speed = glm::distance(a.target, b.target) / step;
                if (speed < 1) waited += step;
                CHECK(speed < 1.06 * ride_mm_per_s); // a rounded corner is shorter, never longer
                CHECK(a.distance == doctest::Approx(b.distance));
                // Where the air is now, and a little ahead.
                const double air_s =
                    t < seal_s ? t - ride_enters_s : std::max(seal_s, t - ride_waits_s) - ride_enters_s;
                for (const double ahead : {0.0, ride_ahead_mm}) {
                    const glm::dvec3 p = along_way(way, std::min(way.length_mm, air_s * ride_mm_per_s + ahead));
                    const auto seen = project(glm::dvec3(to_unit * glm::dvec4(p, 1)), a, bench.session().view.lying,
                                              {0, 0, 1000 * aspect, 1000});
                    CHECK(seen.z > 0);
                    CHECK(seen.x > 50 * aspect);
                    CHECK(seen.x < 950 * aspect);
                    CHECK(seen.y > 50);
                    CHECK(seen.y < 950);
                }
            }
            CHECK(waited == doctest::Approx(ride_waits_s).epsilon(0.2));
            CHECK(camera_at(flight, start + flight.duration_s + 1) == flight.to); // it does not begin again
            CHECK_FALSE(in_flight(flight, start + flight.duration_s + 1));
        }
    }
    Workbench bench;
    open(bench, cases[0], 16.0 / 9, false);
    CHECK_FALSE(bench.dispatch(cmd::Ride{}, 0).empty());
}

TEST_CASE("turntable: round about the upright axis at one pace until it is told to stay") {
    Workbench bench;
    open(bench, cases[0], 16.0 / 9, false);
    const Camera before = camera(bench, 10);
    REQUIRE(bench.dispatch(cmd::SetTurntable{true}, 10).empty());
    for (const double t : {0.5, 3.0, 17.0, 41.0}) {
        const Camera now = camera(bench, 10 + t);
        CHECK(std::abs(std::remainder(now.azimuth_deg - before.azimuth_deg - t * turntable_deg_per_s, 360.0)) < 1e-6);
        CHECK(now.elevation_deg == before.elevation_deg);
        CHECK(now.distance == before.distance);
        CHECK(now.target == before.target);
        CHECK(in_flight(bench.session().view.flight, 10 + t));
    }
    const Camera at = camera(bench, 30);
    REQUIRE(bench.dispatch(cmd::Stay{}, 30).empty());
    CHECK(camera(bench, 99) == at);
    CHECK_FALSE(in_flight(bench.session().view.flight, 99));
    bench.dispatch(cmd::SetTurntable{true}, 100);
    bench.dispatch(cmd::Orbit{1, 1}, 101);
    CHECK_FALSE(in_flight(bench.session().view.flight, 102));
}

TEST_CASE("less motion: nothing turns or rides by itself") {
    Workbench bench;
    open(bench, cases[0], 16.0 / 9, true);
    REQUIRE(bench.dispatch(cmd::SetReducedMotion{true}, 0).empty());
    CHECK_FALSE(bench.dispatch(cmd::SetTurntable{true}, 10).empty());
    CHECK(bench.dispatch(cmd::Ride{}, 10).empty());
    CHECK(bench.session().view.viewpoint == Viewpoint::follow);
    CHECK_FALSE(in_flight(bench.session().view.flight, 10.01));
}

TEST_CASE("alone: one circuit or two that the map has, and everything again") {
    Workbench bench;
    open(bench, cases[0], 16.0 / 9, false);
    CHECK(bench.dispatch(cmd::Isolate{{"low", "coast"}}, 0).empty());
    CHECK(bench.session().view.alone == std::vector<std::string>{"low", "coast"});
    CHECK(bench.dispatch(cmd::Isolate{{"low", "low"}}, 0).empty());
    CHECK(bench.session().view.alone == std::vector<std::string>{"low"});
    CHECK_FALSE(bench.dispatch(cmd::Isolate{{"lowe"}}, 0).empty());
    CHECK_FALSE(bench.dispatch(cmd::Isolate{{"low", "coast", "lube"}}, 0).empty());
    CHECK(bench.session().view.alone == std::vector<std::string>{"low"});
    CHECK(bench.dispatch(cmd::ClearPorts{}, 0).empty());
    CHECK(bench.session().view.alone.empty());
    bench.dispatch(cmd::Select{{model::SubjectKind::seal, "R3"}}, 0);
    CHECK(circuits_of(bench.session(), bench.derived()) == std::vector<std::string>{"low", "coast"});
    bench.dispatch(cmd::Select{{model::SubjectKind::port, "P4"}}, 0);
    CHECK(circuits_of(bench.session(), bench.derived()) == std::vector<std::string>{"coast"});
    bench.dispatch(cmd::Select{}, 0);
    CHECK(circuits_of(bench.session(), bench.derived()).empty());
}
