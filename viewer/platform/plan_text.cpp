#include "plan_text.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../../diagnosis/suspects/answer.h"
#include "air_text.h"
#include "divide_text.h"
#include "figures.h"
#include "text_lines.h"

namespace ringland::viewer {
namespace {

using namespace diagnosis::plan;

std::string item(std::size_t indent, const std::string& text) {
    return wrapped(std::string(indent, ' ') + text, indent + 2) + '\n';
}

std::string minutes_words(double minutes) { return fmt::format("{:.3g} min", minutes); }

std::string part_names(const model::UnitMap& map, const std::vector<std::size_t>& parts) {
    std::vector<std::string> names;
    names.reserve(parts.size());
    for (const std::size_t p : parts)
        names.push_back(part_name(map, p));
    return fmt::format("{}", fmt::join(names, ", "));
}

std::string search_part(const model::UnitMap& map, const SearchOrder& search) {
    using diagnosis::suspects::percent_words;
    if (search.steps.empty() && search.unplaced.empty()) return {};
    std::string text = "To find it soonest, in this order (as if one of these is at fault):\n";
    for (std::size_t i = 0; i < search.steps.size(); ++i) {
        const SearchStep& step = search.steps[i];
        const std::string what = step.kind == SearchStep::Kind::look
                                     ? "look at " + seal_ids(map, step.seals)
                                     : fmt::format("{} off, then see {}", part_names(map, step.parts),
                                                   step.seals.empty() ? "what is behind" : seal_ids(map, step.seals));
        text += wrapped(fmt::format("{:>4}. {:>7}  {:>7} so far  found by then {:>6}  {}", i + 1,
                                    minutes_words(step.minutes), minutes_words(step.minutes_so_far),
                                    percent_words(step.found_so_far), what),
                        52) +
                '\n';
    }
    text += wrapped(fmt::format("  {} on average until it is found, {} at worst. {}",
                                minutes_words(search.expected_minutes), minutes_words(search.worst_minutes),
                                search.exact ? "No order is quicker on average."
                                             : fmt::format("Too many suspects to try every order; none is quicker than "
                                                           "{} on average.",
                                                           minutes_words(search.at_least_minutes))),
                    2) +
            '\n';
    if (!search.unplaced.empty())
        text += item(2, fmt::format("Left out, since no part leads there: {}.", seal_ids(map, search.unplaced)));
    if (!search.untimed.empty())
        text += item(2, fmt::format("Not timed in the map and taken as {:g} min each: {}.",
                                    diagnosis::suspects::untimed_minutes, part_names(map, search.untimed)));
    return text + '\n';
}

std::string total_words(const Teardown& teardown) {
    return minutes_words(teardown.minutes) + (teardown.untimed.empty() ? "" : " and more");
}

std::string steps_part(const model::UnitMap& map, const Teardown& teardown) {
    if (teardown.steps.empty()) return {};
    std::string text = fmt::format("What comes off, {} in all:\n", total_words(teardown));
    for (std::size_t i = 0; i < teardown.steps.size(); ++i) {
        const Step& step = teardown.steps[i];
        const std::string time = step.minutes ? minutes_words(*step.minutes) : "not timed";
        text += fmt::format("{:>4}. {:34} {:>9}   so far {}\n", i + 1, clipped(part_name(map, step.part), 34), time,
                            minutes_words(step.minutes_so_far));
        if (!step.tools.empty()) text += item(6, "tools: " + step.tools);
        if (!step.caution.empty()) text += item(6, "mind: " + step.caution);
        for (const std::size_t s : step.uncovers)
            text += item(6, fmt::format("here is {}: {}, {}", map.seals[s].id, seal_headline(map, map.seals[s]),
                                        seal_place(map, map.seals[s])));
        if (!step.disturbs.empty()) text += item(6, "renewed as well: " + seal_ids(map, step.disturbs));
    }
    return text + '\n';
}

std::string measures_part(const model::UnitMap& map, const PlanAnswer& answer) {
    if (answer.measures.empty()) return {};
    std::string text = "Measure on the way:\n";
    for (const Measure& measure : answer.measures) {
        std::vector<std::string_view> when;
        if (measure.before) when.emplace_back("before");
        if (measure.open) when.emplace_back("while it is out");
        if (measure.after) when.emplace_back("after");
        const auto& clearance = map.clearances[measure.clearance];
        text += item(2, fmt::format("{}: {}; {} ({})", clearance.name, limits_words(clearance), fmt::join(when, ", "),
                                    part_name(map, answer.teardown.steps[measure.step].part)));
    }
    return text + '\n';
}

std::string stock_words(const PartLine& line) {
    if (!line.in_stock) return "";
    std::string text = fmt::format("in stock {}", *line.in_stock);
    if (!line.place.empty()) text += fmt::format(" ({})", line.place);
    if (line.short_by > 0) text += fmt::format(", SHORT BY {}", line.short_by);
    return text;
}

std::string parts_part(const PlanSetup& setup, const PartsList& parts) {
    if (parts.kits.empty()) return {};
    std::string text = "Parts:\n";
    for (const KitLines& kit : parts.kits) {
        text += "  " + (kit.kit.empty() ? std::string("in no kit") : kit.kit);
        if (kit.in_stock)
            text += fmt::format(": {} in stock{}", *kit.in_stock, kit.place.empty() ? "" : " (" + kit.place + ")");
        text += '\n';
        for (const PartLine& line : kit.lines) {
            const std::string count =
                line.extra > 0 ? fmt::format("{} + {}", line.quantity, line.extra) : fmt::format("{}", line.quantity);
            text += line_of(wrapped(
                fmt::format("{:>10} x {:14} {}{}{}", count, line.part_number.empty() ? "no number" : line.part_number,
                            line.asked ? "* " : "", line.name, line.in_stock ? "; " + stock_words(line) : ""),
                28));
        }
    }
    text += "  * what the plan is for. 4 + 1: one more at hand, since it often spoils when it is fitted (common "
            "practice, no source).\n";
    text += setup.stock_file.empty() ? "" : fmt::format("  Stock: {}.\n", setup.stock_file);
    return text + '\n';
}

std::string back_part(const model::UnitMap& map, const PlanAnswer& answer) {
    if (answer.back.empty()) return {};
    std::string text = "The way back:\n";
    for (std::size_t i = 0; i < answer.back.size(); ++i) {
        const BackStep& step = answer.back[i];
        text += fmt::format("{:>4}. {}\n", i + 1, part_name(map, step.part));
        for (const FitNote& note : step.notes)
            text += item(6, fmt::format("{}: {}{}", seal_ids(map, note.seals), note.of_map ? "map: " : "", note.words));
        for (const std::size_t c : step.clearances)
            text += item(6, fmt::format("measure {}: {}", map.clearances[c].name, limits_words(map.clearances[c])));
    }
    return text + "  Lines without \"map:\" are common practice, no source.\n\n";
}

std::string proof_part(const model::UnitMap& map, const Proof& proof) {
    if (proof.readings.empty() && proof.unproved.empty()) return {};
    std::string text = fmt::format("The retest that proves it, air of {}, all other ports open:\n",
                                   pressure_text(proof.supply_gauge_pa));
    for (const ProofReading& reading : proof.readings) {
        std::vector<std::string> words;
        for (const auto& at : reading.expected.at) {
            if (at.word == model::Heard::nothing) continue;
            words.push_back(fmt::format("{} {}{}", port_words(map, at.port), model::word(at.word),
                                        at.by_design.empty() ? "" : " by design"));
        }
        if (reading.expected.case_word != model::Heard::nothing)
            words.push_back(fmt::format("the case {}{}", model::word(reading.expected.case_word),
                                        reading.expected.case_by_design.empty() ? "" : " by design"));
        text += item(2, fmt::format("into {}: a good unit shows {}", port_words(map, reading.into),
                                    words.empty() ? "nothing anywhere"
                                                  : fmt::format("{}, nothing elsewhere", fmt::join(words, ", "))));
        text += item(6, "proves " + seal_ids(map, reading.proves));
    }
    for (const auto& seal : proof.unproved)
        text += item(2, fmt::format("{} is proved by no reading: {}", map.seals[seal.seal].id, seal.why));
    text +=
        item(2, fmt::format("Proves: a hole of {} in one of them changes a word there; where none of that size does, "
                            "a larger one.",
                            hole_text(proof.reference_mm / 1e3)));
    if (!proof.converged) text += "NOT BALANCED in at least one case: do not trust these words.\n";
    return text + '\n';
}

} // namespace

std::string plan_text(const PlanSetup& setup, const PlanAnswer& answer) {
    const auto& map = setup.map;
    std::string text = unit_line(map);
    if (!answer.teardown.seals.empty())
        text += wrapped("Plan for " + seal_ids(map, answer.teardown.seals) + ".", 0) + '\n';
    text += '\n';
    for (const auto& missing : answer.teardown.missing)
        text += wrapped(missing, 0) + '\n';
    if (!answer.teardown.missing.empty()) text += '\n';
    if (answer.search) text += search_part(map, *answer.search);
    text += steps_part(map, answer.teardown) + measures_part(map, answer) + parts_part(setup, answer.parts) +
            back_part(map, answer);
    if (answer.proof) text += proof_part(map, *answer.proof);
    text += "Mind:\n";
    for (const auto& caution : answer.cautions)
        text += item(2, caution);
    return text + wrapped(bench_words(setup.bench, setup.bench_file), 0) + '\n';
}

std::string measure_text(const PlanSetup& setup, const MeasureAnswer& answer) {
    const auto& map = setup.map;
    const auto& clearance = map.clearances[answer.clearance];
    std::string text = unit_line(map);
    text += clearance.name + '\n' + wrapped(answer.verdict_words, 0) + '\n';
    for (const auto& advice : answer.advice)
        text += item(2, advice);
    if (answer.selective && !answer.selective->choices.empty()) {
        for (const auto& choice : answer.selective->choices)
            text += fmt::format("  {:>7.2f} mm gives {:>6.2f} mm ({:.3f} in){}\n", choice.size_m * 1e3,
                                choice.clearance_m * 1e3, choice.clearance_m / 0.0254,
                                choice.clearance_m < 0 ? "  it binds"
                                : choice.within        ? "  within"
                                                       : "");
    }
    if (answer.leak) {
        text +=
            item(2, fmt::format("A sound ring of this figure ({}, for all of its stack) lets {} L/min of air by at {}: "
                                "{}.",
                                map.seals[answer.leak->seal].id, flow_text(answer.leak->air_lpm),
                                pressure_text(answer.leak->supply_gauge_pa), model::word(answer.leak->word)));
        text += item(2, fmt::format("Hot oil at {} loses {} L/min through it.", pressure_text(answer.leak->line_pa),
                                    flow_text(answer.leak->oil_lpm)));
        text += item(2, answer.leak->how + "; a reckoning of ours, common practice, no source.");
    }
    for (const auto& missing : answer.missing)
        text += item(2, missing);
    text += wrapped("Formula: " + answer.formula + ".", 0) + '\n';
    if (!clearance.measure.empty()) text += wrapped("Measured: " + clearance.measure, 0) + '\n';
    return text +
           "Air off, springs and pistons at rest before a gauge goes in. The maker's service information and local "
           "rules decide.\n";
}

} // namespace ringland::viewer
