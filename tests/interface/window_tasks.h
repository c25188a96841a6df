// What a hand does in the window, task by task: for the tests that look at every panel and sheet.
#pragma once

#include <algorithm>
#include <array>
#include <functional>
#include <memory>
#include <string>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "../../viewer/app/tour.h"
#include "panels_window.h"

namespace ringland::tests::tasks {

using diagnosis::airflow::Heard;
namespace cmd = ringland::viewer::command;

inline void say(Window& w, const Command& command) {
    const std::string why = w.bench.dispatch(command, w.now_s);
    REQUIRE_MESSAGE(why.empty(), why);
}

struct Task {
    const char* name;
    std::function<void(Window&)> set_up;
};

inline void ask(Window& w) {
    const auto& ports = w.document().map.ports;
    say(w, cmd::AirInto{ports[2].id});
    say(w, cmd::CameOut{ports[3 % ports.size()].id});
}

inline void check_air(Window& w) {
    ask(w);
    const auto& ports = w.document().map.ports;
    model::Seen strong, faint;
    strong.word = Heard::strong;
    faint.word = Heard::faint;
    say(w, cmd::Saw{ports[3].id, strong});
    say(w, cmd::Saw{ports[0].id, faint});
    say(w, cmd::ShowSheet{Sheet::check});
}

/// A job with something in every place, long words too.
inline void fill_job(Window& w) {
    check_air(w);
    const auto edit = [&](const JobEdit& e) { say(w, cmd::EditJob{e}); };
    using job_edit::Field;
    edit(job_edit::Write{Field::number, "Invented 2031-0417 / second unit of a longer order"});
    edit(job_edit::Write{Field::customer, "An invented firm with a rather long name and several branches"});
    edit(job_edit::Write{Field::who, "the invented hand at the second bench"});
    edit(job_edit::Write{Field::complaint,
                         "Ties up from second to third when it is hot, and comes out of it again after a "
                         "while; before that it was towed for Zweihundertfünfzigkilometerstrecke."});
    const auto& map = w.document().map;
    for (std::size_t i = 0; i < std::min<std::size_t>(3, map.seals.size()); ++i) {
        edit(job_edit::Find{map.seals[i].id, i == 1 ? model::Found::sound : model::Found::damaged});
        edit(job_edit::Describe{map.seals[i].id, "a cut along the outer face, as long as a finger nail is wide"});
        edit(job_edit::Photo{map.seals[i].id, "/a/folder/of/photos/with-a-long-name-of-its-own-0001.jpg", true});
    }
    for (const auto& clearance : map.clearances)
        edit(job_edit::Measure{clearance.id, model::Length{12.5, model::LengthDimension::Unit::mm}});
    edit(job_edit::Renew{map.seals[0].id, 1, ""});
    edit(job_edit::Renew{"a gasket of the pan that was ordered from elsewhere", 12, "INV-0000-1234-5678"});
    edit(job_edit::Note{"The shaft had blue marks at the third land."});
    edit(job_edit::Tick{model::JobStep::take_apart, true});
    edit(job_edit::Write{Field::conclusion,
                         "The third ring was cut by a burr; the burr is dressed and the rings are new."});
    say(w, cmd::ShowSheet{Sheet::job});
}

inline void show_records(Window& w) {
    auto page = std::make_shared<ShelfPage>();
    page->total = 1234;
    page->away = true;
    page->waiting = 3;
    for (int i = 0; i < 12; ++i) {
        diagnosis::records::JobLine line;
        line.id = fmt::format("{:032x}", i);
        line.number = i % 3 == 0 ? "Invented 2031-0417 / second unit of a longer order" : "17";
        line.unit = w.document().map.unit.name;
        line.customer = "An invented firm with a rather long name and several branches";
        line.complaint = "Ties up from second to third when it is hot, and comes out of it again after a while.";
        line.found = "R3, L1, O2";
        line.opened_at = "2031-05-04T09:30:00Z";
        line.stands = static_cast<model::JobStep>(i % 8);
        line.done = i == 7;
        page->lines.push_back(line);
    }
    for (const auto& seal : w.document().map.seals)
        page->statistics.seals.push_back({w.document().map.unit.name, seal.id, seal.name, 7, 11});
    page->statistics.units.push_back({w.document().map.unit.name, 123, 100, 4, 61.5});
    page->statistics.units.push_back({"Another invented unit with a name that goes on", 1, 0, 0, 0});
    w.interface.set_shelf(page);
    say(w, cmd::ShowSheet{Sheet::records});
}

inline void tour_answer(Window& w) {
    w.interface.start_tour();
    w.settle();
    const auto tour = Tour::of(w.bench);
    REQUIRE(tour);
    say(w, cmd::AirInto{tour->air_into()});
    say(w, cmd::CameOut{tour->came_out()});
}

/// What the driver felt, in every range that has elements.
inline void complain(Window& w) {
    for (const auto& range : w.document().map.ranges) {
        model::Complaint complaint;
        complaint.range = range.id;
        complaint.symptom = range.on.empty() ? model::Symptom::drags : model::Symptom::wrong_gear;
        complaint.absent = range.on.empty();
        complaint.hot_only = true;
        if (!range.on.empty()) complaint.starts_in = w.document().map.ranges.front().id;
        say(w, cmd::Complained{complaint});
    }
}

inline const std::array<Task, 36> all{{
    {"first open", [](Window&) {}},
    {"port under air", [](Window& w) { say(w, cmd::AirInto{w.document().map.ports[2].id}); }},
    {"answer", ask},
    {"answer and a word",
     [](Window& w) {
         ask(w);
         model::Seen strong;
         strong.word = Heard::strong;
         say(w, cmd::Saw{w.document().came_out, strong});
     }},
    {"air check, no air yet", [](Window& w) { say(w, cmd::ShowSheet{Sheet::check}); }},
    {"air check begun", check_air},
    {"gauge open",
     [](Window& w) {
         check_air(w);
         w.settle();
         w.press("gauge " + w.document().map.ports[3].id);
     }},
    {"chart", [](Window& w) { say(w, cmd::ShowSheet{Sheet::chart}); }},
    {"network, no air yet", [](Window& w) { say(w, cmd::ShowSheet{Sheet::network}); }},
    {"network",
     [](Window& w) {
         ask(w);
         say(w, cmd::ShowSheet{Sheet::network});
     }},
    {"air bench", [](Window& w) { say(w, cmd::ShowSheet{Sheet::bench}); }},
    {"job, nothing entered", [](Window& w) { say(w, cmd::ShowSheet{Sheet::job}); }},
    {"job, much entered", fill_job},
    {"way in, nothing asked", [](Window& w) { say(w, cmd::ShowSheet{Sheet::plan}); }},
    {"way in to the suspects",
     [](Window& w) {
         check_air(w);
         say(w, cmd::ShowSheet{Sheet::plan});
         work(w);
     }},
    {"way in to one seal, two steps done",
     [](Window& w) {
         say(w, cmd::Select{{model::SubjectKind::seal, w.document().map.seals.back().id}});
         say(w, cmd::ShowSheet{Sheet::plan});
         work(w);
         if (w.bench.derived().way_in.steps() >= 1) say(w, cmd::TakeOff{1});
     }},
    {"road, nothing asked", [](Window& w) { say(w, cmd::ShowSheet{Sheet::road}); }},
    {"road of one seal",
     [](Window& w) {
         say(w, cmd::Select{{model::SubjectKind::seal, w.document().map.seals[2].id}});
         say(w, cmd::ShowSheet{Sheet::road});
         work(w);
     }},
    {"road of the suspects",
     [](Window& w) {
         check_air(w);
         say(w, cmd::ShowSheet{Sheet::road});
         work(w);
     }},
    {"road, many complaints",
     [](Window& w) {
         complain(w);
         say(w, cmd::ShowSheet{Sheet::road});
         work(w);
         if (w.document().map.ranges.size() > 3) w.press("complaint in " + w.document().map.ranges[3].id);
     }},
    {"records, not asked yet", [](Window& w) { say(w, cmd::ShowSheet{Sheet::records}); }},
    {"records", show_records},
    {"records in trouble",
     [](Window& w) {
         auto page = std::make_shared<ShelfPage>();
         page->trouble = "the folder /somewhere/deep/down/where/nobody/may/write/ringland cannot be written in: choose "
                         "another one with --records";
         w.interface.set_shelf(page);
         say(w, cmd::ShowSheet{Sheet::records});
     }},
    {"keys list", [](Window& w) { w.key(Key::f1); }},
    {"selected ring",
     [](Window& w) {
         ask(w);
         say(w, cmd::Select{{model::SubjectKind::seal, w.document().map.seals.front().id}});
     }},
    {"menu", [](Window& w) { w.letter('M'); }},
    {"menu of lying",
     [](Window& w) {
         if (w.interface.items().count("How is it lying now?") == 0) w.letter('M');
         w.press("How is it lying now?");
         CHECK(w.interface.items().count("lying belly up") == 1);
     }},
    {"search, nothing typed", [](Window& w) { w.letter('K', true); }},
    {"search",
     [](Window& w) {
         w.letter('K', true);
         type(w, "ring");
     }},
    {"search, nothing found",
     [](Window& w) {
         w.letter('K', true);
         type(w, "xyzzy");
     }},
    {"tour, first step", [](Window& w) { w.interface.start_tour(); }},
    {"tour, answer", tour_answer},
    {"tour, turn the unit",
     [](Window& w) {
         tour_answer(w);
         w.settle();
         w.press("Go on");
         model::Seen strong;
         strong.word = Heard::strong;
         say(w, cmd::Saw{w.document().came_out, strong});
         say(w, cmd::ShowSheet{Sheet::check});
     }},
    {"three notices and a number",
     [](Window& w) {
         w.key(Key::digit, '3');
         w.interface.show_notice("The first of them.");
         w.interface.show_notice("A second one, which is somewhat longer than the first one is.", "redo");
         w.interface.show_notice(
             "A remark of some length that says what is wrong, and then what would be right there.");
     }},
    {"keys list and a notice",
     [](Window& w) {
         w.key(Key::f1);
         w.interface.show_notice("A remark beside the list of keys.");
     }},
    {"notice",
     [](Window& w) {
         w.interface.show_notice("A remark of some length that says what is wrong and what would be right.");
     }},
}};

} // namespace ringland::tests::tasks
