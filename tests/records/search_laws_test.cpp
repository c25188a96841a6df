// Searching and counting, compared with going through all jobs by hand.
#include <algorithm>
#include <cctype>
#include <ctime>
#include <map>
#include <random>
#include <set>
#include <utility>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "laws.h"
#include "made_job.h"

namespace ringland::test {

using namespace diagnosis::records;
using model::Found;
using model::Job;
using model::JobStep;

namespace {

class Chance {
public:
    explicit Chance(unsigned seed) : engine_(seed) {}
    std::size_t below(std::size_t n) { return std::uniform_int_distribution<std::size_t>(0, n - 1)(engine_); }
    template <class List> const auto& of(const List& list) { return list[below(std::size(list))]; }

private:
    std::mt19937 engine_;
};

const std::vector<std::string> vocabulary{"slips", "slip",   "third",     "bangs", "reverse", "hot",
                                          "Señor", "señora", "ÖLVERLUST", "cold",  "3rd",     "tie-up"};
const std::vector<std::string> seals{"R1", "R2", "R3", "L1"};
const std::vector<std::string> maps{"larch-five", "wren-three"};

std::vector<Job> many_jobs(std::size_t count, unsigned seed) {
    Chance chance(seed);
    std::vector<std::string> texts;
    for (const auto& map : maps)
        texts.push_back(demo_map_text(map));
    std::vector<Job> jobs;
    for (std::size_t i = 0; i < count; ++i) {
        Job job;
        job.id = model::new_id();
        job.head.number = fmt::format("{}", 100 + chance.below(count));
        job.head.opened_at = fmt::format("20{:02}-{:02}-{:02}T{:02}:{:02}:{:02}Z", 31 + i / 40, 1 + i % 12, 1 + i % 28,
                                         i % 24, i % 60, i % 59);
        for (int w = 0; w < 3; ++w)
            job.head.complaint += chance.of(vocabulary) + ", ";
        if (chance.below(3) == 0) job.head.customer = chance.of(vocabulary);
        const std::size_t map = chance.below(maps.size());
        job.map_toml = texts[map];
        job.map_file = maps[map];
        if (chance.below(2) == 0) {
            job.findings.push_back({model::new_id(),
                                    chance.of(seals),
                                    chance.below(3) == 0 ? Found::sound : Found::damaged,
                                    chance.of(vocabulary),
                                    {},
                                    "",
                                    ""});
        }
        if (chance.below(4) == 0) job.notes.push_back({model::new_id(), "", "", "note about " + chance.of(vocabulary)});
        if (chance.below(2) == 0) {
            std::string at = job.head.opened_at;
            at.replace(0, 4, std::to_string(std::stoi(at.substr(0, 4)) + 1)); // a year later
            job.ticks.push_back({JobStep::done, at, ""});
        }
        if (!jobs.empty() && chance.below(10) == 0) job.head.comeback_of = jobs[chance.below(jobs.size())].id;
        jobs.push_back(std::move(job));
    }
    return jobs;
}

std::string unit_of(const Job& job) { return job.map_file == "larch-five" ? "Larch Five" : "Wren Three"; }
bool damaged_at(const Job& job, const std::string& seal) {
    return std::any_of(job.findings.begin(), job.findings.end(),
                       [&](const auto& f) { return f.seal == seal && f.found == Found::damaged; });
}
bool is_done(const Job& job) {
    return std::any_of(job.ticks.begin(), job.ticks.end(), [](const auto& t) { return t.step == JobStep::done; });
}

/// In small letters, as far as the vocabulary needs it, and cut at what is neither letter nor digit.
std::set<std::string> words_of(const Job& job) {
    std::string text = job.head.number + " " + job.head.customer + " " + job.head.complaint + " " + job.head.conclusion;
    for (const auto& f : job.findings)
        text += " " + f.seal + " " + f.seen;
    for (const auto& n : job.notes)
        text += " " + n.text;
    for (std::size_t at = 0; (at = text.find("Ö", at)) != std::string::npos;)
        text.replace(at, 2, "ö");
    std::set<std::string> words;
    std::string word;
    for (const char c : text + " ") {
        if (static_cast<unsigned char>(c) >= 0x80 || std::isalnum(static_cast<unsigned char>(c)) != 0)
            word += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
        else if (!word.empty())
            words.insert(std::exchange(word, {}));
    }
    return words;
}

bool fits(const Job& job, const Search& search, const std::vector<std::string>& wanted) {
    const auto words = words_of(job);
    for (const auto& want : wanted) {
        const auto at = words.lower_bound(want);
        if (at == words.end() || at->compare(0, want.size(), want) != 0) return false;
    }
    const std::string day = job.head.opened_at.substr(0, 10);
    return (search.unit.empty() || search.unit == unit_of(job)) &&
           (search.seal.empty() || damaged_at(job, search.seal)) && (search.from.empty() || day >= search.from) &&
           (search.until.empty() || day <= search.until) && (!search.open_only || !is_done(job));
}

void search_finds_what_a_walk_finds(const Shelf& shelf) {
    Records records = shelf.open();
    auto jobs = many_jobs(120, 7);
    for (const auto& job : jobs)
        static_cast<void>(records.save({}, job, "opened"));
    std::stable_sort(jobs.begin(), jobs.end(),
                     [](const Job& a, const Job& b) { return a.head.opened_at > b.head.opened_at; });
    Chance chance(9);
    const std::vector<std::pair<std::string, std::string>> asked{
        {"SLIP", "slip"}, {"slips", "slips"}, {"señ", "señ"}, {"Ölv", "ölv"}, {"r", "r"},
        {"zzz", "zzz"},   {"1", "1"},         {"tie", "tie"}, {"", ""},       {"", ""}};
    std::size_t found = 0;
    for (int round = 0; round < 150; ++round) {
        Search search;
        std::vector<std::string> wanted;
        for (std::size_t w = chance.below(3); w > 0; --w) {
            const auto& [said, want] = chance.of(asked);
            if (want.empty()) continue;
            search.words += said + (chance.below(2) == 0 ? " " : ", ");
            wanted.push_back(want);
        }
        if (chance.below(3) == 0) search.unit = chance.below(4) == 0 ? "Larch" : unit_of(chance.of(jobs));
        if (chance.below(3) == 0) search.seal = chance.of(seals);
        if (chance.below(3) == 0) search.from = chance.of(jobs).head.opened_at.substr(0, 10);
        if (chance.below(3) == 0) search.until = chance.of(jobs).head.opened_at.substr(0, 10);
        search.open_only = chance.below(3) == 0;
        search.most = 1 + chance.below(150);
        std::vector<std::string> expected, got;
        for (const auto& job : jobs) {
            if (expected.size() < search.most && fits(job, search, wanted)) expected.push_back(job.id);
        }
        for (const auto& line : records.search(search))
            got.push_back(line.id);
        CAPTURE(search.words);
        CAPTURE(search.unit);
        CAPTURE(search.seal);
        CAPTURE(search.from);
        CAPTURE(search.until);
        CHECK(got == expected);
        found += got.size();
    }
    CHECK(found > 500);
    CHECK(records.count() == jobs.size());
    Search one;
    one.most = 1;
    const auto line = records.search(one).at(0);
    CHECK(line.number == jobs[0].head.number);
    CHECK(line.unit == unit_of(jobs[0]));
    CHECK(line.complaint == jobs[0].head.complaint);
    CHECK(line.done == is_done(jobs[0]));
    CHECK(line.stands == model::where_it_stands(jobs[0]));
}

void search_follows_every_change(const Shelf& shelf) {
    Records records = shelf.open();
    Job job = made_job();
    static_cast<void>(records.save({}, job, "opened"));
    const auto hits = [&records](const std::string& words, const std::string& seal = "") {
        Search search;
        search.words = words;
        search.seal = seal;
        return records.search(search).size();
    };
    CHECK(hits("bangs") == 1);
    CHECK(hits("", "R3") == 1);
    Job after = job;
    after.head.complaint = "does nothing";
    after.findings.clear();
    static_cast<void>(records.save(job, after, "changed"));
    CHECK(hits("bangs") == 0);
    CHECK(hits("nothing") == 1);
    CHECK(hits("", "R3") == 0);
    Search all;
    CHECK(records.search(all).at(0).found.empty());
}

long seconds_of(const std::string& utc) {
    std::tm t{};
    t.tm_year = std::stoi(utc.substr(0, 4)) - 1900;
    t.tm_mon = std::stoi(utc.substr(5, 2)) - 1;
    t.tm_mday = std::stoi(utc.substr(8, 2));
    t.tm_hour = std::stoi(utc.substr(11, 2));
    t.tm_min = std::stoi(utc.substr(14, 2));
    t.tm_sec = std::stoi(utc.substr(17, 2));
    return static_cast<long>(timegm(&t));
}

/// A comeback says so, or the same number came in on the same unit within the year before.
bool is_comeback(const Job& job, const std::vector<Job>& jobs) {
    if (!job.head.comeback_of.empty()) return true;
    const std::string& opened = job.head.opened_at;
    const std::string year_before = std::to_string(std::stoi(opened.substr(0, 4)) - 1) + opened.substr(4);
    return std::any_of(jobs.begin(), jobs.end(), [&](const Job& other) {
        return other.id != job.id && other.head.number == job.head.number && unit_of(other) == unit_of(job) &&
               other.head.opened_at < opened && other.head.opened_at >= year_before;
    });
}

void statistics_are_those_of_a_walk(const Shelf& shelf) {
    Records records = shelf.open();
    const auto jobs = many_jobs(100, 21);
    for (const auto& job : jobs)
        static_cast<void>(records.save({}, job, "opened"));
    std::map<std::string, UnitStatistics> units;
    std::map<std::pair<std::string, std::string>, long> failed;
    std::map<std::string, double> hours;
    for (const auto& job : jobs) {
        auto& unit = units[unit_of(job)];
        ++unit.jobs;
        unit.comebacks += is_comeback(job, jobs) ? 1 : 0;
        if (is_done(job)) {
            ++unit.done;
            hours[unit_of(job)] += double(seconds_of(job.ticks[0].at) - seconds_of(job.head.opened_at)) / 3600;
        }
        for (const auto& f : job.findings)
            if (f.found == Found::damaged) ++failed[{unit_of(job), f.seal}];
    }
    const Statistics statistics = records.statistics();
    REQUIRE(statistics.units.size() == 2);
    for (const auto& unit : statistics.units) {
        const auto& expected = units[unit.unit];
        CAPTURE(unit.unit);
        CHECK(unit.jobs == expected.jobs);
        CHECK(unit.done == expected.done);
        CHECK(unit.comebacks == expected.comebacks);
        CHECK(unit.mean_hours == doctest::Approx(hours[unit.unit] / double(expected.done)).epsilon(1e-9));
    }
    CHECK(statistics.seals.size() == failed.size());
    for (const auto& seal : statistics.seals) {
        CAPTURE(seal.seal);
        CHECK(seal.failed == failed[{seal.unit, seal.seal}]);
    }
    const auto larch = records.failures_of("Larch Five");
    for (const auto& seal : larch)
        CHECK(seal.failed == failed[{"Larch Five", seal.seal}]);
    CHECK_FALSE(larch.empty());
    // The same once more by SQL over what was entered, past the program and past its derived tables.
    const std::string field = shelf.server ? "e.content::json->>'{}'" : "json_extract(e.content,'$.{}')";
    const std::string by_sql = shelf.sql(fmt::format(
        "select {0}, count(distinct e.job) from entry e where e.kind = 'finding' and {1} = 'damaged' and e.job in "
        "(select m.job from entry m where m.kind = 'map' and m.content like '%larch-five%') group by 1 order by 1",
        fmt::format(fmt::runtime(field), "seal"), fmt::format(fmt::runtime(field), "found")));
    std::map<std::string, long> counted;
    for (const auto& seal : larch)
        counted[seal.seal] = seal.failed;
    std::string expected;
    for (const auto& [seal, count] : counted)
        expected += fmt::format("{}{}|{}", expected.empty() ? "" : "\n", seal, count);
    CHECK(by_sql == expected);
}

} // namespace

std::vector<Law> search_laws() {
    return {{"search finds what a walk through all jobs finds", search_finds_what_a_walk_finds},
            {"search follows every change", search_follows_every_change},
            {"statistics are those of a walk, and of other SQL", statistics_are_those_of_a_walk}};
}

} // namespace ringland::test
