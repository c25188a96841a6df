// The main job by hand on the real loop: a pixel under the pointer, through the id buffer, to the answer in the frame.
#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include <epoxy/gl.h>

#include "../demo_maps.h"
#include "real_loop.h"

using namespace ringland;
using namespace ringland::viewer;
using model::SubjectKind;
using ringland::tests::demo;
using ringland::tests::RealLoop;

namespace {

/// Part of the pixels around a place that are vermillion: edges, the joint and an arrow of the air may cross the ring
/// there, and an arrow covers less than this.
double vermillion_around(const RealLoop& w, const tests::Pixel& at) {
    constexpr int reach = 14;
    int count = 0;
    for (const auto& c : w.colours_around(at, reach))
        count += c[0] > 150 && c[1] > 40 && c[1] < 130 && c[2] < 60 ? 1 : 0;
    return double(count) / ((2 * reach + 1) * (2 * reach + 1));
}

void ask(RealLoop& w) {
    w.click(w.port("P3"));
    w.click(w.port("P4"));
}

} // namespace

TEST_CASE("driven: two clicks on the drawing, and the frame of the second one has the answer") {
    RealLoop w(demo);
    CHECK(w.view().viewpoint == Viewpoint::bench);
    const auto p3 = w.port("P3"), p4 = w.port("P4");
    CHECK(w.hover(p3) == model::Subject{SubjectKind::port, "P3"});
    w.click(p3);
    CHECK(w.document().air_into == "P3");
    CHECK(w.document().came_out.empty());
    CHECK_FALSE(w.flying());
    CHECK(w.interface.items().count("text answer") == 0);

    REQUIRE(w.hover(p4) == model::Subject{SubjectKind::port, "P4"});
    w.now_s += 1;
    w.loop->event(input::MouseButton{0, true});
    w.frame();
    CHECK(w.document().came_out.empty());
    w.loop->event(input::MouseButton{0, false});
    const unsigned long before = w.loop->frames_drawn();
    w.frame();
    CHECK(w.loop->frames_drawn() == before + 1);
    CHECK(w.document().came_out == "P4");
    CHECK(w.bench.derived().suspect == "R3");
    CHECK(w.bench.derived().air.has_value());
    CHECK(w.view().viewpoint == Viewpoint::stack);
    CHECK(w.flying());
    CHECK(w.interface.items().count("text answer") == 1);
    CHECK(w.loop->notice().empty());

    w.rest();
    CHECK_FALSE(w.flying());
    const auto ring = w.ring("R3");
    CHECK(vermillion_around(w, ring) > 0.1);
    CHECK(vermillion_around(w, w.ring("R2")) == 0);
    CHECK(w.hover(ring) == model::Subject{SubjectKind::seal, "R3"});
    CHECK(glGetError() == GL_NO_ERROR);
}

TEST_CASE("driven: a click that hits nothing asks nothing, a drag from port to port neither") {
    RealLoop w(demo);
    const auto& d = w.loop->drawing();
    const tests::Pixel paper{d.x + 4, d.y + 4};
    CHECK(w.hover(paper) == model::Subject{});
    w.click(paper);
    CHECK(w.document().air_into.empty());
    const auto p3 = w.port("P3"), p4 = w.port("P4");
    const Camera before = w.view().flight.to;
    w.hover(p3);
    w.loop->event(input::MouseButton{0, true});
    w.loop->event(input::MouseMove{p4.x, p4.y});
    w.loop->event(input::MouseButton{0, false});
    for (int i = 0; i < 4; ++i)
        w.frame();
    CHECK(w.document().air_into.empty());
    CHECK(w.view().flight.to.azimuth_deg != before.azimuth_deg);
}

TEST_CASE("driven: swap, escape, undo and redo by keys") {
    RealLoop w(demo);
    ask(w);
    REQUIRE(w.document().came_out == "P4");
    w.hover({w.loop->drawing().x + 4, w.loop->drawing().y + 4});
    w.key(Key::letter, 'S');
    CHECK(w.document().air_into == "P4");
    CHECK(w.document().came_out == "P3");
    CHECK(w.bench.derived().suspect == "R3");
    w.key(Key::escape);
    CHECK(w.document().air_into == "P4");
    CHECK(w.document().came_out.empty());
    CHECK(w.bench.derived().suspect.empty());
    CHECK_FALSE(w.bench.derived().air.has_value());
    w.key(Key::escape);
    CHECK(w.document().air_into.empty());
    for (const auto& [into, out] : {std::pair{"P4", ""}, {"P4", "P3"}, {"P3", "P4"}, {"P3", ""}, {"", ""}}) {
        w.key(Key::letter, 'Z', true);
        CHECK(w.document().air_into == into);
        CHECK(w.document().came_out == out);
    }
    w.key(Key::letter, 'Z', true); // nothing is left to take back, and nothing happens
    CHECK(w.document().air_into.empty());
    w.key(Key::letter, 'Y', true);
    w.key(Key::letter, 'Y', true);
    CHECK(w.document().air_into == "P3");
    CHECK(w.document().came_out == "P4");
    CHECK(w.bench.derived().suspect == "R3");
    w.rest();
    CHECK(vermillion_around(w, w.ring("R3")) > 0.1);
}

TEST_CASE("driven: the list of ports and the strip give the same answers") {
    RealLoop w(demo);
    w.press("port P3");
    CHECK(w.document().air_into == "P3");
    w.press("port P4");
    CHECK(w.document().came_out == "P4");
    CHECK(w.bench.derived().suspect == "R3");
    w.press("Clear");
    CHECK(w.document().air_into.empty());
    // A circuit of the strip stands for its port, a ring of it is looked at.
    w.press("circuit input-stack/low");
    CHECK(w.document().air_into == "P3");
    w.press("circuit input-stack/coast");
    CHECK(w.document().came_out == "P4");
    CHECK(w.bench.derived().suspect == "R3");
    w.press("ring R5");
    CHECK(w.view().selected == model::Subject{SubjectKind::seal, "R5"});
    CHECK(w.bench.derived().suspect == "R3");
}

TEST_CASE("driven: the loop ends cleanly in the middle of a flight, and another one goes on") {
    RealLoop w(demo);
    ask(w);
    REQUIRE(w.flying());
    w.frame();
    REQUIRE(w.flying());
    w.loop.reset();
    CHECK(glGetError() == GL_NO_ERROR);
    w.loop = std::make_unique<AppLoop>(w.bench, w.renderer, w.interface, 1.0);
    w.frame();
    w.rest();
    CHECK(w.document().came_out == "P4");
    CHECK(vermillion_around(w, w.ring("R3")) > 0.1);
    CHECK(glGetError() == GL_NO_ERROR);
}

TEST_CASE("driven: once the air has stopped its arrows stand, however many frames are drawn") {
    RealLoop w(demo);
    ask(w);
    w.rest();
    const auto& d = w.loop->drawing();
    const auto all = [&] { return w.colours_around({RealLoop::width / 2.0, RealLoop::height / 2.0}, RealLoop::width); };
    w.hover({d.x + 4, d.y + 4});
    w.now_s += 60;
    w.frame();
    w.rest();
    const auto before = all();
    w.hover(w.ring("R2"));
    w.now_s += 60;
    w.frame();
    w.hover({d.x + 4, d.y + 4});
    w.rest();
    CHECK(all() == before);
}

TEST_CASE("driven: at rest no frame is due; with air running frames are, and in the end none") {
    RealLoop w(demo);
    CHECK(w.pass(2) == 0);
    w.hover(w.port("P3"));
    CHECK(w.pass(1) > 0); // the hovered port is lit, then all is quiet
    CHECK(w.pass(2) == 0);
    ask(w);
    CHECK(w.pass(0.2) > 5);
    w.rest();
    CHECK(w.pass(2) == 0);
    CHECK_FALSE(w.loop->frame_due(w.now_s + 3600));
    w.loop->ask_frame();
    CHECK(w.pass(1) == 1);
}

TEST_CASE("driven: remarks on a map are said once, and the map works all the same") {
    const std::string folder = RINGLAND_BINARY_DIR "/remarks";
    std::filesystem::create_directories(folder);
    std::string text;
    {
        std::ifstream in(demo);
        std::stringstream all;
        all << in.rdbuf();
        text = all.str();
    }
    const std::string named = "shapes = \"larch-five.glb\"";
    REQUIRE(text.find(named) != std::string::npos);
    text.replace(text.find(named), named.size(), "shapes = \"nobody-made-it.glb\"\ncolor = \"red\"");
    std::ofstream(folder + "/larch.toml") << text;
    RealLoop w(folder + "/larch.toml");
    CHECK(w.loop->notice().find("2 remarks") != std::string::npos);
    CHECK(w.loop->notice().find("color") != std::string::npos);
    ask(w);
    CHECK(w.bench.derived().suspect == "R3");
    RealLoop clean(demo);
    CHECK(clean.loop->notice().empty());
}

TEST_CASE("driven: while the unit is turned by hand nothing under the pointer is looked up, and afterwards it is") {
    RealLoop w(demo);
    const auto p3 = w.port("P3");
    REQUIRE(w.hover(p3).kind == SubjectKind::port);
    w.loop->event(input::MouseButton{0, true});
    w.frame();
    for (int i = 1; i <= 4; ++i) {
        w.loop->event(input::MouseMove{p3.x + 12.0 * i, p3.y});
        w.frame();
        w.frame();
    }
    CHECK(w.loop->hover().kind == SubjectKind::none);
    CHECK(w.document().air_into.empty());
    w.loop->event(input::MouseButton{0, false});
    w.frame();
    w.rest();
    CHECK(w.hover(w.port("P3")) == model::Subject{SubjectKind::port, "P3"});
}

TEST_CASE("driven: a file dragged onto the window is opened, or it is said what would be right") {
    RealLoop w(demo);
    w.loop->drop("/somewhere/holiday.pdf", w.now_s);
    CHECK(w.loop->notice().find("holiday.pdf is no map of a unit") == 0);
    CHECK(w.loop->notice().find(".toml") != std::string::npos);
    CHECK(w.document().map.unit.name == "Larch Five");
    w.loop->drop("/somewhere/nothing-there.toml", w.now_s);
    CHECK(w.loop->notice().find("nothing-there.toml was not opened") == 0);
    CHECK(w.document().map.unit.name == "Larch Five");
    w.loop->drop(RINGLAND_SOURCE_DIR "/assets-demo/wren-three.toml", w.now_s);
    CHECK(w.document().map.unit.name == "Wren Three");
    w.frame();
    w.press("notice 3: Undo");
    CHECK(w.document().map.unit.name == "Larch Five");
    // Notices go by themselves, and then the window is at rest.
    w.now_s += 4;
    w.frame();
    CHECK(w.interface.items().count("Close notice 1") == 1);
    CHECK(w.pass(20) > 0);
    CHECK(w.pass(30) == 0);
    CHECK(w.interface.items().count("Close notice 1") == 0);
}

TEST_CASE("driven: with less motion views are cuts and the air stands still, and nothing is drawn at rest") {
    RealLoop w(demo);
    w.loop->dispatch(command::SetReducedMotion{true}, w.now_s);
    ask(w);
    REQUIRE(w.bench.derived().air);
    CHECK_FALSE(w.flying());
    for (int i = 0; i < 60 && w.loop->next_frame_in_s(w.now_s) < 1; ++i) {
        w.frame();
        w.now_s += w.loop->next_frame_in_s(w.now_s) < 1 ? w.loop->next_frame_in_s(w.now_s) : 0;
    }
    CHECK(w.pass(1) == 0); // within the time for which the air would run
    w.loop->dispatch(command::SetReducedMotion{false}, w.now_s);
    CHECK(w.pass(1) > 10);
}

TEST_CASE("driven: a photo dragged onto the window goes to the finding at the selected seal, or it is said how") {
    RealLoop w(demo);
    const auto findings = [&] { return w.document().job.findings; };
    w.loop->drop("/photos/Ring.JPG", w.now_s);
    CHECK(w.loop->notice().find("select the seal") != std::string::npos);
    w.loop->dispatch(command::Select{{SubjectKind::seal, "R3"}}, w.now_s);
    w.loop->drop("/photos/Ring.JPG", w.now_s);
    CHECK(w.loop->notice().find("say first whether R3") != std::string::npos);
    CHECK(findings().empty());
    w.loop->dispatch(command::EditJob{job_edit::Find{"R3", model::Found::damaged}}, w.now_s);
    w.loop->drop("/photos/Ring.JPG", w.now_s);
    CHECK(w.loop->notice().find("Ring.JPG is noted with R3") == 0);
    REQUIRE(findings().size() == 1);
    CHECK(findings()[0].photos == std::vector<std::string>{"/photos/Ring.JPG"});
    w.loop->dispatch(command::Undo{}, w.now_s);
    CHECK(findings()[0].photos.empty());
}
