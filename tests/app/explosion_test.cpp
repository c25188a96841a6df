// Taking apart: what comes off first goes farthest, nothing runs into its neighbour, every ring stands free.
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <glm/geometric.hpp>

#include "../../viewer/app/camera.h"
#include "../../viewer/app/commands.h"
#include "../demo_maps.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;
namespace cmd = ringland::viewer::command;

namespace {

const std::array<std::string, 3> demos{demo, shift_demo, small_demo};

struct TakenApart {
    Workbench bench;
    explicit TakenApart(const std::string& map, double aspect = 16.0 / 9) {
        bench.set_aspect(aspect);
        std::string why;
        REQUIRE(bench.open(map, why));
    }
    [[nodiscard]] const Explosion& explosion() const { return bench.derived().explosion; }
    [[nodiscard]] const model::UnitMap& map() const { return bench.session().document.map; }
};

struct Span {
    double x0 = 1e9, x1 = -1e9, y = 0, z = 0;
    std::string name;
};

/// Where the bodies that move stand when all is apart, by the shapes that share a way.
std::vector<Span> rows(const TakenApart& opened, double apart) {
    std::vector<Span> spans;
    for (const auto& hull : opened.explosion().hulls) {
        const double by = Apartness::of_all(apart).moved_mm(hull.move);
        spans.push_back({hull.x0 + by, hull.x1 + by, hull.y, hull.z, fmt::format("{} {}", hull.x0, hull.x1)});
    }
    return spans;
}

} // namespace

TEST_CASE("taken apart: no two bodies of one shaft line share a place") {
    for (const auto& map : demos) {
        const TakenApart opened(map);
        const auto spans = rows(opened, 1);
        CAPTURE(map);
        CHECK(spans.size() > 10);
        for (std::size_t i = 0; i < spans.size(); ++i) {
            for (std::size_t j = 0; j < i; ++j) {
                if (std::abs(spans[i].y - spans[j].y) + std::abs(spans[i].z - spans[j].z) > 20) continue;
                CAPTURE(spans[i].name);
                CAPTURE(spans[j].name);
                CHECK(std::max(spans[i].x0, spans[j].x0) > std::min(spans[i].x1, spans[j].x1) + 4);
            }
        }
    }
}

TEST_CASE("taken apart: the sooner a part comes off, the farther it goes") {
    for (const auto& map : demos) {
        const TakenApart opened(map);
        CAPTURE(map);
        int asked = 0;
        for (const auto& part : opened.map().parts) {
            const auto here = opened.explosion().parts.find(part.id);
            if (here == opened.explosion().parts.end()) continue;
            for (const auto& before : part.after) {
                const auto first = opened.explosion().parts.find(before);
                const auto* other = model::find(opened.map().parts, before);
                if (first == opened.explosion().parts.end() || other == nullptr || other->line != part.line) continue;
                CAPTURE(part.id);
                CAPTURE(before);
                // What was off before stands on the outer side of it.
                const double way = here->second.way_mm;
                if (way == 0 || first->second.way_mm * way < 0) continue;
                const auto middle = [&](const std::string& id) {
                    double low = 1e9, high = -1e9;
                    for (const auto& shape : opened.bench.derived().shapes) {
                        if (shape.subject.kind != model::SubjectKind::part || shape.subject.id != id ||
                            shape.name != id)
                            continue;
                        for (const auto& p : shape.mesh.positions)
                            low = std::min(low, double(p.x)), high = std::max(high, double(p.x));
                    }
                    return (low + high) / 2;
                };
                const double a = middle(before) + first->second.way_mm, b = middle(part.id) + way;
                CHECK((way < 0 ? a < b : a > b));
                ++asked;
            }
        }
        CHECK(asked >= 2);
    }
}

TEST_CASE("taken apart: every ring of a stack stands free of its shaft and of the next ring") {
    for (const auto& map : demos) {
        const TakenApart opened(map);
        CAPTURE(map);
        for (const auto& stack : opened.bench.derived().layout.stacks) {
            const double carrier = Apartness::of_all(1).shift_mm(opened.explosion().stacks, stack.stack);
            std::vector<double> at;
            for (const auto& ring : stack.rings) {
                const double x = ring.x + Apartness::of_all(1).shift_mm(opened.explosion().seals, ring.seal);
                at.push_back(x);
                const double from = stack.carrier_x0 + carrier, to = stack.carrier_x1 + carrier;
                CAPTURE(ring.seal);
                CHECK((x < from - ring.width / 2 || x > to + ring.width / 2));
            }
            // In the order in which they sit, or they could not be counted.
            std::vector<double> sitting;
            for (const auto& ring : stack.rings)
                sitting.push_back(ring.x);
            for (std::size_t i = 0; i + 1 < at.size(); ++i) {
                CHECK((at[i] < at[i + 1]) == (sitting[i] < sitting[i + 1]));
                CHECK(std::abs(at[i] - at[i + 1]) > stack.rings[i].width + 6);
            }
        }
    }
}

TEST_CASE("taken apart: a little more of the slider is a little more of the way, and 0 is together") {
    const TakenApart opened(demos[0]);
    for (const auto& move : opened.explosion().shapes) {
        CHECK(Apartness::of_all(0).moved_mm(move) == 0);
        CHECK(Apartness::of_all(1).moved_mm(move) == doctest::Approx(move.way_mm));
        double last = 0;
        for (double apart = 0.01; apart <= 1.0001; apart += 0.01) {
            const double now = Apartness::of_all(apart).moved_mm(move);
            CHECK(std::abs(now) >= std::abs(last) - 1e-9);
            CHECK(std::abs(now - last) <= 0.035 * std::abs(move.way_mm) + 1e-9);
            last = now;
        }
    }
}

TEST_CASE("taken apart: case, plate and ports stay, drillings are gone, and the camera holds everything") {
    for (const auto& map : demos) {
        for (const double aspect : {16.0 / 9, 0.75}) {
            TakenApart opened(map, aspect);
            CAPTURE(map);
            for (const auto viewpoint : {Viewpoint::bench, Viewpoint::section}) {
                for (const double apart : {0.0, 0.3, 1.0}) {
                    REQUIRE(opened.bench.dispatch(cmd::ShowView{viewpoint}, 0).empty());
                    REQUIRE(opened.bench.dispatch(cmd::Explode{apart}, 10).empty());
                    const auto& view = opened.bench.session().view;
                    const Viewport frame{0, 0, 1000 * aspect, 1000};
                    double low = 1e9, high = -1e9;
                    for (const auto& span : rows(opened, apart)) {
                        for (const double x : {span.x0, span.x1}) {
                            const auto p = project({x, span.y, span.z}, camera_at(view.flight, 20), view.lying, frame);
                            CHECK(p.z > 0);
                            CHECK(p.x > 0);
                            CHECK(p.x < frame.width);
                            CHECK(p.y > 0);
                            CHECK(p.y < frame.height);
                            const double at = view.lying == model::Lying::tail_down ? p.y : p.x;
                            low = std::min(low, at);
                            high = std::max(high, at);
                        }
                    }
                    if (apart == 1)
                        CHECK(high - low > 0.5 * std::min(frame.width, frame.height)); // and nothing is far away
                }
            }
        }
        const TakenApart opened(map);
        std::size_t spanning = 0;
        for (std::size_t i = 0; i < opened.bench.derived().shapes.size(); ++i) {
            const auto& subject = opened.bench.derived().shapes[i].subject;
            if (subject.kind == model::SubjectKind::port) CHECK(opened.explosion().shapes[i].way_mm == 0);
            if (opened.explosion().spans[i] != 0) {
                ++spanning;
                CHECK(subject.kind == model::SubjectKind::circuit);
            }
        }
        CHECK(spanning >= opened.map().ports.size() / 2);
    }
}

TEST_CASE("taken apart: a view turned by a hand stays turned, and putting together brings it back") {
    TakenApart opened(demos[0]);
    opened.bench.dispatch(cmd::ShowView{Viewpoint::bench}, 0);
    opened.bench.dispatch(cmd::Orbit{23, 4}, 10);
    const Camera before = opened.bench.session().view.flight.to;
    for (const double apart : {0.2, 0.55, 1.0, 0.4, 0.0})
        REQUIRE(opened.bench.dispatch(cmd::Explode{apart}, 11).empty());
    const Camera after = opened.bench.session().view.flight.to;
    CHECK(after.azimuth_deg == before.azimuth_deg);
    CHECK(after.distance == doctest::Approx(before.distance));
    CHECK(glm::distance(after.target, before.target) < 1e-6);
    CHECK_FALSE(opened.bench.dispatch(cmd::Explode{1.2}, 12).empty());
    CHECK_FALSE(opened.bench.dispatch(cmd::Explode{std::nan("")}, 12).empty());
}
