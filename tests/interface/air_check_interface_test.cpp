// The air check as a hand makes it: words, a gauge, the next step set up, a reading dropped.
#include <doctest/doctest.h>

#include "panels_window.h"

using namespace ringland;
using namespace ringland::tests;
using model::Heard;

TEST_CASE("air check interface: a whole reading by large buttons, then the next step in one press") {
    Window w(demo, 1600, 1000);
    w.letter('Q');
    CHECK(w.view().sheet == Sheet::check);
    w.press("port P3");
    for (const char* at : {"P1", "P2", "P4", "P5", "P6", "P7", "P8", "P9", "P10", "P11", "P12", "case"}) {
        for (const char* word : {"nothing", "faint", "clear", "strong"})
            CHECK_MESSAGE(w.find(std::string("saw ") + at + " " + word).width >= 44, at, " ", word);
    }
    w.press("saw P4 strong");
    w.press("saw P7 faint");
    w.press("saw case faint");
    w.press("Nothing at all others");
    REQUIRE(w.document().check.readings.size() == 1);
    CHECK(w.document().check.readings[0].seen.size() == 12);
    CHECK(seen_at(w.document(), "P4")->word == Heard::strong);
    CHECK(seen_at(w.document(), "P12")->word == Heard::nothing);
    w.press("saw P12 nothing"); // again: not tested after all
    CHECK(seen_at(w.document(), "P12") == nullptr);
    w.press("felt thud");
    CHECK(w.document().check.readings[0].applied == model::Applied::thud);

    REQUIRE(w.bench.derived().weighed);
    CHECK(w.interface.items().count("text suspected") == 1);
    w.press("weighed R3");
    CHECK(w.view().selected == model::Subject{model::SubjectKind::seal, "R3"});
    const auto& step = w.bench.derived().weighed->advice.steps.front();
    const std::string into = w.document().map.ports[static_cast<std::size_t>(step.into)].id;
    w.press("Set it up");
    CHECK(w.document().air_into == into);
    CHECK(w.document().check.readings.size() == 2);
    w.press("drop reading 2");
    CHECK(w.document().check.readings.size() == 1);
    w.press("Undo");
    CHECK(w.document().check.readings.size() == 2);
    CHECK(w.refused.empty());
}

TEST_CASE("air check interface: a gauge is set by its slider and closes its port") {
    Window w(demo, 1600, 1000);
    w.letter('Q');
    w.press("port P3");
    w.press("gauge P4");
    const Rect r = w.find("slider gauge P4");
    REQUIRE(r.width > 0);
    w.interface.feed(input::MouseMove{r.x + 12 + 0.8 * (r.width - 24), r.y + r.height / 2});
    w.interface.feed(input::MouseButton{0, true});
    w.frame();
    w.frame();
    w.interface.feed(input::MouseButton{0, false});
    w.settle();
    const model::Seen* seen = seen_at(w.document(), "P4");
    REQUIRE(seen != nullptr);
    REQUIRE(seen->pressure);
    CHECK(seen->pressure->value == doctest::Approx(28).epsilon(0.03));
    w.press("no gauge P4");
    CHECK(seen_at(w.document(), "P4") == nullptr);
    CHECK(w.refused.empty());
}

namespace {

/// True where some words of the last frame begin so.
bool some_text_begins(const Window& w, const std::string& begin) {
    const auto& things = w.interface.layout().things;
    return std::any_of(things.begin(), things.end(), [&](const Placed& thing) {
        return thing.kind == Placed::Kind::text && thing.label.compare(0, begin.size(), begin) == 0;
    });
}

} // namespace

TEST_CASE("air check interface: how long a closed neighbour takes to apply is set in its row") {
    Window w(demo, 1600, 1000);
    w.letter('Q');
    w.press("port P3");
    w.press("gauge P4");
    const auto slide = [&](double share) {
        const Rect r = w.find("slider time P4");
        REQUIRE(r.width > 0);
        w.interface.feed(input::MouseMove{r.x + 12 + share * (r.width - 24), r.y + r.height / 2});
        w.interface.feed(input::MouseButton{0, true});
        w.frame();
        w.frame();
        w.interface.feed(input::MouseButton{0, false});
        w.settle();
    };
    slide(0.12);
    const model::Seen* seen = seen_at(w.document(), "P4");
    REQUIRE(seen != nullptr);
    REQUIRE(seen->applies_after_s);
    CHECK(*seen->applies_after_s == doctest::Approx(1.2).epsilon(0.05));
    CHECK_FALSE(seen->pressure);
    slide(1); // the end of the scale: nobody waits longer
    seen = seen_at(w.document(), "P4");
    REQUIRE(seen != nullptr);
    REQUIRE(seen->applies_after_s);
    CHECK(*seen->applies_after_s == doctest::Approx(10));
    CHECK(some_text_begins(w, "never"));
    w.press("no time P4");
    CHECK(seen_at(w.document(), "P4") == nullptr);
    w.press("gauge P1"); // lube applies nothing: there is nothing to time
    CHECK(w.find("slider gauge P1").width > 0);
    CHECK(w.interface.items().count("slider time P1") == 0);
    CHECK(w.refused.empty());
}

TEST_CASE("air check interface: the suspect under the pointer says what it would show, the selected one else") {
    Window w(demo, 1600, 1000);
    w.letter('Q');
    w.press("port P3");
    w.press("saw P4 clear");
    w.press("Nothing at all others");
    REQUIRE(w.bench.derived().weighed);
    const auto& suspects = w.bench.derived().weighed->weighing.suspects;
    REQUIRE(suspects.size() >= 2);
    const auto id = [&](std::size_t n) { return w.document().map.seals[suspects[n].seals.front()].id; };
    REQUIRE(suspects[1].seals.size() == 1);
    const auto point_at = [&](const std::string& label) {
        const Rect r = w.find(label);
        REQUIRE(r.width > 0);
        w.interface.feed(input::MouseMove{r.x + r.width / 2, r.y + r.height / 2});
        w.settle();
    };
    CHECK_FALSE(some_text_begins(w, id(1) + " would: "));
    point_at("weighed " + id(1));
    CHECK(some_text_begins(w, id(1) + " would: "));
    point_at("weighed " + id(0));
    CHECK(some_text_begins(w, id(0) + " would: "));
    CHECK_FALSE(some_text_begins(w, id(1) + " would: "));
    w.press("weighed " + id(1)); // chosen: it stays when the pointer goes
    point_at("saw P4 clear");
    CHECK(some_text_begins(w, id(1) + " would: "));
    CHECK(w.refused.empty());
}
