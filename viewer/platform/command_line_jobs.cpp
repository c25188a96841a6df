#include "command_line_jobs.h"

#include <string>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "../../model-data/job.h"
#include "../app/job_edit.h"
#include "command_line_words.h"

namespace ringland::viewer {
namespace {

constexpr const char* job_help = "The shop's number, the job's id, or at least four letters of its beginning";

/// One command of `jobs`, with what all of them take.
CLI::App* add(CLI::App& jobs, const char* name, const char* says, const char* examples) {
    auto* command = jobs.add_subcommand(name, says);
    command->fallthrough();
    command->footer(examples);
    return command;
}

void add_job(CLI::App& command, std::string& job) {
    command.add_option("job", job, job_help)->type_name("JOB")->required();
}

void add_search(CLI::App& command, diagnosis::records::Search& search) {
    command.add_option("--unit", search.unit, "Name of the unit, whole")->type_name("NAME");
    command.add_option("--seal", search.seal, "Found damaged: its id")->type_name("ID");
    const CLI::Validator day(
        [](std::string& text) {
            const std::string form = "0000-00-00";
            bool good = text.size() == form.size();
            for (std::size_t i = 0; good && i < form.size(); ++i)
                good = form[i] == '-' ? text[i] == '-' : text[i] >= '0' && text[i] <= '9';
            return good ? std::string() : fmt::format("a day is written like 2031-05-04, not {}", text);
        },
        "DAY");
    command.add_option("--from", search.from, "Opened on this day or later")->check(day);
    command.add_option("--until", search.until, "Opened on this day or before")->check(day);
    command.add_flag("--open", search.open_only, "Only what is not done");
}

void add_reading(CLI::App& jobs, AskedOfJobs& asked, std::function<Exit()>& run) {
    auto* command = add(jobs, "add-reading", "Readings of an air check, from a file or in words, into a job",
                        "Examples:\n  ringland jobs add-reading 1042 assets-demo/larch-five-readings.toml\n"
                        "  ringland jobs add-reading 1042 --into P3 --saw P4=strong --saw P2=nothing\n"
                        "  ringland jobs add-reading 1042 --into P3 --saw P4=nothing --retest");
    auto& options = asked.reading;
    add_job(*command, options.job);
    auto* file = command->add_option("readings", options.file, "Readings file")->type_name("READINGS");
    auto* into = command->add_option("--into", options.into, "Port that got the air")->type_name("PORT");
    command->add_option("--saw", options.seen, "What came out where: P4=strong, P4=31psi, P4=45lpm. May be repeated")
        ->type_name("PORT=WORD")
        ->needs(into);
    into->excludes(file);
    command->add_flag("--retest", options.retest, "Of the retest, with the unit closed again");
    command->add_option("--who", options.who, "Who read it; else who works on the job")->type_name("NAME");
    command->callback([&asked, &run] {
        if (asked.reading.file.empty() && asked.reading.into.empty())
            throw CLI::ValidationError("add-reading", "a readings file, or --into PORT and --saw PORT=WORD");
        run = [&asked] { return run_jobs_add_reading(asked.common, asked.reading); };
    });
}

/// The short ways: find, renew, tick. Each is an edit in words.
void add_short_edits(CLI::App& jobs, AskedOfJobs& asked, std::function<Exit()>& run) {
    const auto edits = [&asked, &run](std::function<std::vector<std::vector<std::string>>()> words) {
        return [&asked, &run, words = std::move(words)] {
            run = [&asked, words] { return run_jobs_edits(asked.common, asked.edit, words()); };
        };
    };
    auto* find = add(jobs, "find", "What was found at a seal once it could be seen",
                     "Example:\n  ringland jobs find 1042 R3 damaged --seen \"cut in two\" --photo r3.jpg");
    add_job(*find, asked.edit.job);
    find->add_option("seal", asked.what, "Seal of the map, or rig")->type_name("SEAL")->required();
    find->add_option("found", asked.word, "sound or damaged; not-said takes it back")
        ->transform(CLI::IsMember(std::vector<std::string>{"sound", "damaged", "not-said"}, CLI::ignore_case))
        ->type_name("FOUND")
        ->required();
    find->add_option("--seen", asked.seen, "In words: cut, worn, hard, rolled...")->type_name("TEXT");
    find->add_option("--photo", asked.photos, "A picture file; it stays where it is. May be repeated")
        ->type_name("FILE")
        ->expected(1);
    find->callback(edits([&asked] {
        std::vector<std::vector<std::string>> words{{"find", asked.what, asked.word}};
        if (!asked.seen.empty()) words.push_back({"describe", asked.what, asked.seen});
        for (const auto& photo : asked.photos)
            words.push_back({"photo", asked.what, photo, "on"});
        return words;
    }));

    auto* renew = add(jobs, "renew", "What was renewed: a seal or part of the map, or anything by its name",
                      "Example:\n  ringland jobs renew 1042 R3 --quantity 1 --part-number LF-R-103");
    add_job(*renew, asked.edit.job);
    renew->add_option("what", asked.what, "Id in the map, or a name")->type_name("WHAT")->required();
    renew->add_option("--quantity", asked.quantity, "How many; 0 takes it back")
        ->check(CLI::Range(0, 999))
        ->type_name("N")
        ->capture_default_str();
    renew->add_option("--part-number", asked.part_number, "As the map has it where not given")->type_name("NUMBER");
    renew->callback(edits([&asked] {
        std::vector<std::string> words{"renew", asked.what, std::to_string(asked.quantity)};
        if (!asked.part_number.empty()) words.push_back(asked.part_number);
        return std::vector<std::vector<std::string>>{words};
    }));

    auto* tick = add(jobs, "tick", "A step of the job is over, though nothing in it shows that",
                     "Examples:\n  ringland jobs tick 1042 close-up\n  ringland jobs tick 1042 done --off");
    add_job(*tick, asked.edit.job);
    tick->add_option("step", asked.word, "check, weigh, take-apart, find, renew, close-up, retest, done")
        ->transform(one_of<model::JobStep>())
        ->type_name("STEP")
        ->required();
    tick->add_flag("--off", asked.off, "It is not over after all");
    tick->callback(edits([&asked] {
        return std::vector<std::vector<std::string>>{{"tick", asked.word, asked.off ? "off" : "on"}};
    }));
    for (auto* command : {find, renew, tick})
        command->add_option("--who", asked.edit.who, "Who did it; else who works on the job")->type_name("NAME");
}

void add_edit(CLI::App& jobs, AskedOfJobs& asked, std::function<Exit()>& run) {
    auto* command = add(
        jobs, "edit", "Any edit of the window, in its words",
        "Examples:\n  ringland jobs edit 1042 write conclusion \"ring R3 was cut\"\n"
        "  ringland jobs edit 1042 measure end-play 0.55 mm\n  ringland jobs edit 1042 note \"drum is at bench 2\"");
    add_job(*command, asked.edit.job);
    command->add_option("words", asked.edit.words, "The edit: " + std::string(edit_forms))
        ->type_name("EDIT")
        ->required();
    command->add_option("--who", asked.edit.who, "Who did it; else who works on the job")->type_name("NAME");
    command->callback(
        [&asked, &run] { run = [&asked] { return run_jobs_edits(asked.common, asked.edit, {asked.edit.words}); }; });
}

void add_reports(CLI::App& jobs, AskedOfJobs& asked, std::function<Exit()>& run) {
    auto* list = add(jobs, "list", "The jobs, the newest first; with words: those in which each of them begins a word",
                     "Examples:\n  ringland jobs list\n  ringland jobs list slip 3rd --seal R3 --from 2031-01-01\n"
                     "  ringland jobs list --open --json");
    list->add_option("words", asked.list.words, "Beginnings of words in number, customer, complaint, findings, notes")
        ->type_name("WORD");
    add_search(*list, asked.list.search);
    list->add_option("--most", asked.list.search.most, "At most so many")
        ->check(CLI::Range(1, 1000000))
        ->type_name("N")
        ->capture_default_str();
    list->callback([&asked, &run] { run = [&asked] { return run_jobs_list(asked.common, asked.list); }; });

    auto* show = add(jobs, "show", "One job, all of it; with --json: a job file, which import and handout read",
                     "Examples:\n  ringland jobs show 1042\n  ringland jobs show 1042 --json");
    add_job(*show, asked.job);
    show->callback([&asked, &run] { run = [&asked] { return run_jobs_show(asked.common, asked.job); }; });

    auto* history = add(jobs, "history", "Every change of a job: when, who, at which bench",
                        "Example:\n  ringland jobs history 1042");
    add_job(*history, asked.job);
    history->callback([&asked, &run] { run = [&asked] { return run_jobs_history(asked.common, asked.job); }; });

    auto* statistics = add(jobs, "statistics", "Which seals fail on which unit, comebacks, and how long a job takes",
                           "Example:\n  ringland jobs statistics");
    statistics->callback([&asked, &run] { run = [&asked] { return run_jobs_statistics(asked.common); }; });
}

void add_files(CLI::App& jobs, AskedOfJobs& asked, std::function<Exit()>& run) {
    auto* out = add(jobs, "export", "Jobs into a file: .json with their history, for another shop; .csv, a line a job",
                    "Examples:\n  ringland jobs export -o jobs.json\n"
                    "  ringland jobs export --from 2031-01-01 -o jobs.csv");
    add_search(*out, asked.file.search);
    out->add_option("-o,--output", asked.file.file, "By its ending: .json or .csv")->type_name("FILE")->required();
    out->callback([&asked, &run] { run = [&asked] { return run_jobs_export(asked.common, asked.file); }; });

    auto* in = add(jobs, "import", "Jobs from a file of export, or one job from a file of show; nothing comes twice",
                   "Example:\n  ringland jobs import jobs.json");
    in->add_option("file", asked.file.file, "File to read")->type_name("FILE")->required();
    in->callback([&asked, &run] { run = [&asked] { return run_jobs_import(asked.common, asked.file.file); }; });
}

} // namespace

void add_jobs_commands(CLI::App& app, AskedOfJobs& asked, std::function<Exit()>& run) {
    auto* jobs = app.add_subcommand("jobs", "The shop's jobs: list, show, enter, search, export, statistics");
    jobs->require_subcommand(1);
    jobs->add_option("--records", asked.common.records,
                     "Where the shop's jobs are kept: a file, or postgresql://... (usual: RINGLAND_RECORDS, else the "
                     "user's data folder)")
        ->type_name("PLACE");
    jobs->add_flag("--json", asked.common.json, json_help);
    jobs->footer("Examples:\n  ringland jobs new assets-demo/larch-five.toml --number 1042\n"
                 "  ringland jobs add-reading 1042 --into P3 --saw P4=strong\n  ringland jobs list\n"
                 "Each has its own --help.");
    add_reports(*jobs, asked, run);

    auto* begin =
        add(*jobs, "new", "Opens a job on a unit; a copy of the map stays with it",
            "Example:\n  ringland jobs new assets-demo/larch-five.toml --number 1042 --complaint \"slips in 3rd\"");
    begin->add_option("map", asked.begin.map, "Unit map")->type_name("MAP")->required();
    begin->add_option("--number", asked.begin.number, "The shop's own number")->type_name("NUMBER");
    begin->add_option("--customer", asked.begin.customer, "As the shop calls him")->type_name("NAME");
    begin->add_option("--complaint", asked.begin.complaint, "In his words")->type_name("TEXT");
    begin->add_option("--who", asked.begin.who, "Who works on it")->type_name("NAME");
    begin->add_option("--comeback-of", asked.begin.comeback_of, "An earlier job on the same unit")->type_name("JOB");
    begin->callback([&asked, &run] { run = [&asked] { return run_jobs_new(asked.common, asked.begin); }; });

    add_reading(*jobs, asked, run);
    add_short_edits(*jobs, asked, run);
    add_edit(*jobs, asked, run);
    add_files(*jobs, asked, run);
}

} // namespace ringland::viewer
