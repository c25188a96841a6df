// The records keep what is entered, on SQLite and on a server alike: every law is tried on both.
#include "laws.h"

#include <algorithm>
#include <set>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "made_job.h"
#include "places.h"

namespace ringland::test {

using namespace diagnosis::records;
using model::Job;

namespace {

void saved_is_loaded(const Shelf& shelf) {
    const Job job = made_job();
    {
        Records records = shelf.open();
        CHECK(records.count() == 0);
        CHECK_FALSE(records.load(job.id));
        const Saved saved = records.save({}, job, "opened");
        CHECK_FALSE(saved.waiting);
        CHECK(saved.also_changed.empty());
        CHECK(records.count() == 1);
    }
    Records again = shelf.open();
    const auto loaded = again.load(job.id);
    REQUIRE(loaded);
    CHECK(*loaded == job);
}

void every_edit_comes_back(const Shelf& shelf) {
    Records records = shelf.open();
    std::vector<Job> states{Job{}, made_job()};
    const auto next = [&states](const std::function<void(Job&)>& edit) {
        Job job = states.back();
        edit(job);
        states.push_back(std::move(job));
    };
    next([](Job& j) { j.head.complaint = "now it slips in 2nd; O'Hara's \\ \"note\"\nnext line"; });
    next([](Job& j) { j.checks[0].readings.erase(j.checks[0].readings.begin()); });
    next([](Job& j) {
        j.checks[0].readings.insert(j.checks[0].readings.begin(), made_reading("P9", "P1", model::Heard::faint));
    });
    next([](Job& j) { j.checks.erase(j.checks.begin() + 1); });
    next([](Job& j) { j.findings[0].found = model::Found::sound; });
    next([](Job& j) { j.ticks.push_back({model::JobStep::done, "2031-05-06T09:30:00Z", "x"}); });
    next([](Job& j) { j.map_toml = demo_map_text("wren-three"); });
    next([](Job& j) {
        j.notes.clear();
        j.renewed.clear();
        j.measurements.clear();
    });
    for (std::size_t i = 1; i < states.size(); ++i) {
        CAPTURE(i);
        CHECK(records.save(states[i - 1], states[i], fmt::format("step {}", i)).also_changed.empty());
        const auto loaded = records.load(states[i].id);
        REQUIRE(loaded);
        CHECK(*loaded == states[i]);
    }
    const auto history = records.history(states.back().id);
    REQUIRE(history.size() == states.size() - 1);
    for (std::size_t i = 0; i < history.size(); ++i) {
        CHECK(history[i].label == fmt::format("step {}", i + 1));
        CHECK(history[i].bench == "first");
        CHECK(history[i].who == "first bench");
        CHECK_FALSE(history[i].entries.empty());
    }
    CHECK(history[1].entries.size() == 1);
    // What was taken out stands there without content, and what it was stands before.
    CHECK_FALSE(history[2].entries.at(0).content);
}

void the_same_twice_is_one(const Shelf& shelf) {
    Records records = shelf.open();
    const Job job = made_job(), more = with_note(job, "x");
    static_cast<void>(records.save({}, job, "opened"));
    static_cast<void>(records.save(job, more, "note"));
    static_cast<void>(records.save(job, more, "note"));
    static_cast<void>(records.save(more, more, "nothing"));
    CHECK(records.history(job.id).size() == 2);
    CHECK(*records.load(job.id) == more);
}

void two_windows_side_by_side(const Shelf& shelf) {
    Records one = shelf.open("first"), two = shelf.open("second");
    const Job job = made_job();
    static_cast<void>(one.save({}, job, "opened"));
    const Job seen_by_two = *two.load(job.id);
    Job first = with_note(job, "by one");
    first.head.conclusion = "by one";
    CHECK(one.save(job, first, "by one").also_changed.empty());
    Job second = with_note(seen_by_two, "by two");
    CHECK(two.save(seen_by_two, second, "by two").also_changed.empty());
    Job both = *one.load(job.id);
    CHECK(both.head.conclusion == "by one");
    CHECK(both.notes.size() == job.notes.size() + 2);
    // The same entry from both: the later one stands, it is said, and the history has both.
    Job third = second;
    third.head.conclusion = "by two";
    const Saved saved = two.save(second, third, "by two as well");
    REQUIRE(saved.also_changed.size() == 1);
    CHECK(saved.also_changed[0].find("head") != std::string::npos);
    CHECK(one.load(job.id)->head.conclusion == "by two");
    std::size_t by_one = 0;
    for (const auto& change : one.history(job.id)) {
        for (const auto& entry : change.entries)
            if (entry.content && entry.content->find("\"conclusion\":\"by one\"") != std::string::npos) ++by_one;
    }
    CHECK(by_one == 1);
}

void strange_texts(const Shelf& shelf) {
    Records records = shelf.open();
    Job job = made_job();
    job.head.number = "'; drop table job; --";
    job.head.customer = "Ünïcode \xf0\x9f\x94\xa7 :name ?1 $1 {x} %s \\";
    job.notes[0].text = std::string("a\0b", 3) + "\x01\x1f";
    job.head.complaint = std::string(30000, 'y');
    static_cast<void>(records.save({}, job, "label with 'quotes' and \xe2\x82\xac"));
    CHECK(*records.load(job.id) == job);
    CHECK(records.history(job.id).at(0).label == "label with 'quotes' and \xe2\x82\xac");
    // What is no UTF-8 is mended, not refused: losing the rest with it would be worse.
    Job broken = job;
    broken.head.customer = "caf\xe9";
    static_cast<void>(records.save(job, broken, "broken"));
    CHECK(records.load(job.id)->head.customer.substr(0, 3) == "caf");
}

void maps_are_kept_once(const Shelf& shelf) {
    Records records = shelf.open();
    for (int i = 0; i < 5; ++i)
        static_cast<void>(records.save({}, made_job(), "opened"));
    CHECK(shelf.sql("select count(*) from unit_map") == "1");
}

/// A job of which everything was taken back is in no list and no figure; its history stays, and it can come back.
void taken_back_is_no_job(const Shelf& shelf) {
    Records records = shelf.open();
    const Job job = made_job(), other = made_job();
    static_cast<void>(records.save({}, job, "opened"));
    static_cast<void>(records.save({}, other, "opened"));
    Job nothing;
    nothing.id = job.id;
    static_cast<void>(records.save(job, nothing, "take back"));
    CHECK_FALSE(records.load(job.id));
    CHECK(records.count() == 1);
    const auto list = records.search({});
    REQUIRE(list.size() == 1);
    CHECK(list[0].id == other.id);
    diagnosis::records::Search search;
    search.words = "slips";
    CHECK(records.search(search).size() == 1);
    REQUIRE(records.statistics().units.size() == 1);
    CHECK(records.statistics().units[0].jobs == 1);
    CHECK(records.failures_of("Larch Five").at(0).failed == 1);
    CHECK(records.history(job.id).size() == 2);
    static_cast<void>(records.save(nothing, job, "again"));
    CHECK(*records.load(job.id) == job);
    CHECK(records.count() == 2);
}

void state_tells_of_every_change(const Shelf& shelf) {
    Records records = shelf.open("first"), other = shelf.open("second");
    Job job = made_job();
    std::set<long long> states{records.state()};
    for (int i = 0; i < 130; ++i) {
        Job next = job;
        next.head.number = std::to_string(i);
        static_cast<void>(other.save(i == 0 ? Job{} : job, next, "number"));
        job = next;
        states.insert(records.state());
    }
    CHECK(states.size() == 131);
    CHECK(records.state() == other.state());
    static_cast<void>(records.search({}));
    static_cast<void>(other.save(job, job, "nothing"));
    CHECK(states.count(records.state()) == 1);
}

/// A ring without a name of its own is called by its place.
void unnamed_rings_have_names(const Shelf& shelf) {
    Records records = shelf.open();
    static_cast<void>(records.save({}, made_job(), "opened"));
    const auto failures = records.failures_of("Larch Five");
    REQUIRE(failures.size() == 1);
    CHECK(failures[0].seal == "R3");
    CHECK(failures[0].name.find("ring 3 of 5") != std::string::npos);
    CHECK(failures[0].name.find("counted from the pump end") != std::string::npos);
}

} // namespace

std::vector<Law> laws() {
    return {{"what was saved is loaded again", saved_is_loaded},
            {"every edit comes back and stands in the history", every_edit_comes_back},
            {"the same difference twice is one change", the_same_twice_is_one},
            {"two windows on one job lose nothing of each other", two_windows_side_by_side},
            {"no text breaks anything", strange_texts},
            {"a map is kept once", maps_are_kept_once},
            {"what was taken back is no job", taken_back_is_no_job},
            {"the state tells of every change", state_tells_of_every_change},
            {"unnamed rings have names", unnamed_rings_have_names}};
}

} // namespace ringland::test

using namespace ringland::test;

namespace {

std::vector<Law> all_laws() {
    auto all = laws();
    for (const auto& more : {search_laws(), exchange_laws()})
        all.insert(all.end(), more.begin(), more.end());
    return all;
}

} // namespace

TEST_CASE("records on SQLite: every law") {
    int number = 0;
    for (const auto& law : all_laws()) {
        CAPTURE(std::string(law.name));
        const Folder folder;
        const std::string file = folder.file(fmt::format("a place {}.sqlite", ++number));
        law.holds(
            {file, folder.file("other.sqlite"), [file](const std::string& sql) { return sqlite(file, sql); }, false});
        CHECK(sqlite(file, "pragma integrity_check") == "ok");
    }
}

TEST_CASE("records on a server: every law") {
    const Folder folder;
    Server server(folder);
    int number = 0;
    for (const auto& law : all_laws()) {
        CAPTURE(std::string(law.name));
        const std::string name = fmt::format("shop{}", ++number);
        folder.as_bench(name);
        law.holds({server.database(name), server.database("other" + name),
                   [&server, name](const std::string& sql) {
                       return server.sql(name, "set search_path to ringland, public; " + sql);
                   },
                   true});
    }
}
