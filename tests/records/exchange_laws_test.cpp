// What goes out comes in again, once, and nothing that comes in does harm.
#include <algorithm>
#include <random>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "laws.h"
#include "made_job.h"

namespace ringland::test {

using namespace diagnosis::records;
using model::Job;

namespace {

Job changed(const Job& job, const std::string& conclusion) {
    Job after = job;
    after.head.conclusion = conclusion;
    after.notes.push_back({model::new_id(), "2031-06-01T00:00:00Z", "x", conclusion});
    return after;
}

void export_and_import(const Shelf& shelf) {
    Records here = shelf.open();
    std::vector<Job> jobs;
    for (int i = 0; i < 4; ++i) {
        const Job job = made_job();
        static_cast<void>(here.save({}, job, "opened"));
        jobs.push_back(changed(job, fmt::format("end {}", i)));
        static_cast<void>(here.save(job, jobs.back(), "ended"));
    }
    const std::string text = here.export_json({});
    Records there({shelf.other, "second"});
    CHECK(there.import_json(text) == 8);
    CHECK(there.import_json(text) == 0);
    CHECK(there.count() == 4);
    for (const auto& job : jobs) {
        REQUIRE(there.load(job.id));
        CHECK(*there.load(job.id) == job);
        const auto a = here.history(job.id), b = there.history(job.id);
        REQUIRE(a.size() == b.size());
        for (std::size_t i = 0; i < a.size(); ++i) {
            CHECK(a[i].id == b[i].id);
            CHECK(a[i].at == b[i].at);
            CHECK(a[i].bench == b[i].bench);
            CHECK(a[i].label == b[i].label);
            CHECK(a[i].entries.size() == b[i].entries.size());
        }
    }
    CHECK(there.export_json({}) == text);
    CHECK(there.failures_of("Larch Five").at(0).failed == 4);
    // Both go on; what is new comes over and nothing comes twice.
    const Job more = changed(jobs[0], "later");
    static_cast<void>(here.save(jobs[0], more, "later"));
    CHECK(there.import_json(here.export_json({})) == 1);
    CHECK(*there.load(more.id) == more);
    CHECK(here.import_json(there.export_json({})) == 0);
    // An export of some jobs holds those and no others.
    Search search;
    search.words = "later";
    CHECK(Records({shelf.other, "second"}).import_json(here.export_json(search)) == 0);
    CHECK(here.export_json(search).find(jobs[1].id) == std::string::npos);
    CHECK(here.export_json(search).find(more.id) != std::string::npos);
}

std::vector<std::vector<std::string>> parse_csv(const std::string& text) {
    std::vector<std::vector<std::string>> rows{{""}};
    bool quoted = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (quoted && c == '"' && i + 1 < text.size() && text[i + 1] == '"')
            rows.back().back() += text[++i];
        else if (c == '"')
            quoted = !quoted;
        else if (!quoted && c == ',')
            rows.back().emplace_back();
        else if (!quoted && c == '\r')
            CHECK(text[i + 1] == '\n');
        else if (!quoted && c == '\n')
            rows.push_back({""});
        else
            rows.back().back() += c;
    }
    rows.pop_back();
    return rows;
}

void csv(const Shelf& shelf) {
    Records records = shelf.open();
    Job job = made_job();
    job.head.complaint = "one, \"two\"\nthree\r\nfour; ñ";
    job.head.customer = " blanks ";
    static_cast<void>(records.save({}, job, "opened"));
    static_cast<void>(records.save({}, made_job(), "opened"));
    const auto rows = parse_csv(records.export_csv({}));
    REQUIRE(rows.size() == 3);
    for (const auto& row : rows)
        CHECK(row.size() == rows[0].size());
    const auto holds = [&rows](const std::string& text) {
        return std::any_of(rows.begin() + 1, rows.end(),
                           [&](const auto& row) { return std::find(row.begin(), row.end(), text) != row.end(); });
    };
    CHECK(holds(job.head.complaint));
    CHECK(holds(job.head.customer));
    CHECK(holds(job.id));
    CHECK(holds("Larch Five"));
    CHECK(std::find(rows[0].begin(), rows[0].end(), "id") != rows[0].end());
}

/// Nothing that somebody wrote is carried out by the spreadsheet that it is opened with.
void no_formulas(const Shelf& shelf) {
    Records records = shelf.open();
    const std::string bad[] = {"=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "=HYPERLINK(\"x\",\"y\")"};
    for (const auto& text : bad) {
        Job job = made_job();
        job.head.complaint = text;
        static_cast<void>(records.save({}, job, "opened"));
    }
    Job plain = made_job();
    plain.head.complaint = "slips = drags, 2-3 @ 40 + more";
    static_cast<void>(records.save({}, plain, "opened"));
    const auto rows = parse_csv(records.export_csv({}));
    REQUIRE(rows.size() == std::size(bad) + 2);
    const auto column =
        static_cast<std::size_t>(std::find(rows[0].begin(), rows[0].end(), "complaint") - rows[0].begin());
    REQUIRE(column < rows[0].size());
    std::vector<std::string> found;
    for (std::size_t i = 1; i < rows.size(); ++i)
        found.push_back(rows[i][column]);
    for (const auto& text : bad)
        CHECK(std::count(found.begin(), found.end(), "'" + text) == 1);
    CHECK(std::count(found.begin(), found.end(), plain.head.complaint) == 1);
    // Records that are brought to another shop are not touched.
    CHECK(records.export_json({}).find("'=1+1") == std::string::npos);
}

void hostile_imports(const Shelf& shelf) {
    Records records = shelf.open();
    const Job job = made_job();
    static_cast<void>(records.save({}, job, "opened"));
    const std::string text = records.export_json({});
    std::mt19937 chance(3);
    const auto below = [&chance](std::size_t n) {
        return std::uniform_int_distribution<std::size_t>(0, n - 1)(chance);
    };
    const std::string bytes = "{}[]\",:0-9ex\\\xfftf";
    int refused = 0;
    for (int i = 0; i < 200; ++i) {
        std::string bad = text;
        if (i % 4 == 0) bad.resize(below(bad.size()));
        if (i == 1) bad = std::string(2000000, '[');
        if (i == 2) bad = "[]";
        if (i == 3) bad = "";
        for (int k = 0; k < 3 && !bad.empty() && i > 3; ++k)
            bad[below(bad.size())] = bytes[below(bytes.size())];
        try {
            static_cast<void>(records.import_json(bad));
        } catch (const Trouble&) {
            ++refused;
        }
    }
    CHECK(refused > 20);
    REQUIRE(records.load(job.id));
    // What stands here under the same change is not touched by what came.
    CHECK(*records.load(job.id) == job);
}

} // namespace

std::vector<Law> exchange_laws() {
    return {{"what is exported is imported, once", export_and_import},
            {"CSV is read back by the rules of RFC 4180", csv},
            {"a spreadsheet gets no formula", no_formulas},
            {"no import does harm", hostile_imports}};
}

} // namespace ringland::test
