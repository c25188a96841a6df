#include "coverage.h"

#include <algorithm>
#include <array>
#include <map>
#include <numeric>

#include <fmt/format.h>

#include "../airflow/heard.h"
#include "../airflow/seal_leak.h"

namespace ringland::diagnosis::suspects {

namespace {

constexpr std::size_t reference_size = 5; ///< of the grid: 1.74 mm
constexpr long most_steps = 200000;

/// The search of the fewest sets: always branches on the thing that the fewest sets hold.
class FewestSets {
public:
    FewestSets(const std::vector<std::vector<int>>& holders, int sets)
        : holders_(holders), chosen_(static_cast<std::size_t>(sets), false) {}

    Cover find() {
        Cover cover;
        best_ = greedy();
        std::vector<int> now;
        search(now);
        cover.sets = best_;
        std::sort(cover.sets.begin(), cover.sets.end());
        cover.exact = steps_ <= most_steps;
        cover.lower_bound = cover.exact ? cover.sets.size() : apart();
        return cover;
    }

private:
    [[nodiscard]] bool covered(std::size_t thing) const {
        return std::any_of(holders_[thing].begin(), holders_[thing].end(),
                           [&](int s) { return chosen_[static_cast<std::size_t>(s)]; });
    }
    [[nodiscard]] std::vector<int> greedy() {
        std::vector<int> list;
        while (true) {
            std::vector<int> gain(chosen_.size(), 0);
            for (std::size_t t = 0; t < holders_.size(); ++t) {
                if (holders_[t].empty() || covered(t)) continue;
                for (const int s : holders_[t])
                    ++gain[static_cast<std::size_t>(s)];
            }
            const auto best = std::max_element(gain.begin(), gain.end());
            if (best == gain.end() || *best == 0) break;
            list.push_back(static_cast<int>(best - gain.begin()));
            chosen_[static_cast<std::size_t>(list.back())] = true;
        }
        std::fill(chosen_.begin(), chosen_.end(), false);
        return list;
    }
    /// Things no two of which share a set, of those that are not covered: each needs a set of its own.
    [[nodiscard]] std::size_t apart() const {
        std::vector<bool> used(chosen_.size(), false);
        std::size_t count = 0;
        std::vector<std::size_t> order;
        for (std::size_t t = 0; t < holders_.size(); ++t) {
            if (!holders_[t].empty() && !covered(t)) order.push_back(t);
        }
        std::stable_sort(order.begin(), order.end(),
                         [&](std::size_t a, std::size_t b) { return holders_[a].size() < holders_[b].size(); });
        for (const std::size_t t : order) {
            if (std::any_of(holders_[t].begin(), holders_[t].end(),
                            [&](int s) { return used[static_cast<std::size_t>(s)]; }))
                continue;
            ++count;
            for (const int s : holders_[t])
                used[static_cast<std::size_t>(s)] = true;
        }
        return count;
    }
    void search(std::vector<int>& now) {
        if (++steps_ > most_steps) return;
        // Nothing better can come of this: a cover as large as the best is of no use.
        if (now.size() + apart() >= best_.size()) return;
        std::size_t hardest = holders_.size();
        for (std::size_t t = 0; t < holders_.size(); ++t) {
            if (holders_[t].empty() || covered(t)) continue;
            if (hardest == holders_.size() || holders_[t].size() < holders_[hardest].size()) hardest = t;
        }
        if (hardest == holders_.size()) {
            best_ = now;
            return;
        }
        for (const int s : holders_[hardest]) {
            chosen_[static_cast<std::size_t>(s)] = true;
            now.push_back(s);
            search(now);
            now.pop_back();
            chosen_[static_cast<std::size_t>(s)] = false;
        }
    }

    const std::vector<std::vector<int>>& holders_;
    std::vector<bool> chosen_;
    std::vector<int> best_;
    long steps_ = 0;
};

/// The words of a state at every port, the case last, and none where nothing is to be heard.
std::vector<signed char> words_of(const Shown& shown, const Setting& setting, const airflow::Hearing& hearing) {
    std::vector<signed char> words;
    for (std::size_t p = 0; p < shown.flow_lpm.size(); ++p) {
        const bool mute = static_cast<int>(p) == setting.into || setting.plugged[p];
        words.push_back(mute ? static_cast<signed char>(-1)
                             : static_cast<signed char>(airflow::heard(double(shown.flow_lpm[p]), hearing)));
    }
    words.push_back(static_cast<signed char>(airflow::heard(double(shown.case_lpm), hearing)));
    return words;
}

std::string why_not(const model::UnitMap& map, const model::Seal& seal, const model::Translator& tr) {
    std::vector<std::string> blind;
    for (const auto& circuit : seal.between) {
        if (circuit == model::sump_id) continue;
        const bool port =
            std::any_of(map.ports.begin(), map.ports.end(), [&](const auto& p) { return p.circuit == circuit; });
        if (!port) blind.push_back(model::circuit_name(map, circuit));
    }
    if (!blind.empty()) return model::filled(tr("{0} has no port"), blind.front());
    return tr("what it lets by is lost in what a healthy unit shows at the same place");
}

/// True where the two let air by between the same circuits in the same directions, as far as that can be tried.
bool same_barrier(const model::UnitMap& map, const model::Seal& a, const model::Seal& b) {
    const bool same = a.between == b.between, turned = a.between[0] == b.between[1] && a.between[1] == b.between[0];
    if (!same && !turned) return false;
    const auto can_blow = [&](const std::string& circuit) {
        return std::any_of(map.ports.begin(), map.ports.end(), [&](const auto& p) { return p.circuit == circuit; });
    };
    for (const auto& circuit : a.between) {
        if (!can_blow(circuit)) continue;
        const auto passes = [&](const model::Seal& s) { return !airflow::fails_one_way(s) || s.faces == circuit; };
        if (passes(a) != passes(b)) return false;
    }
    return true;
}

/// Groups of two and more; to be a look-alike of a look-alike is to be one.
std::vector<std::vector<std::size_t>> look_alikes(const model::UnitMap& map, const Coverage& coverage,
                                                  const std::vector<std::vector<signed char>>& trace) {
    std::vector<std::size_t> leader(map.seals.size());
    std::iota(leader.begin(), leader.end(), std::size_t{0});
    const auto lead = [&](std::size_t s) {
        while (leader[s] != s)
            s = leader[s];
        return s;
    };
    for (std::size_t a = 0; a < map.seals.size(); ++a) {
        for (std::size_t b = a + 1; b < map.seals.size(); ++b) {
            if (!coverage.seals[a].findable || !coverage.seals[b].findable) continue;
            if (trace[a] == trace[b] || same_barrier(map, map.seals[a], map.seals[b])) leader[lead(b)] = lead(a);
        }
    }
    std::map<std::size_t, std::vector<std::size_t>> groups;
    for (std::size_t s = 0; s < map.seals.size(); ++s)
        groups[lead(s)].push_back(s);
    std::vector<std::vector<std::size_t>> list;
    for (auto& [first, group] : groups) {
        if (group.size() > 1) list.push_back(std::move(group));
    }
    std::sort(list.begin(), list.end());
    return list;
}

} // namespace

Cover fewest_sets(const std::vector<std::vector<int>>& holders, int sets) { return FewestSets(holders, sets).find(); }

Coverage cover(Tables& tables, double supply_gauge_pa, const model::Translator& tr) {
    const auto& map = tables.map();
    const airflow::Hearing hearing{tables.bench().heard_from_lpm};
    const std::size_t ports = map.ports.size();
    Coverage coverage;
    coverage.reference_mm = size_mm(reference_size);
    coverage.seals.resize(map.seals.size());

    coverage.shown_by.resize(map.seals.size());
    // What each seal changes, over all readings and sizes; the plain words of the sound unit stand for no change.
    std::vector<std::vector<signed char>> trace(map.seals.size());
    std::vector<std::size_t> smallest(map.seals.size(), size_count);
    for (std::size_t into = 0; into < ports; ++into) {
        Setting setting{static_cast<int>(into), supply_gauge_pa, std::vector<bool>(ports, false)};
        const std::size_t table = tables.table_of(setting);
        const auto sound = words_of(tables.sound(table), setting, hearing);
        for (std::size_t f = 0; f < tables.faults().size(); ++f) {
            const SealFault& fault = tables.faults()[f];
            // A lip is looked for as it usually fails: in the direction that it holds back.
            const bool other = fault.both_ways && f > 0 && tables.faults()[f - 1].seal == fault.seal;
            if (other) continue;
            const std::size_t s = fault.seal;
            for (std::size_t i = 0; i < size_count; ++i) {
                const auto words = words_of(tables.single(table, f, i), setting, hearing);
                trace[s].insert(trace[s].end(), words.begin(), words.end());
                if (words == sound) continue;
                if (i == reference_size) coverage.shown_by[s].push_back(static_cast<int>(into));
                if (i >= smallest[s]) continue;
                smallest[s] = i;
                const auto differs = std::mismatch(words.begin(), words.end(), sound.begin());
                coverage.seals[s].into = static_cast<int>(into);
                coverage.seals[s].at = static_cast<int>(differs.first - words.begin());
            }
        }
    }
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        SealCover& seal = coverage.seals[s];
        seal.findable = smallest[s] < size_count;
        if (seal.findable)
            seal.smallest_mm = size_mm(smallest[s]);
        else
            seal.why_not = why_not(map, map.seals[s], tr);
        if (seal.findable && coverage.shown_by[s].empty()) coverage.beyond.push_back(s);
    }
    coverage.look_alikes = look_alikes(map, coverage, trace);
    const Cover fewest = fewest_sets(coverage.shown_by, static_cast<int>(ports));
    coverage.shortest = fewest.sets;
    coverage.lower_bound = fewest.lower_bound;
    coverage.exact = fewest.exact;
    return coverage;
}

} // namespace ringland::diagnosis::suspects
