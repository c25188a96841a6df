// The window under a screen without a person: when frames are drawn, and how it ends.
#include <cmath>
#include <cstdlib>
#include <sstream>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "../../viewer/platform/app_loop.h"
#include "run_ringland.h"

namespace {

using namespace ringland::test;
using ringland::viewer::Pace;
using ringland::viewer::seconds_to_next_frame;

bool there_is_a_screen() { return std::getenv("DISPLAY") != nullptr; }

} // namespace

TEST_CASE("frames are due after events, while something moves, once more at rest, and else never") {
    Pace idle;
    idle.since_frame_s = idle.since_change_s = 100;
    CHECK(std::isinf(seconds_to_next_frame(idle)));
    Pace owed = idle;
    owed.frames_owed = 1;
    CHECK(seconds_to_next_frame(owed) == 0);
    Pace flying = idle;
    flying.flying = true;
    CHECK(seconds_to_next_frame(flying) == 0);
    Pace air = idle;
    air.air_moves = true;
    air.since_frame_s = 0.01;
    CHECK(seconds_to_next_frame(air) == doctest::Approx(1.0 / 30 - 0.01));
    air.since_frame_s = 0.05;
    CHECK(seconds_to_next_frame(air) == 0);
    Pace unsettled = idle;
    unsettled.unsettled = true;
    CHECK(seconds_to_next_frame(unsettled) == 0);
    unsettled.since_change_s = 0.05;
    CHECK(seconds_to_next_frame(unsettled) == doctest::Approx(0.15));
}

TEST_CASE("an idle window draws no frames" * doctest::skip(!there_is_a_screen())) {
    const Bench bench;
    bench.write("ask.txt", "air-into P3\ncame-out P4\n");
    // Air runs for six seconds and a slow machine takes a while over the first and the last frame: wait until the log
    // has not grown for two seconds, then it must not grow for three more, though the program lives.
    const Ran ran = bench.shell(fmt::format(
        "'{}/ringland' open assets-demo/larch-five.toml --script ask.txt --frame-log frames.csv & window=$!; quiet=0; "
        "for i in "
        "$(seq 60); do sleep 1; now=$(wc -l < frames.csv); [ \"$now\" = \"$before\" ] && quiet=$((quiet+1)) || "
        "quiet=0; "
        "before=$now; [ $quiet -ge 2 ] && [ $now -gt 3 ] && break; done; sleep 3; wc -l < frames.csv; echo $before; "
        "ps -o cputimes= -p $window | wc -l; kill $window",
        RINGLAND_BINARY_DIR));
    std::istringstream said(ran.out);
    int after = -1;
    int before = -2;
    int alive = 0;
    said >> after >> before >> alive;
    CHECK_MESSAGE(after == before, ran.err);
    CHECK(before > 10);
    CHECK(alive == 1);
}

TEST_CASE("leaving while the camera flies is a clean end" * doctest::skip(!there_is_a_screen())) {
    const Bench bench;
    bench.write("fly.txt", "air-into P3\ncame-out P4\n");
    const Ran ran = bench.run("open assets-demo/larch-five.toml --script fly.txt --frames 3");
    CHECK(ran.exit == 0);
    CHECK(ran.err == "");
}

TEST_CASE("a map that cannot be opened opens no window" * doctest::skip(!there_is_a_screen())) {
    const Bench bench;
    bench.write("bad.toml", "unit = 7\n");
    const Ran ran = bench.run("open bad.toml");
    CHECK(ran.exit == 1);
    CHECK(has(ran.err, "bad.toml:1:"));
}

TEST_CASE("a script with a line that is no command is refused with its place" * doctest::skip(!there_is_a_screen())) {
    const Bench bench;
    bench.write("bad.txt", "# first\nair-into P3\nfly to the moon\n");
    const Ran ran = bench.run("open assets-demo/larch-five.toml --script bad.txt");
    CHECK(ran.exit == 2);
    CHECK(has(ran.err, "bad.txt:3:"));
}
