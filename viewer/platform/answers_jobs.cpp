// The shop's jobs from the command line: the same edits as the window's, in the same records.
#include "answers_jobs.h"

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <limits>
#include <optional>
#include <sstream>

#include <fmt/format.h>

#include "../../model-data/job_entries.h"
#include "../../model-data/map_io.h"
#include "../../model-data/readings.h"
#include "../../model-data/spoken_names.h"
#include "../../model-data/whole_file.h"
#include "../app/job_edit.h"
#include "complain.h"
#include "jobs_text.h"
#include "json_text.h"

namespace ringland::viewer {
namespace {

using diagnosis::records::JobLine;
using diagnosis::records::Records;
using diagnosis::records::Search;
using diagnosis::records::Trouble;

Records open(const JobsCommon& common) {
    diagnosis::records::Place place = diagnosis::records::usual_place();
    if (!common.records.empty()) place.where = common.records;
    return Records(place);
}

/// Runs a command on the records; what goes wrong with them is a fault of the input.
template <class Call> Exit on_records(const JobsCommon& common, Call&& call) {
    try {
        Records records = open(common);
        const Exit exit = call(records);
        if (records.waiting() > 0)
            complain("jobs", fmt::format("the server is away: {} change(s) wait here and are sent when it is back",
                                         records.waiting()));
        return exit;
    } catch (const Trouble& trouble) {
        complain("jobs", trouble.what());
        return Exit::input_fault;
    }
}

std::optional<std::string> one_id(const std::vector<JobLine>& lines, const std::string& job) {
    if (lines.size() == 1) return lines.front().id;
    if (lines.size() > 1) {
        complain("jobs", fmt::format("\"{}\" fits {} jobs; give the id of one:", job, lines.size()));
        for (const auto& line : lines)
            fmt::print(stderr, "  {}  {}  {}\n", short_id(line.id), time_words(line.opened_at), line.unit);
    }
    return std::nullopt;
}

/// The id of the job that a person means; complains where there is none or more than one.
std::optional<std::string> find_job(Records& records, const std::string& job) {
    Search search;
    search.words = job;
    search.most = std::numeric_limits<int>::max();
    std::vector<JobLine> fitting = records.search(search);
    fitting.erase(std::remove_if(fitting.begin(), fitting.end(), [&](const JobLine& l) { return l.number != job; }),
                  fitting.end());
    if (!fitting.empty()) return one_id(fitting, job);
    constexpr std::size_t least = 4, whole = 32;
    const bool may_be_id =
        job.size() >= least && job.size() <= whole && job.find_first_not_of("0123456789abcdef") == std::string::npos;
    if (job.size() == whole && may_be_id && records.load(job)) return job;
    if (may_be_id && job.size() < whole) {
        search.words.clear();
        fitting = records.search(search);
        fitting.erase(std::remove_if(fitting.begin(), fitting.end(),
                                     [&](const JobLine& line) { return line.id.compare(0, job.size(), job) != 0; }),
                      fitting.end());
        if (!fitting.empty()) return one_id(fitting, job);
    }
    complain("jobs", fmt::format("no job \"{}\": ringland jobs list shows them", job));
    return std::nullopt;
}

std::optional<model::Job> load(Records& records, const std::string& said) {
    const auto id = find_job(records, said);
    if (!id) return std::nullopt;
    auto job = records.load(*id);
    if (!job) complain("jobs", fmt::format("the job {} cannot be had while the server is away", said));
    return job;
}

void save(Records& records, const model::Job& before, const model::Job& after, const std::string& label) {
    const auto saved = records.save(before, after, label);
    if (!saved.also_changed.empty())
        complain("jobs",
                 fmt::format("somebody else changed the same: {}; what was entered here stands now, and the history "
                             "has both",
                             fmt::join(saved.also_changed, ", ")));
}

std::optional<model::UnitMap> map_of(const model::Job& job) {
    auto read = model::read_map_text(job.map_toml, job.map_file.empty() ? "map of the job" : job.map_file);
    if (!read.map) complain(read.faults);
    return std::move(read.map);
}

/// What changed, for a person or a program.
Exit tell_saved(const JobsCommon& common, const model::Job& job, const std::string& label) {
    if (common.json) {
        fmt::print("{}\n", json_text({{"job", job.id},
                                      {"number", job.head.number},
                                      {"change", label},
                                      {"stands", model::word(model::where_it_stands(job))}}));
    } else {
        fmt::print("{}: {}. The job stands at: {}\n", job.head.number.empty() ? short_id(job.id) : job.head.number,
                   label, model::word(model::where_it_stands(job)));
    }
    return Exit::answered;
}

/// "P4=strong", "P4=31psi", "P4=45lpm" as a line of a readings file; empty where it is none.
std::string seen_toml(const std::string& said) {
    const auto equals = said.find('=');
    if (equals == std::string::npos || equals == 0 || said.find_first_of("\"\\\n") != std::string::npos) return {};
    const std::string at = said.substr(0, equals), what = said.substr(equals + 1);
    std::string text = fmt::format("  [[reading.seen]]\n  at = \"{}\"\n", at);
    const auto figure_end = what.find_first_not_of("0123456789.");
    const std::string figure = what.substr(0, figure_end);
    const std::string unit = figure_end == std::string::npos ? "" : what.substr(figure_end);
    if (figure.empty()) return text + fmt::format("  word = \"{}\"\n", what == "not-sure" ? "not sure" : what);
    if (unit == "lpm") return text + fmt::format("  flow_lpm = {}\n", figure);
    if (unit == "s") return text + fmt::format("  applies_after_s = {}\n", figure);
    for (const auto& measure : model::PressureDimension::units) {
        if (unit == measure.suffix || unit == measure.label)
            return text + fmt::format("  pressure_{} = {}\n", measure.suffix, figure);
    }
    return {};
}

std::optional<model::AirCheck> readings_said(const JobsReadingOptions& options, const model::UnitMap& map) {
    model::ReadReadingsResult read;
    if (!options.file.empty()) {
        read = model::read_readings(options.file, map);
    } else {
        if (options.into.find_first_of("\"\\\n") != std::string::npos) {
            complain("jobs", "a port is an id, a label or a circuit's name");
            return std::nullopt;
        }
        std::string text = fmt::format("[[reading]]\ninto = \"{}\"\n", options.into);
        for (const auto& said : options.seen) {
            const std::string seen = seen_toml(said);
            if (seen.empty()) {
                complain(
                    "jobs",
                    fmt::format("\"{}\" is no reading: P4=strong, P4=31psi, P4=45lpm, P4=0.4s or P4=not-sure", said));
                return std::nullopt;
            }
            text += seen;
        }
        read = model::read_readings_text(text, "what was entered", map);
    }
    complain(read.faults);
    return std::move(read.check);
}

/// The last air check for that purpose; a new one where there is none.
model::JobCheck& check_for(model::Job& job, model::CheckPurpose purpose, const std::string& who) {
    const auto at = std::find_if(job.checks.rbegin(), job.checks.rend(),
                                 [&](const model::JobCheck& check) { return check.purpose == purpose; });
    if (at != job.checks.rend()) return *at;
    return job.checks.emplace_back(
        model::JobCheck{model::new_id(), purpose, model::utc_now(), who, {}, "", {}, {}, {}});
}

/// The job as the window's document, so that its edits can be carried out on it.
Document document_of(const model::Job& job, model::UnitMap map) {
    Document document;
    document.map_path = job.map_file;
    document.map = std::move(map);
    document.job = job;
    if (document.job.checks.empty()) check_for(document.job, model::CheckPurpose::before, job.head.who);
    document.check_at = document.job.checks.size() - 1;
    document.check = model::air_check(document.job.checks.back());
    return document;
}

/// The seal's id in place of what the bench calls it.
void put_seal_id(std::vector<std::string>& words, const model::UnitMap& map) {
    if (words.size() < 2 || words[1] == model::the_rig) return;
    if (words[0] != "find" && words[0] != "describe" && words[0] != "photo" && words[0] != "renew") return;
    std::string id = model::SpokenNames(map).seal(words[1]);
    if (!id.empty()) words[1] = std::move(id);
}

} // namespace

Exit run_jobs_list(const JobsCommon& common, const JobsListOptions& options) {
    return on_records(common, [&](Records& records) {
        Search search = options.search;
        search.words = fmt::format("{}", fmt::join(options.words, " "));
        const auto lines = records.search(search);
        const std::size_t total = records.count();
        fmt::print("{}", common.json ? job_list_json(lines, total) : job_list_text(lines, total));
        return Exit::answered;
    });
}

Exit run_jobs_show(const JobsCommon& common, const std::string& said) {
    return on_records(common, [&](Records& records) {
        const auto job = load(records, said);
        if (!job) return Exit::input_fault;
        fmt::print("{}", common.json ? model::write_job_text(*job) : job_text(*job));
        return Exit::answered;
    });
}

Exit run_jobs_history(const JobsCommon& common, const std::string& said) {
    return on_records(common, [&](Records& records) {
        const auto id = find_job(records, said);
        if (!id) return Exit::input_fault;
        const auto changes = records.history(*id);
        fmt::print("{}", common.json ? history_json(changes) : history_text(changes));
        return Exit::answered;
    });
}

Exit run_jobs_new(const JobsCommon& common, const JobsNewOptions& options) {
    const auto read = model::read_map(options.map);
    complain(read.faults);
    if (!read.map) return Exit::input_fault;
    return on_records(common, [&](Records& records) {
        model::Job job;
        job.id = model::new_id();
        job.head.number = options.number;
        job.head.customer = options.customer;
        job.head.complaint = options.complaint;
        job.head.who = options.who;
        job.head.opened_at = model::utc_now();
        if (!options.comeback_of.empty()) {
            const auto earlier = find_job(records, options.comeback_of);
            if (!earlier) return Exit::input_fault;
            job.head.comeback_of = *earlier;
        }
        job.map_toml = model::write_map_text(*read.map);
        job.map_file = options.map;
        check_for(job, model::CheckPurpose::before, options.who);
        save(records, {}, job, "new job");
        return tell_saved(common, job,
                          common.json ? "new job" : fmt::format("new job on {}, id {}", read.map->unit.name, job.id));
    });
}

Exit run_jobs_add_reading(const JobsCommon& common, const JobsReadingOptions& options) {
    return on_records(common, [&](Records& records) {
        const auto before = load(records, options.job);
        if (!before) return Exit::input_fault;
        const auto map = map_of(*before);
        if (!map) return Exit::input_fault;
        const auto said = readings_said(options, *map);
        if (!said) return Exit::input_fault;
        model::Job after = *before;
        if (!options.who.empty()) after.head.who = options.who;
        auto& check = check_for(after, options.retest ? model::CheckPurpose::retest : model::CheckPurpose::before,
                                after.head.who);
        for (const auto& reading : said->readings)
            check.readings.push_back({model::new_id(), reading});
        for (const auto& look : said->looks)
            check.looks.push_back({model::new_id(), look});
        const std::size_t count = said->readings.size() + said->looks.size();
        const std::string label = count == 1 && !said->readings.empty()
                                      ? fmt::format("reading {}", said->readings.front().into)
                                      : fmt::format("{} readings and looks", count);
        save(records, *before, after, label);
        return tell_saved(common, after, label);
    });
}

Exit run_jobs_edits(const JobsCommon& common, const JobsEditOptions& options,
                    const std::vector<std::vector<std::string>>& edits) {
    return on_records(common, [&](Records& records) {
        auto job = load(records, options.job);
        if (!job) return Exit::input_fault;
        const auto map = map_of(*job);
        if (!map) return Exit::input_fault;
        Document document = document_of(*job, *map);
        std::string labels;
        for (auto words : edits) {
            put_seal_id(words, *map);
            const auto edit = parse_edit(words);
            if (!edit || std::holds_alternative<job_edit::Begin>(*edit)) {
                complain("jobs", fmt::format("\"{}\" is no edit of a job: {}", fmt::join(words, " "), edit_forms));
                return Exit::wrong_usage;
            }
            if (!options.who.empty()) document.job.head.who = options.who;
            const std::string refused = apply(Translator(), document, *edit);
            if (!refused.empty()) {
                complain("jobs", refused);
                return Exit::input_fault;
            }
            labels += (labels.empty() ? "" : ", ") + edit_name(Translator(), *edit);
        }
        save(records, *job, document.job, labels);
        return tell_saved(common, document.job, labels);
    });
}

Exit run_jobs_export(const JobsCommon& common, const JobsFileOptions& options) {
    const bool csv = options.file.ends_with(".csv");
    if (!csv && !options.file.ends_with(".json")) {
        complain("jobs", fmt::format("{} must end in .json or .csv", options.file));
        return Exit::wrong_usage;
    }
    return on_records(common, [&](Records& records) {
        Search search = options.search;
        search.most = std::numeric_limits<int>::max();
        const std::string text = csv ? records.export_csv(search) : records.export_json(search);
        const std::string error = model::write_whole_file(options.file, text.data(), text.size());
        if (!error.empty()) {
            complain("jobs", error);
            return Exit::input_fault;
        }
        const std::size_t jobs = records.search(search).size();
        if (common.json)
            fmt::print("{}\n", json_text({{"file", options.file}, {"jobs", jobs}, {"bytes", text.size()}}));
        else
            fmt::print("{} job(s) in {}\n", jobs, options.file);
        return Exit::answered;
    });
}

Exit run_jobs_import(const JobsCommon& common, const std::string& file) {
    const auto tell = [&](std::size_t changes) {
        if (common.json)
            fmt::print("{}\n", json_text({{"file", file}, {"new_changes", changes}}));
        else if (changes == 0)
            fmt::print("{}: all of it is here already\n", file);
        else
            fmt::print("{}: {} new change(s)\n", file, changes);
        return Exit::answered;
    };
    return on_records(common, [&](Records& records) {
        if (model::holds_job(file)) {
            const auto read = model::read_job_file(file);
            complain(read.faults);
            if (!read.job) return Exit::input_fault;
            // What is here is newer than a file that was made of it.
            if (records.load(read.job->id)) return tell(0);
            save(records, {}, *read.job, "imported");
            return tell(1);
        }
        std::ifstream in(file, std::ios::binary);
        if (!in) {
            complain("jobs", fmt::format("cannot read {}", file));
            return Exit::input_fault;
        }
        std::ostringstream text;
        text << in.rdbuf();
        try {
            return tell(records.import_json(text.str()));
        } catch (const Trouble& trouble) {
            complain("jobs", fmt::format("{}: {}", file, trouble.what()));
            return Exit::input_fault;
        }
    });
}

Exit run_jobs_statistics(const JobsCommon& common) {
    return on_records(common, [&](Records& records) {
        const auto statistics = records.statistics();
        fmt::print("{}", common.json ? statistics_json(statistics) : statistics_text(statistics));
        return Exit::answered;
    });
}

} // namespace ringland::viewer
