// An air check in the session: readings that are built up word by word, and what the desk makes of them.
#include <chrono>
#include <thread>

#include <doctest/doctest.h>

#include "../../viewer/app/commands.h"
#include "opened.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;
using model::Heard;
namespace cmd = ringland::viewer::command;

namespace {

Command gauge(const std::string& at, double psi) {
    model::Seen seen;
    seen.pressure = model::psi(psi);
    return cmd::Saw{at, seen};
}

/// Low leaks into coast, heard from both sides.
void leak_between_low_and_coast(Workbench& bench) {
    carry_out(bench, cmd::AirInto{"P3"});
    for (const char* silent : {"P1", "P2", "P5", "P6"})
        carry_out(bench, saw(silent, Heard::nothing));
    carry_out(bench, saw("P4", Heard::strong));
    carry_out(bench, saw("P7", Heard::faint));
    carry_out(bench, cmd::AirInto{"P4"});
    carry_out(bench, saw("P3", Heard::strong));
    carry_out(bench, saw("P1", Heard::faint));
}

} // namespace

TEST_CASE("air check: words gather in one reading as long as its air is on") {
    Workbench bench = opened();
    CHECK_FALSE(bench.dispatch(saw("P4", Heard::strong), 0).empty()); // no air yet
    leak_between_low_and_coast(bench);
    const auto& check = bench.session().document.check;
    REQUIRE(check.readings.size() == 2);
    CHECK(check.readings[0].into == "P3");
    CHECK(check.readings[0].seen.size() == 6);
    CHECK(check.readings[1].into == "P4");
    CHECK(check.readings[1].seen.size() == 2);

    // A port has one word: the last said. Taken back, it was not tested.
    carry_out(bench, saw("P1", Heard::clear));
    CHECK(check.readings[1].seen.size() == 2);
    CHECK(seen_at(bench.session().document, "P1")->word == Heard::clear);
    carry_out(bench, cmd::Saw{"P1", {}});
    CHECK(seen_at(bench.session().document, "P1") == nullptr);
    carry_out(bench, saw(std::string(model::open_case), Heard::faint));
    carry_out(bench, cmd::Felt{model::Applied::thud});
    CHECK(check.readings[1].applied == model::Applied::thud);

    carry_out(bench, cmd::DropReading{1});
    CHECK(check.readings.size() == 1);
    CHECK_FALSE(bench.dispatch(cmd::DropReading{2}, 0).empty());
    carry_out(bench, cmd::Undo{});
    CHECK(check.readings.size() == 2);
}

TEST_CASE("air check: what no file may say the window does not take either") {
    Workbench bench = opened();
    carry_out(bench, cmd::AirInto{"P3"});
    carry_out(bench, cmd::PlugPort{"P4", true});
    CHECK_FALSE(bench.dispatch(saw("P4", Heard::strong), 0).empty()); // closed: nothing is to be heard there
    carry_out(bench, gauge("P4", 30));
    CHECK_FALSE(bench.dispatch(saw("P3", Heard::strong), 0).empty()); // it gets the air
    CHECK_FALSE(bench.dispatch(cmd::PlugPort{"P3", true}, 0).empty());
    CHECK_FALSE(bench.dispatch(gauge("P5", 500), 0).empty());
    CHECK_FALSE(bench.dispatch(saw("P99", Heard::faint), 0).empty());
    CHECK_FALSE(bench.dispatch(cmd::LookedAt{"R99", model::Found::sound}, 0).empty());
    CHECK(bench.session().document.check.readings.size() == 1);
}

TEST_CASE("air check: a reading that is set up is current, and leaves nothing behind when it is not used") {
    Workbench bench = opened();
    leak_between_low_and_coast(bench);
    model::Reading wet;
    wet.into = "P3";
    wet.wet = true;
    carry_out(bench, cmd::BeginReading{wet});
    CHECK(bench.session().document.air_into == "P3");
    REQUIRE(current_reading(bench.session().document) != nullptr);
    CHECK(current_reading(bench.session().document)->wet);
    CHECK(bench.session().document.check.readings.size() == 3);
    model::Reading turned;
    turned.into = "P3";
    turned.shaft_turned_deg = 90;
    carry_out(bench, cmd::BeginReading{turned});
    CHECK(bench.session().document.check.readings.size() == 3);
    carry_out(bench, cmd::AirInto{"P5"});
    carry_out(bench, saw("P6", Heard::faint));
    REQUIRE(bench.session().document.check.readings.size() == 3);
    CHECK(bench.session().document.check.readings.back().into == "P5");
}

TEST_CASE("air check: the suspects follow every word, and are never those of other readings") {
    Workbench bench = opened();
    CHECK_FALSE(bench.derived().weighed);
    leak_between_low_and_coast(bench);
    REQUIRE(bench.derived().weighed);
    const auto& map = bench.session().document.map;
    const auto first = [&] { return map.seals[bench.derived().weighed->weighing.suspects.front().seals.front()].id; };
    CHECK(first() == "R3");
    CHECK(bench.derived().weighed->check == bench.session().document.check);
    CHECK(bench.derived().weighed->advised);
    CHECK(chance_of(bench.derived(), map, "R3") > 0.3);
    CHECK(chance_of(bench.derived(), map, "R6") < 0.05);
    const auto hash = bench.derived().weighed->weighing.hash;
    carry_out(bench, saw("P3", Heard::nothing));
    CHECK(bench.derived().weighed->weighing.hash != hash);
    carry_out(bench, cmd::Undo{});
    CHECK(bench.derived().weighed->weighing.hash == hash);
    // A look that finds it sound takes most of its weight away.
    carry_out(bench, cmd::LookedAt{"R3", model::Found::sound});
    CHECK(first() != "R3");
    carry_out(bench, cmd::LookedAt{"R3", {}});
    CHECK(bench.derived().weighed->weighing.hash == hash);
}

TEST_CASE("air check: beside the window the same is worked out, and only the newest question is answered") {
    Workbench inline_bench = opened();
    leak_between_low_and_coast(inline_bench);
    const auto hash = inline_bench.derived().weighed->weighing.hash;

    Workbench bench = opened();
    bench.use_desk(std::make_shared<WeighDesk>(true));
    leak_between_low_and_coast(bench);
    CHECK_FALSE((bench.derived().weighed && bench.derived().weighed->advised));
    for (int i = 0; i < 2000 && !(bench.derived().weighed && bench.derived().weighed->advised); ++i) {
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
        bench.work_on();
        if (bench.derived().weighed) CHECK(bench.derived().weighed->check == bench.session().document.check);
    }
    REQUIRE(bench.derived().weighed);
    CHECK(bench.derived().weighed->weighing.hash == hash);
    CHECK(bench.derived().weighed->advised);
}
