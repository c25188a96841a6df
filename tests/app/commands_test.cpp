// Laws of the command stack, and commands as text.
#include <algorithm>
#include <cstdint>
#include <limits>
#include <map>
#include <random>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "../../viewer/app/actions.h"
#include "../../viewer/app/camera.h"
#include "../../viewer/app/commands.h"
#include "opened.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;
namespace cmd = ringland::viewer::command;

namespace {

/// A number below `n` that is the same on every machine.
std::size_t below(std::mt19937_64& random, std::size_t n) { return static_cast<std::size_t>(random() % n); }

Command random_port_command(std::mt19937_64& random, const model::UnitMap& map) {
    const std::string port = map.ports[below(random, map.ports.size())].id;
    switch (below(random, 8)) {
    case 0:
    case 1:
        return cmd::AirInto{port};
    case 2:
    case 3:
        return cmd::CameOut{port};
    case 4:
        return cmd::SwapDirection{};
    case 5:
        return cmd::ClearPorts{};
    case 6:
        return cmd::CameOut{""};
    default:
        return cmd::AirInto{"P99"};
    }
}

/// The derived part must always be what the document says.
void check_answer_is_fresh(const Workbench& bench) {
    const Document& d = bench.session().document;
    const bool both = !d.air_into.empty() && !d.came_out.empty();
    REQUIRE(bench.derived().answer.has_value() == both);
    if (!both) {
        CHECK(bench.derived().suspect.empty());
        CHECK_FALSE(bench.derived().air.has_value());
        return;
    }
    CHECK(bench.derived().answer->from.port == d.air_into);
    CHECK(bench.derived().answer->to.port == d.came_out);
    const auto& seals = bench.derived().answer->seals;
    CHECK(bench.derived().suspect.empty() == seals.empty());
}

} // namespace

TEST_CASE("commands: undo takes back exactly what was done, redo brings it again") {
    for (std::uint64_t seed = 1; seed <= 12; ++seed) {
        std::mt19937_64 random(seed);
        Workbench bench = opened();
        std::vector<Document> history{bench.session().document};
        for (int i = 0; i < 40; ++i) {
            const Document before = bench.session().document;
            const std::string refused = bench.dispatch(random_port_command(random, before.map), i);
            if (!refused.empty()) CHECK(bench.session().document == before);
            if (!(bench.session().document == before)) history.push_back(bench.session().document);
            check_answer_is_fresh(bench);
        }
        REQUIRE(history.size() > 5);
        for (std::size_t i = history.size() - 1; i > 0; --i) {
            REQUIRE(bench.undo_name());
            CHECK(bench.dispatch(cmd::Undo{}, 100).empty());
            CHECK(bench.session().document == history[i - 1]);
            check_answer_is_fresh(bench);
        }
        CHECK_FALSE(bench.undo_name());
        CHECK_FALSE(bench.dispatch(cmd::Undo{}, 101).empty());
        for (std::size_t i = 1; i < history.size(); ++i) {
            CHECK(bench.dispatch(cmd::Redo{}, 102).empty());
            CHECK(bench.session().document == history[i]);
        }
        CHECK_FALSE(bench.dispatch(cmd::Redo{}, 103).empty());
    }
}

TEST_CASE("commands: a new step forgets what was undone, and steps have names") {
    Workbench bench = opened();
    CHECK_FALSE(bench.undo_name());
    CHECK(bench.dispatch(cmd::AirInto{"P3"}, 0).empty());
    CHECK(bench.undo_name() == "air into P3");
    CHECK(bench.dispatch(cmd::CameOut{"P4"}, 0).empty());
    CHECK(bench.undo_name() == "came out of P4");
    CHECK(bench.dispatch(cmd::Undo{}, 0).empty());
    CHECK(bench.redo_name() == "came out of P4");
    CHECK(bench.dispatch(cmd::CameOut{"P5"}, 0).empty());
    CHECK_FALSE(bench.redo_name());
    // The same again is no step.
    CHECK(bench.dispatch(cmd::CameOut{"P5"}, 0).empty());
    CHECK(bench.dispatch(cmd::Undo{}, 0).empty());
    CHECK(bench.session().document.came_out.empty());
}

TEST_CASE("commands: a refused command says why and changes nothing") {
    Workbench bench = opened();
    REQUIRE(bench.dispatch(cmd::AirInto{"P3"}, 0).empty());
    REQUIRE(bench.dispatch(cmd::CameOut{"P4"}, 0).empty());
    const std::vector<std::pair<Command, std::string>> refused{
        {cmd::AirInto{"P33"}, "P3"},
        {cmd::CameOut{"p4"}, "P4"},
        {cmd::CameOut{"P3"}, "P3 gets the air"},
        {cmd::Select{{model::SubjectKind::seal, "R33"}}, "no seal is called R33"},
        {cmd::Focus{{model::SubjectKind::part, "spoon"}}, "no part is called spoon"},
        {cmd::ShowSuspect{"R99"}, "R99"},
        {cmd::Zoom{0}, "above 0"},
        {cmd::Zoom{std::numeric_limits<double>::quiet_NaN()}, "above 0"},
        {cmd::Orbit{std::numeric_limits<double>::infinity(), 0}, "degrees"},
        {cmd::Pan{1e9, 0}, "too far"},
        {cmd::SetTextScale{7}, "2.5"},
        {cmd::SetLanguage{"xx"}, "en, es"},
        {cmd::OpenMap{RINGLAND_SOURCE_DIR "/no-such-file.toml"}, "no-such-file.toml"},
        {cmd::Redo{}, "nothing to redo"},
    };
    for (const auto& one : refused) { // clang 14: no structured binding within a lambda
        const auto& command = one.first;
        const auto& words = one.second;
        const Session before = bench.session();
        const auto suspect = bench.derived().suspect;
        const std::string why = bench.dispatch(command, 5);
        INFO(to_text(command), " → ", why);
        CHECK(why.find(words) != std::string::npos);
        CHECK(bench.session().document == before.document);
        CHECK(bench.session().view.flight.to == before.view.flight.to);
        CHECK(bench.session().view.text_scale == before.view.text_scale);
        CHECK(bench.session().view.selected == before.view.selected);
        CHECK(bench.derived().suspect == suspect);
        CHECK(bench.undo_name() == "came out of P4");
    }
    Workbench fresh = opened();
    CHECK_FALSE(fresh.dispatch(cmd::SwapDirection{}, 0).empty());
    CHECK_FALSE(fresh.dispatch(cmd::ShowView{Viewpoint::follow}, 0).empty());
}

TEST_CASE("commands: the ring that divides is there in the same dispatch, and the camera is on its way") {
    Workbench bench = opened();
    REQUIRE(bench.dispatch(cmd::AirInto{"P3"}, 1).empty());
    CHECK(bench.session().view.viewpoint == Viewpoint::bench);
    REQUIRE(bench.dispatch(cmd::CameOut{"P4"}, 2).empty());
    REQUIRE(bench.derived().answer);
    REQUIRE_FALSE(bench.derived().answer->seals.empty());
    const auto* seal = model::find(bench.session().document.map.seals, bench.derived().suspect);
    REQUIRE(seal);
    CHECK(seal->kind == model::SealKind::ring);
    CHECK(bench.derived().air.has_value());
    CHECK(bench.session().view.viewpoint == Viewpoint::stack);
    CHECK(in_flight(bench.session().view.flight, 2.3));
    CHECK_FALSE(in_flight(bench.session().view.flight, 2.61));
    REQUIRE(bench.dispatch(cmd::SwapDirection{}, 3).empty());
    CHECK(bench.derived().answer->from.port == "P4");
    CHECK(bench.derived().suspect == seal->id);
    REQUIRE(bench.dispatch(cmd::ClearPorts{}, 4).empty());
    CHECK(bench.session().view.viewpoint == Viewpoint::bench);
    CHECK_FALSE(bench.derived().air.has_value());
}

TEST_CASE("commands: another suspect can be shown, and air into the exit port clears the exit") {
    Workbench bench = opened();
    const auto& map = bench.session().document.map;
    bool tried = false;
    for (const auto& a : map.ports) {
        for (const auto& b : map.ports) {
            if (a.id == b.id || tried) continue;
            REQUIRE(bench.dispatch(cmd::ClearPorts{}, 0).empty());
            REQUIRE(bench.dispatch(cmd::AirInto{a.id}, 0).empty());
            REQUIRE(bench.dispatch(cmd::CameOut{b.id}, 0).empty());
            if (bench.derived().answer->seals.size() < 2) continue;
            const std::string second = bench.derived().answer->seals[1].seal;
            REQUIRE(bench.dispatch(cmd::ShowSuspect{second}, 0).empty());
            CHECK(bench.derived().suspect == second);
            REQUIRE(bench.derived().air);
            CHECK(bench.derived().air->seal == second);
            REQUIRE(bench.dispatch(cmd::AirInto{b.id}, 0).empty());
            CHECK(bench.session().document.came_out.empty());
            tried = true;
        }
    }
    CHECK(tried);
}

TEST_CASE("commands: opening another map is a step that can be taken back") {
    Workbench bench = opened();
    REQUIRE(bench.dispatch(cmd::AirInto{"P3"}, 0).empty());
    const Document before = bench.session().document;
    const auto shapes = bench.derived().shapes_revision;
    REQUIRE(bench.dispatch(cmd::OpenMap{small_demo}, 0).empty());
    CHECK(bench.session().document.air_into.empty());
    CHECK(bench.derived().shapes_revision != shapes);
    const auto other = bench.derived().shapes_revision;
    REQUIRE(bench.dispatch(cmd::Undo{}, 0).empty());
    CHECK(bench.session().document == before);
    CHECK(bench.derived().shapes_revision != other);
    CHECK(bench.derived().layout.ports.size() == before.map.ports.size());
}

TEST_CASE("commands: what a click on a port means") {
    Session session;
    CHECK(to_text(port_clicked(session, "P3")) == "air-into P3");
    session.document.air_into = "P3";
    CHECK(to_text(port_clicked(session, "P4")) == "came-out P4");
    CHECK(to_text(port_clicked(session, "P3")) == "air-into \"\"");
    session.document.came_out = "P4";
    CHECK(to_text(port_clicked(session, "P5")) == "came-out P5");
    CHECK(to_text(port_clicked(session, "P4")) == "came-out \"\"");
}

TEST_CASE("command text: every command reads back as itself") {
    const model::Subject ring{model::SubjectKind::seal, "R3"};
    const auto quoted = [](std::string text) {
        for (const auto& [raw, escaped] : {std::pair("\\", "\\\\"), std::pair("\"", "\\\""), std::pair("\n", "\\n")}) {
            for (std::size_t at = 0; (at = text.find(raw, at)) != std::string::npos; at += 2)
                text.replace(at, 1, escaped);
        }
        return '"' + text + '"';
    };
    const std::string bench_line = "set-air-bench " + quoted(model::write_bench_text({}));
    cmd::Saw saw_word{"P4", model::Seen{}}, saw_gauge{"P4", model::Seen{}};
    saw_word.seen->word = model::Heard::faint;
    saw_gauge.seen->pressure = model::psi(31.5);
    model::Reading wet;
    wet.into = "P3";
    wet.plugged = {"P5"};
    wet.wet = true;
    model::AirCheck one;
    one.readings.push_back(wet);
    model::Complaint late;
    late.range = "D2";
    late.symptom = model::Symptom::late;
    model::AirCheck felt;
    felt.complaints.push_back(late);
    const std::string complained_line = "complained " + quoted(model::write_readings_text(felt));
    const std::string begin_line = "begin-reading " + quoted(model::write_readings_text(one));
    const std::vector<std::pair<Command, std::string>> all{
        {cmd::OpenMap{"a b/\"x\"\\y\n.toml"}, "open-map \"a b/\\\"x\\\"\\\\y\\n.toml\""},
        {cmd::OpenMap{"assets-demo/larch-five.toml"}, "open-map assets-demo/larch-five.toml"},
        {cmd::EditJob{job_edit::Renew{"R3", 2, "an A-1"}}, "job renew R3 2 \"an A-1\""},
        {cmd::AirInto{"P3"}, "air-into P3"},
        {cmd::AirInto{""}, "air-into \"\""},
        {cmd::CameOut{"P4"}, "came-out P4"},
        {saw_word, "saw P4 faint"},
        {cmd::Saw{"P4", {}}, "saw P4 not-tested"},
        {saw_gauge, "saw P4 31.5 psi"},
        {cmd::PlugPort{"P5", true}, "plug P5 on"},
        {cmd::Felt{model::Applied::soft}, "felt soft"},
        {cmd::Felt{}, "felt not-said"},
        {cmd::BeginReading{wet}, begin_line},
        {cmd::DropReading{2}, "drop-reading 2"},
        {cmd::LookedAt{"L7", model::Found::damaged}, "looked-at L7 damaged"},
        {cmd::LookedAt{"L7", {}}, "looked-at L7 not-looked"},
        {cmd::Complained{late}, complained_line},
        {cmd::Complained{late, false}, complained_line + " off"},
        {cmd::SetSupply{model::psi(35.5), true}, "set-supply 35.5 psi"},
        {cmd::SetSupply{model::GaugePressure{2.4, model::PressureDimension::Unit::bar}, false},
         "set-supply 2.4 bar held"},
        {cmd::SetSupply{}, "set-supply usual"},
        {cmd::SetAirBench{model::AirBench{}}, bench_line},
        {cmd::WhatIf{2.35}, "what-if-hole 2.35"},
        {cmd::ShowSheet{Sheet::chart}, "show-sheet chart"},
        {cmd::SwapDirection{}, "swap-direction"},
        {cmd::ClearPorts{}, "clear-ports"},
        {cmd::ShowView{Viewpoint::stack}, "show-view stack"},
        {cmd::SetSection{true}, "set-section on"},
        {cmd::SetSection{false}, "set-section off"},
        {cmd::SetLying{model::Lying::bell_down}, "set-lying bell-down"},
        {cmd::Explode{0.35}, "explode 0.35"},
        {cmd::TakeOff{1.5}, "take-off 1.5"},
        {cmd::Isolate{{"low", "coast"}}, "isolate low coast"},
        {cmd::Isolate{{"none"}}, "isolate none none"},
        {cmd::Isolate{}, "isolate none"},
        {cmd::SetTurntable{true}, "turntable on"},
        {cmd::Ride{}, "ride"},
        {cmd::Stay{}, "stay"},
        {cmd::SetDimensions{false}, "dimensions off"},
        {cmd::SetReducedMotion{true}, "set-reduced-motion on"},
        {cmd::Orbit{12.5, -0.1}, "orbit 12.5 -0.1"},
        {cmd::Pan{1e-7, 3}, "pan 1e-07 3"},
        {cmd::Zoom{0.1 + 0.2}, "zoom 0.30000000000000004"},
        {cmd::Focus{ring}, "focus seal R3"},
        {cmd::Select{{}}, "select none"},
        {cmd::Select{{model::SubjectKind::part, "none"}}, "select part none"},
        {cmd::ShowSuspect{"R3"}, "show-suspect R3"},
        {cmd::SetTheme{Theme::dark}, "set-theme dark"},
        {cmd::SetUnits{UnitSystem::bar_mm}, "set-units bar-mm"},
        {cmd::SetLanguage{"es"}, "set-language es"},
        {cmd::SetTextScale{1.25}, "set-text-scale 1.25"},
        {cmd::Undo{}, "undo"},
        {cmd::Redo{}, "redo"},
    };
    std::vector<bool> seen(std::variant_size_v<Command>);
    for (const auto& each : all) { // clang 14: no structured binding within a lambda
        const auto& command = each.first;
        const auto& text = each.second;
        seen[command.index()] = true;
        CHECK(to_text(command) == text);
        std::string why;
        const auto back = parse_command(text, why);
        REQUIRE_MESSAGE(back, text, ": ", why);
        CHECK(back->index() == command.index());
        CHECK(to_text(*back) == text);
    }
    CHECK(std::find(seen.begin(), seen.end(), false) == seen.end());
    std::string why;
    const auto path = parse_command(all[0].second, why);
    REQUIRE(path);
    CHECK(std::get<cmd::OpenMap>(*path).path == "a b/\"x\"\\y\n.toml");
    const auto zoom = parse_command("zoom 0.30000000000000004", why);
    CHECK(std::get<cmd::Zoom>(*zoom).factor == 0.1 + 0.2);
}

TEST_CASE("command text: what is no command is refused with what would be right") {
    const std::vector<std::pair<std::string, std::string>> wrong{
        {"", "empty"},
        {"air-intoo P3", "air-into"},
        {"air-into", "PORT"},
        {"air-into P3 P4", "PORT"},
        {"zoom far", "FACTOR"},
        {"zoom inf", "FACTOR"},
        {"zoom 1x", "FACTOR"},
        {"saw P4 loud", "faint"},
        {"saw P4 31 inches", "psi"},
        {"plug P4", "on or off"},
        {"drop-reading two", "NUMBER"},
        {"begin-reading nonsense", "reading"},
        {"set-supply 35", "psi"},
        {"set-supply 35 psi hold", "psi"},
        {"set-supply much", "usual"},
        {"set-air-bench \"[bench]\nhose-conductance = -1\"", "bench file"},
        {"what-if-hole wide", "MM"},
        {"show-sheet table", "chart"},
        {"undo twice", "nothing after it"},
        {"focus", "id"},
        {"select ring R3", "id"},
        {"set-theme blue", "light"},
        {"open-map \"a", "quotation"},
        {"zzzzzzzzzzzzzzz", "the commands are"},
    };
    for (const auto& one : wrong) { // clang 14: no structured binding within a lambda
        const auto& line = one.first;
        const auto& words = one.second;
        std::string why;
        CHECK_FALSE(parse_command(line, why));
        INFO(line, " → ", why);
        CHECK(why.find(words) != std::string::npos);
    }
}

TEST_CASE("actions: no two on one key, none without a key, ids all different") {
    std::map<std::string_view, int> keys, ids;
    for (const Action& action : actions()) {
        ++keys[action.key];
        ++ids[action.id];
        CHECK_FALSE(action.title.empty());
    }
    for (const auto& one : keys) { // clang 14: no structured binding within a lambda
        const auto& key = one.first;
        const auto& count = one.second;
        INFO(key);
        CHECK(count == 1);
        CHECK_FALSE(key.empty());
        // Digits type the numbers of ports.
        CHECK((key.size() != 1 || key[0] < '0' || key[0] > '9'));
    }
    for (const auto& one : ids) { // clang 14: no structured binding within a lambda
        const auto& id = one.first;
        const auto& count = one.second;
        INFO(id);
        CHECK(count == 1);
    }
}

TEST_CASE("actions: what is offered is never refused") {
    Workbench bench = opened();
    const auto try_all = [&] {
        for (const Action& action : actions()) {
            Workbench copy = bench;
            const auto made = action.make(copy);
            if (!made) continue;
            const std::string why = copy.dispatch(*made, 50);
            INFO(action.id, ": ", why);
            CHECK(why.empty());
        }
    };
    try_all();
    REQUIRE(bench.dispatch(cmd::AirInto{"P3"}, 0).empty());
    try_all();
    REQUIRE(bench.dispatch(cmd::CameOut{"P4"}, 0).empty());
    try_all();
    REQUIRE(bench.dispatch(cmd::Select{{model::SubjectKind::seal, bench.derived().suspect}}, 0).empty());
    try_all();
}
