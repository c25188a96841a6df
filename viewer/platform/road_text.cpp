#include "road_text.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../../diagnosis/suspects/answer.h"
#include "divide_text.h"
#include "figures.h"
#include "text_lines.h"

namespace ringland::viewer {
namespace {

using namespace diagnosis::road;
using diagnosis::suspects::percent_words;

std::string range_name(const model::UnitMap& map, std::size_t range) {
    const auto& r = map.ranges[range];
    return r.name.empty() ? r.id : r.name;
}
std::string range_names(const model::UnitMap& map, const std::vector<std::size_t>& ranges) {
    std::vector<std::string> names;
    names.reserve(ranges.size());
    for (const std::size_t r : ranges)
        names.push_back(range_name(map, r));
    return names.empty() ? "none" : fmt::format("{}", fmt::join(names, ", "));
}

std::string labelled(const std::string& label, const std::string& text) {
    return wrapped(fmt::format("  {:12}{}", label, text), 14) + '\n';
}

std::string seal_part(const model::UnitMap& map, const RoadAnswer& answer) {
    const auto& seal = map.seals[answer.leak.seal];
    std::string text = wrapped(fmt::format("{}: {}", seal.id, seal_headline(map, seal)), 0) + '\n';
    text += labelled("where", seal_place(map, seal));
    text += labelled("divides", fmt::format("{} from {}", model::circuit_name(map, seal.between[0]),
                                            model::circuit_name(map, seal.between[1])));
    if (map.ranges.empty()) return text;
    text += labelled("chart", "can be felt in: " + range_names(map, answer.affected));
    if (!answer.masked.empty())
        text += labelled("", "masked, since both are on, in: " + range_names(map, answer.masked));
    return text;
}

std::string borders_part(const std::vector<BorderStep>& borders) {
    if (borders.empty()) return {};
    // Found to 0.01 mm, so no more is said.
    const auto hole = [](double mm) { return hole_text(std::round(mm * 100) * 1e-5); };
    std::vector<std::string> steps;
    steps.reserve(borders.size());
    for (const BorderStep& step : borders)
        steps.push_back(fmt::format("from {} {}", hole(step.hole_mm), advice_words(step.to)));
    return wrapped(fmt::format("The verdict on this seal: below {} {}; {}.", hole(borders.front().hole_mm),
                               advice_words(borders.front().from), fmt::join(steps, "; ")),
                   2) +
           '\n';
}

std::string verdict_part(const diagnosis::road::Verdict& verdict) {
    if (!verdict.known) return "No verdict: the map has no chart of ranges to judge by.\n";
    std::string text = fmt::format("Verdict: {}\n", advice_words(verdict.advice));
    for (const Ground& ground : verdict.grounds) {
        const std::string says =
            ground.speaks_for == Advice::leave ? std::string() : fmt::format(" ({})", advice_words(ground.speaks_for));
        text += wrapped(fmt::format("  - {}{}", ground.words, says), 4) + '\n';
    }
    return text;
}

std::string exposure_words(const model::UnitMap& map, const RoadAnswer& answer, Exposure exposure) {
    switch (exposure) {
    case Exposure::first_alone:
        return model::circuit_name(map, map.circuits[answer.circuits[0]].id) + " on";
    case Exposure::second_alone:
        return model::circuit_name(map, map.circuits[answer.circuits[1]].id) + " on";
    case Exposure::masked:
        return "both on";
    case Exposure::neither:
        break;
    }
    return "neither on";
}

std::string lpm(double value) { return value < 0.005 ? "0" : fmt::format("{:.2g}", value); }

std::string ranges_part(const model::UnitMap& map, const RoadAnswer& answer) {
    if (answer.ranges.empty()) return {};
    std::string text = line_of(
        fmt::format("{:12}{:>7}  {:20}{:>12}{:>8}  {}", "Range", "ratio", "chart", "leak L/min", "pump", "driver"));
    for (const RangeOnRoad& r : answer.ranges) {
        const std::string leak = r.leak_lpm_slot < 0.005 && r.leak_lpm < 0.005
                                     ? "0"
                                     : fmt::format("{} to {}", lpm(r.leak_lpm_slot), lpm(r.leak_lpm));
        const std::string row = fmt::format("{:12}{:>7}  {:20}{:>12}{:>8}  ", clipped(range_name(map, r.range), 11),
                                            r.ratio ? fmt::format("{:.2f}", *r.ratio) : "",
                                            clipped(exposure_words(map, answer, r.exposure), 19), leak,
                                            r.pump_share < 5e-4 ? "0" : percent_words(r.pump_share));
        text += wrapped(row + r.words, 63) + '\n';
    }
    text += "The leak is that of a thin slot and of a sharp hole, hot and driving; pump is the hole's share at idle.\n";
    return text;
}

std::string_view sure_words(Sure sure) {
    static constexpr std::array<std::string_view, 4> words{"as a hole and as a slot", "as a hole only",
                                                           "as a slot only", "by the rule of the chart"};
    return words[static_cast<std::size_t>(sure)];
}

/// Each reason once, with all ranges that it stands for.
std::string reasons_part(const model::UnitMap& map, const RoadAnswer& answer) {
    struct Said {
        std::string words, reason;
        std::vector<std::size_t> ranges;
    };
    std::vector<Said> said;
    for (const RangeOnRoad& r : answer.ranges) {
        for (const Effect& effect : r.effects) {
            std::string words(symptom_words(effect.symptom));
            if (effect.oil != Oil::hot_and_cold) words += effect.oil == Oil::hot ? " when hot" : " when cold";
            if (effect.idle_only) words += " at idle";
            words += fmt::format(" ({})", sure_words(effect.sure));
            const auto same = std::find_if(
                said.begin(), said.end(), [&](const Said& s) { return s.words == words && s.reason == effect.reason; });
            if (same == said.end())
                said.push_back({words, effect.reason, {r.range}});
            else
                same->ranges.push_back(r.range);
        }
    }
    std::string text;
    for (const Said& s : said)
        text += wrapped(fmt::format("  {}: {}. {}", range_names(map, s.ranges), s.words, s.reason), 4) + '\n';
    return text.empty() ? text : "Why:\n" + text + '\n';
}

std::string list_part(const std::string& heading, const std::vector<std::string>& list) {
    std::string text;
    for (const auto& line : list)
        text += wrapped("  - " + line, 4) + '\n';
    return text.empty() ? text : heading + '\n' + text;
}

/// What it rests on, and what to mind.
std::string foot(const RoadAnswer& answer) {
    std::string text;
    if (!answer.converged) text += "NOT BALANCED in at least one case: do not trust these figures.\n";
    text += list_part("The map does not tell:", answer.missing);
    text += list_part("Taken instead of figures of the map:", answer.assumed);
    text +=
        wrapped(fmt::format("Oil: {}. A hole is as large as its air showed it; what it is for oil lies between a sharp "
                            "hole and a thin slot that pass the same air, and the verdict takes the hole.",
                            answer.oil),
                0) +
        '\n';
    text += wrapped(std::string(maker_decides), 0) + '\n';
    return text +
           wrapped("Caution: a unit that slips or binds is not driven on to prove it. Oil under working pressure "
                   "burns and goes through skin; local rules and the maker's service information go before this.",
                   0) +
           '\n';
}

std::string complaint_line(const RoadAnswer& answer) {
    if (answer.complaint.empty()) return {};
    return wrapped("The driver: " + answer.complaint, 2) + '\n';
}

} // namespace

std::string road_text(const model::UnitMap& map, const RoadAnswer& answer, const std::vector<BorderStep>& borders) {
    std::string text = unit_line(map) + seal_part(map, answer);
    text += labelled("hole", hole_text(answer.leak.hole_mm * 1e-3)) + '\n';
    text += verdict_part(answer.verdict) + borders_part(borders) + '\n';
    const std::string driver = complaint_line(answer);
    if (!driver.empty()) text += driver + '\n';
    const std::string ranges = ranges_part(map, answer);
    if (!ranges.empty()) text += ranges + '\n';
    return text + reasons_part(map, answer) + foot(answer);
}

std::string road_table_text(const model::UnitMap& map, const std::vector<RoadAnswer>& answers,
                            const std::vector<BorderStep>& borders) {
    std::string text = unit_line(map) + seal_part(map, answers.front()) + '\n';
    if (!answers.front().verdict.known) return text + verdict_part(answers.front().verdict) + foot(answers.front());
    text += line_of(fmt::format("{:20}{:31}{}", "Hole", "verdict", "driver"));
    for (const RoadAnswer& answer : answers)
        text += wrapped(fmt::format("{:20}{:31}{}", hole_text(answer.leak.hole_mm * 1e-3),
                                    advice_words(answer.verdict.advice), answer.complaint),
                        51) +
                '\n';
    return text + '\n' + borders_part(borders) + '\n' + foot(answers.front());
}

std::string complaints_text(const model::UnitMap& map, const std::vector<model::Complaint>& complaints,
                            const ComplaintAnswer& answer, const std::string& priors_file) {
    constexpr std::size_t most_in_full = 4, most_lines = 10, most_tests = 6;
    std::string text = unit_line(map) + "The driver says:\n";
    for (const auto& complaint : complaints)
        text += wrapped("  - " + complaint_words(map, complaint), 4) + '\n';
    text += "\nSeals that would do it, by the complaints and what is likely beforehand:\n";
    for (std::size_t i = 0; i < answer.suspects.size() && i < most_in_full + most_lines; ++i) {
        const ComplaintSuspect& suspect = answer.suspects[i];
        const auto& seal = map.seals[suspect.seal];
        text +=
            wrapped(fmt::format("{:>8}  {}: {}", percent_words(suspect.probability), seal.id, seal_headline(map, seal)),
                    10) +
            '\n';
        if (i >= most_in_full) continue;
        text += wrapped(fmt::format("{:10}{:9}{}", "", "where", seal_place(map, seal)), 19) + '\n';
        text += wrapped(fmt::format("{:10}{:9}as large as a hole of {}", "", "size", hole_text(suspect.hole_mm * 1e-3)),
                        19) +
                '\n';
        for (const auto& fits : suspect.told.fits)
            text += wrapped(fmt::format("{:10}{:9}{}", "", "fits", fits), 19) + '\n';
        for (const auto& against : suspect.told.against)
            text += wrapped(fmt::format("{:10}{:9}{}", "", "against", against), 19) + '\n';
    }
    text += fmt::format("{:>8}  any other seal\n", percent_words(answer.other_seals));
    text += wrapped(fmt::format("{:>8}  no seal: valve body, converter, engine, or a seal that is not on the map",
                                percent_words(answer.no_seal)),
                    10) +
            "\n\n";
    if (!answer.tests.empty()) text += "Air that tests these first, and the chance that one of them is the fault:\n";
    for (std::size_t i = 0; i < std::min(most_tests, answer.tests.size()); ++i) {
        const AirTest& test = answer.tests[i];
        std::vector<std::string> watch;
        for (const int port : test.watch)
            watch.push_back(port < 0 ? "the case" : port_words(map, port));
        text += wrapped(fmt::format("{:>8}  into {}, listen at {}: {}", percent_words(test.probability),
                                    port_words(map, test.into), fmt::join(watch, ", "), seal_ids(map, test.seals)),
                        10) +
                '\n';
    }
    if (!answer.tests.empty()) text += '\n';
    text += list_part("The map does not tell:", answer.missing);
    text += list_part("Taken instead of figures of the map:", answer.assumed);
    text += wrapped(priors_file.empty()
                        ? "How often each kind of seal fails, and how far a complaint is trusted: defaults, "
                          "common practice, no source."
                        : "How often each kind of seal fails: priors file " + priors_file +
                              ". How far a complaint is trusted: common practice, no source.",
                    0) +
            '\n';
    return text +
           wrapped("A complaint has other causes too. It says where to blow first, and not what to pull. Local rules "
                   "and the maker's service information go before this.",
                   0) +
           '\n';
}

} // namespace ringland::viewer
