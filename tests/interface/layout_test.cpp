// Every task of the window at every size: nothing overlaps, nothing is cut off, every target fits a gloved hand.
#include <algorithm>
#include <array>
#include <functional>
#include <regex>

#include <doctest/doctest.h>

#include "../../viewer/app/tour.h"
#include "layout_check.h"
#include "panels_window.h"

using namespace ringland;
using namespace ringland::tests;
using diagnosis::airflow::Heard;
namespace cmd = ringland::viewer::command;

namespace {

struct Size {
    int width, height;
    double scale;
};
constexpr std::array<Size, 8> sizes{{{1280, 720, 1},
                                     {1280, 720, 2},
                                     {1920, 1080, 1},
                                     {1920, 1080, 2},
                                     {3840, 2160, 1},
                                     {3840, 2160, 2},
                                     {3840, 2160, 3},
                                     {800, 900, 1}}};

void say(Window& w, const Command& command) {
    const std::string why = w.bench.dispatch(command, w.now_s);
    REQUIRE_MESSAGE(why.empty(), why);
}

void work(Window& w) {
    while (w.bench.work_on())
        ;
    w.settle();
}

struct Task {
    const char* name;
    std::function<void(Window&)> set_up;
};

void ask(Window& w) {
    const auto& ports = w.document().map.ports;
    say(w, cmd::AirInto{ports[2].id});
    say(w, cmd::CameOut{ports[3 % ports.size()].id});
}

void check_air(Window& w) {
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
void fill_job(Window& w) {
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

void show_records(Window& w) {
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

void type(Window& w, const std::string& words) {
    for (const char c : words)
        w.interface.feed(input::Text{static_cast<unsigned>(c)});
    w.settle();
}

void tour_answer(Window& w) {
    w.interface.start_tour();
    w.settle();
    const auto tour = Tour::of(w.bench);
    REQUIRE(tour);
    say(w, cmd::AirInto{tour->air_into()});
    say(w, cmd::CameOut{tour->came_out()});
}

/// What the driver felt, in every range that has elements.
void complain(Window& w) {
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

const std::array<Task, 36> tasks{{
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

std::string faults_of(Window& w, const Size& size) {
    LayoutRules rules;
    rules.least_target = 44 * size.scale;
    rules.width = size.width;
    rules.height = size.height;
    const auto faults = layout_faults(w.interface.layout(), rules);
    std::string text;
    for (std::size_t i = 0; i < faults.size() && i < 12; ++i)
        text += "\n   " + faults[i];
    if (faults.size() > 12) text += fmt::format("\n   and {} more", faults.size() - 12);
    return text;
}

void check_all(const Size& size, UnitSystem units = UnitSystem::psi_inch) {
    for (const auto& map : {demo, small_demo, shift_demo}) {
        for (const Task& task : tasks) {
            Window w(map, size.width, size.height, size.scale);
            say(w, cmd::SetUnits{units});
            task.set_up(w);
            work(w);
            CHECK(w.interface.layout().things.size() > 15);
            const std::string faults = faults_of(w, size);
            CHECK_MESSAGE(faults.empty(), map.substr(map.rfind('/') + 1), ", ", std::string(task.name), ", ",
                          size.width, "x", size.height, " at ", size.scale, faults);
        }
    }
}

} // namespace

TEST_CASE("layout: 1280x720") { check_all(sizes[0]); }
TEST_CASE("layout: 1280x720 at twice the size") { check_all(sizes[1]); }
TEST_CASE("layout: 1920x1080") { check_all(sizes[2]); }
TEST_CASE("layout: 1920x1080 at twice the size") { check_all(sizes[3]); }
TEST_CASE("layout: 3840x2160") { check_all(sizes[4]); }
TEST_CASE("layout: 3840x2160 at twice the size") { check_all(sizes[5]); }
TEST_CASE("layout: 3840x2160 at three times the size") { check_all(sizes[6]); }
TEST_CASE("layout: a narrow window") { check_all(sizes[7], UnitSystem::bar_mm); }

TEST_CASE("layout: the check finds what is wrong in a record made wrong on purpose") {
    using K = Placed::Kind;
    LayoutRules rules;
    rules.width = 400;
    rules.height = 300;
    LayoutRecord good;
    good.regions = {{"panel", {0, 0, 200, 300}, {0, 0, 200, 300}, false, false},
                    {"list", {200, 0, 200, 300}, {200, 0, 190, 900}, true, false}};
    good.things = {{K::target, "a", "panel", {10, 10, 60, 44}, false},
                   {K::text, "words", "panel", {15, 20, 40, 15}, false},
                   {K::target, "far down", "list", {210, 800, 60, 44}, false}};
    CHECK(layout_faults(good, rules).empty());
    const auto finds = [&](const std::string& word, const LayoutRecord& record) {
        const auto faults = layout_faults(record, rules);
        CHECK_MESSAGE(std::any_of(faults.begin(), faults.end(),
                                  [&](const auto& f) { return f.compare(0, word.size(), word) == 0; }),
                      word);
    };
    const auto with = [&](const Placed& thing) {
        LayoutRecord record = good;
        record.things.push_back(thing);
        return record;
    };
    finds("overlap", with({K::target, "b", "panel", {50, 30, 60, 44}, false}));
    finds("overlap", with({K::text, "half on it", "panel", {60, 30, 60, 15}, false}));
    finds("overlap", with({K::text, "on words", "panel", {20, 25, 30, 15}, false}));
    finds("overlap", with({K::card, "", "panel", {40, 30, 90, 44}, false}));
    finds("too small", with({K::target, "small", "panel", {100, 100, 60, 40}, false}));
    finds("cut off", with({K::text, "dots", "panel", {100, 100, 40, 15}, true}));
    finds("beyond its panel", with({K::text, "out", "panel", {180, 100, 40, 15}, false}));
    finds("beyond its panel", with({K::text, "never reached", "list", {210, 950, 40, 15}, false}));
    LayoutRecord wide = good;
    wide.regions[1].content.width = 260;
    finds("scrolls sideways", wide);
    LayoutRecord out = good;
    out.regions[1].rect.width = 230;
    finds("beyond the window", out);
    LayoutRecord over = good;
    over.regions[1].rect = {150, 0, 250, 300};
    finds("panels overlap", over);
}

/// A figure that the author of a map wrote, of measuring, fitting or taking off, stands in a text.
bool holds_words_of_map(const model::UnitMap& map, const std::string& text) {
    const auto holds = [&](const std::string& words) {
        return !words.empty() && text.find(words) != std::string::npos;
    };
    return std::any_of(map.clearances.begin(), map.clearances.end(),
                       [&](const auto& c) { return holds(c.correct) || holds(c.measure); }) ||
           std::any_of(map.parts.begin(), map.parts.end(),
                       [&](const auto& p) { return holds(p.tools) || holds(p.caution); }) ||
           std::any_of(map.seals.begin(), map.seals.end(), [&](const auto& s) {
               return holds(s.inspect) || holds(s.fit) || holds(s.look) || holds(s.cause);
           });
}

TEST_CASE("units: with bar and millimetres no sheet says psi or inches, and the other way round") {
    const std::regex imperial("psi|\\d in\\b|in²"),
        metric("\\d bar|per bar|kPa|\\d mm|mm²|\\d m\\b|°C(?!, [0-9]+ to [0-9]+ °F)");
    for (const auto& map : {demo, small_demo, shift_demo}) {
        for (const UnitSystem units : {UnitSystem::bar_mm, UnitSystem::psi_inch}) {
            for (const Task& task : tasks) {
                const std::string name = task.name;
                // The menu and the search name both systems.
                if (name == "menu" || name.compare(0, 6, "search") == 0) continue;
                Window w(map, 1920, 1080);
                say(w, cmd::SetUnits{units});
                task.set_up(w);
                work(w);
                for (const Placed& thing : w.interface.layout().things) {
                    if (thing.kind != Placed::Kind::text || thing.region == "help" || thing.region == "bar") continue;
                    // What a map says of its things stays in its author's words, and oil is known by °C and mm²/s.
                    if (holds_words_of_map(w.document().map, thing.label) ||
                        thing.label.find("Taken where the map is silent") == 0)
                        continue;
                    const bool wrong = std::regex_search(thing.label, units == UnitSystem::bar_mm ? imperial : metric);
                    CHECK_MESSAGE(!wrong, name, ": ", thing.label);
                }
            }
        }
    }
}

TEST_CASE("empty states: without a unit every sheet says what to do next") {
    for (const Sheet sheet :
         {Sheet::drawing, Sheet::check, Sheet::chart, Sheet::network, Sheet::bench, Sheet::road, Sheet::plan}) {
        for (const Size& size : {sizes[0], sizes[1]}) {
            Interface interface(size.scale);
            Workbench nothing;
            REQUIRE(nothing.dispatch(cmd::ShowSheet{sheet}, 0).empty());
            for (int i = 0; i < 3; ++i)
                interface.frame(nothing, size.width, size.height, 0.1 * i, {});
            const auto& things = interface.layout().things;
            const auto holds = [&](const char* words) {
                return std::any_of(things.begin(), things.end(),
                                   [&](const Placed& p) { return p.label.find(words) != std::string::npos; });
            };
            CHECK(holds(sheet == Sheet::bench && size.scale == 2 ? "No unit open" : "No unit is open"));
            if (sheet != Sheet::bench) CHECK(holds("onto this window"));
            LayoutRules rules;
            rules.least_target = 44 * size.scale;
            rules.width = size.width;
            rules.height = size.height;
            for (const auto& fault : layout_faults(interface.layout(), rules))
                FAIL_CHECK(fault);
        }
    }
}
