// What can be done is found by a few letters, with a slip of the finger, in any order of the words.
#include "../../viewer/app/search.h"

#include <algorithm>

#include <doctest/doctest.h>

#include "../../viewer/app/camera.h"
#include "opened.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;
namespace cmd = ringland::viewer::command;

namespace {

std::string first(const Workbench& bench, std::string_view typed) {
    const auto found = find_to_do(bench, typed, 9);
    return found.empty() ? "" : found.front().title;
}

} // namespace

TEST_CASE("search: words match the same, by their beginning, by a part, and with a slip") {
    CHECK(word_match("ring", "ring") == 100);
    CHECK(word_match("sec", "section") > word_match("ctio", "section"));
    CHECK(word_match("ctio", "section") > word_match("sectoin", "section"));
    CHECK(word_match("sectoin", "section") > 0);
    CHECK(word_match("nework", "network") > 0);
    CHECK(word_match("dar", "chart") == 0);
    CHECK(word_match("3", "13") == 0);
    CHECK(word_match("3", "30") == 0);
    CHECK(word_match("3", "3rd") > 0);
    CHECK(word_match("", "ring") == 0);
    CHECK(word_match("zzzz", "ring") == 0);
}

TEST_CASE("search: ports, rings, circuits, views and words are found as one says them") {
    const Workbench bench = opened();
    CHECK(first(bench, "air into p3") == "Air into P3 LOW");
    CHECK(first(bench, "into low") == "Air into P3 LOW");
    CHECK(first(bench, "P3") == "Air into P3 LOW");
    CHECK(first(bench, "show ring 3") == "Show R3 ring");
    CHECK(first(bench, "ring 3") == "Show R3 ring");
    CHECK(first(bench, "r3") == "Show R3 ring");
    CHECK(first(bench, "3 ring") == "Show R3 ring");
    CHECK(first(bench, "circuit coast") == "Show circuit Coast");
    CHECK(first(bench, "stack") == "Stack");
    CHECK(first(bench, "dark") == "Dark");
    CHECK(first(bench, "metric") == "Units bar and millimetres");
    CHECK(first(bench, "bell down") == "Lying bell down");
    CHECK(first(bench, "keys") == "All keys");
    CHECK(first(bench, "tour") == "The tour of one minute");
    CHECK(first(bench, "netwrok") == "Pressures and flows as a network");
    CHECK(first(bench, "40 psi") == "Air at the regulator: 40 psi");
    CHECK(first(bench, "2.5bar") == "Air at the regulator: 2.5 bar");
    CHECK(find_to_do(bench, "400 psi", 9).empty());
    CHECK(find_to_do(bench, "xyzzy", 9).empty());
    CHECK(search_help(bench).find("P1") != std::string::npos);
}

TEST_CASE("search: each thing that is possible can be carried out, and what is not says so") {
    Workbench bench = opened();
    const auto ask = [&](std::string_view typed) {
        const auto found = find_to_do(bench, typed, 9);
        REQUIRE_FALSE(found.empty());
        for (const auto& command : found.front().commands)
            CHECK(bench.dispatch(command, 1) == "");
        return found.front();
    };
    CHECK_FALSE(find_to_do(bench, "swap", 1).front().possible);
    CHECK_FALSE(find_to_do(bench, "undo", 1).front().possible);
    ask("air into p3");
    CHECK(bench.session().document.air_into == "P3");
    ask("came out p4");
    CHECK(bench.session().document.came_out == "P4");
    CHECK(find_to_do(bench, "swap", 1).front().possible);
    CHECK(find_to_do(bench, "undo", 1).front().detail == "came out of P4");
    ask("p4 strong");
    CHECK(seen_word(bench.session().document) == model::Heard::strong);
    ask("show ring 5");
    CHECK(bench.session().view.selected == model::Subject{model::SubjectKind::seal, "R5"});
    CHECK(bench.session().view.viewpoint == Viewpoint::stack);
    CHECK(bench.session().view.section);
    // Everything that is offered for one letter of each kind is carried out without a refusal.
    for (const char* typed : {"a", "s", "l", "p", "r", "d", "u", "1"}) {
        // Each of them changes what the next ones mean, so they are looked up anew.
        for (std::size_t i = 0; i < 40; ++i) {
            const auto found = find_to_do(bench, typed, 40);
            if (i >= found.size() || !found[i].possible) continue;
            for (const auto& command : found[i].commands)
                CHECK_MESSAGE(bench.dispatch(command, 2) == "", found[i].title);
        }
    }
}

TEST_CASE("search: nothing typed offers what is wanted most, and no more than asked for") {
    Workbench bench = opened();
    CHECK(find_to_do(bench, "", 5).size() == 5);
    CHECK(find_to_do(bench, "  ", 3).size() == 3);
    CHECK(find_to_do(bench, "ring", 4).size() == 4);
    CHECK(first(bench, "") != "Swap direction");
    bench.dispatch(cmd::AirInto{"P3"}, 0);
    bench.dispatch(cmd::CameOut{"P4"}, 0);
    CHECK(first(bench, "") == "Swap direction");
}

TEST_CASE("less motion: no flight, ride or turntable moves the eye; off again, it flies") {
    Workbench bench = opened();
    bench.dispatch(cmd::AirInto{"P3"}, 1);
    CHECK(bench.dispatch(cmd::SetReducedMotion{true}, 1) == "");
    bench.dispatch(cmd::CameOut{"P4"}, 2);
    CHECK(bench.session().view.viewpoint == Viewpoint::stack);
    CHECK_FALSE(in_flight(bench.session().view.flight, 2));
    CHECK(camera_at(bench.session().view.flight, 2) == bench.session().view.flight.to);
    bench.dispatch(cmd::SetTurntable{true}, 3);
    CHECK_FALSE(in_flight(bench.session().view.flight, 3));
    bench.dispatch(cmd::Ride{}, 3);
    CHECK_FALSE(in_flight(bench.session().view.flight, 3));
    bench.dispatch(cmd::SetReducedMotion{false}, 4);
    bench.dispatch(cmd::ShowView{Viewpoint::bench}, 4);
    CHECK(in_flight(bench.session().view.flight, 4.1));
    std::string why;
    for (const bool on : {true, false}) {
        const auto read = parse_command(to_text(cmd::SetReducedMotion{on}), why);
        REQUIRE(read);
        CHECK(std::get<cmd::SetReducedMotion>(*read).on == on);
    }
    CHECK_FALSE(parse_command("set-reduced-motion perhaps", why));
}
