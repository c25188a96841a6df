#include "answer.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "coverage.h"

namespace ringland::diagnosis::suspects {

namespace {

/// Likeliest size of the second of a pair.
std::optional<double> second_hole_mm(Weigher& weigher, const Suspect& suspect) {
    if (suspect.seals.size() < 2) return {};
    const auto faults = weigher.tables().faults();
    for (const auto& pair : weigher.posterior().pairs) {
        if (faults[pair.first].seal == suspect.seals[0] && faults[pair.second].seal == suspect.seals[1])
            return size_mm(pair.second_size);
    }
    return {};
}

Pull pull_of(const model::UnitMap& map, const PullGroup& group, double probability) {
    Pull pull;
    pull.group = group;
    pull.probability = probability;
    pull.words = group_words(map, group);
    pull.minutes_complete = !group.parts.empty() && std::all_of(group.parts.begin(), group.parts.end(), [&](auto p) {
        return map.parts[p].minutes.has_value();
    });
    return pull;
}

/// Groups of look-alikes to which a seal of a likely suspect belongs.
std::vector<std::vector<std::size_t>> look_alikes(Weigher& weigher, const Weighing& weighing) {
    std::vector<bool> suspected(weighing.seal_probability.size(), false);
    for (const Suspect& suspect : weighing.suspects) {
        for (const std::size_t s : suspect.seals)
            suspected[s] = suspected[s] || suspect.probability >= likely;
    }
    std::vector<std::vector<std::size_t>> groups;
    for (auto& group : cover(weigher.tables(), weigher.usual_gauge_pa()).look_alikes) {
        if (std::any_of(group.begin(), group.end(), [&](std::size_t s) { return suspected[s]; }))
            groups.push_back(std::move(group));
    }
    return groups;
}

/// The likeliest parts in words: "56 % comes off with Input shaft, 28 % with Coast piston".
std::string parts_words(const Answer& a) {
    constexpr double least = 0.1;
    constexpr std::size_t most = 3;
    std::vector<std::string> list;
    for (const Pull& pull : a.pulls) {
        if (pull.probability < least || list.size() == most) break;
        const std::string what = pull.words.substr(0, pull.words.find("; before it"));
        list.push_back(
            fmt::format("{}{} with {}", percent_words(pull.probability), list.empty() ? " comes off" : "", what));
    }
    return fmt::format("{}", fmt::join(list, ", "));
}

void decide(Answer& a, const std::vector<std::string>& without_air) {
    const Weighing& w = a.weighing;
    const auto of = [](double p) { return percent_words(p); };
    if (w.enough) {
        a.stop = Stop::enough;
        a.stop_words = fmt::format("Enough: {} that the fault comes off with {}.", of(a.pulls.front().probability),
                                   a.pulls.front().words);
        if (!without_air.empty())
            a.stop_words += fmt::format(" No air went into {} yet: a second fault there would stay unseen.",
                                        fmt::join(without_air, ", "));
    } else if (w.nothing_wrong >= a.enough_at && !without_air.empty()) {
        a.stop = Stop::go_on;
        a.stop_words = fmt::format("Go on: {} that nothing is wrong so far, but no air went into {} yet.",
                                   of(w.nothing_wrong), fmt::join(without_air, ", "));
    } else if (w.nothing_wrong >= a.enough_at) {
        a.stop = Stop::enough;
        a.stop_words =
            fmt::format("Enough: {} that every seal of this map is sound. Nothing to pull.", of(w.nothing_wrong));
    } else if (w.rig >= a.enough_at) {
        a.stop = Stop::enough;
        a.stop_words = fmt::format("Enough: {} that it is the rig (plate, gasket, hose) and not the unit. Mend it and "
                                   "make the readings again.",
                                   of(w.rig));
    } else if (a.advice.exhausted) {
        a.stop = Stop::no_more;
        const std::string parts = parts_words(a);
        if (w.unmapped > 0.5)
            a.stop_words = "Air can tell no more: nothing on the map explains these readings.";
        else if (parts.empty())
            a.stop_words = fmt::format("Air can tell no more: {} that nothing is wrong, and no part stands out.",
                                       of(w.nothing_wrong));
        else
            a.stop_words = fmt::format("Air can tell no more: {}. Only the eye decides now.", parts);
    } else {
        a.stop = Stop::go_on;
        const std::string parts = a.weighing.unmapped > 0.5 ? std::string() : parts_words(a);
        if (a.readings + a.looks == 0)
            a.stop_words = "Go on: nothing was blown or looked at yet.";
        else
            a.stop_words = fmt::format("Go on: no part is sure enough. {}{} is asked for.", parts,
                                       (parts.empty() ? "" : "; ") + of(a.enough_at));
    }
}

} // namespace

std::string_view word(Stop stop) {
    static constexpr std::array<std::string_view, 3> words{"enough", "no more", "go on"};
    return words[static_cast<std::size_t>(stop)];
}

std::string percent_words(double probability, const model::Translator& tr) {
    const double percent = 100 * probability;
    if (percent < 0.1) return "<0.1 %";
    if (percent > 99) return ">99 %";
    return tr.number(percent, percent < 9.95 ? 1 : 0) + " %";
}

std::string suspect_ids(const model::UnitMap& map, const Suspect& suspect) {
    std::vector<std::string> ids;
    for (const std::size_t s : suspect.seals)
        ids.push_back(map.seals[s].id);
    return fmt::format("{}", fmt::join(ids, " and "));
}

bool thinks_metric(const model::AirCheck& check, const model::UnitMap& map, const model::AirBench& bench) {
    const auto metric = [](const model::GaugePressure& p) { return p.unit != model::PressureDimension::Unit::psi; };
    for (const auto& reading : check.readings) {
        if (reading.pressure) return metric(*reading.pressure);
        for (const auto& seen : reading.seen) {
            if (seen.pressure) return metric(*seen.pressure);
        }
    }
    return metric(map.unit.air_pressure.value_or(bench.pressure));
}

std::vector<std::string> ports_without_air(const model::UnitMap& map, const model::AirCheck& check) {
    std::vector<std::string> list;
    for (const auto& port : map.ports) {
        const bool blown = std::any_of(check.readings.begin(), check.readings.end(), [&](const model::Reading& r) {
            const auto* into = model::find(map.ports, r.into);
            return into != nullptr && into->circuit == port.circuit;
        });
        if (!blown) list.push_back(port.id);
    }
    return list;
}

Answer answer(Weigher& weigher, const model::AirCheck& check, bool metric) {
    constexpr double least_pull = 0.001;
    const auto& map = weigher.tables().map();
    Answer a;
    a.readings = check.readings.size();
    a.looks = check.looks.size();
    a.weighing = weigher.weigh(check);
    a.enough_at = weigher.priors().enough;
    for (const Suspect& suspect : a.weighing.suspects) {
        SaidSuspect said{suspect, second_hole_mm(weigher, suspect), {}};
        if (suspect.probability >= least_for_reasons) said.reasons = reasons_for(weigher, check, suspect, metric);
        a.suspects.push_back(std::move(said));
    }
    for (const GroupChance& chance : a.weighing.groups) {
        if (chance.probability >= least_pull)
            a.pulls.push_back(pull_of(map, weigher.groups()[chance.group], chance.probability));
    }
    a.advice = advise(weigher, check);
    a.look_alikes = look_alikes(weigher, a.weighing);
    a.converged = weigher.tables().all_converged();
    decide(a, ports_without_air(map, check));
    return a;
}

} // namespace ringland::diagnosis::suspects
