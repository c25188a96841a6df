// What lists, search and statistics need of a job.
#include <algorithm>
#include <cctype>
#include <ctime>

#include <fmt/format.h>

#include "store.h"
#include "words.h"

namespace ringland::diagnosis::records {
namespace {

/// Columns are texts without a zero byte: the databases would cut them there, or refuse them.
std::string column(std::string text) {
    text.erase(std::remove(text.begin(), text.end(), '\0'), text.end());
    return text;
}

/// Seconds since 1970 of "2031-05-04T09:30:00Z"; nothing where it is not written so.
std::optional<double> seconds(const std::string& at) {
    if (at.size() != 20 || at[19] != 'Z') return std::nullopt;
    const auto figure = [&](std::size_t from, std::size_t count) {
        int value = 0;
        for (std::size_t i = from; i < from + count; ++i) {
            if (std::isdigit(static_cast<unsigned char>(at[i])) == 0) return -1;
            value = value * 10 + (at[i] - '0');
        }
        return value;
    };
    std::tm parts{};
    parts.tm_year = figure(0, 4) - 1900;
    parts.tm_mon = figure(5, 2) - 1;
    parts.tm_mday = figure(8, 2);
    parts.tm_hour = figure(11, 2);
    parts.tm_min = figure(14, 2);
    parts.tm_sec = figure(17, 2);
    if (parts.tm_year < -1900 || parts.tm_mon < 0 || parts.tm_mday < 0 || parts.tm_hour < 0 || parts.tm_min < 0 ||
        parts.tm_sec < 0)
        return std::nullopt;
    return static_cast<double>(timegm(&parts));
}

std::string year_before(const std::string& at) {
    if (!seconds(at)) return at;
    return fmt::format("{:04}{}", std::max(0, std::stoi(at.substr(0, 4)) - 1), at.substr(4));
}

const UnitNames::Seal* seal_of(const UnitNames& names, const std::string& id) {
    const auto at = std::find_if(names.seals.begin(), names.seals.end(),
                                 [&](const UnitNames::Seal& seal) { return seal.id == id; });
    return at == names.seals.end() ? nullptr : &*at;
}

std::string text_of(const model::Job& job, const Derived& derived, const UnitNames& names) {
    const auto& head = job.head;
    std::string text;
    for (const auto* part : {&head.number, &head.customer, &head.complaint, &head.conclusion, &derived.line.unit})
        text += *part + '\n';
    for (const auto& finding : job.findings)
        text += finding.seal + '\n' + finding.seen + '\n';
    // By their own names: what a ring is called for want of one is no word that anybody searches for.
    for (const auto& found : derived.found) {
        if (const auto* seal = seal_of(names, found.seal)) text += column(seal->name) + '\n';
    }
    for (const auto& renewed : job.renewed)
        text += renewed.what + '\n' + renewed.part_number + '\n' + renewed.note + '\n';
    for (const auto& check : job.checks)
        text += check.note + '\n';
    for (const auto& note : job.notes)
        text += note.text + '\n';
    return text;
}

std::vector<Derived::Found> found_in(const model::Job& job, const UnitNames& names) {
    std::vector<Derived::Found> list;
    for (const auto& finding : job.findings) {
        // A leak of hose and plate says nothing of the unit.
        if (finding.seal == model::the_rig || finding.seal.empty()) continue;
        const bool damaged = finding.found == model::Found::damaged;
        const auto at = std::find_if(list.begin(), list.end(),
                                     [&](const Derived::Found& found) { return found.seal == column(finding.seal); });
        if (at != list.end()) {
            at->damaged = at->damaged || damaged;
            continue;
        }
        const auto* seal = seal_of(names, finding.seal);
        list.push_back({column(finding.seal), seal == nullptr ? "" : column(seal->shown), damaged});
    }
    return list;
}

} // namespace

Derived derive(const model::Job& job, const UnitNames& names) {
    Derived derived;
    JobLine& line = derived.line;
    line.id = job.id;
    line.number = column(job.head.number);
    line.customer = column(job.head.customer);
    line.unit = column(names.unit);
    line.complaint = column(job.head.complaint);
    line.who = column(job.head.who);
    line.opened_at = column(job.head.opened_at);
    line.stands = model::where_it_stands(job);
    derived.found = found_in(job, names);
    for (const auto& found : derived.found) {
        if (found.damaged) line.found += (line.found.empty() ? "" : ", ") + found.seal;
    }
    derived.comeback_of = column(job.head.comeback_of);
    derived.year_before = year_before(line.opened_at);
    for (const auto& tick : job.ticks) {
        if (tick.step != model::JobStep::done) continue;
        line.done = true;
        const auto from = seconds(job.head.opened_at), to = seconds(tick.at);
        if (from && to) derived.hours = (*to - *from) / 3600;
    }
    derived.words = words_in(text_of(job, derived, names));
    return derived;
}

} // namespace ringland::diagnosis::records
