// The real window, a job entered by keys and pointer, the program killed, and the window that opens again where it was.
#include <string>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "../../viewer/app/commands.h"
#include "../../viewer/ui/interface.h"
#include "run_ringland.h"

namespace {

using namespace ringland;
using namespace ringland::test;

/// Where the field of the complaint stands in a window of that size, once a reading was made.
std::string complaint_field() {
    viewer::Workbench bench;
    std::string why;
    const bool opened = bench.open(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml", why);
    REQUIRE_MESSAGE(opened, why);
    model::Seen strong;
    strong.word = model::Heard::strong;
    for (const viewer::Command& command :
         {viewer::Command(viewer::command::AirInto{"P3"}), viewer::Command(viewer::command::CameOut{"P4"}),
          viewer::Command(viewer::command::Saw{"P4", strong}),
          viewer::Command(viewer::command::ShowSheet{viewer::Sheet::job})})
        REQUIRE(bench.dispatch(command, 0).empty());
    viewer::Interface interface(1);
    for (int i = 0; i < 3; ++i)
        static_cast<void>(interface.frame(bench, window_width, window_height, i * 0.02, {}));
    const viewer::Rect r = interface.items().at("field complaint");
    return fmt::format("{:.0f} {:.0f}", r.x + r.width / 2, r.y + r.height / 2);
}

// $1 is the program, $2 the place of the field. Killed, never closed.
constexpr const char* enter_a_job = R"script(
set -u
Xvfb -displayfd 3 -screen 0 1600x900x24 +extension GLX -nolisten tcp 3>display >xvfb.log 2>&1 & screen=$!
window=
trap 'kill -9 $window $screen 2>/dev/null' EXIT
for _ in $(seq 100); do [ -s display ] && break; sleep 0.1; done
[ -s display ] || { echo "Xvfb did not start: $(cat xvfb.log)" >&2; exit 3; }
export DISPLAY=":$(tr -d '[:space:]' <display)" LIBGL_ALWAYS_SOFTWARE=1
unset WAYLAND_DISPLAY
export XDG_STATE_HOME="$PWD/state" XDG_DATA_HOME="$PWD/data"
mkdir -p state/ringland && echo 'tour_seen = true' >state/ringland/window.toml
# Until a window with that title stands there.
await() {
    for _ in $(seq 240); do
        id=$(xdotool search --pid $window --name "^$1\$" 2>/dev/null | tail -1)
        [ -n "$id" ] && return 0
        sleep 0.25
    done
    echo "no window is called $1" >&2
    exit 3
}
# Until the records say so.
until_said() {
    for _ in $(seq 120); do
        "$1" jobs list --json 2>/dev/null | grep -q "$2" && return 0
        sleep 0.25
    done
    echo "the records never said $2" >&2
    exit 3
}
"$1" open assets-demo/larch-five.toml --width 1600 --height 900 & window=$!
await 'Ringland: Larch Five'
sleep 2
for key in 3 Return 4 Return F5; do xdotool key --window "$id" $key; sleep 0.6; done
until_said "$1" '"weigh"'
xdotool key --window "$id" j
sleep 2
xdotool mousemove --window "$id" $2
sleep 0.3
xdotool click 1
sleep 0.6
xdotool type --window "$id" --delay 60 'slips when hot'
until_said "$1" 'slips when hot'
kill -9 $window
wait $window 2>/dev/null
"$1" open --width 1600 --height 900 & window=$!
await 'Ringland: Larch Five'
sleep 2
import -window "$id" again.png
xdotool key --window "$id" ctrl+z # nothing to take back in a new window: the job stays
sleep 1
kill -9 $window
wait $window 2>/dev/null
window=
"$1" jobs list --json
exit 0
)script";

} // namespace

TEST_CASE("a job entered in the real window outlives the program's violent end, and the window opens on it again") {
    const Bench bench;
    bench.write("drive_job.sh", enter_a_job);
    const Ran ran = bench.shell(
        fmt::format("bash drive_job.sh '{}/ringland' '{}' 2>said.log", RINGLAND_BINARY_DIR, complaint_field()));
    INFO(ran.out, ran.err);
    REQUIRE(ran.exit == 0);
    const auto list = nlohmann::json::parse(ran.out);
    const auto& jobs = list.at("jobs");
    REQUIRE(jobs.size() == 1);
    CHECK(jobs[0].at("complaint") == "slips when hot");
    CHECK(jobs[0].at("unit") == "Larch Five");
}
