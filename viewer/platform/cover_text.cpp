#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../../diagnosis/airflow/own_figures.h"
#include "air_text.h"
#include "divide_text.h"
#include "figures.h"
#include "text_lines.h"
#include "weigh_text.h"

namespace ringland::viewer {
namespace {

using namespace diagnosis::airflow;
using diagnosis::suspects::Coverage;
using diagnosis::suspects::SealCover;

constexpr const char* in_the_case = "inside the case";

std::string port_or_case(const model::UnitMap& map, int port) {
    return port < static_cast<int>(map.ports.size()) ? port_words(map, port) : in_the_case;
}

std::size_t found_by_shortest(const Coverage& coverage) {
    const auto findable =
        std::count_if(coverage.seals.begin(), coverage.seals.end(), [](const SealCover& s) { return s.findable; });
    return static_cast<std::size_t>(findable) - coverage.beyond.size();
}

/// Short enough for a column: a name of its own goes without the kind.
std::string short_headline(const model::UnitMap& map, const model::Seal& seal) {
    return seal.stack.empty() && !seal.name.empty() ? seal.name : seal_headline(map, seal);
}

std::string found_part(const model::UnitMap& map, const Coverage& coverage) {
    std::string lines;
    std::size_t found = 0;
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        const SealCover& seal = coverage.seals[s];
        if (!seal.findable) continue;
        ++found;
        lines += line_of("  " + column(map.seals[s].id, 7) + column(short_headline(map, map.seals[s]), 46) +
                         column(hole_text(seal.smallest_mm / 1e3), 21) + column(port_words(map, seal.into), 20) +
                         port_or_case(map, seal.at));
    }
    std::string text = fmt::format("Air finds {} of {} seals", found, map.seals.size());
    if (found == 0) return text + ".\n";
    text += ", each from the hole on that changes a word somewhere:\n";
    text += line_of("  " + column("seal", 53) + column("from a hole of", 21) + column("air into", 20) + "shows at");
    return text + lines;
}

std::string lost_part(const model::UnitMap& map, const Coverage& coverage) {
    std::string text;
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        if (coverage.seals[s].findable) continue;
        text += wrapped(fmt::format("  {}  {}: {}", map.seals[s].id, seal_headline(map, map.seals[s]),
                                    coverage.seals[s].why_not),
                        6) +
                '\n';
    }
    return text.empty() ? text : "\nAir cannot find:\n" + text;
}

std::string alike_part(const model::UnitMap& map, const Coverage& coverage) {
    std::string text = "\nLook-alikes, which no reading of words tells apart:";
    if (coverage.look_alikes.empty()) return text + " none.\n";
    text += '\n';
    for (const auto& group : coverage.look_alikes)
        text += "  " + seal_ids(map, group) + '\n';
    return text;
}

/// "11 readings, and fewer cannot", or with the bound that is known.
std::string how_many(const Coverage& coverage) {
    const std::size_t n = coverage.shortest.size();
    const std::string count = fmt::format("{} {}", n, n == 1 ? "reading" : "readings");
    if (coverage.exact) return count + ", and fewer cannot";
    return fmt::format("{}; at least {} are needed, whether fewer than {} do is not settled", count,
                       coverage.lower_bound, n);
}

std::string shortest_part(const model::UnitMap& map, const Coverage& coverage) {
    if (coverage.shortest.empty()) return "\nNo check of this unit by air is worth making.\n";
    std::vector<std::string> ports;
    for (const int port : coverage.shortest)
        ports.push_back(port_words(map, port));
    std::string text =
        wrapped(fmt::format("\nThe shortest check that finds a hole of {} in any one of {} seals: {}.",
                            hole_text(coverage.reference_mm / 1e3), found_by_shortest(coverage), how_many(coverage)),
                0) +
        '\n';
    text += wrapped(fmt::format("  Air into {}.", fmt::join(ports, ", ")), 2) + '\n';
    if (!coverage.beyond.empty())
        text += wrapped(fmt::format("  Only larger holes are found of {}.", seal_ids(map, coverage.beyond)), 2) + '\n';
    return text;
}

std::string footer(const AirSetup& setup) {
    return wrapped(own_figures_words(own_figures(setup.map), false), 0) + '\n' +
           wrapped(bench_words(setup.bench, setup.bench_file), 0) + '\n' + air_cautions(setup.supply_gauge_pa);
}

/// A line of the card: port, what a good unit does there, and a blank to fill in.
std::string card_line(const std::string& place, std::string_view word, const std::string& mark) {
    return "  " + column(place, 22) + column(fmt::format("{} {}", word, mark), 20) + "____________\n";
}

std::string card_reading(const AirSetup& setup, const ExpectedRow& row, std::size_t number, std::size_t of,
                         DesignNotes& notes) {
    const auto& map = setup.map;
    std::string text = fmt::format("\n{} of {}   AIR INTO {}   at {}, all others open\n", number, of,
                                   port_words(map, row.into), pressure_text(row.supply_gauge_pa));
    text +=
        "  " + column("its own gauge", 22) + column(pressure_text(row.port_gauge_pa), 20) + "____________ psi or bar\n";
    for (const auto& at : row.at) {
        const std::string mark = at.same_circuit ? "(same circuit)" : notes.mark(at.by_design);
        text += card_line(port_words(map, at.port), model::word(at.word), mark);
    }
    text += card_line(in_the_case, model::word(row.case_word), notes.mark(row.case_by_design));
    const std::string& circuit = map.ports[static_cast<std::size_t>(row.into)].circuit;
    for (const auto& element : map.elements) {
        if (std::find(element.applied_by.begin(), element.applied_by.end(), circuit) == element.applied_by.end())
            continue;
        const std::string name = element.name.empty() ? element.id : element.name;
        text += "  " + column(name + " applied", 42) + "thud / soft / none   (it moves: fingers out)\n";
    }
    return text;
}

} // namespace

std::string cover_text(const AirSetup& setup, const Coverage& coverage) {
    const auto& map = setup.map;
    std::string text = unit_line(map);
    text += fmt::format("An air check of {}: air into each port in turn, all others open, listening everywhere.\n\n",
                        pressure_text(setup.supply_gauge_pa));
    text +=
        found_part(map, coverage) + lost_part(map, coverage) + alike_part(map, coverage) + shortest_part(map, coverage);
    return text + '\n' + footer(setup);
}

std::string card_text(const AirSetup& setup, const Coverage& coverage, const ExpectedChart& rows) {
    const auto& map = setup.map;
    if (rows.rows.empty()) return unit_line(map) + "No check of this unit by air is worth making: no card.\n";
    DesignNotes notes(map);
    std::string text = "BENCH CARD: AIR CHECK\n" + unit_line(map);
    text += "Job ______________   Date ______________   By ______________\n\n";
    text += fmt::format("Regulator at {} for every reading.\n", pressure_text(setup.supply_gauge_pa));
    text +=
        wrapped(fmt::format("A hole of {} in any one of {} seals shows: {}.", hole_text(coverage.reference_mm / 1e3),
                            found_by_shortest(coverage), how_many(coverage)),
                0) +
        '\n';
    text += "First the rig: new plate gasket, bolts snugged in their pattern; nozzle closed, the gauge must stand; oil "
            "along\nthe edge of the plate, no bubbles (common practice, no source).   Done ____\n";
    text += "Write what is heard: nothing, faint, clear, strong, or not sure. In the middle: what a good unit does.\n";
    for (std::size_t i = 0; i < rows.rows.size(); ++i)
        text += card_reading(setup, rows.rows[i], i + 1, rows.rows.size(), notes);
    text += "\nLouder than a good unit: blow the other way round, and weigh the readings.\n";
    const std::string list = notes.list();
    if (!list.empty()) text += list;
    if (!rows.converged) text += "NOT BALANCED in at least one case: do not trust these figures.\n";
    return text + '\n' + footer(setup);
}

} // namespace ringland::viewer
