// What comes late, comes often, or comes from two sides at once.
#include <set>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "../../diagnosis/records/records.h"
#include "made_job.h"
#include "places.h"

using namespace ringland;
using namespace ringland::test;
using diagnosis::records::Records;
using diagnosis::records::Search;
using diagnosis::records::Trouble;

namespace {

std::string replaced(std::string text, const std::string& what, const std::string& by) {
    const auto at = text.find(what);
    REQUIRE(at != std::string::npos);
    return text.replace(at, what.size(), by);
}

std::string refusal(Records& records, const std::string& text) {
    try {
        static_cast<void>(records.import_json(text));
    } catch (const Trouble& trouble) {
        return trouble.what();
    }
    return {};
}

std::string numbers(Records& records, const Search& search) {
    std::string out;
    for (const auto& line : records.search(search))
        out += (out.empty() ? "" : " ") + line.number;
    return out;
}

} // namespace

TEST_CASE("records: what was changed later stays, whenever the earlier comes in; the history has both") {
    const Folder folder;
    Records records({folder.file("records.sqlite"), "first"});
    const model::Job job = made_job();
    static_cast<void>(records.save({}, job, "opened"));
    const auto first = records.history(job.id).at(0);
    std::string earlier = replaced(records.export_json({}), first.at, "2001-01-01T00:00:00Z");
    earlier = replaced(earlier, first.id, model::new_id());
    earlier = replaced(earlier, "\"number\":\"1042\"", "\"number\":\"older\"");
    CHECK(records.import_json(earlier) == 1);
    CHECK(*records.load(job.id) == job);
    REQUIRE(records.history(job.id).size() == 2);
    // From a clock that runs ahead: it stands, and what is entered here afterwards stands all the same.
    std::string ahead = replaced(records.export_json({}), first.at, "2099-01-01T00:00:00Z");
    ahead = replaced(ahead, first.id, model::new_id());
    ahead = replaced(ahead, "\"number\":\"1042\"", "\"number\":\"ahead\"");
    CHECK(records.import_json(ahead) == 1);
    const model::Job now = *records.load(job.id);
    CHECK(now.head.number == "ahead");
    model::Job mine = now;
    mine.head.number = "mine";
    static_cast<void>(records.save(now, mine, "number"));
    CHECK(records.load(job.id)->head.number == "mine");
}

TEST_CASE("records: a damaged export is refused whole, with what is wrong") {
    const Folder folder;
    Records records({folder.file("records.sqlite"), "first"}), other({folder.file("other.sqlite"), "second"});
    static_cast<void>(records.save({}, made_job(), "opened"));
    const std::string good = records.export_json({});
    const auto wrong = [&](const char* what, const char* by, const char* said) {
        const std::string refused = refusal(other, replaced(good, what, by));
        CAPTURE(refused);
        CHECK(refused.find(said) != std::string::npos);
    };
    wrong("\"ringland-records\": 1", "\"ringland-records\": 2", "version 2");
    wrong("\"kind\":\"note\"", "\"kind\":7", "kind"); // the last entry: all before it was good
    wrong("\"order\":1.0", "\"order\":null", "order");
    wrong("[unit]", "[unti]", "unit map");
    wrong("\"kind\":\"note\"", "\"kind\":\"no\\u0000te\"", "kind");
    CHECK(refusal(other, std::string(100000, '[')).find("deep") != std::string::npos);
    CHECK(refusal(other, good.substr(0, good.size() / 2)).find("export") != std::string::npos);
    CHECK(other.count() == 0);
    CHECK(other.import_json(good) == 1);
}

TEST_CASE("records: a word in very many jobs is found as well as a rare one") {
    const Folder folder;
    const std::string file = folder.file("records.sqlite");
    Records records({file, "first"});
    for (const char* number : {"A-1", "A-2"}) {
        model::Job job;
        job.id = model::new_id();
        job.head.number = number;
        job.head.opened_at = fmt::format("2031-05-0{}T08:00:00Z", number[2]);
        job.head.complaint = number == std::string("A-1") ? "clatter" : "clatter, oddly";
        static_cast<void>(records.save({}, job, "opened"));
    }
    // 4000 more jobs with the word, in the tables of the search alone.
    const std::string rows = "(with recursive s(i) as (select 1000 union all select i + 1 from s where i < 4999) "
                             "select i from s) as s";
    static_cast<void>(sqlite(
        file, "insert into listing select i, 'x' || i, 'X', '', '', '', '', '2030', '', 0, 0, '', '', '', -1 from " +
                  rows + "; insert into word select 'clatter', i from " + rows));
    Search search;
    search.most = 3;
    search.words = "clat";
    CHECK(numbers(records, search) == "A-2 A-1 X");
    search.words = "odd CLATTER";
    CHECK(numbers(records, search) == "A-2");
    search.words = "clatter clat";
    CHECK(numbers(records, search) == "A-2 A-1 X");
    search.words = "latter";
    CHECK(numbers(records, search).empty());
}

TEST_CASE("records: what two windows add to one list stands in the order in which it was saved") {
    const Folder folder;
    Records one({folder.file("records.sqlite"), "one"}), two({folder.file("records.sqlite"), "two"});
    const model::Job job = made_job();
    static_cast<void>(one.save({}, job, "opened"));
    // Neither sees what the other adds, as two windows that stay open do.
    model::Job by_one = job, by_two = job;
    std::string expected;
    for (int i = 0; i < 8; ++i) {
        model::Job& before = i % 2 == 0 ? by_one : by_two;
        model::Job after = before;
        after.notes.push_back({model::new_id(), "", "", std::to_string(i)});
        static_cast<void>((i % 2 == 0 ? one : two).save(before, after, "note"));
        before = after;
        expected += std::to_string(i);
    }
    std::string order;
    const auto notes = one.load(job.id)->notes;
    for (std::size_t i = job.notes.size(); i < notes.size(); ++i)
        order += notes[i].text;
    CHECK(order == expected);
}

TEST_CASE("records: a leak of hose or plate counts for no seal, and a seal that was sound was looked at") {
    const Folder folder;
    Records records({folder.file("records.sqlite"), "first"});
    model::Job hose = made_job(), sound = made_job(), both = made_job();
    hose.findings = {{model::new_id(), "rig", model::Found::damaged, "hose", {}, "", ""}};
    sound.findings = {{model::new_id(), "R1", model::Found::sound, "", {}, "", ""}};
    both.findings = {{model::new_id(), "R1", model::Found::damaged, "cut", {}, "", ""},
                     {model::new_id(), "R1", model::Found::damaged, "cut at the other end too", {}, "", ""},
                     {model::new_id(), "G1", model::Found::damaged, "torn", {}, "", ""}};
    for (const auto& job : {hose, sound, both})
        static_cast<void>(records.save({}, job, "opened"));
    const auto failures = records.failures_of("Larch Five");
    REQUIRE(failures.size() == 2);
    CHECK(failures[0].seal == "G1");
    CHECK(failures[0].name == "Gasket bridge, low to top");
    CHECK(failures[1].seal == "R1");
    CHECK(failures[1].failed == 1);
    CHECK(failures[1].jobs == 2);
    Search search;
    search.seal = "G1";
    CHECK(records.search(search).at(0).found == "R1, G1");
    search.seal = "rig";
    CHECK(records.search(search).empty());
}

TEST_CASE("records on a server: two processes that write at once both complete, and nothing is there twice") {
    const Folder folder;
    Server server(folder);
    const std::string where = server.database("shop");
    const model::Job job = made_job();
    // Both find an empty database, so they make the tables at once as well.
    const Finished ran =
        shell(fmt::format("'{0}/records_writer' '{1}' {2} one 60 & '{0}/records_writer' '{1}' {2} two 60; "
                          "code=$?; wait $! && exit $code",
                          RINGLAND_BINARY_DIR, where, job.id));
    CHECK_MESSAGE(ran.exit == 0, ran.out);
    Records records({where, "third"});
    const auto loaded = records.load(job.id);
    REQUIRE(loaded);
    std::multiset<std::string> notes;
    for (const auto& note : loaded->notes)
        notes.insert(note.text);
    CHECK(notes.size() == 120);
    CHECK(std::set<std::string>(notes.begin(), notes.end()).size() == 120);
    CHECK(records.history(job.id).size() == 120);
    CHECK(records.waiting() == 0);
}
