// Suspects and coverage: the same computation as the window's, without a screen.
#include "answers_weigh.h"

#include <algorithm>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "../../diagnosis/airflow/expected.h"
#include "../../diagnosis/suspects/coverage_json.h"
#include "../../diagnosis/suspects/weigh_json.h"
#include "../../model-data/readings.h"
#include "../handout/card_pdf.h"
#include "air_json.h"
#include "air_setup.h"
#include "complain.h"
#include "json_text.h"
#include "user_bench.h"
#include "weigh_text.h"

namespace ringland::viewer {
namespace {

using namespace diagnosis;

bool small_enough(const model::UnitMap& map, const char* command) {
    if (map.ports.size() <= most_ports_weighed && map.seals.size() <= most_seals_weighed) return true;
    complain(command, fmt::format("this map has {} ports and {} seals, and {} takes {} and {} at most",
                                  map.ports.size(), map.seals.size(), command, most_ports_weighed, most_seals_weighed));
    return false;
}

/// Map and bench as the commands about air have them, without pressure and faults that are imagined.
std::optional<AirSetup> set_up(const std::string& map, const std::string& bench, const std::string& pressure,
                               const char* command, Exit& exit) {
    AirOptions words;
    words.map = map;
    words.bench = bench;
    words.pressure = pressure;
    auto setup = set_up_air(words, command, exit);
    if (!setup) return std::nullopt;
    exit = Exit::wrong_usage;
    if (!small_enough(setup->map, command)) return std::nullopt;
    return setup;
}

/// What is likely beforehand: the file of --priors, the shop's own or the defaults.
bool set_priors(WeighSetup& setup, const std::string& named) {
    ChosenPriors chosen = choose_priors(named);
    complain(chosen.faults);
    if (!chosen.priors) return false;
    setup.priors = *chosen.priors;
    setup.priors_file = chosen.file;
    return true;
}

double most_pressure(const WeighSetup& setup, const model::AirCheck& check) {
    double most = setup.air.supply_gauge_pa;
    for (const auto& reading : check.readings) {
        if (reading.pressure) most = std::max(most, reading.pressure->si());
    }
    return most;
}

std::string weigh_json(const WeighSetup& setup, const suspects::Answer& answer) {
    auto json = nlohmann::ordered_json::parse(suspects::to_json(setup.air.map, answer));
    json["priors"] = {{"file", setup.priors_file}};
    return with_bench(json_text(json), setup.air.map, setup.air.bench, setup.air.bench_file);
}

airflow::ExpectedChart rows_of(AirSetup& setup, const suspects::Coverage& coverage) {
    airflow::ExpectedChart chart;
    chart.supply_gauge_pa = setup.supply_gauge_pa;
    for (const int port : coverage.shortest) {
        chart.rows.push_back(airflow::expect_row(setup.map, *setup.unit, port, setup.supply_gauge_pa));
        chart.converged = chart.converged && chart.rows.back().converged;
    }
    return chart;
}

std::string cover_json(const AirSetup& setup, const suspects::Coverage& coverage, const airflow::ExpectedChart* card) {
    auto json = nlohmann::ordered_json::parse(suspects::to_json(setup.map, coverage, setup.supply_gauge_pa));
    if (card != nullptr) json["card"] = nlohmann::ordered_json::parse(airflow::to_json(setup.map, *card))["rows"];
    return with_bench(json_text(json), setup.map, setup.bench, setup.bench_file);
}

/// The card as a PDF; error text, empty on success.
std::string write_card(const AirSetup& setup, const suspects::Coverage& coverage, const airflow::ExpectedChart& rows,
                       const CoverOptions& options) {
    const Translator tr = translator_of(options.language);
    CardWords words;
    words.paper = options.paper == "a4" ? PaperSize::a4 : PaperSize::letter;
    const bool metric = options.units.empty() ? suspects::thinks_metric({}, setup.map, setup.bench)
                                              : options.units == model::word(UnitSystem::bar_mm);
    words.units = metric ? UnitSystem::bar_mm : UnitSystem::psi_inch;
    words.own_figures = tr("Where the map has no figures, the leaks of sound seals are defaults of their kind: common "
                           "practice, no source.");
    return write_card_pdf(options.card_file, tr, setup.map, coverage, rows, words);
}

} // namespace

Exit run_weigh(const WeighOptions& options) {
    constexpr const char* command = "weigh";
    Exit exit{};
    auto air = set_up(options.map, options.bench, "", command, exit);
    WeighSetup setup;
    // What is wrong with any of the files is said at once.
    const bool good_priors = set_priors(setup, options.priors);
    if (!air) return exit;
    setup.air = std::move(*air);
    model::AirCheck check;
    if (!options.readings.empty()) {
        model::ReadReadingsResult read = model::read_readings(options.readings, setup.air.map);
        complain(read.faults);
        if (!read.check) return Exit::input_fault;
        check = std::move(*read.check);
    }
    if (!good_priors) return Exit::input_fault;
    setup.most_gauge_pa = most_pressure(setup, check);
    suspects::Weigher weigher(setup.air.map, setup.air.bench, setup.priors);
    const suspects::Answer answer =
        suspects::answer(weigher, check, suspects::thinks_metric(check, setup.air.map, setup.air.bench));
    fmt::print("{}", options.json ? weigh_json(setup, answer) + '\n' : weigh_text(setup, answer));
    if (answer.converged) return Exit::answered;
    complain(command, "the pressures of at least one case did not balance; do not trust these figures");
    return Exit::input_fault;
}

Exit run_cover(const CoverOptions& options) {
    constexpr const char* command = "cover";
    Exit exit{};
    auto setup = set_up(options.map, options.bench, options.pressure, command, exit);
    if (!setup) return exit;
    if (setup->supply_gauge_pa <= 0) {
        complain(command, "without pressure no air finds anything; write one above 0, as in 35psi");
        return Exit::wrong_usage;
    }
    suspects::Tables tables(setup->map, setup->bench);
    const suspects::Coverage coverage = suspects::cover(tables, setup->supply_gauge_pa);
    airflow::ExpectedChart rows;
    if (options.card) rows = rows_of(*setup, coverage);
    if (!options.card_file.empty()) {
        const std::string error = write_card(*setup, coverage, rows, options);
        if (!error.empty()) {
            complain(command, error);
            return Exit::input_fault;
        }
        fmt::print("{}\n", options.card_file);
    } else if (options.json)
        fmt::print("{}\n", cover_json(*setup, coverage, options.card ? &rows : nullptr));
    else
        fmt::print("{}", options.card ? card_text(*setup, coverage, rows) : cover_text(*setup, coverage));
    if (tables.all_converged() && rows.converged) return Exit::answered;
    complain(command, "the pressures of at least one case did not balance; do not trust these figures");
    return Exit::input_fault;
}

} // namespace ringland::viewer
