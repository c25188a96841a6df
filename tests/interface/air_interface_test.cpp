// How much air: words, sliders, chart, network and air bench, pressed and dragged as a hand does it.
#include <cmath>

#include <doctest/doctest.h>

#include "../../diagnosis/airflow/leak_down.h"
#include "panels_window.h"

using namespace ringland;
using namespace ringland::tests;
using diagnosis::airflow::Heard;
namespace cmd = ringland::viewer::command;

namespace {

/// Presses a slider at a share of its way and drags it on to others; after each step the frame that shows it is built.
template <class After>
void drag(Window& w, const std::string& label, std::initializer_list<double> shares, After after) {
    const Rect r = w.find(label);
    REQUIRE(r.width > 0);
    const double knob = 12, y = r.y + r.height / 2;
    bool down = false;
    for (const double share : shares) {
        w.interface.feed(input::MouseMove{r.x + knob + share * (r.width - 2 * knob), y});
        if (!down) w.interface.feed(input::MouseButton{0, true});
        down = true;
        w.frame(); // the press needs a frame of its own
        w.frame();
        after(share);
    }
    w.interface.feed(input::MouseButton{0, false});
    w.settle();
}

} // namespace

TEST_CASE("air interface: the word that was heard is one press, is judged, and is taken back by another") {
    Window w(demo, 1600, 1000);
    w.press("port P3");
    CHECK(w.interface.items().count("text healthy") == 1);
    CHECK(w.interface.items().count("saw strong") == 0);
    w.press("port P4");
    for (const Heard word : {Heard::nothing, Heard::faint, Heard::clear, Heard::strong}) {
        w.press("saw " + std::string(model::word(word)));
        CHECK(seen_word(w.document()) == word);
    }
    w.press("saw strong");
    CHECK_FALSE(seen_word(w.document()));
    w.key(Key::f3);
    CHECK(seen_word(w.document()) == Heard::faint);
    w.press("Undo");
    CHECK_FALSE(seen_word(w.document()));
    CHECK(w.refused.empty());
}

TEST_CASE("air interface: sliders of pressure and hole work within the frame, and a drag is one step to undo") {
    Window w(demo, 1600, 1000);
    w.press("port P3");
    w.press("port P4");
    double last = -1;
    drag(w, "slider hole", {0.1, 0.3, 0.5, 0.9}, [&](double) {
        CHECK(w.bench.derived().air_now->hole_mm == w.view().what_if_mm);
        CHECK(w.bench.derived().air_now->out_lpm > last);
        last = w.bench.derived().air_now->out_lpm;
    });
    CHECK(w.view().what_if_mm > 4);
    const auto undo = w.bench.undo_name();
    last = -1;
    drag(w, "slider supply", {0.2, 0.4, 0.8, 1.0}, [&](double share) {
        CHECK(w.bench.derived().air_now->supply_gauge_pa / 6894.757293168361 ==
              doctest::Approx(std::round(share * 120)));
        CHECK(w.bench.derived().air_now->out_lpm > last);
        last = w.bench.derived().air_now->out_lpm;
    });
    CHECK(w.document().supply == model::psi(120));
    w.press("Undo");
    CHECK_FALSE(w.document().supply);
    CHECK(w.bench.undo_name() == undo);

    // By the keyboard: the frame goes round the controls until it is on the slider.
    for (int i = 0; i < 60; ++i) {
        w.key(Key::tab, 0, true);
        const double before = w.view().what_if_mm;
        const double azimuth = w.view().flight.to.azimuth_deg;
        w.key(Key::left);
        if (w.view().what_if_mm < before) {
            CHECK(w.view().flight.to.azimuth_deg == azimuth); // the key moved the slider and not the unit
            w.key(Key::right);
            CHECK(w.view().what_if_mm == doctest::Approx(before));
            return;
        }
    }
    FAIL("the slider is not reached by keyboard");
}

TEST_CASE("air interface: a cell of the chart asks its question, and the row under air is complete") {
    Window w(demo, 1600, 1000);
    w.letter('E');
    CHECK(w.view().sheet == Sheet::chart);
    while (w.bench.work_on())
        ;
    w.settle();
    for (int from = 1; from <= 12; ++from) {
        for (int to = 1; to <= 12; ++to) {
            INFO("P", from, " P", to);
            CHECK(w.interface.items().count(fmt::format("cell P{} P{}", from, to)) == (from == to ? 0 : 1));
        }
    }
    w.press("cell P6 P1");
    CHECK(w.document().air_into == "P6");
    CHECK(w.document().came_out == "P1");
    CHECK(w.view().sheet == Sheet::chart);
    w.press("chart figures");
    w.press("chart figures");
    w.letter('E');
    CHECK(w.view().sheet == Sheet::drawing);
    CHECK(w.refused.empty());
}

TEST_CASE("air interface: in the network a circuit and a seal can be picked") {
    Window w(demo, 1600, 1000);
    w.press("port P3");
    w.press("port P4");
    w.press("Pressures and flows as a network");
    CHECK(w.view().sheet == Sheet::network);
    w.press("knot coast");
    CHECK(w.view().selected == model::Subject{model::SubjectKind::circuit, "coast"});
    std::string strand;
    for (const auto& [label, rect] : w.interface.items()) {
        if (label.compare(0, 9, "strand R3") == 0) strand = label;
    }
    REQUIRE_FALSE(strand.empty());
    w.press(strand);
    CHECK(w.view().selected == model::Subject{model::SubjectKind::seal, "R3"});
    w.press("Bench");
    CHECK(w.view().sheet == Sheet::drawing);
}

TEST_CASE("air interface: the shop's ears are set by trials, and the chart follows") {
    Window w(demo, 1600, 1000);
    w.press("port P3");
    const auto healthy = [&] { return w.bench.derived().healthy->at[2].word; }; // P4, behind one ring
    CHECK(healthy() == Heard::faint);
    w.letter('A');
    w.press("trial 3 nothing"); // a shop with a loud compressor
    w.press("trial 5 faint");
    w.press("Take these");
    CHECK(w.document().bench.heard_from_lpm[0] > 6);
    CHECK(w.document().bench.heard_from_lpm[0] < w.document().bench.heard_from_lpm[1]);
    CHECK(healthy() == Heard::nothing);
    w.press("Undo");
    CHECK(w.document().bench == model::AirBench{});
    CHECK(healthy() == Heard::faint);
    drag(w, "slider altitude", {0.5, 0.8}, [&](double) { CHECK(w.document().bench.altitude_m > 1000); });
    CHECK(w.refused.empty());
}

TEST_CASE("air interface: everything of the sheets keeps its place and its size") {
    for (const auto& map : {demo, small_demo, shift_demo}) {
        for (const Sheet sheet : {Sheet::check, Sheet::chart, Sheet::network, Sheet::bench}) {
            for (const double scale : {1.0, 2.0}) {
                const int width = static_cast<int>(1600 * scale), height = static_cast<int>(900 * scale);
                Window w(map, width, height, scale);
                REQUIRE(w.bench.dispatch(cmd::AirInto{w.bench.session().document.map.ports[2].id}, 0).empty());
                REQUIRE(w.bench.dispatch(cmd::ShowSheet{sheet}, 0).empty());
                while (w.bench.work_on())
                    ;
                w.settle();
                INFO(map, " ", model::word(sheet), " ", width);
                // A plate on a line of the network is as high as its letters.
                check_places(w, sheet == Sheet::network ? 18 * scale : sheet == Sheet::chart ? 40 * scale : 44 * scale);
            }
        }
    }
}
