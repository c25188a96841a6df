// The tour, the search, the menu and the notices by hand: each waits for nobody and is in nobody's way.
#include <cmath>

#include <doctest/doctest.h>

#include "../../viewer/app/search.h"
#include "../../viewer/app/tour.h"
#include "../../viewer/platform/user_state.h"
#include "../../viewer/ui/notices.h"
#include "panels_window.h"

using namespace ringland;
using namespace ringland::tests;
namespace cmd = ringland::viewer::command;

namespace {

void type_keys(Window& w, const std::string& words) {
    for (const char c : words) {
        w.interface.feed(input::KeyPress{c == ' ' ? Key::space : Key::letter, true,
                                         static_cast<char>(c >= 'a' && c <= 'z' ? c - 'a' + 'A' : c)});
        w.interface.feed(input::Text{static_cast<unsigned>(c)});
    }
    w.settle();
}

bool said(const Window& w, const std::string& words) {
    const auto& things = w.interface.layout().things;
    return std::any_of(things.begin(), things.end(),
                       [&](const Placed& p) { return p.kind == Placed::Kind::text && p.label == words; });
}

} // namespace

TEST_CASE("tour: every step waits for the real thing, and the whole is passed by doing it") {
    Window w(demo, 1600, 1000);
    w.interface.start_tour();
    w.settle();
    CHECK(said(w, "Put the air into P3 LOW"));
    CHECK(said(w, "1/7"));
    // Something else is done all the same, and does not pass the step.
    w.letter('T');
    CHECK(w.view().theme == Theme::dark);
    CHECK(said(w, "1/7"));
    w.click_drawing({model::SubjectKind::port, "P3"});
    CHECK(said(w, "It came out of P4 COAST"));
    w.click_drawing({model::SubjectKind::port, "P4"});
    w.hover = {};
    CHECK(said(w, "3/7"));
    w.settle();
    CHECK(said(w, "3/7")); // it is read, and that is said by hand
    w.press("Go on");
    CHECK(said(w, "How much came out?"));
    w.press("saw strong");
    CHECK(said(w, "The next step"));
    w.press("The air check: what came out where, suspects, next step");
    CHECK(said(w, "Turn the unit"));
    w.press("Stack");
    CHECK(said(w, "6/7"));
    w.now_s += 2; // the flight is over
    w.settle();
    const double x = w.last.drawing.x + 300, y = w.last.drawing.y + 200;
    w.interface.feed(input::MouseMove{x, y});
    w.interface.feed(input::MouseButton{0, true});
    w.interface.feed(input::MouseMove{x + 40, y + 10});
    w.interface.feed(input::MouseButton{0, false});
    w.settle();
    CHECK(said(w, "That is all"));
    bool ended = false;
    const Rect done = w.find("Done");
    w.interface.feed(input::MouseMove{done.x + 5, done.y + 5});
    w.interface.feed(input::MouseButton{0, true});
    w.interface.feed(input::MouseButton{0, false});
    for (int i = 0; i < 6; ++i) {
        w.frame();
        ended = ended || w.last.tour_ended;
    }
    CHECK(ended);
    CHECK_FALSE(said(w, "That is all"));
    CHECK(w.refused.empty());
}

TEST_CASE("tour: it is skipped at once, takes nothing away for good, and comes again when asked for") {
    Window w;
    w.press("port P1");
    w.key(Key::f1, 0, false, true);
    CHECK(w.document().air_into.empty());
    CHECK(said(w, "1/7"));
    w.press("Skip the tour");
    CHECK_FALSE(said(w, "1/7"));
    w.press("Undo");
    CHECK(w.document().air_into == "P1");
    w.press("More: what the bar has no room for");
    w.press("The tour of one minute");
    CHECK(said(w, "1/7"));
    // Larger letters and another map: it keeps its place, and points at what this map has.
    CHECK(Tour::of(w.bench)->air_into() == "P3");
    CHECK(Tour::of(w.bench)->came_out() == "P4");
    Window other(small_demo);
    REQUIRE(Tour::of(other.bench));
    CHECK_FALSE(Tour::of(Workbench()));
}

TEST_CASE("tour: over finished work it begins at its first step") {
    Window w;
    w.press("port P3");
    w.bench.dispatch(cmd::CameOut{"P4"}, w.now_s);
    w.settle();
    w.key(Key::f1, 0, false, true);
    CHECK(w.document().air_into.empty());
    CHECK(said(w, "1/7"));
}

TEST_CASE("tour: what is pointed at is brought into sight") {
    Window w(demo, 1280, 720);
    w.interface.start_tour();
    w.settle();
    w.bench.dispatch(cmd::AirInto{"P3"}, w.now_s);
    w.settle();
    REQUIRE(said(w, "2/7"));
    w.interface.feed(input::MouseMove{40, w.last.drawing.y + 60});
    for (int i = 0; i < 40; ++i) {
        w.interface.feed(input::MouseWheel{0, -1});
        w.frame();
    }
    REQUIRE(w.interface.items().count("text question") == 0); // the hand scrolled to the end of the column
    w.bench.dispatch(cmd::CameOut{"P4"}, w.now_s);
    w.settle();
    w.settle();
    REQUIRE(said(w, "3/7"));
    CHECK(w.interface.items().count("text answer") == 1);
    // Once: then the hand may scroll as it likes.
    for (int i = 0; i < 40; ++i) {
        w.interface.feed(input::MouseWheel{0, -1});
        w.frame();
    }
    CHECK(w.interface.items().count("text answer") == 0);
}

TEST_CASE("search panel: typed, chosen by arrows, done by Enter; letters do nothing else meanwhile") {
    Window w;
    w.letter('K', true);
    CHECK(w.interface.items().count("Close the search") == 1);
    type_keys(w, "air into p4"); // T, U and S are keys of their own
    CHECK(w.view().theme == Theme::light);
    CHECK(w.document().air_into.empty());
    w.key(Key::enter);
    CHECK(w.document().air_into == "P4");
    CHECK(w.interface.items().count("Close the search") == 0);

    w.interface.feed(input::KeyPress{Key::slash, true});
    w.interface.feed(input::Text{'/'});
    w.settle();
    CHECK(w.interface.items().count("Close the search") == 1);
    type_keys(w, "dark");
    CHECK(said(w, "dark")); // without the slash
    w.press("found Dark");
    CHECK(w.view().theme == Theme::dark);

    w.interface.feed(input::Text{'/'}); // a keyboard where the slash is no key of its own
    w.settle();
    CHECK(w.interface.items().count("Close the search") == 1);
    type_keys(w, "lightt");
    w.key(Key::backspace);
    const auto& items = w.interface.items();
    CHECK(items.count("found Light") == 1);
    w.key(Key::down);
    w.key(Key::up);
    w.key(Key::enter);
    CHECK(w.view().theme == Theme::light);

    w.press("Find what to do by typing it");
    type_keys(w, "xyzzy");
    CHECK(said(w, search_help(w.bench)));
    CHECK(w.interface.items().count("Close the search") == 1);
    w.key(Key::enter);
    w.key(Key::escape);
    CHECK(w.interface.items().count("Close the search") == 0);
    CHECK(w.document().air_into == "P4");
    w.letter('K', true);
    w.click(5, w.height - 5);
    CHECK(w.interface.items().count("Close the search") == 0);
    CHECK(w.refused.empty());
}

TEST_CASE("menu: settings stand together, a press beside it closes it, and undo is named") {
    Window w(demo, 1600, 1000);
    w.press("port P3");
    CHECK(said(w, "air into P3")); // under Undo
    w.press("More: what the bar has no room for");
    w.press("Less motion: views change at once and the air stands still");
    CHECK(w.view().reduced_motion);
    w.press("Light or dark");
    CHECK(w.view().theme == Theme::dark);
    w.press("Larger text");
    CHECK(w.view().text_scale == 1.25);
    CHECK(w.find("All keys").width > 0);
    w.click(w.last.drawing.x + 20, w.last.drawing.y + 200);
    CHECK(w.interface.items().count("Less motion: views change at once and the air stands still") == 0);
    w.letter('Z', true);
    CHECK(w.document().air_into.empty());
    CHECK(said(w, "Took back: air into P3"));
    w.press("notice 1: Redo");
    CHECK(w.document().air_into == "P3");
    CHECK(said(w, "Done again: air into P3"));
}

TEST_CASE("notices: three at most, each long enough to read, then gone by itself") {
    Notices notices;
    for (const char* words : {"one", "two", "three", "four"})
        notices.add(words);
    REQUIRE(notices.list().size() == 3);
    CHECK(notices.list().front().words == "two");
    notices.pass(10);
    CHECK(notices.next_change_s() == doctest::Approx(10 + reading_time_s("two")));
    notices.pass(10 + reading_time_s("three") - 0.01);
    CHECK(notices.list().size() == 3);
    notices.add("two"); // said again: its time begins anew
    notices.pass(10 + reading_time_s("three") + 0.01);
    REQUIRE(notices.list().size() == 1);
    CHECK(notices.list().front().words == "two");
    notices.pass(100);
    CHECK(notices.list().empty());
    CHECK(std::isinf(notices.next_change_s()));
    CHECK(reading_time_s(std::string(100, 'x')) > reading_time_s("x"));

    Window w;
    w.interface.show_notice("A remark.");
    w.settle();
    CHECK(said(w, "A remark."));
    CHECK(w.last.next_change_s > w.now_s + 4);
    // It is in nobody's way: the drawing beside it is pressed as ever.
    w.click_drawing({model::SubjectKind::port, "P3"});
    CHECK(w.document().air_into == "P3");
    CHECK(said(w, "A remark."));
    w.press("Close notice 1");
    CHECK_FALSE(said(w, "A remark."));
    CHECK(std::isinf(w.last.next_change_s));
}

TEST_CASE("state of the window: what is kept is read back, and what is wrong is passed over") {
    UserState state;
    state.tour_seen = state.reduced_motion = true;
    state.theme = Theme::dark;
    state.units = UnitSystem::bar_mm;
    state.text_scale = 1.75;
    state.language = "es";
    CHECK(parse_state(state_text(state)) == state);
    CHECK(parse_state("") == UserState{});
    CHECK(parse_state("theme = \"mauve\"\ntext_scale = 90\nunits=\"bar-mm\"\nnonsense\n=\n").units ==
          UnitSystem::bar_mm);
    CHECK(parse_state("theme = \"mauve\"\ntext_scale = 90").text_scale == 1);
    CHECK(parse_state(std::string(100000, 'x')) == UserState{});
    const std::string file = RINGLAND_BINARY_DIR "/state-test/deep/window.toml";
    CHECK(write_state(file, state) == "");
    CHECK(read_state(file) == state);
    CHECK(read_state(RINGLAND_BINARY_DIR "/state-test/nowhere.toml") == UserState{});
    Workbench bench;
    for (const auto& command : commands_of(state))
        CHECK(bench.dispatch(command, 0) == "");
    UserState seen = state_of(bench.session());
    seen.tour_seen = true;
    CHECK(seen == state);
    // What nobody chose is as the environment asks, and stays open to it; an unknown language is none.
    CHECK(parse_state("language = \"xx\"").language.empty());
    unsetenv("LC_ALL");
    unsetenv("LC_MESSAGES");
    setenv("LANG", "es_MX.UTF-8", 1);
    Workbench fresh;
    for (const auto& command : commands_of(UserState{}))
        CHECK(fresh.dispatch(command, 0) == "");
    CHECK(fresh.session().view.language == "es");
    CHECK(fresh.translator()("Clear") == "Borrar");
    setenv("LANG", "C.UTF-8", 1);
    for (const auto& command : commands_of(state_of(fresh.session())))
        CHECK(fresh.dispatch(command, 0) == "");
    CHECK(fresh.session().view.language == "es"); // chosen once, it is kept
}
