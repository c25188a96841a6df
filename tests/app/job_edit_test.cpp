// The job in the session: it begins by itself, takes readings and findings, and every edit can be taken back.
#include <cstdio>
#include <fstream>

#include <doctest/doctest.h>

#include "../../model-data/map_io.h"
#include "../../viewer/app/commands.h"
#include "opened.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;
using job_edit::Field;
using model::Found;
using model::JobStep;
namespace cmd = ringland::viewer::command;

namespace {

void edit(Workbench& bench, const JobEdit& edit) { carry_out(bench, cmd::EditJob{edit}); }

const model::Job& job(const Workbench& bench) { return bench.session().document.job; }

} // namespace

TEST_CASE("job: it begins with the first reading, on a copy of the map, and undo takes it back") {
    Workbench bench = opened();
    CHECK(job(bench).id.empty());
    carry_out(bench, cmd::AirInto{"P3"});
    CHECK(job(bench).id.empty()); // nothing was entered yet
    carry_out(bench, saw("P4", model::Heard::strong));
    REQUIRE(job(bench).id.size() == 32);
    REQUIRE(job(bench).checks.size() == 1);
    CHECK(model::air_check(job(bench).checks[0]) == bench.session().document.check);
    const auto copy = model::read_map_text(job(bench).map_toml, "copy");
    REQUIRE(copy.map);
    CHECK(*copy.map == bench.session().document.map);
    CHECK(model::where_it_stands(job(bench)) == JobStep::weigh);

    const std::string id = job(bench).id;
    carry_out(bench, cmd::Undo{});
    CHECK(job(bench).id.empty());
    carry_out(bench, cmd::Redo{});
    CHECK(job(bench).id == id);
}

TEST_CASE("job: readings keep their ids while others come and go") {
    Workbench bench = opened();
    carry_out(bench, cmd::AirInto{"P3"});
    carry_out(bench, saw("P4", model::Heard::strong));
    const std::string first = job(bench).checks[0].readings.at(0).id;
    carry_out(bench, cmd::AirInto{"P4"});
    carry_out(bench, saw("P3", model::Heard::clear));
    REQUIRE(job(bench).checks[0].readings.size() == 2);
    const std::string second = job(bench).checks[0].readings[1].id;
    CHECK(first != second);
    carry_out(bench, saw("P1", model::Heard::nothing));
    CHECK(job(bench).checks[0].readings[0].id == first);
    CHECK(job(bench).checks[0].readings[1].id == second);
    carry_out(bench, cmd::DropReading{1});
    REQUIRE(job(bench).checks[0].readings.size() == 1);
    CHECK(job(bench).checks[0].readings[0].id == second);
}

TEST_CASE("job: letters of one field are one step to undo, another field is another") {
    Workbench bench = opened();
    for (const char* text : {"T", "Ti", "Tie", "Ties"})
        edit(bench, job_edit::Write{Field::complaint, text, false});
    edit(bench, job_edit::Write{Field::complaint, "Ties", true});
    edit(bench, job_edit::Write{Field::number, "7", false});
    CHECK(job(bench).head.complaint == "Ties");
    carry_out(bench, cmd::Undo{});
    CHECK(job(bench).head.number.empty());
    CHECK(job(bench).head.complaint == "Ties");
    carry_out(bench, cmd::Undo{});
    CHECK(job(bench).id.empty());
}

TEST_CASE("job: it walks through its steps by what is entered, and by ticks where nothing shows them") {
    Workbench bench = opened();
    carry_out(bench, cmd::AirInto{"P3"});
    carry_out(bench, saw("P4", model::Heard::strong));
    edit(bench, job_edit::Tick{JobStep::weigh, true});
    CHECK(model::where_it_stands(job(bench)) == JobStep::take_apart);
    edit(bench, job_edit::Find{"R3", Found::damaged});
    CHECK(model::where_it_stands(job(bench)) == JobStep::renew); // what was found could be seen: it was apart
    edit(bench, job_edit::Renew{"R3", 1, ""});
    CHECK(job(bench).renewed.at(0).part_number == "LF-R-103");
    CHECK(model::where_it_stands(job(bench)) == JobStep::close_up);
    edit(bench, job_edit::Tick{JobStep::close_up, true});
    edit(bench, job_edit::BeginCheck{model::CheckPurpose::retest});
    CHECK(model::where_it_stands(job(bench)) == JobStep::retest); // begun, nothing read yet
    CHECK(bench.session().document.check.readings.empty());
    carry_out(bench, cmd::AirInto{"P3"});
    carry_out(bench, saw("P4", model::Heard::nothing));
    CHECK(job(bench).checks[0].readings.size() == 1);
    CHECK(job(bench).checks[1].readings.size() == 1);
    CHECK(model::where_it_stands(job(bench)) == JobStep::done);
    edit(bench, job_edit::Tick{JobStep::done, true});
    CHECK(model::steps_over(job(bench)).back());

    edit(bench, job_edit::ShowCheck{1});
    CHECK(bench.session().document.check == model::air_check(job(bench).checks[0]));
    carry_out(bench, cmd::AirInto{"P4"});
    carry_out(bench, saw("P3", model::Heard::clear));
    CHECK(job(bench).checks[0].readings.size() == 2);
    CHECK(job(bench).checks[1].readings.size() == 1);
}

TEST_CASE("job: what cannot be is refused with what would be right, and changes nothing") {
    Workbench bench = opened();
    edit(bench, job_edit::Find{"R3", Found::sound});
    const Document before = bench.session().document;
    const auto refused = [&](const JobEdit& e, const std::string& word) {
        const std::string why = bench.dispatch(cmd::EditJob{e}, 0);
        CHECK_MESSAGE(why.find(word) != std::string::npos, why);
        CHECK(bench.session().document == before);
    };
    refused(job_edit::Find{"R99", Found::sound}, "no seal");
    refused(job_edit::Describe{"R2", "cut"}, "say first");
    refused(job_edit::Photo{"R2", "a.jpg", true}, "say first");
    refused(job_edit::Measure{"nothing", model::mm(1)}, "no clearance");
    refused(job_edit::Fitted{"end-play", model::mm(2)}, "measure end-play first");
    refused(job_edit::Renew{"", 1, ""}, "say what");
    refused(job_edit::Renew{"R3", -1, ""}, "whole number");
    refused(job_edit::Note{""}, "empty");
    refused(job_edit::DropNote{1}, "there is no note");
    refused(job_edit::ShowCheck{2}, "there is no air check");
    refused(job_edit::Write{Field::customer, std::string(most_job_text + 1, 'x')}, "too long");
    Workbench empty;
    CHECK(empty.dispatch(cmd::EditJob{job_edit::Note{"a note"}}, 0).find("open the map") != std::string::npos);
}

TEST_CASE("job: a job that is opened brings its own map and its last air check, and undo goes back") {
    Workbench bench = opened();
    carry_out(bench, cmd::AirInto{"P3"});
    carry_out(bench, saw("P4", model::Heard::strong));
    edit(bench, job_edit::BeginCheck{model::CheckPurpose::retest});
    carry_out(bench, cmd::AirInto{"P3"});
    carry_out(bench, saw("P4", model::Heard::nothing));
    const model::Job kept = job(bench);

    Workbench other;
    std::string why;
    REQUIRE(other.open(small_demo, why));
    CHECK(other.open_job(kept, 0).empty());
    CHECK(other.session().document.map.unit.name == "Larch Five");
    CHECK(other.session().document.check.readings.size() == 1);
    CHECK(other.session().document.check.readings[0].seen[0].word == model::Heard::nothing);
    CHECK(job(other) == kept);
    carry_out(other, cmd::Undo{});
    CHECK(other.session().document.map.unit.name != "Larch Five");

    model::Job broken = kept;
    broken.map_toml = "[unit]\nid = 3\n";
    const Document before = other.session().document;
    CHECK_FALSE(other.open_job(broken, 0).empty());
    CHECK(other.session().document == before);
}

TEST_CASE("job: every edit has a text that reads back as itself") {
    const std::vector<JobEdit> edits{job_edit::Write{Field::complaint, "ties up \"hot\"\nand cold", true},
                                     job_edit::Tick{JobStep::take_apart, false},
                                     job_edit::Turns{true},
                                     job_edit::Turns{},
                                     job_edit::Find{"R3", Found::damaged},
                                     job_edit::Find{"R3", {}},
                                     job_edit::Describe{"R3", "cut in two", true},
                                     job_edit::Photo{"R3", "a folder/b.jpg", false},
                                     job_edit::Measure{"C1", model::mm(0.25), true},
                                     job_edit::Measure{"C1", {}, true},
                                     job_edit::Fitted{"C1", model::Length{0.11, model::LengthDimension::Unit::in}},
                                     job_edit::Fitted{"C1", {}},
                                     job_edit::Renew{"R3", 2, "A 1"},
                                     job_edit::Renew{"R3", 0, ""},
                                     job_edit::Note{"x"},
                                     job_edit::DropNote{3},
                                     job_edit::BeginCheck{model::CheckPurpose::retest},
                                     job_edit::ShowCheck{2},
                                     job_edit::Begin{}};
    for (const auto& e : edits) {
        const std::string line = to_text(cmd::EditJob{e});
        CAPTURE(line);
        std::string why;
        const auto read = parse_command(line, why);
        REQUIRE_MESSAGE(read, why);
        REQUIRE(std::holds_alternative<cmd::EditJob>(*read));
        CHECK(std::get<cmd::EditJob>(*read).edit == e);
    }
    std::string why;
    CHECK_FALSE(parse_command("job renew R3 many", why));
    CHECK(why.find("renew WHAT QUANTITY") != std::string::npos);
}
