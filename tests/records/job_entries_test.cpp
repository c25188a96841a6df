// A job goes into entries and comes back, differences put one change upon another, and no job file does harm.
#include <algorithm>
#include <random>

#include <doctest/doctest.h>

#include "../../model-data/job_entries.h"
#include "made_job.h"

using namespace ringland;
using namespace ringland::model;

namespace {

/// The entries after a difference was put on them, as the records do it.
std::vector<JobEntry> applied(std::vector<JobEntry> all, const JobDifference& change) {
    const auto take_out = [&all](const JobEntry& entry) {
        all.erase(std::remove_if(all.begin(), all.end(),
                                 [&](const JobEntry& e) { return e.kind == entry.kind && e.id == entry.id; }),
                  all.end());
    };
    for (const auto& entry : change.removals)
        take_out(entry);
    for (const auto& entry : change.puts) {
        take_out(entry);
        all.push_back(entry);
    }
    return all;
}

Job built(const std::string& id, const std::vector<JobEntry>& all) {
    std::vector<Phrase> passed_over;
    Job job = job_from_entries(id, all, &passed_over);
    CHECK(passed_over.empty());
    return job;
}

} // namespace

TEST_CASE("job entries: a job with everything in it comes back equal, in whatever order the entries come") {
    const Job job = test::made_job();
    auto all = entries(job);
    CHECK(built(job.id, all) == job);
    std::mt19937 chance(5);
    for (int i = 0; i < 20; ++i) {
        std::shuffle(all.begin(), all.end(), chance);
        CHECK(built(job.id, all) == job);
    }
}

TEST_CASE("job entries: one more reading is one put, one taken out is one removal, nothing else moves") {
    const Job job = test::made_job();
    Job more = job;
    more.checks[0].readings.push_back(test::made_reading("P5", "P6", Heard::faint));
    auto change = difference(job, more);
    REQUIRE(change.puts.size() == 1);
    CHECK(change.removals.empty());
    const auto stored = applied(entries(job), change);
    CHECK(built(job.id, stored) == more);

    Job less = more;
    less.checks[0].readings.erase(less.checks[0].readings.begin());
    change = difference(more, less, stored);
    CHECK(change.puts.empty());
    REQUIRE(change.removals.size() == 1);
    CHECK(built(job.id, applied(stored, change)) == less);
    CHECK(difference(job, job).empty());
    CHECK(difference(job, job, stored).empty());
}

TEST_CASE("job entries: any list becomes any other by its difference, over many random edits") {
    std::mt19937 chance(11);
    const auto below = [&chance](std::size_t n) {
        return std::uniform_int_distribution<std::size_t>(0, n - 1)(chance);
    };
    Job job;
    job.id = new_id();
    auto stored = entries(job);
    for (int step = 0; step < 400; ++step) {
        const Job before = job;
        auto& notes = job.notes;
        const std::size_t what = below(4);
        if (what <= 1 || notes.empty()) {
            notes.insert(notes.begin() + static_cast<std::ptrdiff_t>(below(notes.size() + 1)),
                         JobNote{new_id(), "", "", std::to_string(step)});
        } else if (what == 2) {
            notes.erase(notes.begin() + static_cast<std::ptrdiff_t>(below(notes.size())));
        } else {
            std::swap(notes[below(notes.size())], notes[below(notes.size())]);
        }
        stored = applied(stored, difference(before, job, stored));
        REQUIRE(built(job.id, stored) == job);
    }
}

TEST_CASE("job entries: merged takes over what the other changed, keeps what was entered here, and is the same twice") {
    std::mt19937 chance(23);
    const auto below = [&chance](std::size_t n) {
        return std::uniform_int_distribution<std::size_t>(0, n - 1)(chance);
    };
    const auto edited = [&](Job job, const std::string& by) {
        for (int i = 0; i < 6; ++i) {
            auto& notes = job.notes;
            const std::size_t what = below(3);
            if (what == 0 || notes.empty())
                notes.insert(notes.begin() + static_cast<std::ptrdiff_t>(below(notes.size() + 1)),
                             JobNote{new_id(), "", by, std::to_string(i)});
            else if (what == 1)
                notes.erase(notes.begin() + static_cast<std::ptrdiff_t>(below(notes.size())));
            else
                notes[below(notes.size())].text += by;
        }
        return job;
    };
    Job base = test::made_job();
    for (int i = 0; i < 12; ++i)
        base.notes.push_back({new_id(), "", "", "old"});
    for (int round = 0; round < 200; ++round) {
        const Job ours = edited(base, "here"), theirs = edited(base, "there");
        const Job both = merged(ours, base, theirs);
        REQUIRE(merged(ours, base, base) == ours);
        REQUIRE(merged(base, base, theirs) == theirs);
        REQUIRE(merged(both, base, theirs) == both);
        // Note by note: ours where we changed it, else theirs.
        const auto text = [](const Job& job, const std::string& id) -> std::string {
            for (const auto& note : job.notes) {
                if (note.id == id) return note.text;
            }
            return "none";
        };
        for (const Job* job : std::initializer_list<const Job*>{&ours, &theirs, &base, &both}) {
            for (const auto& note : job->notes) {
                const bool changed = text(ours, note.id) != text(base, note.id);
                REQUIRE(text(both, note.id) == text(changed ? ours : theirs, note.id));
            }
        }
    }
}

TEST_CASE("job entries: putting in at one place over and over finds room every time") {
    Job job;
    job.id = new_id();
    job.notes = {{new_id(), "", "", "first"}, {new_id(), "", "", "last"}};
    auto stored = entries(job);
    for (int step = 0; step < 200; ++step) {
        const Job before = job;
        job.notes.insert(job.notes.begin() + 1, JobNote{new_id(), "", "", std::to_string(step)});
        stored = applied(stored, difference(before, job, stored));
        REQUIRE(built(job.id, stored) == job);
    }
}

TEST_CASE("job entries: two windows that enter different things lose nothing of each other") {
    const Job job = test::made_job();
    const auto stored = entries(job);
    Job one = job, two = job;
    one.checks[0].readings.push_back(test::made_reading("P8", "P9", Heard::clear));
    one.head.conclusion = "by one";
    two.checks[0].readings.erase(two.checks[0].readings.begin());
    two.notes.push_back({new_id(), "", "", "by two"});
    const auto after_one = applied(stored, difference(job, one, stored));
    const Job merged = built(job.id, applied(after_one, difference(job, two, after_one)));
    CHECK(merged.head.conclusion == "by one");
    CHECK(merged.notes.size() == 2);
    REQUIRE(merged.checks[0].readings.size() == 2);
    CHECK(merged.checks[0].readings[1].reading.into == "P8");

    // A check taken out while the other wrote a reading in it: the reading brings it back.
    Job out = job;
    out.checks.erase(out.checks.begin());
    const Job revived = built(job.id, applied(after_one, difference(job, out, after_one)));
    REQUIRE(revived.checks.size() == 2);
    CHECK(std::any_of(revived.checks.begin(), revived.checks.end(), [](const JobCheck& check) {
        return check.readings.size() == 1 && check.readings[0].reading.into == "P8";
    }));
}

TEST_CASE("job file: written and read again it is equal, and what is none of ours is refused in words") {
    const Job job = test::made_job();
    const std::string text = write_job_text(job);
    const auto back = read_job_text(text, "job.json");
    REQUIRE(back.job);
    CHECK(*back.job == job);
    const auto refused = [](const std::string& bad, const std::string& word) {
        const auto result = read_job_text(bad, "job.json");
        CHECK_FALSE(result.job);
        REQUIRE(result.faults.size() == 1);
        CHECK_MESSAGE(to_string(result.faults[0]).find(word) != std::string::npos, to_string(result.faults[0]));
    };
    refused("", "no job file");
    refused("{\"ringland-job\": 2}", "newer program");
    refused("{\"ringland-job\": 1}", "no id");
    refused("{\"ringland-job\": 1, \"id\": \"" + job.id + "\"}", "no entries");
    refused(std::string(3000000, '['), "too deep");
    refused("{\"ringland-job\": 1, \"id\": \"" + job.id +
                "\", \"entries\": [{\"kind\": \"tick\", \"id\": \"x\", "
                "\"content\": {\"step\": \"fly\"}}]}",
            "step should be one of check, weigh");
    refused("{\"ringland-job\": 1, \"id\": \"" + job.id +
                "\", \"entries\": [{\"kind\": \"sock\", \"id\": \"x\", "
                "\"content\": {}}]}",
            "kind");
}

TEST_CASE("job file: no damaged file crashes the reader") {
    const std::string text = write_job_text(test::made_job());
    std::mt19937 chance(3);
    const auto below = [&chance](std::size_t n) {
        return std::uniform_int_distribution<std::size_t>(0, n - 1)(chance);
    };
    std::size_t refused = 0;
    const std::string bytes = "{}[]\",:0-9ex\\u\xff\x00tf";
    for (int i = 0; i < 1500; ++i) {
        std::string bad = text;
        if (i % 3 == 0) bad.resize(below(bad.size()));
        for (int k = 0; k < 4 && !bad.empty(); ++k)
            bad[below(bad.size())] = bytes[below(bytes.size())];
        const auto result = read_job_text(bad, "bad.json");
        if (!result.job) ++refused;
        CHECK(result.job.has_value() != has_error(result.faults));
    }
    CHECK(refused > 500);
}
