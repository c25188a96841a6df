#include "job_entries.h"

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include <fmt/format.h>

#include "job_content.h"

namespace ringland::model {
namespace {

/// Broken UTF-8 is mended rather than refused: an entry that cannot be written would be lost.
std::string dumped(const Json& json) { return json.dump(-1, ' ', false, Json::error_handler_t::replace); }

class EntryList {
public:
    template <class T> void add(const char* kind, std::string id, const T& thing, const std::string& check = {}) {
        Json content = Json::object();
        if (!check.empty()) content["check"] = check;
        JobFields<T>::fields(thing, ContentWriter(content));
        add_content(kind, std::move(id), dumped(content));
    }
    void add_content(const char* kind, std::string id, std::string content) {
        const double order = ++count_[kind];
        if (id.empty()) id = fmt::format("{}-{}", kind, order);
        list_.push_back({kind, std::move(id), order, std::move(content)});
    }
    std::vector<JobEntry> take() { return std::move(list_); }

private:
    std::vector<JobEntry> list_;
    std::map<std::string, int> count_;
};

/// Puts entries back into a job, one kind after the other.
class JobMaker {
public:
    explicit JobMaker(std::string id) { job_.id = std::move(id); }

    /// What is wrong with the entry, or empty.
    Phrase take(const JobEntry& entry) {
        wrong_ = {};
        content_ = Json::parse(entry.content, nullptr, false);
        if (!content_.is_object()) return phrase("its content is not JSON");
        if (!take_known(entry) && wrong_.empty()) wrong_ = phrase("it is of a kind that this program does not know");
        return wrong_;
    }
    Job job() { return std::move(job_); }

private:
    template <class T> bool read(T& thing) {
        T read = thing;
        JobFields<T>::fields(read, ContentReader(content_, wrong_));
        if (!wrong_.empty()) return false;
        thing = std::move(read);
        return true;
    }
    template <class T> bool append(std::vector<T>& list, const std::string& id) {
        T thing;
        thing.id = id;
        if (!read(thing)) return false;
        list.push_back(std::move(thing));
        return true;
    }
    JobCheck& check_of() {
        std::string id;
        ContentReader(content_, wrong_)("check", id);
        const auto at =
            std::find_if(job_.checks.begin(), job_.checks.end(), [&](const JobCheck& check) { return check.id == id; });
        if (at != job_.checks.end()) return *at;
        JobCheck back;
        back.id = id;
        return job_.checks.emplace_back(std::move(back));
    }
    template <class T> bool under_check(std::vector<T> JobCheck::*list, const std::string& id) {
        T thing;
        thing.id = id;
        bool good = false;
        if constexpr (std::is_same_v<T, JobReading>)
            good = read(thing.reading);
        else if constexpr (std::is_same_v<T, JobLook>)
            good = read(thing.look);
        else
            good = read(thing.complaint);
        if (good) (check_of().*list).push_back(std::move(thing));
        return good;
    }

    bool take_known(const JobEntry& entry) {
        if (entry.kind == "head") return read(job_.head);
        if (entry.kind == "map") {
            const ContentReader reader(content_, wrong_);
            reader("file", job_.map_file);
            reader("toml", job_.map_toml);
            return wrong_.empty();
        }
        if (entry.kind == "tick") {
            StepTick tick;
            if (!read(tick)) return false;
            job_.ticks.push_back(std::move(tick));
            return true;
        }
        if (entry.kind == "check") return append(job_.checks, entry.id);
        if (entry.kind == "reading") return under_check(&JobCheck::readings, entry.id);
        if (entry.kind == "look") return under_check(&JobCheck::looks, entry.id);
        if (entry.kind == "complaint") return under_check(&JobCheck::complaints, entry.id);
        if (entry.kind == "finding") return append(job_.findings, entry.id);
        if (entry.kind == "measurement") return append(job_.measurements, entry.id);
        if (entry.kind == "renewed") return append(job_.renewed, entry.id);
        if (entry.kind == "note") return append(job_.notes, entry.id);
        return false;
    }

    Job job_;
    Json content_;
    Phrase wrong_;
};

std::size_t place_of_kind(std::string_view kind) {
    return static_cast<std::size_t>(std::find(entry_kinds.begin(), entry_kinds.end(), kind) - entry_kinds.begin());
}

using EntryKey = std::pair<std::string, std::string>;
EntryKey key_of(const JobEntry& entry) { return {entry.kind, entry.id}; }

std::map<EntryKey, const JobEntry*> by_key(const std::vector<JobEntry>& list) {
    std::map<EntryKey, const JobEntry*> map;
    for (const auto& entry : list)
        map[key_of(entry)] = &entry;
    return map;
}

/// Which of these can keep their order: a longest increasing run of them (no order: it is new).
std::vector<bool> keepers(const std::vector<std::optional<double>>& orders) {
    std::vector<std::size_t> ends; // of the best run of each length
    std::vector<std::size_t> from(orders.size(), orders.size());
    for (std::size_t i = 0; i < orders.size(); ++i) {
        if (!orders[i]) continue;
        const auto at = std::lower_bound(ends.begin(), ends.end(), *orders[i],
                                         [&](std::size_t end, double order) { return *orders[end] < order; });
        if (at != ends.begin()) from[i] = *(at - 1);
        if (at == ends.end())
            ends.push_back(i);
        else
            *at = i;
    }
    std::vector<bool> keep(orders.size(), false);
    for (std::size_t i = ends.empty() ? orders.size() : ends.back(); i < orders.size(); i = from[i])
        keep[i] = true;
    return keep;
}

/// Gives a place to each entry of one kind. `last` is the greatest order that is taken.
void set_orders(std::vector<JobEntry*>& row, std::vector<std::optional<double>> orders, double last) {
    constexpr double least_gap = 1e-6;
    const auto keep = keepers(orders);
    for (std::size_t begin = 0; begin < row.size();) {
        if (keep[begin]) {
            row[begin]->order = *orders[begin];
            ++begin;
            continue;
        }
        std::size_t end = begin;
        while (end < row.size() && !keep[end])
            ++end;
        const auto count = static_cast<double>(end - begin);
        double step = 1, low = begin > 0 ? row[begin - 1]->order : 0;
        if (end == row.size())
            low = std::max(low, last);
        else if (begin == 0)
            low = *orders[end] - count - 1;
        else
            step = (*orders[end] - low) / (count + 1);
        if (step < least_gap) { // no room left: all of them anew
            std::fill(orders.begin(), orders.end(), std::nullopt);
            return set_orders(row, std::move(orders), last);
        }
        for (std::size_t i = begin; i < end; ++i)
            row[i]->order = low + step * static_cast<double>(i - begin + 1);
        begin = end;
    }
}

/// The entries of `after` with the orders that those of `stored` have.
void place(std::vector<JobEntry>& after, const std::vector<JobEntry>& stored) {
    const auto known = by_key(stored);
    for (const auto kind : entry_kinds) {
        double last = 0;
        for (const auto& entry : stored) {
            if (entry.kind == kind) last = std::max(last, entry.order);
        }
        std::vector<JobEntry*> row;
        std::vector<std::optional<double>> orders;
        for (auto& entry : after) {
            if (entry.kind != kind) continue;
            row.push_back(&entry);
            const auto at = known.find(key_of(entry));
            orders.push_back(at == known.end() ? std::nullopt : std::optional(at->second->order));
        }
        set_orders(row, std::move(orders), last);
    }
}

} // namespace

std::vector<JobEntry> entries(const Job& job) {
    EntryList list;
    list.add("head", "head", job.head);
    if (!job.map_toml.empty() || !job.map_file.empty())
        list.add_content("map", "map", dumped({{"file", job.map_file}, {"toml", job.map_toml}}));
    for (const auto& tick : job.ticks)
        list.add("tick", std::string(word(tick.step)), tick);
    for (const auto& check : job.checks)
        list.add("check", check.id, check);
    for (std::size_t c = 0; c < job.checks.size(); ++c) {
        const auto& check = job.checks[c];
        const std::string id = check.id.empty() ? fmt::format("check-{}", c + 1) : check.id;
        for (const auto& reading : check.readings)
            list.add("reading", reading.id, reading.reading, id);
        for (const auto& look : check.looks)
            list.add("look", look.id, look.look, id);
        for (const auto& complaint : check.complaints)
            list.add("complaint", complaint.id, complaint.complaint, id);
    }
    for (const auto& finding : job.findings)
        list.add("finding", finding.id, finding);
    for (const auto& measurement : job.measurements)
        list.add("measurement", measurement.id, measurement);
    for (const auto& renewed : job.renewed)
        list.add("renewed", renewed.id, renewed);
    for (const auto& note : job.notes)
        list.add("note", note.id, note);
    return list.take();
}

Job job_from_entries(std::string id, std::vector<JobEntry> list, std::vector<Phrase>* passed_over) {
    std::stable_sort(list.begin(), list.end(), [](const JobEntry& a, const JobEntry& b) {
        return std::tuple(place_of_kind(a.kind), a.order, std::string_view(a.id)) <
               std::tuple(place_of_kind(b.kind), b.order, std::string_view(b.id));
    });
    JobMaker maker(std::move(id));
    for (const auto& entry : list) {
        const Phrase wrong = maker.take(entry);
        if (!wrong.empty() && passed_over != nullptr)
            passed_over->push_back(phrase("{0} {1}: {2}", entry.kind, entry.id, wrong));
    }
    return maker.job();
}

JobDifference difference(const Job& before, const Job& after, const std::vector<JobEntry>& stored) {
    // A job that was never saved has nothing, not an empty head.
    const std::vector<JobEntry> was = before == Job{} ? std::vector<JobEntry>{} : entries(before);
    std::vector<JobEntry> is = entries(after);
    const std::vector<JobEntry>& kept = stored.empty() ? was : stored;
    place(is, kept);
    const auto was_by_key = by_key(was), is_by_key = by_key(is), kept_by_key = by_key(kept);
    JobDifference result;
    for (const auto& entry : is) {
        if (is_by_key.at(key_of(entry)) != &entry) continue; // the same thing twice: the later stands
        const auto old = was_by_key.find(key_of(entry)), at = kept_by_key.find(key_of(entry));
        const bool same = old != was_by_key.end() && old->second->content == entry.content;
        const bool moved = at != kept_by_key.end() && at->second->order != entry.order;
        if (same && !moved) continue;
        result.puts.push_back(entry);
        // Where only its place changed, what stands in the records stays: it may be newer than what this window has.
        if (same && at != kept_by_key.end()) result.puts.back().content = at->second->content;
    }
    for (const auto& entry : was) {
        if (is_by_key.count(key_of(entry)) == 0) result.removals.push_back({entry.kind, entry.id, entry.order, {}});
    }
    return result;
}

Job merged(const Job& ours, const Job& base, const Job& theirs) {
    std::vector<JobEntry> list = entries(theirs);
    const JobDifference mine = difference(base, ours, list);
    std::set<EntryKey> replaced;
    for (const auto* changed : {&mine.puts, &mine.removals}) {
        for (const auto& entry : *changed)
            replaced.insert(key_of(entry));
    }
    list.erase(std::remove_if(list.begin(), list.end(),
                              [&](const JobEntry& entry) { return replaced.count(key_of(entry)) > 0; }),
               list.end());
    list.insert(list.end(), mine.puts.begin(), mine.puts.end());
    return job_from_entries(theirs.id, std::move(list));
}

} // namespace ringland::model
