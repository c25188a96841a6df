// How long the records take with many jobs, and how much room: the figures of the promise (search under 50 ms, a job
// opened under 100 ms, start not slower than with none). Invented jobs; each with a check, a finding, parts and a note.
//
// records_bench [JOBS] [PLACE]: 100000 in a file of its own where nothing is named; PLACE is an empty database of a
// server. Ends with 1 where a figure is missed.
#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>
#include <random>

#include <fmt/format.h>

#include "../../diagnosis/records/store.h"

using namespace ringland;
using diagnosis::records::FullChange;
using diagnosis::records::Records;
using diagnosis::records::Search;
using diagnosis::records::Store;

namespace {

double milliseconds(const std::function<void()>& work) {
    const auto begin = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begin).count();
}

/// Median and the worst of so many runs.
class Figure {
public:
    Figure(const char* name, int runs, double most_ms, const std::function<void()>& work) {
        std::vector<double> times;
        for (int i = 0; i < runs; ++i)
            times.push_back(milliseconds(work));
        std::sort(times.begin(), times.end());
        median = times[times.size() / 2];
        good = most_ms <= 0 || median < most_ms;
        fmt::print("{:<58} {:9.2f} ms  worst {:9.2f} ms{}\n", name, median, times.back(),
                   most_ms <= 0 ? std::string()
                                : fmt::format("  ({} {:.0f} ms)", good ? "under" : "NOT under", most_ms));
    }
    double median = 0;
    bool good = true;
};

std::string text_of(const char* name) {
    std::ifstream in(std::string(RINGLAND_SOURCE_DIR "/assets-demo/") + name, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

class JobMaker {
public:
    model::Job next() {
        const bool larch = chance(4) != 0;
        model::Job job;
        job.id = model::new_id();
        ++count_;
        job.head.number = fmt::format("W{:06}", count_);
        job.head.customer = fmt::format("{} {}", pick(first_), pick(last_));
        job.head.complaint = fmt::format("{} in {} when {}", pick(does_), pick(gear_), pick(when_));
        job.head.who = pick(first_);
        // Forty jobs a day.
        const int day = count_ / 40;
        job.head.opened_at = fmt::format("{}-{:02}-{:02}T{:02}:{:02}:00Z", 2031 + day / 336, 1 + day % 336 / 28,
                                         1 + day % 28, 8 + count_ % 9, count_ % 60);
        job.map_file = larch ? "larch-five.toml" : "wren-three.toml";
        job.map_toml = larch ? larch_ : wren_;
        model::JobCheck check{
            model::new_id(), model::CheckPurpose::before, job.head.opened_at, job.head.who, true, "", {}, {}, {}};
        for (int port = 1; port <= 6; ++port) {
            model::JobReading reading{model::new_id(), {}};
            reading.reading.into = fmt::format("P{}", port);
            reading.reading.pressure = model::psi(40);
            reading.reading.applied = model::Applied::thud;
            model::Seen seen;
            seen.at = fmt::format("P{}", port % 6 + 1);
            seen.word = model::Heard::clear;
            reading.reading.seen.push_back(seen);
            check.readings.push_back(reading);
        }
        job.checks.push_back(check);
        const std::string seal = fmt::format("R{}", 1 + chance(5));
        job.findings.push_back({model::new_id(), seal, model::Found::damaged, pick(seen_), {}, job.head.opened_at, ""});
        job.renewed.push_back({model::new_id(), seal, "INV-204", 1, job.head.opened_at, "", ""});
        job.notes.push_back({model::new_id(), job.head.opened_at, "", fmt::format("{} will call", pick(first_))});
        if (chance(10) != 0) job.ticks.push_back({model::JobStep::done, job.head.opened_at, ""});
        return job;
    }
    int chance(int of) { return std::uniform_int_distribution<int>(0, of - 1)(engine_); }

private:
    const char* pick(const std::vector<const char*>& list) {
        return list[static_cast<std::size_t>(chance(static_cast<int>(list.size())))];
    }

    std::mt19937 engine_{11};
    int count_ = 0;
    std::string larch_ = text_of("larch-five.toml"), wren_ = text_of("wren-three.toml");
    std::vector<const char*> first_{"Odo", "Ida", "Bram", "Wyn", "Lutz", "Mara", "Iker", "Pia", "Sten", "Tove"};
    std::vector<const char*> last_{"Fenwick", "Crake", "Ødegård", "Quince", "Amsel", "Larkin", "Müller", "Teal"};
    std::vector<const char*> does_{"slips", "bangs", "shudders", "flares", "has nothing", "is late"};
    std::vector<const char*> gear_{"first", "second", "third", "reverse", "all gears"};
    std::vector<const char*> when_{"hot", "cold", "towing", "starting", "it rains"};
    std::vector<const char*> seen_{"cut", "worn thin", "hard", "rolled", "cracked"};
};

FullChange change_of(const model::Job& job) {
    FullChange change{model::new_id(), job.id, job.head.opened_at, job.head.who, "Bench 1", "New job", {}, {}};
    for (const auto& entry : model::entries(job)) {
        const bool map = entry.kind == "map";
        change.entries.push_back({entry.kind, entry.id, entry.order,
                                  map ? diagnosis::records::map_out_of(entry.content, change.maps) : entry.content});
    }
    return change;
}

std::vector<std::string> fill(const std::string& where, int jobs) {
    JobMaker maker;
    std::vector<std::string> ids;
    Store store(where);
    for (int made = 0; made < jobs;) {
        std::vector<FullChange> changes;
        for (; made < jobs && changes.size() < 2000; ++made) {
            const model::Job job = maker.next();
            changes.push_back(change_of(job));
            ids.push_back(job.id);
        }
        store.apply(changes);
    }
    return ids;
}

bool is_server(const std::string& where) { return where.rfind("postgresql://", 0) == 0; }

/// The same jobs once more in each of the following years, with numbers of their own, row by row in the database: a
/// hundred thousand made one by one take a quarter of an hour on a busy machine, and the rows are the same. `where` is
/// a file or a server; `script` is a file to work with.
void repeat(const std::string& where, const std::string& script, int years, std::vector<std::string>& ids) {
    const std::size_t made = ids.size();
    std::string sql = is_server(where) ? "set search_path = ringland;\nbegin;\n" : "begin;\n";
    for (int k = 1; k < years; ++k) {
        const std::string n = fmt::format("+ {}", static_cast<long long>(made + 1) * k),
                          id = fmt::format("|| '-{}'", k);
        const std::string number = fmt::format("'W{}' || substr(number, 3)", k);
        const auto copy = [&](const char* table, const std::string& columns, const char* key) {
            sql += fmt::format("insert into {} select {} from {} where {} <= {};\n", table, columns, table, key, made);
        };
        copy("job", fmt::format("n {}, id {}", n, id), "n");
        copy("change", fmt::format("n {}, id {}, job {}, at, who, bench, label", n, id, n), "n");
        copy("change_entry", fmt::format("change {}, place, kind, id, ord, content", n), "change");
        copy("entry", fmt::format("job {}, kind, id, ord, content, at", n), "job");
        copy("listing",
             fmt::format("n {}, id {}, {}, customer, unit, complaint, who, cast(cast(substr(opened_at, 1, 4) as "
                         "integer) + {} as text) || substr(opened_at, 5), changed_at, stands, done, found, "
                         "comeback_of, year_before, hours",
                         n, id, number, k),
             "n");
        copy("word", fmt::format("case when word like 'w0%' then 'w{}' || substr(word, 3) else word end, n {}", k, n),
             "n");
        copy("found", fmt::format("n {}, seal, unit, name, damaged", n), "n");
        for (std::size_t i = 0; i < made; ++i)
            ids.push_back(fmt::format("{}-{}", ids[i], k));
    }
    const bool server = is_server(where);
    // Numbers that a server gives go on behind these.
    const char* end = server ? "select setval(pg_get_serial_sequence(t, 'n'), 1000000000) from (values ('job'), "
                               "('change')) as tables (t);\ncommit;\nanalyze;\n"
                             : "commit;\npragma wal_checkpoint(truncate);\n";
    std::ofstream(script) << sql << end;
    const std::string program = server ? "psql -q -v ON_ERROR_STOP=1" : "sqlite3 -batch";
    if (std::system(fmt::format("{} '{}' < '{}' > /dev/null", program, where, script).c_str()) != 0)
        throw std::runtime_error("the jobs were not repeated");
}

/// Bytes of everything in the database.
double size_of(const std::string& where, const std::string& script) {
    if (!is_server(where)) return static_cast<double>(std::filesystem::file_size(where));
    const std::string ask = "psql -qAt -c 'select pg_database_size(current_database())'";
    if (std::system(fmt::format("{} '{}' > '{}'", ask, where, script).c_str()) != 0)
        throw std::runtime_error("the server did not tell the size");
    double bytes = 0;
    std::ifstream(script) >> bytes;
    return bytes;
}

Search words(const char* text) {
    Search search;
    search.words = text;
    return search;
}

bool measure(const std::string& where, const std::vector<std::string>& ids, double start_with_none) {
    bool good = true;
    const Figure start("open the records and list the newest 50", 9, 0, [&] {
        static_cast<void>(Records({where, "Bench 1"}).search({}));
    });
    // A few milliseconds are within the noise of a busy machine.
    const bool as_fast = start.median < start_with_none * 1.5 + 5;
    fmt::print("start with none {:.2f} ms: {}\n", start_with_none, as_fast ? "as fast" : "NOT as fast");
    Records records({where, "Bench 1"});
    const auto search = [&](const char* name, const Search& asked) {
        std::size_t found = 0;
        const Figure figure(name, 9, 50, [&] { found = records.search(asked).size(); });
        fmt::print("  found {}\n", found);
        good = good && figure.good;
    };
    search("search: one number", words("W000077"));
    search("search: the beginning of a number, many hits", words("W0"));
    search("search: a word in a sixth of all jobs", words("shudders"));
    search("search: two common words", words("mül shudders"));
    search("search: five common words", words("odo crake slips reverse hot"));
    search("search: two common words that never meet", words("shudders flares"));
    search("search: words that are nowhere", words("xylophone"));
    Search by;
    by.seal = "R3";
    search("search: a seal", by);
    by.unit = "Larch Five";
    by.from = "2031-03-01";
    by.until = "2031-04-30";
    search("search: seal, unit and two months", by);
    by = {};
    by.open_only = true;
    by.words = "quince";
    search("search: open jobs of a customer", by);
    std::mt19937 engine(3);
    const auto any = [&] { return ids[std::uniform_int_distribution<std::size_t>(0, ids.size() - 1)(engine)]; };
    const Figure opened("open a job", 50, 100, [&] { static_cast<void>(records.load(any())); });
    model::Job job = records.load(any()).value();
    const Figure saved("save one more note", 50, 0, [&] {
        model::Job after = job;
        after.notes.push_back({model::new_id(), model::utc_now(), "", "one more"});
        static_cast<void>(records.save(job, after, "Note"));
        job = after;
    });
    const Figure history("history of a job", 20, 0, [&] { static_cast<void>(records.history(any())); });
    const Figure failures("failures of a unit", 5, 0, [&] { static_cast<void>(records.failures_of("Larch Five")); });
    const Figure statistics("statistics of all", 3, 0, [&] { static_cast<void>(records.statistics()); });
    return good && as_fast && opened.good;
}

} // namespace

int main(int count, char** arguments) {
    const int jobs = count > 1 ? std::max(1, std::atoi(arguments[1])) : 100000;
    std::string made = (std::filesystem::temp_directory_path() / "ringland-records-bench-XXXXXX").string();
    if (mkdtemp(made.data()) == nullptr) return 2;
    const std::filesystem::path folder = made;
    setenv("XDG_DATA_HOME", made.c_str(), 1);
    int exit = 0;
    try {
        const std::string file = (folder / "records.sqlite").string(), none = (folder / "none.sqlite").string();
        const std::string where = count > 2 ? arguments[2] : file;
        const std::string empty_place = is_server(where) ? where : none;
        { const Records make({empty_place, "Bench 1"}); }
        const Figure empty("open empty records and list", 9, 0, [&] {
            static_cast<void>(Records({empty_place, "Bench 1"}).search({}));
        });
        std::vector<std::string> ids;
        // Ten years alike where there are many.
        const int years = jobs >= 10000 ? 10 : 1, each = jobs / years;
        const double took = milliseconds([&] { ids = fill(where, each); });
        fmt::print("{} jobs made in {:.1f} s, {:.2f} ms each\n", each, took / 1000, took / each);
        const std::string script = (folder / "script").string();
        if (years > 1) repeat(where, script, years, ids);
        fmt::print("{} jobs\n", ids.size());
        const double size = size_of(where, script);
        fmt::print("{:.0f} MB, {:.0f} bytes a job\n", size / 1e6, size / static_cast<double>(ids.size()));
        // A few jobs show that it runs; the promise is about many.
        const bool good = measure(where, ids, empty.median);
        exit = good || years == 1 ? 0 : 1;
    } catch (const std::exception& error) {
        fmt::print(stderr, "{}\n", error.what());
        exit = 2;
    }
    std::filesystem::remove_all(folder);
    return exit;
}
