// The real window on a screen of its own, and a pointer that clicks where the ports are drawn.
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <map>
#include <sstream>
#include <string>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "../../viewer/platform/app_loop.h"
#include "../../viewer/platform/picture.h"
#include "../interface/on_screen.h"
#include "../pictures/compare.h"
#include "run_ringland.h"

namespace {

using namespace ringland;
using namespace ringland::test;
using tests::Pixel;

/// What stands where in a window of that size: the panels are laid out without any graphics.
struct Plan {
    viewer::Workbench bench;
    viewer::Viewport drawing;

    Plan() {
        std::string why;
        const bool opened = bench.open(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml", why);
        REQUIRE_MESSAGE(opened, why);
        viewer::Interface interface(1);
        double aspect = 16.0 / 9;
        for (int i = 0; i < 3; ++i) {
            const auto built = interface.frame(bench, window_width, window_height, i * 0.02, {});
            drawing = built.drawing;
            viewer::reframe(bench, aspect, drawing.width / drawing.height, built.room, 0);
            aspect = drawing.width / drawing.height;
        }
    }
    [[nodiscard]] std::string port(const std::string& id) const {
        const Pixel p = tests::port_pixel(bench, drawing, id);
        return fmt::format("{:.0f} {:.0f}", p.x, p.y);
    }
    /// Where no part of the unit is.
    [[nodiscard]] std::string paper() const { return fmt::format("{:.0f} {:.0f}", drawing.x + 5, drawing.y + 5); }
};

// A screen that no other test draws on; the window; the clicks. Everything that is measured goes to stdout as
// "name value". $1 is the program; the places of P3, P4 and of empty paper come as "x y" in $2, $3, $4; $5 asks a
// window to close.
constexpr const char* click_ports = R"script(
set -u
Xvfb -displayfd 3 -screen 0 1600x900x24 +extension GLX -nolisten tcp 3>display >xvfb.log 2>&1 & screen=$!
window=
trap 'kill $window $screen 2>/dev/null' EXIT
for _ in $(seq 100); do [ -s display ] && break; sleep 0.1; done
[ -s display ] || { echo "Xvfb did not start: $(cat xvfb.log)" >&2; exit 3; }
export DISPLAY=":$(tr -d '[:space:]' <display)" LIBGL_ALWAYS_SOFTWARE=1
unset WAYLAND_DISPLAY
# Somebody who has seen the tour: it would take room from the drawing.
export XDG_STATE_HOME="$PWD/state" XDG_DATA_HOME="$PWD/data"
mkdir -p state/ringland && echo 'tour_seen = true' >state/ringland/window.toml
"$1" open assets-demo/larch-five.toml --width 1600 --height 900 --frame-log frames.csv & window=$!
frames() { if [ -f frames.csv ]; then wc -l <frames.csv; else echo 0; fi; }
# Until no frame came for that many seconds.
quiet() {
    local before=-1 now still=0
    for _ in $(seq 120); do
        now=$(frames)
        if [ "$now" = "$before" ] && [ "$now" -gt 1 ]; then still=$((still + 1)); else still=0; fi
        [ $still -ge $(($1 * 2)) ] && return 0
        before=$now
        sleep 0.5
    done
    echo "the window does not come to rest" >&2
    exit 3
}
point() { xdotool mousemove --window "$id" $1; sleep 0.3; }
quiet 1
id=$(xdotool search --pid $window --name '^Ringland' | tail -1)
point "$2"; quiet 1; xdotool click 1; quiet 1
import -window "$id" one.png
point "$3"; quiet 1; xdotool click 1; point "$4"
sleep 7 # the air runs for six seconds
quiet 2
import -window "$id" answer.png
quiet 1
before=$(frames)
sleep 2
echo frames_in_two_quiet_seconds $(($(frames) - before))
echo frames_in_all "$before"
awk '/^VmRSS|^VmHWM/ { sub(":", ""); print $1, $2 }' /proc/$window/status
# Closed while the camera flies: the key starts a flight of 0.6 s.
xdotool key --window "$id" b
before=$(frames)
for _ in $(seq 100); do [ "$(frames)" -gt "$before" ] && break; sleep 0.01; done
"$5" "$id" || exit 3
wait $window
echo exit_code $?
window=
)script";

} // namespace

TEST_CASE("a pointer on the real window clicks two ports and the ring stands there") {
    const Bench bench;
    Plan plan;
    bench.write("drive.sh", click_ports);
    const Ran ran = bench.shell(fmt::format("bash drive.sh '{0}/ringland' '{1}' '{2}' '{3}' '{0}/close_window'",
                                            RINGLAND_BINARY_DIR, plan.port("P3"), plan.port("P4"), plan.paper()));
    INFO(ran.out, ran.err);
    REQUIRE(ran.exit == 0);
    CHECK(ran.err == "");
    std::map<std::string, long> measured;
    std::istringstream said(ran.out);
    long value = 0;
    for (std::string name; said >> name >> value;)
        measured[name] = value;

    // The screenshot beside the picture that the program draws of the answered question, and beside the unanswered one.
    const auto folder = std::filesystem::path(RINGLAND_BINARY_DIR) / "pictures";
    std::filesystem::create_directories(folder);
    for (const char* shot : {"one", "answer"}) {
        std::filesystem::copy_file(bench.file(std::string(shot) + ".png"), folder / fmt::format("window-{}.png", shot),
                                   std::filesystem::copy_options::overwrite_existing);
    }
    std::string error;
    const auto screenshot = viewer::read_png(bench.file("answer.png").string(), error);
    REQUIRE_MESSAGE(error.empty(), error);
    const viewer::PictureSpec spec{window_width, window_height, true};
    const auto unanswered = tests::compare(viewer::make_picture(plan.bench, spec), screenshot);
    for (const viewer::Command& command :
         {viewer::Command(viewer::command::AirInto{"P3"}), viewer::Command(viewer::command::CameOut{"P4"})})
        REQUIRE(plan.bench.dispatch(command, 0).empty());
    REQUIRE(plan.bench.derived().suspect == "R3");
    const auto expected = viewer::make_picture(plan.bench, spec);
    const auto answered = tests::compare(expected, screenshot);
    // The dashes of the air stand elsewhere than in the picture, and the pointer had been somewhere: the rest is the
    // same.
    CHECK(answered.share < 0.02);
    CHECK(unanswered.share > 0.10);
    if (answered.share >= 0.02) {
        static_cast<void>(
            viewer::write_png((folder / "window-compared.png").string(), tests::side_by_side(expected, screenshot)));
    }

    CHECK(measured["frames_in_two_quiet_seconds"] == 0);
    CHECK(measured["frames_in_all"] > 10);
    CHECK(measured["VmRSS"] > 1000); // kB
    CHECK(measured["VmRSS"] < 250 * 1024);
    CHECK(measured.at("exit_code") == 0);
    MESSAGE("screenshot: ", (folder / "window-answer.png").string(), "; other pixels than the picture of the answer ",
            answered.share * 100, " %, than that of the bench ", unanswered.share * 100, " %");
    MESSAGE(fmt::format("resident {:.1f} MiB, at most {:.1f} MiB; {} frames in all, {} in two quiet seconds",
                        double(measured["VmRSS"]) / 1024, double(measured["VmHWM"]) / 1024, measured["frames_in_all"],
                        measured["frames_in_two_quiet_seconds"]));
}
