// A picture's named views frame the unit, its labels and the arrows of its air into what title, legend and the mark of
// the engine end leave free, as large as that allows.
#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <glm/geometric.hpp>

#include "../../viewer/app/framing.h"
#include "../../viewer/platform/app_loop.h"
#include "panels_window.h"

using namespace ringland;
using namespace ringland::tests;
namespace cmd = ringland::viewer::command;

namespace {

struct PictureSize {
    int width, height;
};
const std::array<PictureSize, 4> picture_sizes{{{1280, 720}, {1920, 1080}, {3840, 2160}, {1080, 1920}}};

/// A question of each map whose air leaves by a port.
const std::array<Question, 3> questions_by_ports{
    {{demo, "P3", "P4"}, {small_demo, "P4", "P5"}, {shift_demo, "P3", "P4"}}};

/// A session as a picture of it is framed, and what is written on it.
struct Framed {
    Workbench bench;
    double pixels_per_point;
    Interface interface;
    InterfaceFrame built;

    Framed(const Question& c, PictureSize size, Viewpoint viewpoint, bool asked)
        : pixels_per_point(std::max(1.0, std::min(size.width / 1920.0, size.height / 1080.0))),
          interface(pixels_per_point) {
        const double aspect = double(size.width) / size.height;
        bench.set_aspect(aspect);
        std::string why;
        REQUIRE_MESSAGE(bench.open(c.map, why), why);
        if (asked) {
            REQUIRE(bench.dispatch(cmd::AirInto{c.into}, 0).empty());
            REQUIRE(bench.dispatch(cmd::CameOut{c.out}, 0).empty());
        }
        REQUIRE(bench.dispatch(cmd::ShowView{viewpoint}, 0).empty());
        for (int pass = 0; pass < 3; ++pass) {
            built = interface.picture_frame(bench, size.width, size.height, 1e6);
            reframe(bench, aspect, aspect, built.room, 1e6);
        }
        built = interface.picture_frame(bench, size.width, size.height, 1e6);
    }
    [[nodiscard]] glm::dvec3 pixel(const glm::dvec3& p) const {
        return project(p, bench.session().view.flight.to, bench.session().view.lying, built.drawing);
    }
    [[nodiscard]] std::vector<LabelBox> taken() const {
        std::vector<LabelBox> boxes;
        for (const auto& t : built.room.taken)
            boxes.push_back({t.x0 * built.drawing.width, t.y0 * built.drawing.height, t.x1 * built.drawing.width,
                             t.y1 * built.drawing.height});
        return boxes;
    }
    /// Where the arrows before a port end: as far out as they are drawn, where the camera looks.
    [[nodiscard]] glm::dvec3 arrows_end(const std::string& port) const {
        const double mm = 96 * pixels_per_point * 2 * bench.session().view.flight.to.distance *
                          std::tan(field_of_view_deg / 2 * 3.14159265358979 / 180) / built.drawing.height;
        for (const auto& place : bench.derived().layout.ports) {
            if (place.port == port) return pixel(place.at - glm::dvec3(0, 0, mm));
        }
        FAIL("no port " << port);
        return {};
    }
};

bool holds(const LabelBox& box, double x, double y, double margin = 0) {
    return x > box.x0 + margin && x < box.x1 - margin && y > box.y0 + margin && y < box.y1 - margin;
}

LabelBox box_of_drawn(const Framed& framed, int& under_words) {
    LabelBox all{1e9, 1e9, -1e9, -1e9};
    const auto taken = framed.taken();
    for (const auto& shape : framed.bench.derived().shapes) {
        for (const auto& p : shape.mesh.positions) {
            if (framed.bench.session().view.section && shape.section == model::SectionRule::cut && p.y > 0) continue;
            const auto seen = framed.pixel(glm::dvec3(p));
            all = {std::min(all.x0, seen.x), std::min(all.y0, seen.y), std::max(all.x1, seen.x),
                   std::max(all.y1, seen.y)};
            under_words += std::any_of(taken.begin(), taken.end(),
                                       [&](const LabelBox& box) { return holds(box, seen.x, seen.y); });
        }
    }
    return all;
}

} // namespace

TEST_CASE("a picture's view fills what title and legend leave free, with its arrows, at every size") {
    for (const auto& c : questions_by_ports) {
        for (const PictureSize size : picture_sizes) {
            for (const auto viewpoint : {Viewpoint::bench, Viewpoint::section}) {
                for (const bool asked : {false, true}) {
                    INFO(c.map, " ", size.width, " ", static_cast<int>(viewpoint), std::string(asked ? " asked" : ""));
                    const Framed framed(c, size, viewpoint, asked);
                    const double px = framed.pixels_per_point;
                    REQUIRE(framed.built.room.taken.size() == 3);
                    int under_words = 0;
                    const LabelBox drawn = box_of_drawn(framed, under_words);
                    CHECK(under_words == 0);
                    CHECK(drawn.x0 > 10 * px);
                    CHECK(drawn.y0 > 10 * px);
                    CHECK(drawn.x1 < size.width - 10 * px);
                    CHECK(drawn.y1 < size.height - 10 * px);
                    double foot = size.height; // the legend's upper side where it lies below the subject
                    for (const auto& box : framed.taken()) {
                        if (box.y0 > size.height / 2.0 && box.x1 > drawn.x0 && box.x0 < drawn.x1)
                            foot = std::min(foot, box.y0);
                    }
                    // Labels and arrows belong to it: they stand out above, below or at the side.
                    LabelBox whole = drawn;
                    if (asked) {
                        for (const auto& id : {c.into, c.out}) {
                            const auto end = framed.arrows_end(id);
                            CHECK(end.x > 8 * px);
                            CHECK(end.x < size.width - 8 * px);
                            CHECK(end.y > 8 * px);
                            CHECK(end.y < size.height - 8 * px);
                            whole = {std::min(whole.x0, end.x), std::min(whole.y0, end.y), std::max(whole.x1, end.x),
                                     std::max(whole.y1, end.y)};
                        }
                    }
                    for (const auto& label : framed.interface.labels()) {
                        if (!label.place.shown) continue;
                        whole.y0 = std::min(whole.y0, label.place.box.y0);
                        whole.y1 = std::max(whole.y1, label.place.box.y1);
                    }
                    const double across = (whole.x1 - whole.x0) / (size.width - 2 * room_margin_points * px);
                    const double down = (whole.y1 - whole.y0) / (foot - 2 * room_margin_points * px);
                    CHECK(std::max(across, down) >= 0.8);
                }
            }
        }
    }
}

TEST_CASE("no label lies on the arrows before the ports of the question") {
    for (const auto& c : questions_by_ports) {
        for (const PictureSize size : picture_sizes) {
            for (const auto viewpoint : {Viewpoint::bench, Viewpoint::section}) {
                INFO(c.map, " ", size.width, " ", static_cast<int>(viewpoint));
                const Framed framed(c, size, viewpoint, true);
                for (const auto& id : {c.into, c.out}) {
                    const auto end = framed.arrows_end(id);
                    const auto place = std::find_if(framed.bench.derived().layout.ports.begin(),
                                                    framed.bench.derived().layout.ports.end(),
                                                    [&](const auto& p) { return p.port == id; });
                    const auto mouth = framed.pixel(place->at);
                    for (const auto& label : framed.interface.labels()) {
                        if (label.place.shown)
                            CHECK_FALSE(line_meets({mouth.x, mouth.y}, {end.x, end.y}, label.place.box));
                    }
                }
            }
        }
    }
}
