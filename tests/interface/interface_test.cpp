// The real interface, driven as a hand drives it: events in, commands out to the workbench. No graphics needed.
#include <algorithm>
#include <array>
#include <map>
#include <string>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "panels_window.h"

using namespace ringland;
using namespace ringland::viewer;
namespace cmd = ringland::viewer::command;

using namespace ringland::tests;

TEST_CASE("interface: ports of the list ask the question, the answer stands there, undo takes it back") {
    Window w;
    w.press("port P3");
    CHECK(w.document().air_into == "P3");
    w.press("port P4");
    CHECK(w.document().came_out == "P4");
    CHECK_FALSE(w.bench.derived().suspect.empty());
    CHECK(w.view().viewpoint == Viewpoint::stack);
    CHECK(w.interface.items().count("text answer") == 1);
    w.press("Swap direction");
    CHECK(w.document().air_into == "P4");
    w.press("Undo");
    CHECK(w.document().air_into == "P3");
    w.press("Undo");
    CHECK(w.document().came_out.empty());
    w.press("Redo");
    CHECK(w.document().came_out == "P4");
    w.press("Clear");
    CHECK(w.document().air_into.empty());
    CHECK(w.document().came_out.empty());
    CHECK(w.refused.empty());
}

TEST_CASE(
    "interface: ports are clicked on the drawing, rings and circuits are selected, Escape goes back step by step") {
    Window w;
    w.click_drawing({model::SubjectKind::port, "P3"});
    CHECK(w.document().air_into == "P3");
    w.click_drawing({model::SubjectKind::port, "P4"});
    CHECK(w.document().came_out == "P4");
    const std::string ring = w.bench.derived().suspect;
    w.click_drawing({model::SubjectKind::seal, ring});
    CHECK(w.view().selected == model::Subject{model::SubjectKind::seal, ring});
    w.hover = {};
    w.key(Key::escape);
    CHECK(w.view().selected == model::Subject{});
    CHECK(w.document().came_out == "P4");
    w.key(Key::escape);
    CHECK(w.document().came_out.empty());
    CHECK(w.document().air_into == "P3");
    w.key(Key::escape);
    CHECK(w.document().air_into.empty());
    w.key(Key::escape);
    CHECK(w.refused.empty());
}

TEST_CASE("interface: a drag turns, a right drag and a shifted one move, the wheel zooms, none of them clicks") {
    Window w;
    w.hover = {model::SubjectKind::port, "P3"};
    const double x = w.last.drawing.x + 300, y = w.last.drawing.y + 200;
    const auto drag = [&](int button, bool shift) {
        w.interface.feed(input::MouseMove{x, y});
        w.interface.feed(input::MouseButton{button, true, shift});
        w.interface.feed(input::MouseMove{x + 30, y + 12});
        w.interface.feed(input::MouseMove{x + 60, y + 20});
        w.interface.feed(input::MouseButton{button, false, shift});
        w.settle();
    };
    const Camera start = w.view().flight.to;
    drag(0, false);
    const Camera orbited = w.view().flight.to;
    CHECK(orbited.azimuth_deg < start.azimuth_deg - 5);
    CHECK(orbited.elevation_deg > start.elevation_deg);
    CHECK(orbited.target == start.target);
    drag(1, false);
    const Camera panned = w.view().flight.to;
    CHECK(panned.target != orbited.target);
    CHECK(panned.azimuth_deg == orbited.azimuth_deg);
    drag(0, true);
    CHECK(w.view().flight.to.target != panned.target);
    CHECK(w.view().flight.to.azimuth_deg == orbited.azimuth_deg);
    w.interface.feed(input::MouseWheel{0, 2});
    w.settle();
    CHECK(w.view().flight.to.distance < start.distance * 0.9);
    CHECK(w.document().air_into.empty());
    // A hand that trembles by a few pixels clicks all the same.
    w.interface.feed(input::MouseMove{x, y});
    w.interface.feed(input::MouseButton{0, true});
    w.interface.feed(input::MouseMove{x + 2, y + 2});
    w.interface.feed(input::MouseButton{0, false});
    w.settle();
    CHECK(w.document().air_into == "P3");
}

TEST_CASE("interface: a double click goes close and does not take the click back") {
    Window w;
    w.hover = {model::SubjectKind::port, "P5"};
    const Camera before = w.view().flight.to;
    const double x = w.last.drawing.x + 300, y = w.last.drawing.y + 200;
    w.interface.feed(input::MouseMove{x, y});
    for (int i = 0; i < 2; ++i) {
        w.interface.feed(input::MouseButton{0, true});
        w.interface.feed(input::MouseButton{0, false});
        w.settle();
    }
    CHECK(w.document().air_into == "P5");
    CHECK(w.view().flight.to.distance < before.distance);
}

TEST_CASE("interface: everything by keyboard") {
    Window w;
    w.key(Key::digit, '3');
    w.key(Key::enter);
    CHECK(w.document().air_into == "P3");
    w.key(Key::digit, '1');
    w.key(Key::digit, '2');
    w.key(Key::backspace);
    w.key(Key::backspace);
    w.key(Key::digit, '4');
    w.key(Key::enter);
    CHECK(w.document().came_out == "P4");
    w.letter('S');
    CHECK(w.document().air_into == "P4");
    w.letter('Z', true);
    CHECK(w.document().air_into == "P3");
    w.letter('Y', true);
    CHECK(w.document().air_into == "P4");
    w.letter('C');
    CHECK(w.document().air_into.empty());
    const std::array<std::pair<char, Viewpoint>, 3> views{
        {{'X', Viewpoint::section}, {'K', Viewpoint::stack}, {'B', Viewpoint::bench}}};
    for (const auto& [c, viewpoint] : views) {
        w.letter(c);
        CHECK(w.view().viewpoint == viewpoint);
    }
    const bool cut = w.view().section;
    w.letter('O');
    CHECK(w.view().section != cut);
    const auto lying = w.view().lying;
    w.letter('L');
    CHECK(w.view().lying != lying);
    w.letter('T');
    CHECK(w.view().theme == Theme::dark);
    w.letter('U');
    CHECK(w.view().units == UnitSystem::bar_mm);
    w.key(Key::plus, 0, false, true);
    CHECK(w.view().text_scale == 1.25);
    w.key(Key::minus);
    CHECK(w.view().text_scale == 1.0);
    w.letter('R');
    CHECK(w.view().selected.kind == model::SubjectKind::seal);
    w.letter('I');
    CHECK(w.view().selected.kind == model::SubjectKind::circuit);
    w.letter('P');
    CHECK(w.view().selected.kind == model::SubjectKind::part);
    // A number that no port has is said, and does nothing.
    const Document before = w.document();
    w.key(Key::digit, '9');
    w.key(Key::digit, '9');
    w.key(Key::enter);
    CHECK(w.document() == before);
    w.key(Key::digit, '3');
    w.key(Key::escape);
    w.key(Key::enter);
    CHECK(w.document() == before);
    // A port by Tab: the first, the second, back to the first.
    w.key(Key::tab);
    w.key(Key::tab);
    w.key(Key::tab, 0, false, true);
    w.key(Key::enter);
    CHECK(w.document().air_into == w.document().map.ports.front().id);
    CHECK(w.refused.empty());
}

TEST_CASE("interface: keys in one burst are understood one after another") {
    Window w;
    for (const char c : {'3', '\n', '4', '\n'}) {
        w.interface.feed(c == '\n' ? input::KeyPress{Key::enter, true} : input::KeyPress{Key::digit, true, c});
    }
    for (int i = 0; i < 8; ++i)
        w.frame();
    CHECK(w.document().air_into == "P3");
    CHECK(w.document().came_out == "P4");
}

TEST_CASE("interface: the bar and its menus") {
    Window w;
    w.press("Section");
    CHECK(w.view().viewpoint == Viewpoint::section);
    w.press("Cut open");
    CHECK_FALSE(w.view().section);
    w.press("How is it lying now?");
    CHECK(w.interface.items().count("lying bell down") == 1);
    w.press("lying bell down");
    CHECK(w.view().lying == model::Lying::bell_down);
    CHECK(w.interface.items().count("lying bell down") == 0);
    w.press("More: what the bar has no room for");
    w.press("All keys");
    CHECK(w.interface.items().count("Close the list of keys") == 1);
    w.press("Close the list of keys");
    CHECK(w.interface.items().count("Close the list of keys") == 0);
    w.key(Key::f1);
    CHECK(w.interface.items().count("Close the list of keys") == 1);
    w.key(Key::escape);
    CHECK(w.interface.items().count("Close the list of keys") == 0);
    // The way of the air is there only once both ports are known.
    w.press("Follow the air");
    CHECK(w.view().viewpoint != Viewpoint::follow);
    w.press("port P3");
    w.press("port P4");
    w.press("Follow the air");
    CHECK(w.view().viewpoint == Viewpoint::follow);
}

TEST_CASE("interface: the strip asks by circuits and picks out rings") {
    Window w;
    const auto& stack = w.document().map.stacks.front();
    std::vector<std::string> circuits;
    for (const auto& circuit : stack.circuits) {
        const auto& ports = w.document().map.ports;
        if (std::any_of(ports.begin(), ports.end(), [&](const auto& p) { return p.circuit == circuit; }))
            circuits.push_back(circuit);
    }
    REQUIRE(circuits.size() >= 2);
    const auto port_circuit = [&](const std::string& port) {
        return model::find(w.document().map.ports, port)->circuit;
    };
    w.press("circuit " + stack.id + "/" + circuits[0]);
    CHECK(port_circuit(w.document().air_into) == circuits[0]);
    w.press("circuit " + stack.id + "/" + circuits[1]);
    CHECK(port_circuit(w.document().came_out) == circuits[1]);
    const std::string ring = stack.seals[1] == w.bench.derived().suspect ? stack.seals[2] : stack.seals[1];
    w.press("ring " + ring);
    CHECK(w.view().selected == model::Subject{model::SubjectKind::seal, ring});
    w.press("Leave it");
    CHECK(w.view().selected == model::Subject{});
}

TEST_CASE("interface: another suspect is shown by its card") {
    Window w;
    const auto& ports = w.document().map.ports;
    for (const auto& a : ports) {
        for (const auto& b : ports) {
            if (a.id == b.id) continue;
            const auto answer = diagnosis::divide(w.document().map, a.id, b.id);
            if (answer.same_circuit || answer.seals.size() < 2) continue;
            w.bench.dispatch(cmd::AirInto{a.id}, w.now_s);
            w.bench.dispatch(cmd::CameOut{b.id}, w.now_s);
            w.settle();
            w.press("suspect " + answer.seals[1].seal);
            CHECK(w.bench.derived().suspect == answer.seals[1].seal);
            w.letter('N');
            CHECK(w.bench.derived().suspect == answer.seals[2 % answer.seals.size()].seal);
            return;
        }
    }
    FAIL("the demo has no two circuits with two seals between them");
}

TEST_CASE("interface: nothing overlaps, nothing leaves the window, every target is large enough") {
    const std::array<std::array<int, 2>, 4> sizes{{{1280, 720}, {1920, 1080}, {3840, 2160}, {800, 900}}};
    for (const auto& map : {demo, small_demo, shift_demo}) {
        for (const auto& size : sizes) {
            const int width = size[0], height = size[1];
            const double scale = width == 3840 ? 2 : 1;
            Window w(map, width, height, scale);
            INFO(map, " ", width, "x", height);
            CHECK(w.last.drawing.width >= 0.5 * width);
            CHECK(w.last.drawing.height >= 0.3 * height);
            check_places(w, 44 * scale);
            const auto& ports = w.document().map.ports;
            w.bench.dispatch(cmd::AirInto{ports[0].id}, w.now_s);
            w.bench.dispatch(cmd::CameOut{ports[1].id}, w.now_s);
            w.settle();
            check_places(w, 44 * scale);
        }
    }
}

TEST_CASE("interface: large letters make large targets and still leave a drawing") {
    for (const double scale : {1.5, 2.5}) {
        Window w(demo, 1920, 1080);
        REQUIRE(w.bench.dispatch(cmd::SetTextScale{scale}, 0).empty());
        w.settle();
        w.settle();
        check_places(w, 44 * scale);
        CHECK(w.last.drawing.width >= 600);
        CHECK(w.last.drawing.height >= 250);
        w.press("port P3");
        w.press("port P4");
        CHECK(w.document().came_out == "P4");
    }
}

TEST_CASE("interface: a quiet window asks for nothing") {
    Window w;
    for (int i = 0; i < 5; ++i) {
        w.frame();
        CHECK(w.last.commands.empty());
        CHECK_FALSE(w.last.again);
    }
}

TEST_CASE("interface: a picture has no panels and the whole frame for the drawing") {
    Window w;
    const auto picture = w.interface.picture_frame(w.bench, 1920, 1080, 1);
    CHECK(picture.commands.empty());
    CHECK(picture.drawing.width == 1920);
    CHECK(picture.drawing.height == 1080);
    CHECK(w.interface.items().empty());
}

TEST_CASE("the unit is taken apart by the slider, held and moved, and by the keys where it is framed") {
    Window w(demo, 1600, 1000);
    const Rect r = w.find("slider apart");
    REQUIRE(r.width > 0);
    const auto at = [&](double share) { return r.x + 12 + share * (r.width - 24); };
    w.interface.feed(input::MouseMove{at(0), r.y + r.height / 2});
    w.interface.feed(input::MouseButton{0, true});
    w.frame();
    w.frame();
    double before = 0;
    for (const double share : {0.25, 0.5, 0.75}) {
        w.interface.feed(input::MouseMove{at(share), r.y + r.height / 2});
        w.frame();
        w.frame();
        CHECK(w.view().apart == doctest::Approx(share).epsilon(0.03));
        CHECK(w.view().apart > before);
        before = w.view().apart;
    }
    w.interface.feed(input::MouseButton{0, false});
    w.settle();
    w.interface.feed(input::MouseMove{at(0.1), r.y - 300}); // let go: it stays
    w.settle();
    CHECK(w.view().apart == doctest::Approx(0.75).epsilon(0.03));
    for (int i = 0; i < 80; ++i) {
        w.key(Key::tab, 0, true);
        const double now = w.view().apart;
        w.key(Key::right);
        if (w.view().apart > now) break;
    }
    CHECK(w.view().apart == doctest::Approx(0.77).epsilon(0.03));
    w.letter('D', false, true);
    CHECK(w.view().apart == doctest::Approx(0.52).epsilon(0.03));
    CHECK(w.refused.empty());
}
