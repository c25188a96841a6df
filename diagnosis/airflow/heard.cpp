#include "heard.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace ringland::diagnosis::airflow {

namespace {

constexpr std::size_t words_above_nothing = 3;
/// Where trials say only "more than this", the threshold lies this much above the loudest of them.
constexpr double just_above = 1.01;

/// Between two neighbouring flows of the trials, where a threshold may lie. The first has nothing below it and the last
/// nothing above.
struct Gap {
    double above = 0;                 ///< the loudest flow below the threshold; 0 in the first gap
    double up_to = 0;                 ///< the softest flow above it; infinite in the last gap
    int wrong[words_above_nothing]{}; ///< trials that each threshold would contradict if it lay here

    [[nodiscard]] bool between_trials() const { return above > 0 && std::isfinite(up_to); }
    [[nodiscard]] double middle() const { return std::sqrt(above * up_to); }
};

/// True where the word lies above threshold number `level`.
bool is_above(Heard word, std::size_t level) { return static_cast<std::size_t>(word) > level; }

std::vector<Gap> gaps_between(const std::vector<Trial>& trials) {
    std::vector<double> flows;
    flows.reserve(trials.size());
    for (const auto& trial : trials)
        flows.push_back(trial.flow_lpm);
    std::sort(flows.begin(), flows.end());
    flows.erase(std::unique(flows.begin(), flows.end()), flows.end());
    std::vector<Gap> gaps(flows.size() + 1);
    for (std::size_t i = 0; i < gaps.size(); ++i) {
        gaps[i].above = i == 0 ? 0 : flows[i - 1];
        gaps[i].up_to = i == flows.size() ? HUGE_VAL : flows[i];
        for (std::size_t level = 0; level < words_above_nothing; ++level) {
            for (const auto& trial : trials) {
                const bool called_above = trial.flow_lpm >= gaps[i].up_to;
                if (called_above != is_above(trial.word, level)) ++gaps[i].wrong[level];
            }
        }
    }
    return gaps;
}

/// The gap for one threshold: fewest trials wrong, not below gap `from`, between trials where possible, and nearest to
/// the geometric middle of those that are equally good.
///
/// Louder words lie above fewer trials, so the best gaps of the next threshold never all lie below those of the one
/// before; going up, one is always left.
std::size_t best_gap(const std::vector<Gap>& gaps, std::size_t level, std::size_t from) {
    int fewest = gaps[from].wrong[level];
    for (std::size_t i = from; i < gaps.size(); ++i)
        fewest = std::min(fewest, gaps[i].wrong[level]);
    std::vector<std::size_t> equal, inside;
    for (std::size_t i = from; i < gaps.size(); ++i) {
        if (gaps[i].wrong[level] != fewest) continue;
        equal.push_back(i);
        if (gaps[i].between_trials()) inside.push_back(i);
    }
    if (inside.empty()) return equal.front();
    const double middle = std::sqrt(gaps[inside.front()].above * gaps[inside.back()].up_to);
    const auto away = [&](std::size_t i) { return std::abs(std::log(gaps[i].middle() / middle)); };
    return *std::min_element(inside.begin(), inside.end(),
                             [&](std::size_t a, std::size_t b) { return away(a) < away(b); });
}

/// Thresholds that share one gap between trials divide it in equal ratios.
double place_in(const Gap& gap, std::size_t nth, std::size_t of) {
    const double share = static_cast<double>(nth + 1) / static_cast<double>(of + 1);
    return gap.above * std::pow(gap.up_to / gap.above, share);
}

/// Usable trials; the others are left out with a remark.
std::vector<Trial> usable(std::span<const Trial> trials, std::vector<std::string>& remarks,
                          const model::Translator& tr) {
    std::vector<Trial> list;
    for (const auto& trial : trials) {
        if (std::isfinite(trial.flow_lpm) && trial.flow_lpm > 0) {
            list.push_back(trial);
        } else if (!(trial.flow_lpm == 0 && trial.word == Heard::nothing)) {
            remarks.push_back(model::filled(
                tr("a trial of {0:g} L/min heard as {1} is left out: where no air flows nothing is heard"),
                trial.flow_lpm, tr.word(trial.word)));
        }
    }
    return list;
}

} // namespace

Heard heard(double flow_lpm, const Hearing& hearing) {
    auto word = Heard::nothing;
    for (std::size_t i = 0; i < hearing.from_lpm.size(); ++i) {
        if (flow_lpm >= hearing.from_lpm[i]) word = static_cast<Heard>(i + 1);
    }
    return word;
}

Calibration calibrate(std::span<const Trial> trials, const Hearing& before, const model::Translator& tr) {
    Calibration result{before, {}, {}};
    const std::vector<Trial> list = usable(trials, result.remarks, tr);
    if (list.empty()) return result;
    const std::vector<Gap> gaps = gaps_between(list);
    std::array<std::size_t, words_above_nothing> chosen{};
    for (std::size_t level = 0, from = 0; level < words_above_nothing; ++level)
        from = chosen[level] = best_gap(gaps, level, from);

    auto& place = result.hearing.from_lpm;
    for (std::size_t level = 0; level < words_above_nothing; ++level) {
        const Gap& gap = gaps[chosen[level]];
        if (gap.between_trials()) {
            const auto sharing = std::count(chosen.begin(), chosen.end(), chosen[level]);
            const auto first = std::find(chosen.begin(), chosen.end(), chosen[level]) - chosen.begin();
            place[level] = place_in(gap, level - static_cast<std::size_t>(first), static_cast<std::size_t>(sharing));
            result.between_lpm[level] = {gap.above, gap.up_to};
        } else {
            // All trials lie on one side: no reason to move, unless the threshold stands among them.
            place[level] =
                gap.above > 0 ? std::max(place[level], gap.above * just_above) : std::min(place[level], gap.up_to);
        }
    }
    // Thresholds that all trials lie above, or all below, may have been pushed onto one another: they keep their ratio.
    for (std::size_t level = words_above_nothing - 1; level-- > 0;) {
        if (gaps[chosen[level]].above == 0 && place[level] >= place[level + 1])
            place[level] = place[level + 1] * before.from_lpm[level] / before.from_lpm[level + 1];
    }
    for (std::size_t level = 1; level < words_above_nothing; ++level) {
        if (std::isinf(gaps[chosen[level]].up_to) && place[level] <= place[level - 1])
            place[level] = place[level - 1] * before.from_lpm[level] / before.from_lpm[level - 1];
    }
    for (const auto& trial : list) {
        const Heard now = heard(trial.flow_lpm, result.hearing);
        if (now != trial.word) {
            result.remarks.push_back(model::filled(tr("{0:.3g} L/min was heard as {1}; by the other trials it is {2}"),
                                                   trial.flow_lpm, tr.word(trial.word), tr.word(now)));
        }
    }
    return result;
}

} // namespace ringland::diagnosis::airflow
