// The way in and the road as a hand uses them: by keys and large buttons.
#include <doctest/doctest.h>

#include "../../viewer/app/outlook.h"
#include "panels_window.h"

using namespace ringland;
using namespace ringland::tests;

TEST_CASE("way in: from two ports to the parts that come off, shown in the drawing by one key each") {
    Window w(demo, 1600, 1000);
    w.press("port P3");
    w.press("port P4");
    w.key(Key::f7);
    work(w);
    CHECK(w.view().sheet == Sheet::plan);
    CHECK(says(w, "The way in to R3"));
    CHECK(says(w, "What comes off"));
    CHECK(says(w, "What is renewed"));
    CHECK(says(w, "The way back"));
    w.press("show way in");
    CHECK(w.view().sheet == Sheet::drawing);
    CHECK(w.view().taking.to == 1);
    const double all = w.bench.derived().way_in.steps();
    for (double step = 2; step <= all; ++step) {
        w.key(Key::f8);
        CHECK(w.view().taking.to == step);
    }
    w.key(Key::f8); // nothing more to take off
    CHECK(w.view().taking.to == all);
    w.key(Key::f8, 0, false, true);
    CHECK(w.view().taking.to == all - 1);
    w.press(std::string("Put the last part of the way in back on"));
    CHECK(w.view().taking.to == all - 2);
    w.key(Key::f7);
    w.press("take off 2"); // a row shows its own step
    CHECK(w.view().taking.to == 2);
    w.key(Key::f7);
    w.press("way in together");
    CHECK(w.view().taking.to == 0);
    CHECK(w.refused.empty());
}

TEST_CASE("way in: one of the suspects, or all of them in the cheapest order") {
    Window w(demo, 1600, 1000);
    w.letter('Q');
    w.press("port P3");
    w.press("saw P4 strong");
    w.key(Key::f7);
    work(w);
    CHECK(says(w, "The way in to the suspects"));
    w.press("way to R3");
    work(w);
    CHECK(says(w, "The way in to R3"));
    CHECK(w.view().selected == model::Subject{model::SubjectKind::seal, "R3"});
    w.press("way to all");
    work(w);
    CHECK(says(w, "The way in to the suspects"));
}

TEST_CASE("road: a larger hole is worse, and the column says where the border lies") {
    Window w(demo, 1600, 1000);
    w.press("port P3");
    w.press("port P4");
    w.key(Key::f6);
    work(w);
    CHECK(w.view().sheet == Sheet::road);
    CHECK(says(w, "R3 on the road"));
    CHECK(says(w, "must come out"));
    CHECK(says(w, "Range by range"));
    CHECK(says(w, "decides"));
    REQUIRE(w.bench.derived().road);
    const auto at_two = w.bench.derived().road->answer->verdict.advice;
    const Rect slider = w.find("slider road hole");
    w.click(slider.x + 6, slider.y + slider.height / 2);
    work(w);
    CHECK(w.view().what_if_mm < 0.3);
    CHECK(w.bench.derived().road->answer->verdict.advice < at_two);
}

TEST_CASE(
    "road: what the driver feels is entered by presses, goes on from yes to no to not asked, and moves the chances") {
    Window w(demo, 1600, 1000);
    w.key(Key::f6);
    work(w);
    w.press("complaint in D2");
    w.press("complaint slips");
    work(w);
    REQUIRE(w.document().check.complaints.size() == 1);
    CHECK(w.document().check.complaints[0].symptom == model::Symptom::slips);
    w.press("complaint hot");
    CHECK(w.document().check.complaints[0].hot_only);
    CHECK(says(w, "What would do this"));
    w.press("complaint slips");
    REQUIRE(w.document().check.complaints.size() == 1);
    CHECK(w.document().check.complaints[0].absent);
    w.press("complaint slips");
    CHECK(w.document().check.complaints.empty());
    w.press("complaint wrong-gear");
    w.press("complaint like D3");
    REQUIRE(w.document().check.complaints.size() == 1);
    CHECK(w.document().check.complaints[0].starts_in == "D3");
    work(w);
    REQUIRE(w.bench.derived().road);
    REQUIRE(w.bench.derived().road->fits);
    REQUIRE(!w.bench.derived().road->fits->suspects.empty());
    const std::string first = w.document().map.seals[w.bench.derived().road->fits->suspects.front().seal].id;
    w.press("fits " + first);
    CHECK(w.view().selected == model::Subject{model::SubjectKind::seal, first});
    w.press("drop complaint D2 wrong-gear");
    CHECK(w.document().check.complaints.empty());
    w.letter('Z', true);
    CHECK(w.document().check.complaints.size() == 1);
    CHECK(w.refused.empty());
}
