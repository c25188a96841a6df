// Records of an older program are brought up to date, and nothing in them is lost.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "../../diagnosis/records/records.h"
#include "places.h"

using namespace ringland;
using namespace ringland::test;
using diagnosis::records::Records;
using diagnosis::records::Search;

TEST_CASE("records of version 1: opened, searched and written, with their history") {
    const Folder folder;
    const std::string file = folder.file("old.sqlite");
    const Finished made =
        shell(fmt::format("sqlite3 -batch '{}' < '{}/tests/records/version-1.sql'", file, RINGLAND_SOURCE_DIR));
    REQUIRE_MESSAGE(made.exit == 0, made.out);
    REQUIRE(sqlite(file, "select value from meta") == "1");
    const std::string history = "select group_concat(id || at || label) from change";
    const std::string before = sqlite(file, history);
    {
        Records records({file, "Bench 2"});
        CHECK(records.count() == 2);
        Search search;
        search.words = "quin slip";
        const auto lines = records.search(search);
        REQUIRE(lines.size() == 1);
        CHECK(lines[0].number == "A-7");
        CHECK(lines[0].unit == "Pipit Two");
        CHECK(lines[0].found == "R2");
        CHECK(lines[0].done);
        CHECK(lines[0].changed_at == "2031-05-06T10:00:00Z");
        search.words = "news"; // taken out before the job was done
        CHECK(records.search(search).empty());
        const auto failures = records.failures_of("Pipit Two");
        REQUIRE(failures.size() == 1);
        CHECK(failures[0].failed == 1);
        CHECK(records.statistics().units.at(1).mean_hours == doctest::Approx(24).epsilon(1e-12));
        const auto job = records.load("0123456789abcdef0123456789abcdef");
        REQUIRE(job);
        CHECK(job->map_toml.find("Pipit Two") != std::string::npos);
        CHECK(job->notes.empty());
        CHECK(records.history(job->id).size() == 3);
        CHECK(sqlite(file, history) == before);
        model::Job more = *job;
        more.head.conclusion = "ring renewed";
        static_cast<void>(records.save(*job, more, "Conclusion"));
        CHECK(*records.load(job->id) == more);
    }
    CHECK(sqlite(file, "select value from meta") == "2");
    CHECK(sqlite(file, "pragma integrity_check") == "ok");
}
