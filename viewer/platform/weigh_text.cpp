#include "weigh_text.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../../diagnosis/airflow/own_figures.h"
#include "air_text.h"
#include "divide_text.h"
#include "figures.h"
#include "text_lines.h"

namespace ringland::viewer {
namespace {

using namespace diagnosis::suspects;

constexpr double told_in_a_line = 0.01;
constexpr std::size_t most_in_full = 4, most_lines = 8;

/// The probability as a bar that prints: twenty places, so that one stands for five in a hundred.
std::string bar(double probability) {
    constexpr std::size_t places = 20;
    const auto filled = std::min(places, static_cast<std::size_t>(std::lround(probability * double(places))));
    return std::string(filled, '#') + std::string(places - filled, '.');
}

std::string chance_line(double probability, const std::string& what) {
    return wrapped(fmt::format("{:>8}  {}  {}", percent_words(probability), bar(probability), what), 32) + '\n';
}

std::string in_words(const std::string& label, const std::string& text) {
    return wrapped(fmt::format("{:10}{:9}{}", "", label, text), 19) + '\n';
}

std::string_view mechanism_words(std::size_t mechanism) {
    static constexpr std::array<std::string_view, model::mechanism_count> words{
        "hole, cut or crack",
        "leaks one way only",
        "joint gap or bore (changes as the shaft turns)",
        "groove wall (changes as the shaft is pushed)",
        "dry only (oil would seal it)",
        "joint face (changes with the bolts)"};
    return words[mechanism];
}

std::string ways_to_leak(const Suspect& suspect) {
    constexpr double least = 0.05;
    std::vector<std::pair<double, std::string>> list;
    for (std::size_t m = 0; m < model::mechanism_count; ++m) {
        if (suspect.mechanism[m] >= least)
            list.emplace_back(suspect.mechanism[m],
                              fmt::format("{} {}", mechanism_words(m), percent_words(suspect.mechanism[m])));
    }
    std::stable_sort(list.begin(), list.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    std::vector<std::string> words;
    words.reserve(list.size());
    for (auto& [share, text] : list)
        words.push_back(std::move(text));
    return fmt::format("{}", fmt::join(words, ", "));
}

std::string suspect_headline(const model::UnitMap& map, const Suspect& suspect) {
    std::vector<std::string> names;
    for (const std::size_t s : suspect.seals)
        names.push_back(fmt::format("{}: {}", map.seals[s].id, seal_headline(map, map.seals[s])));
    return fmt::format("{}", fmt::join(names, ", together with "));
}

/// One suspect with place, size and reasons.
std::string suspect_block(const model::UnitMap& map, const Weighing& weighing, const SaidSuspect& said) {
    const Suspect& suspect = said.suspect;
    std::string text = chance_line(suspect.probability, suspect_headline(map, suspect));
    for (const std::size_t s : suspect.seals) {
        const std::string label = suspect.seals.size() > 1 ? map.seals[s].id : "where";
        text += in_words(label, seal_place(map, map.seals[s]));
    }
    if (suspect.seals.size() == 1) {
        const double in_all = weighing.seal_probability[suspect.seals.front()];
        text += in_words("in all", percent_words(in_all) + ", alone or together with another seal");
    }
    if (said.second_hole_mm) {
        text += in_words("size", fmt::format("as large as holes of {} and {}", hole_text(suspect.hole_mm / 1e3),
                                             hole_text(*said.second_hole_mm / 1e3)));
    } else {
        text +=
            in_words("size", fmt::format("as large as a hole of {}, 80 % between {:.2g} and {:.2g} mm ({:.3f} "
                                         "and {:.3f} in)",
                                         hole_text(suspect.hole_mm / 1e3), suspect.hole_mm_low, suspect.hole_mm_high,
                                         suspect.hole_mm_low / 25.4, suspect.hole_mm_high / 25.4));
        text += in_words("how", ways_to_leak(suspect));
    }
    for (const auto& reason : said.reasons.for_it)
        text += in_words("for", reason);
    for (const auto& reason : said.reasons.against_it)
        text += in_words("against", reason);
    return text;
}

std::string suspects_part(const model::UnitMap& map, const Answer& answer) {
    std::string text = "Suspects:\n";
    const Weighing& w = answer.weighing;
    double rest = 1 - w.nothing_wrong - w.rig - w.unmapped;
    std::size_t full = 0, lines = 0;
    std::vector<bool> told(map.seals.size(), false);
    for (const SaidSuspect& said : answer.suspects) {
        const Suspect& suspect = said.suspect;
        const bool in_full = suspect.probability >= likely && full < most_in_full;
        // A likely seal together with any other: that is in what is said of the seal.
        const bool said_already = suspect.seals.size() > 1 && std::any_of(suspect.seals.begin(), suspect.seals.end(),
                                                                          [&](std::size_t s) { return told[s]; });
        if (!in_full && (said_already || suspect.probability < told_in_a_line || lines == most_lines)) continue;
        ++(in_full ? full : lines);
        rest -= suspect.probability;
        text +=
            in_full ? suspect_block(map, w, said) : chance_line(suspect.probability, suspect_headline(map, suspect));
        for (const std::size_t s : suspect.seals)
            told[s] = told[s] || in_full;
    }
    if (rest >= 0.0005)
        text += fmt::format("{:>8}  all other seals and pairs of seals together\n", percent_words(rest));
    text += "Or it is no seal:\n";
    text += chance_line(w.nothing_wrong, "nothing is wrong");
    text += chance_line(w.rig, "the rig: plate, its gasket, hose");
    return text + chance_line(w.unmapped, "something that is not on the map, or a reading mistaken");
}

std::string look_alikes_part(const model::UnitMap& map, const Answer& answer) {
    std::string text;
    for (const auto& group : answer.look_alikes) {
        text += "  " + seal_ids(map, group) + '\n';
    }
    return text.empty() ? text : "Look-alikes: at every port they sound the same, whatever the size\n" + text + '\n';
}

std::string minutes_words(const Pull& pull) {
    if (pull.group.parts.empty()) return "the map does not say what comes off";
    if (pull.minutes_complete) return fmt::format("{:g} min", pull.group.minutes);
    return pull.group.minutes > 0
               ? fmt::format("{:g} min and more: the map does not time every part", pull.group.minutes)
               : "not timed in the map";
}

std::string pulls_part(const model::UnitMap& map, const Answer& answer) {
    constexpr double least = 0.05;
    constexpr std::size_t most = 4;
    std::string text;
    for (std::size_t i = 0; i < std::min(most, answer.pulls.size()); ++i) {
        const Pull& pull = answer.pulls[i];
        if (pull.probability < least) break;
        text += chance_line(pull.probability, pull.words);
        text += wrapped(fmt::format("{:32}{}; comes out with it: {}", "", minutes_words(pull),
                                    seal_ids(map, pull.group.seals)),
                        32) +
                '\n';
    }
    if (text.empty()) return text;
    return (answer.weighing.enough ? "Enough to pull the first of these; the chance that a fault comes off with it:\n"
                                   : "To pull, and the chance that a fault comes off with it (two faults count "
                                     "twice):\n") +
           text + '\n';
}

std::string steps_part(const Answer& answer) {
    if (answer.advice.steps.empty()) return {};
    std::string text = answer.readings == 0 ? "Blow first" : "Next";
    text += answer.advice.second ? ", what tells most about a second fault for its minutes:\n"
                                 : ", what tells most about the part to pull first for its minutes:\n";
    for (std::size_t i = 0; i < answer.advice.steps.size(); ++i) {
        const NextStep& step = answer.advice.steps[i];
        text += wrapped(fmt::format("  {}. {}", i + 1, step.words), 5) + '\n';
        text +=
            fmt::format("     {:.2f} bits of {:.2f}, {:g} min{}\n", step.bits, answer.advice.entropy_bits, step.minutes,
                        step.into >= 0 ? ", air of " + pressure_text(step.supply_gauge_pa) : std::string());
    }
    return text + '\n';
}

} // namespace

std::string weigh_text(const WeighSetup& setup, const Answer& answer) {
    const auto& map = setup.air.map;
    std::string text = unit_line(map);
    const bool nothing_yet = answer.readings + answer.looks == 0;
    if (nothing_yet) {
        text += "Nothing was blown yet. What stands below is what is likely beforehand.\n\n" + steps_part(answer);
    } else {
        text += counted(answer.readings, "reading", "readings");
        if (answer.looks > 0) text += " and " + counted(answer.looks, "look at a seal", "looks at seals");
        text += ".\n\n";
    }
    text += suspects_part(map, answer) + '\n';
    if (!answer.weighing.contradiction.empty()) text += wrapped(answer.weighing.contradiction, 0) + "\n\n";
    text += look_alikes_part(map, answer);
    if (!nothing_yet) text += pulls_part(map, answer);
    if (!nothing_yet && answer.stop != Stop::enough) text += steps_part(answer);
    text += wrapped(answer.stop_words, 0) + "\n\n";
    if (!answer.converged) text += "NOT BALANCED in at least one case: do not trust these figures.\n";
    const std::string priors =
        setup.priors_file.empty()
            ? std::string("What is likely beforehand and how far a word is trusted: defaults, "
                          "common practice, no source.")
            : "What is likely beforehand and how far a word is trusted: priors file " + setup.priors_file + ".";
    text += wrapped(priors, 0) + '\n';
    text += wrapped(diagnosis::airflow::own_figures_words(diagnosis::airflow::own_figures(map), false), 0) + '\n';
    text += wrapped(bench_words(setup.air.bench, setup.air.bench_file), 0) + '\n';
    return text + air_cautions(setup.most_gauge_pa);
}

} // namespace ringland::viewer
