// Makes the demo job: an invented customer, an invented shop, and readings as the engine hears them on the demo unit
// with one worn ring, and again with none. Usage: make_demo_job MAP OUT.json
#include <cstdio>
#include <fstream>
#include <sstream>
#include <string>

#include <fmt/format.h>

#include "../diagnosis/airflow/expected.h"
#include "../diagnosis/airflow/heard.h"
#include "../diagnosis/suspects/coverage.h"
#include "../model-data/job_entries.h"
#include "../model-data/map_io.h"

namespace {

using namespace ringland;

std::string whole(const char* file) {
    std::ifstream in(file, std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    return text.str();
}

/// Ids of a demo need not be random, and so the file stays the same.
std::string demo_id(int n) { return fmt::format("{:032x}", 0xde300 + n); }

/// Air into each of these ports, listening everywhere, with that fault (-1: none) of that size in the unit.
model::JobCheck listened(diagnosis::suspects::Tables& tables, const std::vector<int>& ports, int fault,
                         std::size_t size, model::CheckPurpose purpose, const std::string& at, int& next_id) {
    const auto& map = tables.map();
    model::JobCheck check;
    check.id = demo_id(next_id++);
    check.purpose = purpose;
    check.at = at;
    check.who = "M. Example";
    check.turns_freely = true;
    const double supply = diagnosis::airflow::usual_gauge_pa(map, tables.bench());
    for (const int into : ports) {
        const std::size_t table = tables.table_of({into, supply, std::vector<bool>(map.ports.size(), false)});
        const auto shown =
            fault < 0 ? tables.sound(table) : tables.single(table, static_cast<std::size_t>(fault), size);
        model::JobReading entry;
        entry.id = demo_id(next_id++);
        entry.reading.into = map.ports[static_cast<std::size_t>(into)].id;
        entry.reading.pressure = map.unit.air_pressure;
        for (std::size_t p = 0; p <= map.ports.size(); ++p) {
            if (static_cast<int>(p) == into) continue;
            const bool in_case = p == map.ports.size();
            if (!in_case && map.ports[p].circuit == map.ports[static_cast<std::size_t>(into)].circuit) continue;
            model::Seen seen;
            seen.at = in_case ? std::string(model::open_case) : map.ports[p].id;
            seen.word = diagnosis::airflow::heard(static_cast<double>(in_case ? shown.case_lpm : shown.flow_lpm[p]),
                                                  {tables.bench().heard_from_lpm});
            entry.reading.seen.push_back(seen);
        }
        check.readings.push_back(std::move(entry));
    }
    return check;
}

} // namespace

int main(int argc, char** argv) {
    if (argc != 3) {
        std::fputs("usage: make_demo_job MAP OUT.json\n", stderr);
        return 2;
    }
    const std::string toml = whole(argv[1]);
    const auto read = model::read_map_text(toml, argv[1]);
    if (!read.map) {
        std::fputs("the map cannot be read\n", stderr);
        return 1;
    }
    diagnosis::suspects::Tables tables(*read.map, model::AirBench{});
    const double supply = diagnosis::airflow::usual_gauge_pa(*read.map, tables.bench());
    const auto coverage = diagnosis::suspects::cover(tables, supply);
    int fault = -1;
    for (std::size_t f = 0; f < tables.faults().size(); ++f) {
        if (read.map->seals[tables.faults()[f].seal].id == "R3") fault = static_cast<int>(f);
    }

    int id = 1;
    model::Job job;
    job.id = demo_id(0);
    job.map_toml = toml;
    job.map_file = "larch-five.toml";
    job.head.number = "DEMO-1 (invented)";
    job.head.customer = "A. Sample (invented)";
    job.head.complaint =
        "When it is hot, second comes in late, and sometimes it feels as if two gears were in at once.";
    job.head.who = "M. Example";
    job.head.opened_at = "2031-05-05T14:10:00Z";
    job.head.conclusion =
        "Ring R3 on the input shaft was worn and let oil pass between Low and Coast. All five rings of "
        "that shaft were renewed, and the unit was tested again.";
    constexpr std::size_t size = 6; // of the grid, about 2.5 mm
    job.checks.push_back(
        listened(tables, coverage.shortest, fault, size, model::CheckPurpose::before, "2031-05-05T15:00:00Z", id));
    job.findings.push_back({demo_id(id++),
                            "R3",
                            model::Found::damaged,
                            "a step worn into one flank, and a piece of the joint broken off",
                            {},
                            "2031-05-06T14:20:00Z",
                            "M. Example"});
    for (const char* ring : {"R1", "R2", "R3", "R4", "R5"})
        job.renewed.push_back({demo_id(id++), ring, "", 1, "2031-05-06T16:00:00Z", "M. Example", ""});
    for (const char* what : {"plate gasket", "pump gasket"})
        job.renewed.push_back({demo_id(id++), what, "", 1, "2031-05-06T16:30:00Z", "M. Example", ""});
    if (!read.map->clearances.empty()) {
        const auto& clearance = read.map->clearances.front();
        if (clearance.lower && clearance.upper)
            job.measurements.push_back(
                {demo_id(id++),
                 clearance.id,
                 model::Length{(clearance.lower->value + clearance.upper->value) / 2, clearance.lower->unit},
                 "2031-05-06T17:00:00Z",
                 "M. Example",
                 "",
                 {}});
    }
    job.checks.push_back(
        listened(tables, coverage.shortest, -1, 0, model::CheckPurpose::retest, "2031-05-07T14:00:00Z", id));
    job.ticks.push_back({model::JobStep::done, "2031-05-07T15:30:00Z", "M. Example"});
    const std::string error = model::write_job_file(argv[2], job);
    if (!error.empty()) std::fprintf(stderr, "%s\n", error.c_str());
    return error.empty() ? 0 : 1;
}
