// The real window and a pointer: a word, a dragged slider, and the shop's ears kept in their file.
#include <cstdlib>
#include <string>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "../../model-data/air_bench.h"
#include "../interface/panels_window.h"
#include "run_ringland.h"

namespace {

using namespace ringland;
using namespace ringland::test;

/// The middle of an item of the panels, at a share of its width, as "x y".
std::string spot(const tests::Window& w, const std::string& label, double share = 0.5) {
    const auto found = w.interface.items().find(label);
    REQUIRE_MESSAGE(found != w.interface.items().end(), "nothing is called ", label);
    const auto& r = found->second;
    return fmt::format("{:.0f} {:.0f}", r.x + share * r.width, r.y + r.height / 2);
}

// $1 is the program; then come the places: port P3, port P4, the word strong, the slider's knob and where it is
// dragged to, the sheet of the air bench, two trials, and the button that takes them.
constexpr const char* drag_and_try = R"script(
set -u
Xvfb -displayfd 3 -screen 0 1600x1000x24 +extension GLX -nolisten tcp 3>display >xvfb.log 2>&1 & screen=$!
window=
trap 'kill $window $screen 2>/dev/null' EXIT
for _ in $(seq 100); do [ -s display ] && break; sleep 0.1; done
[ -s display ] || { echo "Xvfb did not start: $(cat xvfb.log)" >&2; exit 3; }
export DISPLAY=":$(tr -d '[:space:]' <display)" LIBGL_ALWAYS_SOFTWARE=1 XDG_CONFIG_HOME="$PWD/config"
unset WAYLAND_DISPLAY
# Somebody who has seen the tour: it would take room from the drawing.
export XDG_STATE_HOME="$PWD/state" XDG_DATA_HOME="$PWD/data"
mkdir -p state/ringland && echo 'tour_seen = true' >state/ringland/window.toml
"$1" open assets-demo/larch-five.toml --width 1600 --height 1000 --frame-log frames.csv & window=$!
frames() { if [ -f frames.csv ]; then wc -l <frames.csv; else echo 0; fi; }
next() { for _ in $(seq 100); do [ "$(frames)" -gt "$(($1 + 2))" ] && return; sleep 0.05; done; }
for _ in $(seq 100); do [ "$(frames)" -gt 3 ] && break; sleep 0.1; done
id=$(xdotool search --pid $window --name '^Ringland' | tail -1)
press() { local before; before=$(frames); xdotool mousemove --window "$id" $1; sleep 0.2; xdotool click 1; next "$before"; sleep 0.3; }
press "$2"; press "$3"; sleep 1
press "$4"
xdotool mousemove --window "$id" $5; sleep 0.2; xdotool mousedown 1; sleep 0.2
xdotool mousemove --window "$id" $6; sleep 0.3; xdotool mouseup 1; sleep 0.5
import -window "$id" slider.png
[ -e config/ringland/bench.toml ] && echo "a bench file before anything of it was changed" >&2
press "$7"; press "$8"; press "$9"; press "${10}"; sleep 0.5
import -window "$id" bench.png
xdotool key --window "$id" e; sleep 1
import -window "$id" chart.png
)script";

} // namespace

TEST_CASE("a pointer on the real window says a word, drags a slider and sets the shop's ears, which are kept") {
    tests::Window w(tests::demo, 1600, 1000);
    const std::string p3 = spot(w, "port P3");
    w.press("port P3");
    const std::string p4 = spot(w, "port P4");
    w.press("port P4");
    const std::string strong = spot(w, "saw strong");
    w.press("saw strong"); // the verdict moves what stands below
    const double knob = 12.0 / 340;
    // At 2 of 6 mm, where the slider gives small holes more room (exponent 1.7).
    const std::string from = spot(w, "slider hole", knob + (1 - 2 * knob) * 0.524), to = spot(w, "slider hole", 0.9);
    const std::string sheet = spot(w, "The shop's air, what is called faint, and leak-down");
    w.press("The shop's air, what is called faint, and leak-down");
    const std::string first = spot(w, "trial 3 nothing"), second = spot(w, "trial 5 faint");
    w.press("trial 3 nothing");
    w.press("trial 5 faint");
    const std::string take = spot(w, "Take these");
    w.press("Take these");

    const Bench bench;
    bench.write("drive.sh", drag_and_try);
    const Ran ran = bench.shell(fmt::format("bash drive.sh '{}/ringland' '{}' '{}' '{}' '{}' '{}' '{}' '{}' '{}' '{}'",
                                            RINGLAND_BINARY_DIR, p3, p4, strong, from, to, sheet, first, second, take));
    INFO(ran.out, ran.err);
    REQUIRE(ran.exit == 0);
    CHECK(ran.err == "");
    const auto folder = std::filesystem::path(RINGLAND_BINARY_DIR) / "pictures";
    std::filesystem::create_directories(folder);
    for (const char* shot : {"slider", "bench", "chart"}) {
        std::filesystem::copy_file(bench.file(std::string(shot) + ".png"),
                                   folder / fmt::format("window-air-{}.png", shot),
                                   std::filesystem::copy_options::overwrite_existing);
    }
    const auto kept = model::read_bench(bench.file("config/ringland/bench.toml"));
    REQUIRE(kept.bench);
    CHECK(kept.faults.empty());
    // The window reckons as the panels without a screen do.
    CHECK(*kept.bench == w.bench.session().document.bench);
    CHECK(kept.bench->heard_from_lpm[0] > 6);
    // And the command line hears with the same ears: P4 was faint, and is nothing now.
    const std::string home = fmt::format("XDG_CONFIG_HOME='{}'", bench.file("config").string());
    const Ran expect = bench.run("expect assets-demo/larch-five.toml --into P3", home);
    CHECK(expect.exit == 0);
    CHECK(has(expect.out, "P4 COAST           nothing"));
    const Ran without = bench.run("expect assets-demo/larch-five.toml --into P3", "XDG_CONFIG_HOME=/nonexistent");
    CHECK(has(without.out, "P4 COAST           faint"));
}
