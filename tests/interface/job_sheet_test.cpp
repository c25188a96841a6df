// The job's sheet as a hand fills it in: fields written by keyboard, findings by large buttons, figures with verdicts.
#include <algorithm>

#include <doctest/doctest.h>

#include "panels_window.h"

using namespace ringland;
using namespace ringland::tests;

namespace {

/// A letter as a keyboard gives it: the key, then what it writes.
void type_key(Window& w, char letter) {
    w.interface.feed(input::KeyPress{Key::letter, true, static_cast<char>(letter - 'a' + 'A')});
    w.interface.feed(input::Text{static_cast<unsigned char>(letter)});
    w.interface.feed(input::KeyPress{Key::letter, false, static_cast<char>(letter - 'a' + 'A')});
    w.settle();
}

const model::Job& job(const Window& w) { return w.document().job; }

} // namespace

TEST_CASE("job sheet: a field takes every letter, keys of the window too, and Enter leaves it") {
    Window w(demo, 1600, 1000);
    w.letter('J');
    CHECK(w.view().sheet == Sheet::job);
    w.press("field complaint");
    for (const char letter : std::string("slips"))
        type_key(w, letter);
    type(w, " when hot");
    CHECK(job(w).head.complaint == "slips when hot");
    CHECK(w.view().sheet == Sheet::job); // S, L, I and P are keys of the window
    CHECK(w.document().air_into.empty());
    w.key(Key::digit, '3'); // a digit is a letter as well
    w.key(Key::backspace);
    CHECK(job(w).head.complaint == "slips when ho");
    w.key(Key::left);
    w.key(Key::left);
    w.key(Key::del);
    CHECK(job(w).head.complaint == "slips when o");
    w.key(Key::end);
    type(w, "iled");
    w.key(Key::enter);
    CHECK(job(w).head.complaint == "slips when oiled");
    w.letter('J'); // no field any more: the key is the window's again
    CHECK(w.view().sheet == Sheet::drawing);
    CHECK(w.refused.empty());
}

TEST_CASE("job sheet: Escape keeps what was written, Tab goes on to the next field, undo takes one field back") {
    Window w(demo, 1600, 1000);
    w.letter('J');
    w.press("field number");
    type(w, "2031-7");
    w.key(Key::tab);
    type(w, "the second bench");
    w.key(Key::escape);
    CHECK(job(w).head.number == "2031-7");
    CHECK(job(w).head.who == "the second bench");
    w.letter('Z', true);
    CHECK(job(w).head.who.empty());
    CHECK(job(w).head.number == "2031-7");
    w.letter('Z', true);
    CHECK(job(w).id.empty());
    w.letter('Y', true);
    CHECK(job(w).head.number == "2031-7");
}

TEST_CASE("job sheet: a long text wraps by itself, and is kept without the breaks") {
    Window w(demo, 1600, 1000);
    w.letter('J');
    w.press("field customer");
    std::string text;
    for (int i = 0; i < 40; ++i)
        text += (i == 0 ? "word" : " word") + std::to_string(i);
    const double before = w.find("field customer").height;
    type(w, text);
    w.settle();
    CHECK(job(w).head.customer == text);
    CHECK(w.find("field customer").height > before + 30);
    w.key(Key::home);
    type(w, "x");
    CHECK(std::count(job(w).head.customer.begin(), job(w).head.customer.end(), '\n') == 0);
    CHECK(job(w).head.customer.size() == text.size() + 1);
}

TEST_CASE("job sheet: findings, parts and the retest by large buttons") {
    Window w(demo, 1600, 1000);
    w.letter('Q');
    w.press("port P3");
    w.press("saw P4 strong");
    w.letter('J');
    w.press("found R3 damaged");
    REQUIRE(job(w).findings.size() == 1);
    CHECK(job(w).findings[0].found == model::Found::damaged);
    w.press("field seen R3");
    type(w, "cut at the joint");
    w.key(Key::enter);
    CHECK(job(w).findings[0].seen == "cut at the joint");
    w.press("more R3");
    w.press("more R3");
    w.press("fewer R3");
    REQUIRE(job(w).renewed.size() == 1);
    CHECK(job(w).renewed[0].quantity == 1);
    w.press("field renewed");
    type(w, "pan gasket");
    w.key(Key::enter);
    w.press("Add renewed");
    REQUIRE(job(w).renewed.size() == 2);
    CHECK(job(w).renewed[1].what == "pan gasket");
    w.press("Another seal");
    w.press("seal R5");
    w.press("found R5 sound");
    CHECK(job(w).findings.size() == 2);
    w.press("found R5 sound"); // again: taken back
    CHECK(job(w).findings.size() == 1);
    CHECK(model::where_it_stands(job(w)) == model::JobStep::close_up);
    w.press("step close-up");
    w.press("Begin the retest");
    CHECK(w.view().sheet == Sheet::check);
    CHECK(job(w).checks.size() == 2);
    CHECK(w.document().check.readings.empty());
    w.press("port P3");
    w.press("saw P4 nothing");
    w.letter('J');
    w.press("air check 1");
    CHECK(w.document().check.readings.size() == 1);
    CHECK(w.document().check.readings[0].seen[0].word == model::Heard::strong);
    CHECK(w.refused.empty());
}

TEST_CASE("job sheet: a figure is held against its limits, in either unit, and what is no figure is said") {
    Window w(demo, 1600, 1000);
    w.bench.dispatch(command::SetUnits{UnitSystem::bar_mm}, w.now_s);
    w.letter('J');
    const auto& clearance = w.document().map.clearances.front();
    REQUIRE(clearance.upper);
    REQUIRE(clearance.lower);
    const std::string label = "field measure " + clearance.id;
    w.press(label);
    type(w, "9,5"); // far above, with the comma of other countries
    w.key(Key::enter);
    REQUIRE(job(w).measurements.size() == 1);
    CHECK(job(w).measurements[0].value == model::mm(9.5));
    CHECK(says(w, "Above its limit."));
    w.press(label);
    w.letter('A', true);
    type(w, fmt::format("{}", (model::in_mm(*clearance.lower) + model::in_mm(*clearance.upper)) / 2));
    w.key(Key::enter);
    CHECK(says(w, "Within its limits."));
    // Shown in the other units it is the same figure, not a new one.
    const auto kept = job(w).measurements[0];
    w.letter('U');
    w.settle();
    CHECK(job(w).measurements[0] == kept);
    w.press(label);
    w.letter('A', true);
    type(w, "wide");
    CHECK(says(w, "is no figure"));
    w.key(Key::enter);
    CHECK(job(w).measurements[0] == kept);
    w.press(label);
    w.letter('A', true);
    w.key(Key::del);
    w.key(Key::enter);
    CHECK(job(w).measurements.empty());
    CHECK(w.refused.empty());
}

TEST_CASE("job sheet: the size that is in is pressed, and the one that brings the clearance in is said") {
    Window w(demo, 1600, 1000);
    w.bench.dispatch(command::SetUnits{UnitSystem::bar_mm}, w.now_s);
    w.letter('J');
    const auto& list = w.document().map.clearances;
    const auto selective = std::find_if(list.begin(), list.end(), [](const auto& c) { return c.sizes_mm.size() > 2; });
    REQUIRE(selective != list.end());
    const double size = selective->sizes_mm.front(), other = selective->sizes_mm.back();
    // With the first size in, the last would bring it to the middle of its limits.
    const double middle = (model::in_mm(*selective->lower) + model::in_mm(*selective->upper)) / 2;
    const double measured = middle + other - size;
    w.press("field measure " + selective->id);
    type(w, fmt::format("{:.3f}", measured));
    w.key(Key::enter);
    REQUIRE(job(w).measurements.size() == 1);
    CHECK_FALSE(job(w).measurements[0].fitted);
    const std::string button = fmt::format("fitted {} {}", selective->id, size);
    w.press(button);
    REQUIRE(job(w).measurements[0].fitted);
    CHECK(model::in_mm(*job(w).measurements[0].fitted) == size);
    CHECK(says(w, fmt::format("{:.2f} mm gives {:.2f} mm", other, middle)));
    w.press(button);
    CHECK_FALSE(job(w).measurements[0].fitted);
    CHECK(w.refused.empty());
}

TEST_CASE("job sheet: a note is added, and dropped again") {
    Window w(demo, 1600, 1000);
    w.letter('J');
    w.press("field note");
    type(w, "blue marks");
    w.key(Key::enter);
    CHECK(job(w).notes.empty()); // not added yet
    w.press("Add note");
    REQUIRE(job(w).notes.size() == 1);
    CHECK(job(w).notes[0].text == "blue marks");
    w.press("drop note 1");
    CHECK(job(w).notes.empty());
}
