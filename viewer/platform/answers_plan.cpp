// Plans and measures: the same computation as the window's, without a screen.
#include "answers_plan.h"

#include <algorithm>
#include <filesystem>
#include <optional>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "../../diagnosis/plan/plan_json.h"
#include "../../diagnosis/suspects/answer.h"
#include "../../diagnosis/suspects/weigh.h"
#include "../../model-data/map_faults.h"
#include "../../model-data/map_io.h"
#include "../handout/work_sheet.h"
#include "air_json.h"
#include "air_setup.h"
#include "answers_weigh.h"
#include "complain.h"
#include "figures.h"
#include "json_text.h"
#include "plan_text.h"
#include "typed_words.h"
#include "user_bench.h"

namespace ringland::viewer {
namespace {

using namespace diagnosis;

/// A thing by id, or by name where only one has it; without regard to case. `known` gathers what could have been meant.
template <class Thing> std::optional<std::size_t> spoken(const std::vector<Thing>& list, const std::string& typed,
                                                         std::vector<std::string>& known) {
    const std::string wanted = lower(typed);
    std::optional<std::size_t> by_name;
    int named = 0;
    for (std::size_t i = 0; i < list.size(); ++i) {
        if (lower(list[i].id) == wanted) return i;
        known.push_back(list[i].id);
        if (list[i].name.empty()) continue;
        known.push_back(list[i].name);
        if (lower(list[i].name) != wanted) continue;
        by_name = i;
        ++named;
    }
    return named == 1 ? by_name : std::nullopt;
}

/// "Did you mean ...?", or the first few that there are.
std::string meant(const std::string& typed, const std::vector<std::string>& known) {
    const std::string near = model::nearest_word(typed, known);
    if (!near.empty()) return fmt::format(" Did you mean \"{}\"?", near);
    return "";
}

/// Sorts what was typed into seals and parts of the question; every word that is neither is told.
bool understand(const model::UnitMap& map, const std::vector<std::string>& typed, plan::PlanQuestion& question) {
    bool good = true;
    for (const auto& word : typed) {
        std::vector<std::string> known;
        if (const auto seal = spoken(map.seals, word, known)) {
            question.seals.push_back(*seal);
        } else if (const auto part = spoken(map.parts, word, known)) {
            question.parts.push_back(*part);
        } else {
            complain("plan", fmt::format("no seal or part {} in this map, or more than one of that name.{}",
                                         model::shown(word), meant(word, known)));
            good = false;
        }
    }
    return good;
}

/// The chances of the seals by the readings; nothing where something is wrong, which has been said.
std::optional<std::vector<double>> weigh_readings(const PlanSetup& setup, const PlanOptions& options,
                                                  double& look_misses, Exit& exit) {
    exit = Exit::input_fault;
    const ChosenPriors priors = choose_priors(options.priors);
    complain(priors.faults);
    const model::ReadReadingsResult read = model::read_readings(options.readings, setup.map);
    complain(read.faults);
    if (!priors.priors || !read.check) return std::nullopt;
    if (setup.map.ports.size() > most_ports_weighed || setup.map.seals.size() > most_seals_weighed) {
        exit = Exit::wrong_usage;
        complain("plan",
                 fmt::format("this map has {} ports and {} seals, and readings are weighed up to {} and {}: name "
                             "the seals instead",
                             setup.map.ports.size(), setup.map.seals.size(), most_ports_weighed, most_seals_weighed));
        return std::nullopt;
    }
    look_misses = priors.priors->look_misses;
    suspects::Weigher weigher(setup.map, setup.bench, *priors.priors);
    return weigher.weigh(*read.check).seal_probability;
}

/// Map and bench; what is wrong has been said.
std::optional<PlanSetup> set_up(const std::string& map, const std::string& bench) {
    const model::ReadResult read = model::read_map(map);
    complain(read.faults);
    auto chosen = bench_in_use(bench);
    if (!read.map || !chosen) return std::nullopt;
    return PlanSetup{*read.map, std::move(chosen->bench), std::move(chosen->file), {}};
}

/// The answer with what it rests on.
std::string plan_json(const PlanSetup& setup, const plan::PlanAnswer& answer) {
    auto json = nlohmann::ordered_json::parse(plan::to_json(setup.map, answer));
    json["stock"] = {{"file", setup.stock_file}};
    return with_bench(json_text(json), setup.map, setup.bench, setup.bench_file);
}

/// Error text, empty on success.
std::string print_work_sheet(const PlanSetup& setup, const plan::PlanAnswer& answer, const PlanOptions& options) {
    WorkSheetWords words;
    words.paper = options.paper == "a4" ? PaperSize::a4 : PaperSize::letter;
    const bool metric = suspects::thinks_metric({}, setup.map, setup.bench);
    words.units = options.units.empty() ? (metric ? UnitSystem::bar_mm : UnitSystem::psi_inch)
                                        : model::from_word<UnitSystem>(options.units).value_or(UnitSystem::psi_inch);
    const Translator tr = translator_of(options.language);
    return write_work_sheet(options.file, tr, setup.map, answer, words);
}

} // namespace

Exit run_plan(const PlanOptions& options) {
    constexpr const char* command = "plan";
    if (!options.file.empty() && lower(std::filesystem::path(options.file).extension().string()) != ".pdf") {
        complain(command, fmt::format("-o {}: the file's name ends in .pdf", options.file));
        return Exit::wrong_usage;
    }
    auto setup = set_up(options.map, options.bench);
    ChosenStock stock = choose_stock(options.stock);
    complain(stock.faults);
    if (!setup || !stock.good) return Exit::input_fault;
    setup->stock_file = stock.file;
    plan::PlanQuestion question;
    if (!options.file.empty()) question.tr = translator_of(options.language); // of the sheet; else English
    if (!understand(setup->map, options.what, question)) return Exit::wrong_usage;
    if (options.what.empty() && options.readings.empty()) {
        complain(command, "name a seal or part, or give --readings: whose suspects are planned for");
        return Exit::wrong_usage;
    }
    if (!options.readings.empty()) {
        Exit exit{};
        auto chance = weigh_readings(*setup, options, question.look_misses, exit);
        if (!chance) return exit;
        question.chance = std::move(*chance);
    }
    if (stock.stock) question.stock = &*stock.stock;
    const plan::PlanAnswer answer = plan::plan(setup->map, question, setup->bench);
    if (!options.file.empty()) {
        const std::string why = print_work_sheet(*setup, answer, options);
        if (!why.empty()) {
            complain(command, why);
            return Exit::input_fault;
        }
        fmt::print("{}\n", options.file);
    } else {
        fmt::print("{}", options.json ? plan_json(*setup, answer) + '\n' : plan_text(*setup, answer));
    }
    if (answer.proof->converged) return Exit::answered;
    complain(command, "the pressures of at least one case did not balance; do not trust the retest");
    return Exit::input_fault;
}

Exit run_measure(const MeasureOptions& options) {
    constexpr const char* command = "measure";
    const auto setup = set_up(options.map, options.bench);
    if (!setup) return Exit::input_fault;
    std::vector<std::string> known;
    const auto clearance = spoken(setup->map.clearances, options.clearance, known);
    const auto value = parse_length(options.value);
    const auto fitted = options.fitted.empty() ? TypedFigure<model::LengthDimension>{} : parse_length(options.fitted);
    if (!clearance)
        complain(command, known.empty()
                              ? fmt::format("no clearance {}: this map has none; add a [[clearance]] to it",
                                            model::shown(options.clearance))
                              : fmt::format("no clearance {} in this map, or more than one of that name.{}",
                                            model::shown(options.clearance), meant(options.clearance, known)));
    if (!value.value) complain(command, value.why);
    if (!fitted.value && !options.fitted.empty()) complain(command, "--fitted " + fitted.why);
    if (!clearance || !value.value || (!fitted.value && !options.fitted.empty())) return Exit::wrong_usage;
    const plan::MeasureAnswer answer = plan::measure(setup->map, *clearance, *value.value, fitted.value, setup->bench);
    fmt::print("{}",
               options.json
                   ? with_bench(plan::to_json(setup->map, answer), setup->map, setup->bench, setup->bench_file) + '\n'
                   : measure_text(*setup, answer));
    return Exit::answered;
}

} // namespace ringland::viewer
