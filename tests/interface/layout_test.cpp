// Every task of the window at every size: nothing overlaps, nothing is cut off, every target fits a gloved hand.
#include <algorithm>
#include <array>
#include <regex>

#include <doctest/doctest.h>

#include "layout_check.h"
#include "window_tasks.h"

using namespace ringland;
using namespace ringland::tests;
using tasks::say;
namespace cmd = ringland::viewer::command;

namespace {

struct WindowSize {
    int width, height;
    double scale;
};
constexpr std::array<WindowSize, 8> window_sizes{{{1280, 720, 1},
                                                  {1280, 720, 2},
                                                  {1920, 1080, 1},
                                                  {1920, 1080, 2},
                                                  {3840, 2160, 1},
                                                  {3840, 2160, 2},
                                                  {3840, 2160, 3},
                                                  {800, 900, 1}}};

std::string faults_of(Window& w, const WindowSize& size) {
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

void check_all(const WindowSize& size, UnitSystem units = UnitSystem::psi_inch, const std::string& language = "en") {
    for (const auto& map : {demo, small_demo, shift_demo}) {
        for (const tasks::Task& task : tasks::all) {
            Window w(map, size.width, size.height, size.scale);
            say(w, cmd::SetUnits{units});
            say(w, cmd::SetLanguage{language});
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

TEST_CASE("layout: 1280x720") { check_all(window_sizes[0]); }
TEST_CASE("layout: 1280x720 at twice the size") { check_all(window_sizes[1]); }
TEST_CASE("layout: 1920x1080") { check_all(window_sizes[2]); }
TEST_CASE("layout: 1920x1080 at twice the size") { check_all(window_sizes[3]); }
TEST_CASE("layout: 3840x2160") { check_all(window_sizes[4]); }
TEST_CASE("layout: 3840x2160 at twice the size") { check_all(window_sizes[5]); }
TEST_CASE("layout: 3840x2160 at three times the size") { check_all(window_sizes[6]); }
TEST_CASE("layout: a narrow window") { check_all(window_sizes[7], UnitSystem::bar_mm); }

// Spanish is about a quarter longer.
TEST_CASE("layout in Spanish: 1280x720") { check_all(window_sizes[0], UnitSystem::bar_mm, "es"); }
TEST_CASE("layout in Spanish: 1280x720 at twice the size") { check_all(window_sizes[1], UnitSystem::bar_mm, "es"); }
TEST_CASE("layout in Spanish: 1920x1080") { check_all(window_sizes[2], UnitSystem::psi_inch, "es"); }
TEST_CASE("layout in Spanish: 1920x1080 at twice the size") { check_all(window_sizes[3], UnitSystem::bar_mm, "es"); }
TEST_CASE("layout in Spanish: 3840x2160") { check_all(window_sizes[4], UnitSystem::bar_mm, "es"); }
TEST_CASE("layout in Spanish: 3840x2160 at twice the size") { check_all(window_sizes[5], UnitSystem::bar_mm, "es"); }
TEST_CASE("layout in Spanish: 3840x2160 at three times the size") {
    check_all(window_sizes[6], UnitSystem::bar_mm, "es");
}
TEST_CASE("layout in Spanish: a narrow window") { check_all(window_sizes[7], UnitSystem::bar_mm, "es"); }

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
            for (const tasks::Task& task : tasks::all) {
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
        for (const WindowSize& size : {window_sizes[0], window_sizes[1]}) {
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
