// What stands in the database.
#include <algorithm>

#include <fmt/format.h>

#include "store_session.h"
#include "words.h"

namespace ringland::diagnosis::records {

using soci::into;
using soci::use;

namespace {

/// A word found in more jobs than this is looked for among the newest jobs first: mostly that is enough.
constexpr int rare = 1000, newest_looked_at = 4000;
/// Words are told apart by their count so far; beyond it they are all alike.
constexpr int counted = 20000;
/// After every word that begins alike, in the order of bytes: the last character of Unicode.
constexpr const char* after_all = "\xF4\x8F\xBF\xBF";

/// Conditions with their values, in order. Each ? gets a name of its own: equal names would be one value.
class Conditions {
public:
    void add(std::string_view condition, std::vector<std::string> values) {
        text_ += text_.empty() ? " where " : " and ";
        for (const char c : condition) {
            if (c == '?')
                text_ += fmt::format(":p{}", ++names_);
            else
                text_ += c;
        }
        for (auto& value : values)
            values_.push_back(std::move(value));
    }
    /// Another "where" in the same statement.
    void begin_again() { text_.clear(); }
    [[nodiscard]] const std::string& text() const { return text_; }
    [[nodiscard]] std::vector<std::string>& values() { return values_; }

private:
    std::string text_;
    std::vector<std::string> values_;
    int names_ = 0;
};

int hits(soci::session& sql, const std::string& word) {
    int count = 0;
    const std::string end = word + after_all;
    sql << fmt::format(
        "select count(*) from (select 1 from word where word >= :begin and word < :end limit {}) as part", counted),
        use(word), use(end), into(count);
    return count;
}

struct Word {
    std::string text;
    int hits = 0;
};

/// The rarest first.
std::vector<Word> words_of(soci::session& sql, const std::string& text) {
    std::vector<Word> words;
    for (auto& word : words_in(text)) {
        const int count = hits(sql, word);
        words.push_back({std::move(word), count});
    }
    std::stable_sort(words.begin(), words.end(), [](const Word& a, const Word& b) { return a.hits < b.hits; });
    return words;
}

void add_others(const Search& search, Conditions& conditions) {
    if (!search.unit.empty()) conditions.add("listing.unit = ?", {search.unit});
    if (!search.from.empty()) conditions.add("listing.opened_at >= ?", {search.from});
    // A day's times come after the day itself and before this.
    if (!search.until.empty()) conditions.add("listing.opened_at < ?", {search.until + "U"});
    if (!search.seal.empty())
        conditions.add(
            "exists (select 1 from found where found.n = listing.n and found.seal = ? and found.damaged = 1)",
            {search.seal});
    if (search.open_only) conditions.add("listing.done = 0", {});
}

void add_word(const Word& word, const char* job, Conditions& conditions) {
    conditions.add(fmt::format("exists (select 1 from word as other where other.n = {} and other.word >= ? and "
                               "other.word < ?)",
                               job),
                   {word.text, word.text + after_all});
}

std::vector<JobLine> lines(soci::session& sql, const std::string& from, std::vector<std::string>& values,
                           std::size_t most) {
    JobLine line;
    int stands = 0, done = 0;
    soci::statement statement(sql);
    for (const auto& value : values)
        statement.exchange(use(value));
    for (auto* text : {&line.id, &line.number, &line.customer, &line.unit, &line.complaint, &line.who, &line.opened_at,
                       &line.changed_at, &line.found})
        statement.exchange(into(*text));
    statement.exchange(into(stands));
    statement.exchange(into(done));
    statement.alloc();
    statement.prepare(fmt::format("select listing.id, listing.number, listing.customer, listing.unit, "
                                  "listing.complaint, listing.who, listing.opened_at, listing.changed_at, "
                                  "listing.found, listing.stands, listing.done from {} "
                                  "order by listing.opened_at desc, listing.n desc limit {}",
                                  from, most));
    statement.define_and_bind();
    statement.execute();
    std::vector<JobLine> list;
    while (statement.fetch()) {
        line.stands = static_cast<model::JobStep>(std::clamp<int>(stands, 0, model::job_step_count - 1));
        line.done = done == 1;
        list.push_back(line);
    }
    return list;
}

/// Along the list from the newest on, no further than `newest_looked_at`; empty where that is not enough.
std::vector<JobLine> among_newest(soci::session& sql, const Search& search, const std::vector<Word>& words) {
    Conditions conditions;
    conditions.add(fmt::format("listing.opened_at >= (select coalesce(min(opened_at), '') from (select opened_at from "
                               "listing order by opened_at desc limit {}) as part)",
                               newest_looked_at),
                   {});
    add_others(search, conditions);
    for (const auto& word : words)
        add_word(word, "listing.n", conditions);
    auto list = lines(sql, "listing" + conditions.text(), conditions.values(), search.most);
    if (list.size() < search.most) list.clear();
    return list;
}

/// From the jobs that have the rarest word, each looked at for the others.
std::vector<JobLine> by_rarest(soci::session& sql, const Search& search, const std::vector<Word>& words) {
    Conditions conditions;
    conditions.add("word.word >= ? and word.word < ?", {words[0].text, words[0].text + after_all});
    for (std::size_t i = 1; i < words.size(); ++i)
        add_word(words[i], "word.n", conditions);
    // A cross join is taken in this order; the planner would walk the whole list for the sake of its order.
    const std::string hit =
        fmt::format("(select distinct word.n from word{}) as hit cross join listing", conditions.text());
    conditions.begin_again();
    conditions.add("listing.n = hit.n", {});
    add_others(search, conditions);
    return lines(sql, hit + conditions.text(), conditions.values(), search.most);
}

} // namespace

std::string Store::Impl::toml_of(const std::string& sha256) {
    std::string toml;
    sql << "select toml from unit_map where sha256 = :sha", use(sha256), into(toml);
    return toml;
}

std::vector<model::JobEntry> Store::Impl::entries(long long job, bool with_map_text) {
    std::vector<model::JobEntry> list;
    model::JobEntry entry;
    soci::statement statement =
        (sql.prepare << "select kind, id, ord, content from entry where job = :job and content is not null "
                        "order by kind, ord, id",
         use(job), into(entry.kind), into(entry.id), into(entry.order), into(entry.content));
    statement.execute();
    while (statement.fetch())
        list.push_back(entry);
    for (auto& one : list) {
        if (one.kind == "map" && with_map_text)
            one.content = map_into(one.content, [this](const std::string& sha256) { return toml_of(sha256); });
    }
    return list;
}

std::vector<FullChange> Store::Impl::read_changes(const std::string& condition, const std::string& value) {
    std::vector<FullChange> list;
    FullChange change;
    FullChange::Entry entry;
    std::string content;
    soci::indicator given = soci::i_ok;
    long long number = 0, last = -1;
    soci::statement statement =
        (sql.prepare << "select change.n, change.id, job.id, change.at, change.who, change.bench, change.label, "
                        "change_entry.kind, change_entry.id, change_entry.ord, change_entry.content from change "
                        "join job on job.n = change.job join change_entry on change_entry.change = change.n where "
                     << condition << " order by change.n, change_entry.place",
         use(value), into(number), into(change.id), into(change.job), into(change.at), into(change.who),
         into(change.bench), into(change.label), into(entry.kind), into(entry.id), into(entry.order),
         into(content, given));
    statement.execute();
    while (statement.fetch()) {
        if (number != last) list.push_back(change);
        last = number;
        entry.content = given == soci::i_ok ? std::optional(content) : std::nullopt;
        list.back().entries.push_back(entry);
    }
    for (auto& one : list) {
        for (const auto& put : one.entries) {
            if (put.kind != "map" || !put.content) continue;
            const std::string sha256 = map_named_in(*put.content);
            if (!sha256.empty()) one.maps.push_back({sha256, toml_of(sha256)});
        }
    }
    return list;
}

std::vector<model::JobEntry> Store::entries(std::string_view job) {
    return guarded(*impl_, [&] {
        const long long number = impl_->number_of(std::string(job), false);
        return number == 0 ? std::vector<model::JobEntry>{} : impl_->entries(number, true);
    });
}

std::vector<FullChange> Store::changes(std::string_view job) {
    return guarded(*impl_, [&] { return impl_->read_changes("job.id = :id", std::string(job)); });
}

FullChange Store::change(const std::string& id) {
    return guarded(*impl_, [&] {
        auto list = impl_->read_changes("change.id = :id", id);
        return list.empty() ? FullChange{} : std::move(list.front());
    });
}

bool Store::has_map(const std::string& sha256) {
    return guarded(*impl_, [&] {
        int count = 0;
        impl_->sql << "select count(*) from unit_map where sha256 = :sha", use(sha256), into(count);
        return count > 0;
    });
}

std::vector<JobLine> Store::search(const Search& search) {
    return guarded(*impl_, [&] {
        const auto words = words_of(impl_->sql, search.words);
        if (words.empty()) {
            Conditions conditions;
            add_others(search, conditions);
            return lines(impl_->sql, "listing" + conditions.text(), conditions.values(), search.most);
        }
        if (words[0].hits > rare) {
            auto list = among_newest(impl_->sql, search, words);
            if (!list.empty()) return list;
        }
        return by_rarest(impl_->sql, search, words);
    });
}

std::size_t Store::count() {
    return guarded(*impl_, [&] {
        long long count = 0;
        impl_->sql << "select count(*) from listing", into(count);
        return static_cast<std::size_t>(count);
    });
}

long long Store::state() {
    return guarded(*impl_, [&] {
        // Of the last ones all, not the last alone: two benches may finish in another order than they began.
        long long sum = 0;
        impl_->sql << "select cast(coalesce(sum(n), 0) as bigint) from (select n from change order by n desc limit "
                      "100) as part",
            into(sum);
        return sum;
    });
}

std::vector<std::string> Store::waiting() {
    return guarded(*impl_, [&] {
        std::vector<std::string> list;
        std::string id;
        soci::statement statement = (impl_->sql.prepare << "select change from waiting order by n", into(id));
        statement.execute();
        while (statement.fetch())
            list.push_back(id);
        return list;
    });
}

} // namespace ringland::diagnosis::records
