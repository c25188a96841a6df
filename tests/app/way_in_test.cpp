// The way in in the drawing, and what the driver felt: part after part comes off and goes back, an answer is never that
// to another question.
#include <algorithm>
#include <map>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "../../viewer/app/camera.h"
#include "../../viewer/app/commands.h"
#include "../../viewer/app/outlook.h"
#include "../demo_maps.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;
namespace cmd = ringland::viewer::command;

namespace {

struct Opened {
    Workbench bench;
    double now_s = 0;
    Opened() {
        std::string why;
        REQUIRE(bench.open(demo, why));
    }
    std::string done(const Command& command) {
        now_s += 10; // every move has ended
        const std::string why = bench.dispatch(command, now_s);
        while (bench.work_on()) {
        }
        return why;
    }
    [[nodiscard]] const View& view() const { return bench.session().view; }
    [[nodiscard]] const Derived& derived() const { return bench.derived(); }
    /// How far a part stands from its place, every move ended.
    [[nodiscard]] double off_mm(const std::string& part) const {
        const auto apart = apartness(bench.session(), derived());
        for (std::size_t s = 0; s < derived().shapes.size(); ++s) {
            if (derived().shapes[s].subject == model::Subject{model::SubjectKind::part, part})
                return apart.moved_mm(derived().explosion.shapes[s]);
        }
        FAIL("no shape is part of ", part);
        return 0;
    }
    [[nodiscard]] double ring_off_mm(const std::string& ring) const {
        return apartness(bench.session(), derived()).shift_mm(derived().explosion.seals, ring);
    }
};

model::Subject seal(const std::string& id) { return {model::SubjectKind::seal, id}; }

} // namespace

TEST_CASE("way in: parts come off one after the other, the ring last, and all goes back") {
    Opened w;
    CHECK(!w.done(cmd::TakeOff{1}).empty()); // no plan yet
    REQUIRE(w.done(cmd::Select{seal("R3")}).empty());
    REQUIRE(w.done(cmd::ShowSheet{Sheet::plan}).empty());
    REQUIRE(w.derived().way);
    const auto way = w.derived().way_in;
    REQUIRE(way.parts.size() >= 3);
    CHECK(way.rings == std::vector<std::string>{"R3"});
    // The input shaft carries the ring, and the pump comes off before it.
    const auto place = [&](const std::string& part) {
        return std::find(way.parts.begin(), way.parts.end(), part) - way.parts.begin();
    };
    CHECK(place("pump") < place("front-drum"));
    CHECK(place("front-drum") < place("input-shaft"));
    REQUIRE(place("input-shaft") < static_cast<std::ptrdiff_t>(way.parts.size()));

    std::map<std::string, double> before;
    for (std::size_t step = 1; step <= way.parts.size(); ++step) {
        REQUIRE(w.done(cmd::TakeOff{static_cast<double>(step)}).empty());
        CHECK(w.view().sheet == Sheet::drawing);
        for (std::size_t i = 0; i < way.parts.size(); ++i) {
            const auto& part = way.parts[i];
            if (w.derived().explosion.parts.count(part) == 0) continue; // what stays with the case
            const double full = Apartness::of_steps(w.derived().explosion, way.parts, way.rings, way.steps())
                                    .shift_mm(w.derived().explosion.parts, part);
            CHECK(std::abs(full) > 20);
            CAPTURE(part);
            CHECK(w.off_mm(part) == doctest::Approx(i < step ? full : 0));
        }
        CHECK(w.ring_off_mm("R3") == doctest::Approx(w.off_mm("input-shaft"))); // sits in its groove
    }
    CHECK(std::abs(w.off_mm("pump")) > 50);
    REQUIRE(w.done(cmd::TakeOff{way.steps()}).empty());
    CHECK(std::abs(w.ring_off_mm("R3") - w.off_mm("input-shaft")) > 5);
    CHECK(w.ring_off_mm("R2") == doctest::Approx(w.off_mm("input-shaft")));
    CHECK(!w.done(cmd::TakeOff{way.steps() + 1}).empty());
    CHECK(!w.done(cmd::TakeOff{-1}).empty());
    REQUIRE(w.done(cmd::TakeOff{0}).empty());
    for (const auto& part : way.parts)
        CHECK(apartness(w.bench.session(), w.derived()).shift_mm(w.derived().explosion.parts, part) == 0);
}

TEST_CASE("way in: a piston stays in its drum until it comes off itself") {
    Opened w;
    REQUIRE(w.done(cmd::Select{seal("R3")}).empty());
    REQUIRE(w.done(cmd::ShowSheet{Sheet::plan}).empty());
    REQUIRE(w.done(cmd::TakeOff{w.derived().way_in.steps()}).empty());
    REQUIRE(std::abs(w.off_mm("front-drum")) > 20);
    CHECK(w.off_mm("reverse-piston") == doctest::Approx(w.off_mm("front-drum")));
    REQUIRE(w.done(cmd::Select{seal("L3")}).empty()); // inside the reverse piston
    REQUIRE(w.done(cmd::ShowSheet{Sheet::plan}).empty());
    const auto& parts = w.derived().way_in.parts;
    REQUIRE(std::find(parts.begin(), parts.end(), "reverse-piston") != parts.end());
    CHECK(w.view().taking.to == 0); // another way in: together again
    REQUIRE(w.done(cmd::TakeOff{w.derived().way_in.steps()}).empty());
    CHECK(std::abs(w.off_mm("reverse-piston") - w.off_mm("front-drum")) > 5);
}

TEST_CASE("way in: on its way a part is between, and less motion makes it a jump") {
    Opened w;
    REQUIRE(w.done(cmd::Select{seal("R3")}).empty());
    REQUIRE(w.done(cmd::ShowSheet{Sheet::plan}).empty());
    const auto& order = w.derived().way_in.parts;
    const double pump = static_cast<double>(std::find(order.begin(), order.end(), "pump") - order.begin()) + 1;
    REQUIRE(w.done(cmd::TakeOff{pump - 1}).empty());
    w.bench.dispatch(cmd::TakeOff{pump}, 1000);
    const auto at = [&](double now_s) {
        return std::abs(apartness(w.bench.session(), w.derived(), now_s).shift_mm(w.derived().explosion.parts, "pump"));
    };
    const auto& all = w.derived();
    const double full =
        std::abs(Apartness::of_steps(all.explosion, all.way_in.parts, all.way_in.rings, all.way_in.steps())
                     .shift_mm(all.explosion.parts, "pump"));
    CHECK(at(1000) == doctest::Approx(0));
    CHECK(at(1000 + take_off_s / 2) == doctest::Approx(full / 2));
    CHECK(at(1000 + take_off_s) == doctest::Approx(full));
    CHECK(in_motion(w.view().taking, 1000 + take_off_s / 2));
    CHECK_FALSE(in_motion(w.view().taking, 1000 + take_off_s));
    w.bench.dispatch(cmd::SetReducedMotion{true}, 1010);
    w.bench.dispatch(cmd::TakeOff{pump - 1}, 1020);
    CHECK(at(1020) == 0);
    // Taking all apart by the slider begins from together.
    w.bench.dispatch(cmd::Explode{0.5}, 1030);
    CHECK(w.view().taking.to == 0);
}

TEST_CASE("plan and road: what stands there is the answer to what is asked now") {
    Opened w;
    CHECK(asked_for(w.bench.session(), w.derived()).seals.empty());
    REQUIRE(w.done(cmd::ShowSheet{Sheet::plan}).empty());
    CHECK_FALSE(w.derived().way);
    const auto& map = w.bench.session().document.map;
    const auto index = [&](const std::string& id) {
        return static_cast<std::size_t>(model::find(map.seals, id) - map.seals.data());
    };
    for (const std::string id : {"R3", "S1", "G1"}) {
        if (model::find(map.seals, id) == nullptr) continue;
        REQUIRE(w.done(cmd::Select{seal(id)}).empty());
        REQUIRE(w.derived().way);
        CHECK(w.derived().way->plan.teardown.seals == std::vector<std::size_t>{index(id)});
        CHECK(w.derived().way->plan.proof.has_value());
    }
    REQUIRE(w.done(cmd::ShowSheet{Sheet::road}).empty());
    REQUIRE(w.done(cmd::Select{seal("R3")}).empty());
    REQUIRE(w.derived().road);
    REQUIRE(w.derived().road->answer);
    CHECK(w.derived().road->answer->leak.seal == index("R3"));
    CHECK(w.derived().road->answer->leak.hole_mm == w.view().what_if_mm);
    const auto harmful = w.derived().road->answer->verdict.advice;
    REQUIRE(w.done(cmd::WhatIf{0.1}).empty());
    CHECK(w.derived().road->answer->leak.hole_mm == 0.1);
    CHECK(w.derived().road->answer->verdict.advice < harmful);
    // Readings make the likeliest seal the one that is asked about.
    REQUIRE(w.done(cmd::Select{}).empty());
    REQUIRE(w.done(cmd::AirInto{"P3"}).empty());
    model::Seen strong;
    strong.word = model::Heard::strong;
    REQUIRE(w.done(cmd::Saw{"P4", strong}).empty());
    const auto asked = asked_for(w.bench.session(), w.derived());
    REQUIRE(!asked.seals.empty());
    CHECK(asked.seals.front() == index("R3"));
    CHECK(asked.chance.size() == map.seals.size());
}

TEST_CASE("complaints: one for each symptom of a range, undone by name, and refused where the range is unknown") {
    Opened w;
    const auto& check = w.bench.session().document.check;
    model::Complaint slips;
    slips.range = "D2";
    slips.symptom = model::Symptom::slips;
    REQUIRE(w.done(cmd::Complained{slips}).empty());
    REQUIRE(check.complaints.size() == 1);
    CHECK(!w.bench.session().document.job.id.empty()); // the job begins with it
    CHECK(w.bench.session().document.job.checks.at(0).complaints.at(0).complaint == slips);
    model::Complaint good = slips;
    good.absent = true;
    REQUIRE(w.done(cmd::Complained{good}).empty());
    REQUIRE(check.complaints.size() == 1);
    CHECK(check.complaints[0].absent);
    REQUIRE(w.done(cmd::Complained{good, false}).empty());
    CHECK(check.complaints.empty());
    REQUIRE(w.done(cmd::Undo{}).empty());
    CHECK(check.complaints.size() == 1);
    model::Complaint nowhere = slips;
    nowhere.range = "D9";
    CHECK(w.done(cmd::Complained{nowhere}).find("D9") != std::string::npos);
}
