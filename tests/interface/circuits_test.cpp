// Taken apart, alone, traced: what the drawing does of it, and how a hand reaches it.
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <epoxy/gl.h>

#include "../../viewer/render/styles.h"
#include "../../viewer/ui/dimensions.h"
#include "../demo_maps.h"
#include "panels_window.h"
#include "real_loop.h"

using namespace ringland;
using namespace ringland::viewer;
using model::SubjectKind;
namespace cmd = ringland::viewer::command;

namespace {

struct Styled {
    Workbench bench;
    Styled() {
        std::string why;
        REQUIRE(bench.open(tests::demo, why));
    }
    [[nodiscard]] std::vector<ShapeStyle> styles(const model::Subject& hover = {}) const {
        return style_shapes(bench.session(), bench.derived(), hover, ranks_by_size(bench.derived().shapes));
    }
    [[nodiscard]] const std::vector<model::Shape>& shapes() const { return bench.derived().shapes; }
};

bool is_of(const Styled& styled, const model::Shape& shape, const std::string& circuit) {
    return traced_circuit(styled.bench.session().document.map, shape.subject) == circuit;
}

} // namespace

TEST_CASE("trace: a port lights the whole way of its circuit and nothing else, and selects nothing") {
    const Styled styled;
    const auto before = styled.styles(), port = styled.styles({SubjectKind::port, "P3"}),
               circuit = styled.styles({SubjectKind::circuit, "low"});
    int lit = 0;
    for (std::size_t i = 0; i < before.size(); ++i) {
        const bool of_low = is_of(styled, styled.shapes()[i], "low");
        CAPTURE(styled.shapes()[i].name);
        CHECK((port[i] == circuit[i])); // from the port to its drilling nothing flickers
        CHECK((port[i].through > 0) == of_low);
        CHECK((port[i] == before[i]) == !of_low);
        lit += of_low;
    }
    CHECK(lit >= 5); // mouth and boss, groove, drillings, chamber
    CHECK(styled.bench.session().view.selected == model::Subject{});
}

TEST_CASE("alone: circuits, their seals and ports stay in full, all else is glass or pale") {
    Styled styled;
    const auto before = styled.styles();
    styled.bench.dispatch(cmd::Isolate{{"low", "coast"}}, 0);
    const auto& map = styled.bench.session().document.map;
    for (const bool section : {false, true}) {
        styled.bench.dispatch(cmd::SetSection{section}, 0);
        const auto now = styled.styles();
        int full = 0;
        for (std::size_t i = 0; i < now.size(); ++i) {
            const auto& subject = styled.shapes()[i].subject;
            const auto* seal = subject.kind == SubjectKind::seal ? model::find(map.seals, subject.id) : nullptr;
            const auto of = [&](const std::string& id) {
                return is_of(styled, styled.shapes()[i], id) ||
                       (seal != nullptr && (seal->between[0] == id || seal->between[1] == id));
            };
            CAPTURE(styled.shapes()[i].name);
            if (of("low") || of("coast")) {
                ++full;
                CHECK(now[i].colour == before[i].colour);
                CHECK(now[i].kind < 1.5f);
            } else if (!section) {
                CHECK(now[i].kind == 2); // glass
                CHECK(now[i].alpha < 0.05f);
            } else {
                CHECK(now[i].ink[3] < 0.4f);
            }
        }
        CHECK(full > 15);
    }
}

TEST_CASE("driven: taken apart by the slider's command, and a click hits a ring where it now is") {
    tests::RealLoop w(tests::demo);
    w.loop->dispatch(cmd::ShowView{Viewpoint::section}, w.now_s);
    w.rest();
    w.loop->dispatch(cmd::Explode{1}, w.now_s);
    w.rest();
    const auto& layout = w.bench.derived().layout;
    int hit = 0, asked = 0;
    for (const auto& stack : layout.stacks) {
        for (const auto& ring : stack.rings) {
            const double by = Apartness::of_all(1).shift_mm(w.bench.derived().explosion.seals, ring.seal);
            CHECK(std::abs(by) > 20);
            const double out = cut_side(w.view().lying) * stack.bore_radius;
            const auto at = tests::pixel_of(w.bench, w.loop->drawing(), stack.axis + glm::dvec3(ring.x + by, out, 0));
            ++asked;
            hit += w.hover(at) == model::Subject{SubjectKind::seal, ring.seal};
        }
    }
    CHECK(asked == 9);
    CHECK(hit >= 8); // one may stand behind a drum
    // Close to a ring, far from where it sat.
    w.loop->dispatch(cmd::Focus{{SubjectKind::seal, "R9"}}, w.now_s);
    w.rest();
    for (const auto& stack : layout.stacks) {
        for (const auto& ring : stack.rings) {
            if (ring.seal != "R9") continue;
            const double out = cut_side(w.view().lying) * stack.bore_radius;
            const double by = Apartness::of_all(1).shift_mm(w.bench.derived().explosion.seals, ring.seal);
            CHECK(w.hover(tests::pixel_of(w.bench, w.loop->drawing(), stack.axis + glm::dvec3(ring.x + by, out, 0))) ==
                  model::Subject{SubjectKind::seal, "R9"});
        }
    }
    CHECK(glGetError() == GL_NO_ERROR);
    w.loop->dispatch(cmd::Explode{0}, w.now_s);
    w.loop->dispatch(cmd::ShowView{Viewpoint::section}, w.now_s);
    w.rest();
    const auto p3 = w.port("P3");
    CHECK(w.hover(p3) == model::Subject{SubjectKind::port, "P3"});
}

TEST_CASE("driven: what is shown alone is clicked through the glass of all else") {
    tests::RealLoop w(tests::demo);
    const auto& stack = w.bench.derived().layout.stacks.front();
    const auto groove = std::find_if(stack.annuli.begin(), stack.annuli.end(),
                                     [](const auto& annulus) { return annulus.circuit == "low"; });
    REQUIRE(groove != stack.annuli.end());
    const double out = cut_side(w.view().lying) * stack.carrier_radius;
    std::vector<tests::Pixel> around;
    for (const double a : {0.2, 0.5, 0.8, 1.1, 1.4})
        around.push_back(tests::pixel_of(
            w.bench, w.loop->drawing(),
            stack.axis + glm::dvec3((groove->x0 + groove->x1) / 2, std::sin(a) * out, -std::cos(a) * std::abs(out))));
    const auto hits = [&] {
        return std::count_if(around.begin(), around.end(), [&](const tests::Pixel& at) {
            const std::string id = w.hover(at).id; // the groove, or a ring beside it: rings win by a few pixels
            return id == "low" || id == "R2" || id == "R3" || id == "C1";
        });
    };
    CHECK(hits() == 0); // the pump's support stands around it
    w.loop->dispatch(cmd::Isolate{{"low"}}, w.now_s);
    w.hover({w.loop->drawing().x + 4, w.loop->drawing().y + 4});
    w.rest();
    CHECK(hits() == 5);
}

TEST_CASE("driven: a picture of the unit put together again is the picture from before") {
    tests::RealLoop w(tests::demo);
    const tests::Pixel middle{w.loop->drawing().x + w.loop->drawing().width / 2,
                              w.loop->drawing().y + w.loop->drawing().height / 2};
    const auto before = w.colours_around(middle, 150);
    w.loop->dispatch(cmd::Explode{0.6}, w.now_s);
    w.rest();
    CHECK(w.colours_around(middle, 150) != before);
    w.loop->dispatch(cmd::Explode{0}, w.now_s);
    w.rest();
    CHECK(w.colours_around(middle, 150) == before);
}

TEST_CASE("driven: the turntable goes round frame by frame and stops at the first touch of anything") {
    for (int touch = 0; touch < 3; ++touch) {
        tests::RealLoop w(tests::demo);
        w.key(Key::letter, 'V');
        const double start = camera_at(w.view().flight, w.now_s).azimuth_deg;
        CHECK(w.pass(1.0) > 30);
        CHECK(w.flying());
        const double turned = std::remainder(camera_at(w.view().flight, w.now_s).azimuth_deg - start, 360.0);
        CHECK(std::abs(turned) > 0.8 * turntable_deg_per_s);
        w.loop->event(input::MouseMove{200, 200}); // to pass over it is no touch
        w.frame();
        CHECK(w.flying());
        if (touch == 0) w.loop->event(input::MouseButton{0, true});
        if (touch == 1) w.loop->event(input::MouseWheel{0, 1});
        if (touch == 2) w.loop->event(input::KeyPress{Key::letter, true, 'U'});
        w.frame();
        CHECK_FALSE(w.flying());
    }
}

TEST_CASE("driven: escape ends what is shown alone, the strip's circuit is traced in the drawing") {
    tests::RealLoop w(tests::demo);
    w.loop->dispatch(cmd::Isolate{{"low"}}, w.now_s);
    w.frame();
    w.key(Key::escape);
    CHECK(w.view().alone.empty());
    const auto& items = w.interface.items();
    std::string strip;
    for (const auto& [label, rect] : items) {
        if (label.rfind("circuit ", 0) == 0 && label.find("/low") != std::string::npos &&
            label.size() == label.find("/low") + 4)
            strip = label;
    }
    REQUIRE_FALSE(strip.empty());
    const Rect r = items.at(strip);
    CHECK(w.hover({r.x + r.width / 2, r.y + r.height / 2}) == model::Subject{SubjectKind::circuit, "low"});
    CHECK(w.view().selected == model::Subject{});
    CHECK(w.document().air_into.empty());
}

TEST_CASE("dimensions: the map's figures in the units that are chosen, and what is missing is said") {
    Styled styled;
    auto figures = ring_figures({}, styled.bench.session(), "R3");
    CHECK(figures.width.find(" in") != std::string::npos);
    styled.bench.dispatch(cmd::SetUnits{UnitSystem::bar_mm}, 0);
    figures = ring_figures({}, styled.bench.session(), "R3");
    CHECK(figures.width == "2.60 mm");
    CHECK(figures.gap.find(" mm") != std::string::npos);
    CHECK(figures.groove.find(" mm") != std::string::npos);
    Workbench bare;
    std::string why;
    REQUIRE(bare.open(RINGLAND_SOURCE_DIR "/assets-demo/wren-three.toml", why));
    int absent = 0;
    for (const auto& seal : bare.session().document.map.seals) {
        if (seal.relation != model::Relation::stack || seal.end_gap) continue;
        CHECK(ring_figures({}, bare.session(), seal.id).gap == "not in the map");
        ++absent;
    }
    MESSAGE("rings without a gap in the map: ", absent);
}
