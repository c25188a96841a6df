// The retest in the window: beside the first test, in words, in the job's sheet and while it is being made.
#include <algorithm>
#include <cstdlib>
#include <filesystem>

#include <doctest/doctest.h>

#include "../../diagnosis/suspects/answer.h"
#include "../../viewer/app/retest_words.h"
#include "../app/opened.h"
#include "../demo_job.h"
#include "layout_check.h"
#include "panels_window.h"

using namespace ringland;
using namespace ringland::tests;
namespace cmd = ringland::viewer::command;

namespace {

void open_job(Window& w, const model::Job& job, Sheet sheet) {
    REQUIRE(w.bench.open_job(job, w.now_s).empty());
    REQUIRE(w.bench.dispatch(cmd::ShowSheet{sheet}, w.now_s).empty());
    w.settle();
    work(w);
}

std::string layout_of(const Window& w, double scale) {
    LayoutRules rules;
    rules.least_target = 44 * scale;
    rules.width = w.width;
    rules.height = w.height;
    std::string text;
    for (const auto& fault : layout_faults(w.interface.layout(), rules))
        text += "\n   " + fault;
    return text;
}

} // namespace

TEST_CASE("job retest: the sheet says what was heard before and now, what is cleared, and whether the fault is gone") {
    Window w(demo, 1600, 1400);
    open_job(w, demo_job(), Sheet::job);
    REQUIRE(w.bench.derived().retested);
    const auto& retest = w.bench.derived().retested->retest;
    CHECK(w.interface.items().count("text retest") == 1);
    CHECK(says(w, gone_words({}, retest)));
    CHECK(says(w, "Air into P3 LOW"));
    CHECK(says(w, "as a good unit now"));
    CHECK(says(w, "renewed, cleared"));
    const auto r3 = std::find_if(retest.seals.begin(), retest.seals.end(),
                                 [&](const auto& chance) { return w.document().map.seals[chance.seal].id == "R3"; });
    REQUIRE(r3 != retest.seals.end());
    using diagnosis::suspects::percent_words;
    CHECK(says(w, percent_words(r3->before) + " → " + percent_words(r3->now)));
    // The words of the same figure that the command line prints.
    CHECK(gone_words({}, retest).find("94 %") != std::string::npos);
}

TEST_CASE("job retest: what is wrong still is said in words, and where it was never tested again that is said too") {
    model::Job job = demo_job();
    auto& after = job.checks.back();
    REQUIRE(after.purpose == model::CheckPurpose::retest);
    bool made_worse = false;
    for (auto& entry : after.readings) {
        for (auto& seen : entry.reading.seen) {
            if (entry.reading.into != "P3" || seen.at != "P4") continue;
            seen.word = model::Heard::strong;
            made_worse = true;
        }
    }
    REQUIRE(made_worse);
    Window w(demo, 1600, 1400);
    open_job(w, demo_job(), Sheet::job);
    const double gone = w.bench.derived().retested->retest.gone;
    CHECK_FALSE(says(w, "still more than a good unit"));
    open_job(w, job, Sheet::job);
    CHECK(says(w, "still more than a good unit"));
    CHECK(w.bench.derived().retested->retest.gone < gone - 0.02);
    after.readings.clear();
    open_job(w, job, Sheet::job);
    CHECK(says(w, "not tested again"));
    CHECK(says(w, std::string(not_tested_again)));
}

TEST_CASE("job retest: when it is time for it, its button stands at the head of the sheet and begins it") {
    model::Job job = demo_job();
    job.checks.erase(std::remove_if(job.checks.begin(), job.checks.end(),
                                    [](const auto& c) { return c.purpose == model::CheckPurpose::retest; }),
                     job.checks.end());
    job.ticks.clear();
    Window w(demo, 1600, 1000);
    open_job(w, job, Sheet::job);
    CHECK_FALSE(w.bench.compares_tests());
    CHECK(w.interface.items().count("text retest") == 0);
    w.press("step close-up");
    work(w);
    REQUIRE(w.bench.compares_tests());
    const Rect head = w.find("text job"), begin = w.find("Begin the retest");
    CHECK(begin.y < head.y + head.height + 200);
    w.press("Begin the retest");
    CHECK(w.view().sheet == Sheet::check);
    REQUIRE(w.document().job.checks.size() == job.checks.size() + 1);
    CHECK(w.document().job.checks.back().purpose == model::CheckPurpose::retest);
}

TEST_CASE("job retest: while it is made, every place says what the first test showed there") {
    model::Job job = demo_job();
    job.checks.back().readings.clear();
    Window w(demo, 1600, 1400);
    open_job(w, job, Sheet::check);
    CHECK(w.document().check.readings.empty());
    w.press("port P3");
    CHECK(says(w, "before: strong"));
    REQUIRE(w.bench.dispatch(saw("P4", model::Heard::faint), w.now_s).empty());
    w.settle();
    CHECK(says(w, "The two tests are being compared")); // what was worked out is not shown for another state
    work(w);
    CHECK_FALSE(says(w, "The two tests are being compared"));
    CHECK(says(w, "as a good unit now"));
    // The first test itself says nothing of before.
    w.press("Undo");
    REQUIRE(w.bench.dispatch(cmd::EditJob{job_edit::ShowCheck{1}}, w.now_s).empty());
    REQUIRE(w.bench.dispatch(cmd::AirInto{"P3"}, w.now_s).empty());
    w.settle();
    CHECK_FALSE(says(w, "before: strong"));
}

TEST_CASE("job retest: tidy at every size, in both sheets") {
    struct Size {
        int width, height;
        double scale;
    };
    for (const Size& size : {Size{1280, 720, 1}, Size{1280, 720, 2}, Size{1920, 1080, 1}, Size{1920, 1080, 2},
                             Size{3840, 2160, 3}, Size{800, 900, 1}}) {
        for (const Sheet sheet : {Sheet::job, Sheet::check}) {
            Window w(demo, size.width, size.height, size.scale);
            open_job(w, demo_job(), sheet);
            if (sheet == Sheet::check) {
                REQUIRE(w.bench.dispatch(cmd::AirInto{"P3"}, w.now_s).empty());
                w.settle();
                work(w);
            }
            const std::string faults = layout_of(w, size.scale);
            CHECK_MESSAGE(faults.empty(), size.width, "x", size.height, " at ", size.scale, faults);
        }
    }
}

TEST_CASE("job check: the ports stand in the order of a full check, numbered, with a tick where air went in") {
    Window w(demo, 1600, 1200);
    w.letter('Q');
    work(w);
    REQUIRE(w.bench.derived().full_check);
    const auto& full = *w.bench.derived().full_check;
    const auto& ports = w.document().map.ports;
    double last_y = -1, last_x = -1;
    for (const std::size_t port : full.order) {
        const Rect r = w.interface.items().at("blow " + ports[port].id);
        CHECK((r.y > last_y + 1 || r.x > last_x));
        last_y = r.y;
        last_x = r.x;
    }
    CHECK(says(w, fmt::format("Air into the {} numbered ports", full.shortest)));
    const std::string first = ports[full.order.front()].id;
    w.press("blow " + first);
    CHECK(w.document().air_into == first);
    REQUIRE(w.bench.dispatch(saw(ports[full.order[1]].id, model::Heard::nothing), w.now_s).empty());
    w.settle();
    w.press("blow " + ports[full.order[1]].id);
    CHECK(w.document().air_into == ports[full.order[1]].id);
    CHECK(w.document().check.readings.size() == 1); // begins with its first word
    w.press("blow " + ports[full.order[1]].id);
    CHECK(w.document().air_into.empty());
    CHECK(w.refused.empty());
}
