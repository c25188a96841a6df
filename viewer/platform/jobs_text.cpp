#include "jobs_text.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include "../../model-data/map_io.h"
#include "json_text.h"
#include "text_lines.h"

namespace ringland::viewer {
namespace {

using namespace diagnosis::records;
using Json = nlohmann::ordered_json;

/// Cut or filled up to a width of characters, on one line.
std::string cell(std::string text, std::size_t width) {
    std::replace_if(
        text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; }, ' ');
    text = clipped(text, width);
    return text + std::string(width - characters(text), ' ');
}

std::string field(const char* name, const std::string& text) {
    return text.empty() ? "" : wrapped(fmt::format("{:<12}{}", name, text), 12) + "\n";
}

std::string mark(const std::string& at, const std::string& who) {
    std::string text = time_words(at);
    if (!who.empty()) text += (text.empty() ? "" : ", ") + who;
    return text.empty() ? "" : "  (" + text + ")";
}

/// Names of ports, seals and clearances where the job's map can be read; ids where not.
class Names {
public:
    explicit Names(const model::Job& job) : map_(model::read_map_text(job.map_toml, "map").map) {}

    [[nodiscard]] std::string unit() const { return map_ ? map_->unit.name : ""; }
    [[nodiscard]] std::string port(const std::string& id) const {
        if (!map_) return id;
        for (std::size_t p = 0; p < map_->ports.size(); ++p) {
            if (map_->ports[p].id == id) return port_words(*map_, static_cast<int>(p));
        }
        return id;
    }
    [[nodiscard]] std::string verdict(const model::Measurement& measurement) const {
        const auto* clearance = map_ ? model::find(map_->clearances, measurement.clearance) : nullptr;
        if (clearance == nullptr) return {};
        const auto how = model::verdict(measurement, *clearance);
        std::string text = how == model::Verdict::no_limits ? "the map has no limits"
                           : how == model::Verdict::within  ? "within limits"
                                                            : fmt::format("{} its limit", model::word(how));
        if (how == model::Verdict::below || how == model::Verdict::above)
            text += clearance->correct.empty() ? "" : ": " + clearance->correct;
        return fmt::format(" {}: {}", clearance->name, text);
    }

private:
    std::optional<model::UnitMap> map_;
};

std::string seen_words(const model::Seen& seen) {
    if (seen.word) return std::string(model::word(*seen.word));
    if (seen.pressure) return fmt::format("{} {}", seen.pressure->value, seen.pressure->measure().label);
    if (seen.flow_lpm) return fmt::format("{} L/min", *seen.flow_lpm);
    if (seen.applies_after_s) return fmt::format("applies after {} s", *seen.applies_after_s);
    return "not sure";
}

std::string reading_words(const Names& names, const model::Reading& reading) {
    std::string text = "air into " + names.port(reading.into);
    if (reading.pressure) text += fmt::format(" at {} {}", reading.pressure->value, reading.pressure->measure().label);
    if (!reading.plugged.empty()) text += fmt::format(", {} plugged", fmt::join(reading.plugged, " "));
    if (reading.wet) text += ", wet";
    if (reading.shaft_turned_deg) text += fmt::format(", shaft turned {}°", *reading.shaft_turned_deg);
    if (reading.pushed) text += fmt::format(", shaft pushed {}", model::word(*reading.pushed));
    if (reading.plate_resnugged) text += ", plate drawn again";
    if (reading.applied) text += fmt::format(", applied: {}", model::word(*reading.applied));
    // What came out first, then in short where nothing did.
    std::vector<std::string> seen, silent;
    for (const auto& one : reading.seen) {
        const bool open_case = one.at == model::open_case;
        if (one.word == model::Heard::nothing)
            silent.push_back(one.at);
        else
            seen.push_back(fmt::format("{} {}", open_case ? one.at : names.port(one.at), seen_words(one)));
    }
    if (!silent.empty()) seen.push_back(fmt::format("nothing at {}", fmt::join(silent, " ")));
    if (!seen.empty()) text += fmt::format(": {}", fmt::join(seen, ", "));
    if (!reading.note.empty()) text += fmt::format(" ({})", reading.note);
    return text;
}

std::string steps_words(const model::Job& job) {
    const auto over = model::steps_over(job);
    std::vector<std::string> words;
    for (std::size_t i = 0; i < over.size(); ++i)
        words.push_back(fmt::format("[{}] {}", over[i] ? 'x' : ' ', model::word(static_cast<model::JobStep>(i))));
    return fmt::format("{}", fmt::join(words, "  "));
}

std::string line(const std::string& text) { return wrapped("  " + text, 6) + "\n"; }

std::string checks_text(const model::Job& job, const Names& names) {
    std::string text;
    for (std::size_t c = 0; c < job.checks.size(); ++c) {
        const auto& check = job.checks[c];
        text += fmt::format("\nAir check {}, {}{}\n", c + 1,
                            check.purpose == model::CheckPurpose::retest ? "retest" : "before the repair",
                            mark(check.at, check.who));
        if (check.turns_freely)
            text += line(*check.turns_freely ? "turns freely both ways" : "does not turn freely both ways");
        for (const auto& reading : check.readings)
            text += line(reading_words(names, reading.reading));
        for (const auto& look : check.looks)
            text += line(fmt::format("looked at {}: {}{}", look.look.seal, model::word(look.look.found),
                                     look.look.note.empty() ? "" : ", " + look.look.note));
        if (check.readings.empty() && check.looks.empty()) text += line("nothing read yet");
        if (!check.note.empty()) text += line(check.note);
    }
    return text;
}

std::string things_text(const model::Job& job, const Names& names) {
    std::string text;
    const auto head = [&text](bool any, const char* title) {
        if (any) text += fmt::format("\n{}\n", title);
    };
    head(!job.findings.empty(), "Found");
    for (const auto& f : job.findings) {
        text += line(fmt::format("{} {}{}{}", f.seal, model::word(f.found), f.seen.empty() ? "" : ": " + f.seen,
                                 mark(f.at, f.who)));
        for (const auto& photo : f.photos)
            text += line("  photo " + photo);
    }
    head(!job.measurements.empty(), "Measured");
    for (const auto& m : job.measurements)
        text += line(
            fmt::format("{} {} {}{}{}{}", m.clearance, m.value.value, m.value.measure().label,
                        m.fitted ? fmt::format(" with {} {} fitted", m.fitted->value, m.fitted->measure().label) : "",
                        names.verdict(m), mark(m.at, m.who)));
    head(!job.renewed.empty(), "Renewed");
    for (const auto& r : job.renewed)
        text += line(fmt::format("{} x {}{}{}", r.quantity, r.what, r.part_number.empty() ? "" : ", " + r.part_number,
                                 mark(r.at, r.who)));
    head(!job.notes.empty(), "Notes");
    for (const auto& n : job.notes)
        text += line(n.text + mark(n.at, n.who));
    return text;
}

} // namespace

std::string time_words(const std::string& utc) {
    constexpr std::size_t day = 10, minute = 16;
    if (utc.size() < minute || utc[day] != 'T') return utc;
    return utc.substr(0, day) + " " + utc.substr(day + 1, minute - day - 1);
}

std::string short_id(const std::string& id) { return id.substr(0, 8); }

std::string job_list_text(const std::vector<JobLine>& lines, std::size_t total) {
    if (lines.empty()) return fmt::format("No job fits; there are {} in the records.\n", total);
    std::string text =
        line_of(fmt::format("{}  {}  {}  {}  {}  {}  {}", cell("id", 8), cell("number", 18), cell("opened", 16),
                            cell("unit", 18), cell("stands at", 10), cell("found", 10), "customer, complaint"));
    for (const auto& job : lines) {
        const std::string said =
            job.customer + (job.customer.empty() || job.complaint.empty() ? "" : ", ") + job.complaint;
        text += line_of(fmt::format("{}  {}  {}  {}  {}  {}  {}", short_id(job.id), cell(job.number, 18),
                                    cell(time_words(job.opened_at), 16), cell(job.unit, 18),
                                    cell(job.done ? "over" : std::string(model::word(job.stands)), 10),
                                    cell(job.found, 10), cell(said, 26)));
    }
    return text + fmt::format("{} of {} job(s). Times are UTC.\n", lines.size(), total);
}

std::string job_list_json(const std::vector<JobLine>& lines, std::size_t total) {
    Json list = Json::array();
    for (const auto& job : lines) {
        list.push_back({{"id", job.id},
                        {"number", job.number},
                        {"customer", job.customer},
                        {"unit", job.unit},
                        {"complaint", job.complaint},
                        {"who", job.who},
                        {"opened_at", job.opened_at},
                        {"changed_at", job.changed_at},
                        {"stands", model::word(job.stands)},
                        {"done", job.done},
                        {"found", job.found}});
    }
    return json_text({{"jobs", std::move(list)}, {"total", total}}) + '\n';
}

std::string job_text(const model::Job& job) {
    const Names names(job);
    std::string text = fmt::format("Job {}\n", job.head.number.empty() ? short_id(job.id) : job.head.number);
    text += field("unit", names.unit());
    text += field("customer", job.head.customer);
    text += field("complaint", job.head.complaint);
    text += field("who", job.head.who);
    text += field("opened", time_words(job.head.opened_at) + " UTC");
    text += field("comeback of", short_id(job.head.comeback_of));
    text += field("id", job.id);
    text += field("map", job.map_file + " (a copy is kept with the job)");
    text += field("steps", steps_words(job));
    text += checks_text(job, names) + things_text(job, names);
    if (!job.head.conclusion.empty()) text += "\nConclusion\n" + line(job.head.conclusion);
    return text;
}

std::string history_text(const std::vector<Change>& changes) {
    std::string text;
    for (const auto& change : changes) {
        std::vector<std::string> kinds;
        for (const auto& entry : change.entries)
            kinds.push_back((entry.content ? "" : "without ") + entry.kind);
        text += wrapped(fmt::format("{}  {}  {}  {}  [{}]", time_words(change.at), cell(change.bench, 12),
                                    cell(change.who, 12), change.label, fmt::join(kinds, ", ")),
                        46) +
                "\n";
    }
    return text + fmt::format("{} change(s). Times are UTC.\n", changes.size());
}

std::string history_json(const std::vector<Change>& changes) {
    Json list = Json::array();
    for (const auto& change : changes) {
        Json entries = Json::array();
        for (const auto& entry : change.entries) {
            Json one{{"kind", entry.kind}, {"id", entry.id}};
            if (entry.content) {
                const Json content = Json::parse(*entry.content, nullptr, false);
                one["content"] = content.is_discarded() ? Json(*entry.content) : content;
            } else {
                one["removed"] = true;
            }
            entries.push_back(std::move(one));
        }
        list.push_back({{"id", change.id},
                        {"at", change.at},
                        {"who", change.who},
                        {"bench", change.bench},
                        {"label", change.label},
                        {"entries", std::move(entries)}});
    }
    return json_text({{"changes", std::move(list)}}) + '\n';
}

std::string statistics_text(const Statistics& statistics) {
    if (statistics.units.empty()) return "There is no job in the records.\n";
    std::string text = line_of(fmt::format("{}  {:>6}  {:>6}  {:>9}  {:>18}", cell("unit", 28), "jobs", "done",
                                           "comebacks", "hours until done"));
    for (const auto& unit : statistics.units)
        text += line_of(fmt::format("{}  {:>6}  {:>6}  {:>9}  {:>18}", cell(unit.unit, 28), unit.jobs, unit.done,
                                    unit.comebacks, unit.done == 0 ? "-" : fmt::format("{:.1f}", unit.mean_hours)));
    if (statistics.seals.empty()) return text;
    text += "\nFound damaged\n";
    for (const auto& seal : statistics.seals)
        text += line_of(fmt::format("{}  {}  {:>4} of {} jobs with a finding  {}", cell(seal.unit, 28),
                                    cell(seal.seal, 6), seal.failed, seal.jobs, seal.name));
    return text;
}

std::string statistics_json(const Statistics& statistics) {
    Json units = Json::array(), seals = Json::array();
    for (const auto& unit : statistics.units) {
        units.push_back({{"unit", unit.unit}, {"jobs", unit.jobs}, {"done", unit.done}, {"comebacks", unit.comebacks}});
        units.back()["mean_hours"] = unit.done == 0 ? Json(nullptr) : Json(unit.mean_hours);
    }
    for (const auto& seal : statistics.seals)
        seals.push_back({{"unit", seal.unit},
                         {"seal", seal.seal},
                         {"name", seal.name},
                         {"failed", seal.failed},
                         {"jobs", seal.jobs}});
    return json_text({{"units", std::move(units)}, {"seals", std::move(seals)}}) + '\n';
}

} // namespace ringland::viewer
