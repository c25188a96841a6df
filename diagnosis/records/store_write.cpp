// Changes into the database: one transaction each.
#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "../../model-data/map_io.h"
#include "../divide.h"
#include "store_session.h"

namespace ringland::diagnosis::records {

using soci::into;
using soci::use;

namespace {

using Key = std::pair<std::string, std::string>;

std::map<Key, std::string> contents(const std::vector<model::JobEntry>& entries) {
    std::map<Key, std::string> map;
    for (const auto& entry : entries)
        map[{entry.kind, entry.id}] = entry.content;
    return map;
}

/// Takes out of the difference what stands so already, and names what somebody else changed meanwhile.
void hold_against(const std::vector<model::JobEntry>& stored, const model::Job& before, model::JobDifference& changed,
                  Saved& saved) {
    const auto there = contents(stored);
    const auto was = contents(before == model::Job{} ? std::vector<model::JobEntry>{} : model::entries(before));
    std::map<Key, double> orders;
    for (const auto& entry : stored)
        orders[{entry.kind, entry.id}] = entry.order;
    const auto others = [&](const model::JobEntry& entry) {
        const auto now = there.find({entry.kind, entry.id}), then = was.find({entry.kind, entry.id});
        const bool same = now == there.end()  ? then == was.end()
                          : then == was.end() ? false
                                              : now->second == then->second;
        if (!same && !(now != there.end() && now->second == entry.content))
            saved.also_changed.push_back(fmt::format("{} {}", entry.kind, entry.id));
    };
    const auto is_there = [&](const model::JobEntry& entry) {
        const auto at = there.find({entry.kind, entry.id});
        return at != there.end() && at->second == entry.content && orders.at(at->first) == entry.order;
    };
    const auto is_gone = [&](const model::JobEntry& entry) { return there.count({entry.kind, entry.id}) == 0; };
    changed.puts.erase(std::remove_if(changed.puts.begin(), changed.puts.end(), is_there), changed.puts.end());
    changed.removals.erase(std::remove_if(changed.removals.begin(), changed.removals.end(), is_gone),
                           changed.removals.end());
    std::for_each(changed.puts.begin(), changed.puts.end(), others);
    std::for_each(changed.removals.begin(), changed.removals.end(), others);
}

/// The seal's own name, or what and where it is: "ring 3 of 5 on Input shaft, counted from the pump end".
std::string spoken_name(const model::UnitMap& map, const model::Seal& seal) {
    if (!seal.name.empty()) return seal.name;
    std::string kind(model::word(seal.kind));
    std::replace(kind.begin(), kind.end(), '-', ' ');
    if (const auto position = stack_position(map, seal))
        kind += fmt::format(" {} of {} on {}, counted from the {}", position->nth_from_first_end, position->count,
                            position->stack_name, position->first_end);
    return kind;
}

void fill(FullChange& change, const model::JobDifference& changed) {
    change.entries.clear();
    change.maps.clear();
    for (const auto& put : changed.puts)
        change.entries.push_back(
            {put.kind, put.id, put.order, put.kind == "map" ? map_out_of(put.content, change.maps) : put.content});
    for (const auto& removal : changed.removals)
        change.entries.push_back({removal.kind, removal.id, removal.order, std::nullopt});
}

} // namespace

long long Store::Impl::number_of(const std::string& job, bool make) {
    const auto ask = [&](const char* text) {
        long long number = 0;
        sql << text, use(job), into(number);
        return number;
    };
    constexpr const char* plain = "select n from job where id = :id";
    const long long known = ask(plain);
    if (!make || (known > 0 && !dialect.server)) return known;
    if (known == 0) sql << "insert into job (id) values (:id) on conflict (id) do nothing", use(job);
    // A server's other benches wait here until this change is through; SQLite has locked the whole file.
    return ask(dialect.server ? "select n from job where id = :id for update" : plain);
}

bool Store::Impl::has_change(const std::string& id) {
    int count = 0;
    sql << "select count(*) from change where id = :id", use(id), into(count);
    return count > 0;
}

void Store::Impl::write_maps(const FullChange& change) {
    for (const auto& map : change.maps)
        sql << "insert into unit_map (sha256, toml) values (:sha, :toml) on conflict (sha256) do nothing",
            use(map.sha256), use(map.toml);
}

void Store::Impl::put_entries(long long job, const FullChange& change) {
    if (change.entries.empty()) return;
    std::vector<std::string> kinds, ids, texts;
    std::vector<double> orders;
    std::vector<soci::indicator> given;
    for (const auto& entry : change.entries) {
        kinds.push_back(entry.kind);
        ids.push_back(entry.id);
        orders.push_back(entry.order);
        texts.push_back(entry.content.value_or(""));
        given.push_back(entry.content ? soci::i_ok : soci::i_null);
    }
    const std::vector<long long> jobs(kinds.size(), job);
    const std::vector<std::string> times(kinds.size(), change.at);
    // What was changed later elsewhere stays, whenever this one arrives.
    sql << "insert into entry (job, kind, id, ord, content, at) values (:job, :kind, :id, :ord, :content, :at) "
           "on conflict (job, kind, id) do update set ord = excluded.ord, content = excluded.content, at = excluded.at "
           "where entry.at <= excluded.at",
        use(jobs), use(kinds), use(ids), use(orders), use(texts, given), use(times);
}

void Store::Impl::write(long long job, const FullChange& change) {
    sql << "insert into change (id, job, at, who, bench, label) values (:id, :job, :at, :who, :bench, :label)",
        use(change.id), use(job), use(change.at), use(change.who), use(change.bench), use(change.label);
    long long number = 0;
    sql << "select n from change where id = :id", use(change.id), into(number);
    write_maps(change);
    if (!change.entries.empty()) {
        std::vector<std::string> kinds, ids, texts;
        std::vector<double> orders;
        std::vector<int> places;
        std::vector<soci::indicator> given;
        for (const auto& entry : change.entries) {
            places.push_back(static_cast<int>(places.size()));
            kinds.push_back(entry.kind);
            ids.push_back(entry.id);
            orders.push_back(entry.order);
            texts.push_back(entry.content.value_or(""));
            given.push_back(entry.content ? soci::i_ok : soci::i_null);
        }
        const std::vector<long long> numbers(kinds.size(), number);
        sql << "insert into change_entry (change, place, kind, id, ord, content) "
               "values (:change, :place, :kind, :id, :ord, :content)",
            use(numbers), use(places), use(kinds), use(ids), use(orders), use(texts, given);
    }
    put_entries(job, change);
    write_derived(job, change.job, change.at);
}

void Store::Impl::write_words(long long job, const std::vector<std::string>& words) {
    std::vector<std::string> there;
    std::string word;
    {
        soci::statement statement =
            (sql.prepare << "select word from word where n = :n order by word", use(job), into(word));
        statement.execute();
        while (statement.fetch())
            there.push_back(word);
    }
    if (there == words) return;
    sql << "delete from word where n = :n", use(job);
    const std::vector<long long> jobs(words.size(), job);
    if (!words.empty()) sql << "insert into word (word, n) values (:word, :n)", use(words), use(jobs);
}

void Store::Impl::write_derived(long long job, const std::string& id, const std::string& at) {
    const auto list = entries(job, false);
    const model::Job as_it_is = model::job_from_entries(id, list);
    if (is_nothing(as_it_is)) {
        // All of it was taken back: the history has it, and no list, search or figure counts it as a job.
        for (const char* table : {"listing", "word", "found"})
            sql << fmt::format("delete from {} where n = :n", table), use(job);
        return;
    }
    std::string sha256;
    for (const auto& entry : list) {
        if (entry.kind == "map") sha256 = map_named_in(entry.content);
    }
    Derived derived = derive(as_it_is, names_of(sha256));
    JobLine& line = derived.line;
    std::string changed_at;
    sql << "select changed_at from listing where n = :n", use(job), into(changed_at);
    line.changed_at = std::max(at, changed_at);
    const int stands = static_cast<int>(line.stands), done = line.done ? 1 : 0;
    sql << "delete from listing where n = :n", use(job);
    sql << "insert into listing (n, id, number, customer, unit, complaint, who, opened_at, changed_at, stands, done, "
           "found, comeback_of, year_before, hours) values (:n, :id, :number, :customer, :unit, :complaint, "
           ":who, :opened, :changed, :stands, :done, :found, :comeback, :year, :hours)",
        use(job), use(line.id), use(line.number), use(line.customer), use(line.unit), use(line.complaint),
        use(line.who), use(line.opened_at), use(line.changed_at), use(stands), use(done), use(line.found),
        use(derived.comeback_of), use(derived.year_before), use(derived.hours);
    write_words(job, derived.words);
    sql << "delete from found where n = :n", use(job);
    for (const auto& found : derived.found) {
        const int damaged = found.damaged ? 1 : 0;
        sql << "insert into found (n, seal, unit, name, damaged) values (:n, :seal, :unit, :name, :damaged)", use(job),
            use(found.seal), use(line.unit), use(found.name), use(damaged);
    }
}

void Store::Impl::derive_all() {
    sql << "delete from listing";
    sql << "delete from word";
    sql << "delete from found";
    long long last = 0;
    for (bool more = true; more;) {
        long long job = 0;
        std::string id, at;
        sql << "select n, id from job where n > :last order by n limit 1", use(last), into(job), into(id);
        more = job > last;
        if (!more) break;
        sql << "select coalesce(max(at), '') from change where job = :n", use(job), into(at);
        write_derived(job, id, at);
        last = job;
    }
}

const UnitNames& Store::Impl::names_of(const std::string& sha256) {
    constexpr std::size_t most = 32;
    const auto known = names.find(sha256);
    if (known != names.end()) return known->second;
    if (names.size() >= most) names.clear();
    UnitNames& found = names[sha256];
    const model::ReadResult read = model::read_map_text(toml_of(sha256), "");
    if (!read.map) return found;
    found.unit = read.map->unit.name;
    for (const auto& seal : read.map->seals)
        found.seals.push_back({seal.id, seal.name, spoken_name(*read.map, seal)});
    return found;
}

void Store::save(FullChange& change, const model::Job& before, const model::Job& after, Saved& saved, bool wait) {
    guarded(*impl_, [&] {
        saved.also_changed.clear();
        Transaction transaction(*impl_);
        if (impl_->has_change(change.id)) return;
        const long long job = impl_->number_of(change.job, true);
        const auto stored = impl_->entries(job, true);
        model::JobDifference changed = model::difference(before, after, stored);
        hold_against(stored, before, changed, saved);
        fill(change, changed);
        if (change.entries.empty()) return;
        // A clock that was set back must not make the newest change the oldest.
        std::string newest;
        impl_->sql << "select coalesce(max(at), '') from entry where job = :job", use(job), into(newest);
        change.at = std::max(change.at, newest);
        impl_->write(job, change);
        if (wait) impl_->sql << "insert into waiting (change) values (:id)", use(change.id);
        transaction.commit();
    });
}

std::size_t Store::apply(const std::vector<FullChange>& changes) {
    // Many at a time, since each transaction waits for the disk; few enough that others are not kept waiting long.
    constexpr std::size_t at_a_time = 200;
    return guarded(*impl_, [&] {
        std::size_t count = 0;
        for (std::size_t from = 0; from < changes.size(); from += at_a_time) {
            Transaction transaction(*impl_);
            for (std::size_t i = from; i < std::min(changes.size(), from + at_a_time); ++i) {
                const long long job = impl_->number_of(changes[i].job, true);
                if (impl_->has_change(changes[i].id)) continue;
                impl_->write(job, changes[i]);
                ++count;
            }
            transaction.commit();
        }
        return count;
    });
}

void Store::adopt(std::string_view id, const std::vector<model::JobEntry>& entries) {
    guarded(*impl_, [&] {
        FullChange state;
        state.job = id;
        for (const auto& entry : entries) {
            state.entries.push_back({entry.kind, entry.id, entry.order,
                                     entry.kind == "map" ? map_out_of(entry.content, state.maps) : entry.content});
        }
        Transaction transaction(*impl_);
        const long long job = impl_->number_of(state.job, true);
        // Its times are the server's, so that nothing here is older than what comes: the state is taken as it is.
        impl_->sql << "delete from entry where job = :job", use(job);
        impl_->write_maps(state);
        impl_->put_entries(job, state);
        impl_->write_derived(job, state.job, {});
        transaction.commit();
    });
}

void Store::sent(const std::string& change) {
    guarded(*impl_, [&] { impl_->sql << "delete from waiting where change = :id", use(change); });
}

} // namespace ringland::diagnosis::records
