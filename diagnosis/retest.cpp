#include "retest.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "airflow/expected.h"
#include "airflow/heard.h"

namespace ringland::diagnosis {
namespace {

using suspects::Posterior;

double of_rig(const Posterior& posterior) { return std::accumulate(posterior.rig.begin(), posterior.rig.end(), 0.0); }

double ratio(double weight, double prior) { return prior > 0 ? weight / prior : 0; }

bool same_test(const model::Reading& a, const model::Reading& b, const suspects::Setting& sa,
               const suspects::Setting& sb) {
    return sa.into == sb.into && sa.plugged == sb.plugged && a.wet == b.wet && a.pushed == b.pushed &&
           a.shaft_turned_deg == b.shaft_turned_deg;
}

int place_of(const model::UnitMap& map, const std::string& at) {
    for (std::size_t p = 0; p < map.ports.size(); ++p) {
        if (map.ports[p].id == at) return static_cast<int>(p);
    }
    return static_cast<int>(map.ports.size());
}

/// What a healthy unit shows at that place, as the sort of figure that was seen.
model::Seen expected_there(suspects::Weigher& weigher, const suspects::Setting& setting, const model::Seen& seen,
                           int at) {
    auto& tables = weigher.tables();
    const std::size_t table = tables.table_of(setting);
    const suspects::Shown sound = tables.sound(table);
    const bool in_case = at == static_cast<int>(tables.map().ports.size());
    const auto port = static_cast<std::size_t>(at);
    model::Seen expected;
    expected.at = seen.at;
    if (seen.pressure && !in_case) {
        const auto& measure = seen.pressure->measure();
        expected.pressure =
            model::GaugePressure{static_cast<double>(sound.gauge_pa[port]) / measure.si_per_unit, seen.pressure->unit};
    } else if (seen.applies_after_s && !in_case) {
        expected.applies_after_s = tables.apply_time_s(table, {}, at);
    } else {
        const double lpm = in_case ? static_cast<double>(sound.case_lpm) : static_cast<double>(sound.flow_lpm[port]);
        if (seen.flow_lpm) expected.flow_lpm = lpm;
        expected.word = airflow::heard(lpm, {tables.bench().heard_from_lpm});
    }
    return expected;
}

/// Figures are held against twice their stated error; how much a sound seal lets by is known to a factor of two only.
/// Common practice, no source.
Against judged(const model::Seen& expected, const model::Seen& seen, bool own_gauge, const model::Priors& priors,
               const std::array<double, 3>& heard_from_lpm) {
    const auto by_words = [](model::Heard healthy, model::Heard word) {
        return word > healthy ? Against::more : word < healthy ? Against::less : Against::as_expected;
    };
    if (seen.word && expected.word) return by_words(*expected.word, *seen.word);
    if (seen.flow_lpm && expected.word)
        return by_words(*expected.word, airflow::heard(*seen.flow_lpm, {heard_from_lpm}));
    if (seen.pressure && expected.pressure) {
        const double healthy = expected.pressure->si(), read = seen.pressure->si();
        const double least = model::psi(priors.gauge_least_psi).si();
        const double error = 2 * std::max(priors.gauge_error * healthy, least);
        if (own_gauge) return read < healthy - error ? Against::less : Against::as_expected;
        return read > 2 * healthy + error ? Against::more : Against::as_expected;
    }
    return Against::unknown;
}

struct Mark {
    const model::Reading* reading = nullptr;
    suspects::Setting setting;
};

std::vector<Mark> marks_of(const suspects::Weigher& weigher, const model::UnitMap& map, const model::JobCheck* check) {
    std::vector<Mark> marks;
    if (check == nullptr) return marks;
    for (const auto& entry : check->readings)
        marks.push_back({&entry.reading, suspects::setting_of(map, entry.reading, weigher.usual_gauge_pa())});
    return marks;
}

std::vector<RetestRow> rows_of(suspects::Weigher& weigher, const model::JobCheck* before,
                               const model::JobCheck* after) {
    const model::UnitMap& map = weigher.tables().map();
    const auto& heard_from = weigher.tables().bench().heard_from_lpm;
    struct Kept {
        RetestRow row;
        Mark mark;
    };
    std::vector<Kept> kept;
    const auto add = [&](const Mark& mark, bool is_after) {
        for (const model::Seen& seen : mark.reading->seen) {
            const int at = place_of(map, seen.at);
            const model::Seen expected = expected_there(weigher, mark.setting, seen, at);
            const Against is = judged(expected, seen, at == mark.setting.into, weigher.priors(), heard_from);
            auto found = std::find_if(kept.begin(), kept.end(), [&](const Kept& k) {
                return k.row.at == at && same_test(*k.mark.reading, *mark.reading, k.mark.setting, mark.setting);
            });
            if (found == kept.end()) {
                Kept fresh;
                fresh.row.into = mark.setting.into;
                for (std::size_t p = 0; p < map.ports.size(); ++p) {
                    if (mark.setting.plugged[p]) fresh.row.plugged.push_back(static_cast<int>(p));
                }
                fresh.row.at = at;
                fresh.mark = mark;
                kept.push_back(std::move(fresh));
                found = kept.end() - 1;
            }
            // The last word counts: a reading that was made again was made for a reason.
            found->row.expected = expected;
            (is_after ? found->row.after : found->row.before) = seen;
            (is_after ? found->row.after_is : found->row.before_is) = is;
        }
    };
    for (const Mark& mark : marks_of(weigher, map, before))
        add(mark, false);
    for (const Mark& mark : marks_of(weigher, map, after))
        add(mark, true);
    std::vector<RetestRow> rows;
    rows.reserve(kept.size());
    for (auto& k : kept)
        rows.push_back(std::move(k.row));
    return rows;
}

std::vector<SealChance> chances(const model::UnitMap& map, const std::vector<double>& before,
                                const std::vector<double>& now, const std::vector<bool>& renewed,
                                const std::vector<bool>& suspected) {
    std::vector<SealChance> list;
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        SealChance chance{s, before[s], now[s], renewed[s], false, {}, true};
        chance.cleared = suspected[s] && chance.now < clear_below;
        if (suspected[s] || chance.renewed) list.push_back(chance);
    }
    std::stable_sort(list.begin(), list.end(),
                     [](const SealChance& a, const SealChance& b) { return a.before > b.before; });
    return list;
}

} // namespace

AfterRepair after_repair(const Posterior& prior, const Posterior& first, const Posterior& second,
                         const std::vector<std::size_t>& seal_of_fault, const std::vector<bool>& renewed,
                         const std::vector<bool>& about) {
    const std::size_t seals = renewed.size();
    std::vector<double> odds(seals, 0), alone(seals, 0), remains(seals, 0);
    for (std::size_t i = 0; i < prior.singles.size(); ++i) {
        const std::size_t seal = seal_of_fault[prior.singles[i].fault];
        odds[seal] += prior.singles[i].weight / prior.sound;
        alone[seal] += first.singles[i].weight;
    }
    const double rig_odds = of_rig(prior) / prior.sound;

    // What the first check leaves once the renewed seals are new.
    double no_fault = first.sound + of_rig(first);
    for (std::size_t s = 0; s < seals; ++s)
        (renewed[s] ? no_fault : remains[s]) += alone[s];
    for (const auto& pair : first.pairs) {
        const std::size_t s = seal_of_fault[pair.first], t = seal_of_fault[pair.second];
        if (renewed[s] && renewed[t]) no_fault += pair.weight;
        if (renewed[s] != renewed[t]) remains[renewed[s] ? t : s] += pair.weight;
    }
    double new_one = 0, new_two = 0;
    for (std::size_t r = 0; r < seals; ++r) {
        if (!renewed[r]) continue;
        new_two += new_one * odds[r];
        new_one += odds[r];
    }
    const double w0 = no_fault / (1 + new_one + new_two + rig_odds), w1 = 1 / (1 + new_one);

    AfterRepair result;
    result.seal_now.assign(seals, 0);
    double sum = 0;
    const auto count = [&](double weight, std::initializer_list<std::size_t> at_fault) {
        sum += weight;
        bool remains_open = false;
        for (const std::size_t s : at_fault) {
            result.seal_now[s] += weight;
            remains_open = remains_open || about[s];
        }
        if (!remains_open) result.gone += weight;
        return weight;
    };
    result.sound = count(w0 * ratio(second.sound, prior.sound), {});
    for (std::size_t i = 0; i < prior.rig.size(); ++i)
        result.rig += count(w0 * prior.rig[i] / prior.sound * ratio(second.rig[i], prior.rig[i]), {});
    result.unmapped = count(first.unmapped * ratio(second.unmapped, prior.unmapped), {});
    for (std::size_t i = 0; i < prior.singles.size(); ++i) {
        const std::size_t seal = seal_of_fault[prior.singles[i].fault];
        const double likelihood = ratio(second.singles[i].weight, prior.singles[i].weight);
        const double here = renewed[seal]     ? w0 * prior.singles[i].weight / prior.sound
                            : alone[seal] > 0 ? w1 * remains[seal] * first.singles[i].weight / alone[seal]
                                              : 0;
        count(here * likelihood, {seal});
    }
    for (std::size_t i = 0; i < prior.pairs.size(); ++i) {
        const std::size_t s = seal_of_fault[prior.pairs[i].first], t = seal_of_fault[prior.pairs[i].second];
        double here = first.pairs[i].weight;
        if (renewed[s] && renewed[t])
            here = w0 * odds[s] * odds[t];
        else if (renewed[s] || renewed[t])
            here = w1 * (renewed[s] ? remains[t] * odds[s] : remains[s] * odds[t]);
        count(here * ratio(second.pairs[i].weight, prior.pairs[i].weight), {s, t});
    }
    result.gone = (result.gone - result.unmapped) / sum;
    result.sound /= sum;
    result.rig /= sum;
    result.unmapped /= sum;
    for (double& chance : result.seal_now)
        chance /= sum;
    return result;
}

model::AirCheck first_check_with_findings(const model::Job& job) {
    model::AirCheck check;
    if (const auto* entry = model::last_check(job, model::CheckPurpose::before)) check = model::air_check(*entry);
    for (const auto& finding : job.findings) {
        const bool known = std::any_of(check.looks.begin(), check.looks.end(),
                                       [&](const model::Look& look) { return look.seal == finding.seal; });
        if (!known) check.looks.push_back({finding.seal, finding.found, finding.seen, {}});
    }
    return check;
}

std::vector<bool> renewed_seals(const model::UnitMap& map, const model::Job& job) {
    std::vector<bool> renewed(map.seals.size(), false);
    for (const auto& entry : job.renewed) {
        const auto* part = model::find(map.parts, entry.what);
        for (std::size_t s = 0; s < map.seals.size(); ++s) {
            const auto& seal = map.seals[s];
            const bool with_part =
                part != nullptr && (seal.at == part->id ||
                                    std::find(part->renew.begin(), part->renew.end(), seal.id) != part->renew.end());
            if (seal.id == entry.what || with_part) renewed[s] = true;
        }
    }
    return renewed;
}

Retest retest(suspects::Weigher& weigher, const model::Job& job) {
    const model::UnitMap map = weigher.tables().map();
    const auto* before = model::last_check(job, model::CheckPurpose::before);
    const auto* after = model::last_check(job, model::CheckPurpose::retest);
    Retest result;
    result.has_before = before != nullptr && !before->readings.empty();
    result.has_after = after != nullptr && !after->readings.empty();
    result.rows = rows_of(weigher, before, after);

    std::vector<std::size_t> seal_of_fault;
    for (const auto& fault : weigher.tables().faults())
        seal_of_fault.push_back(fault.seal);
    const suspects::Weighing nothing_read = weigher.weigh({});
    const Posterior prior = weigher.posterior();
    const suspects::Weighing first_weighing = weigher.weigh(first_check_with_findings(job));
    const Posterior first = weigher.posterior();
    const std::vector<bool> renewed = renewed_seals(map, job);
    std::vector<bool> suspected(map.seals.size()), about(map.seals.size());
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        const double chance = first_weighing.seal_probability[s];
        suspected[s] = chance >= suspected_from && chance >= raised_by * nothing_read.seal_probability[s];
        about[s] = suspected[s] || renewed[s];
    }
    const AfterRepair by_parts = after_repair(prior, first, prior, seal_of_fault, renewed, about);
    result.gone_by_parts = by_parts.gone;
    AfterRepair now = by_parts;
    if (after != nullptr) {
        static_cast<void>(weigher.weigh(model::air_check(*after)));
        now = after_repair(prior, first, weigher.posterior(), seal_of_fault, renewed, about);
    }
    result.gone = now.gone;
    result.rig = now.rig;
    result.unmapped = now.unmapped;
    result.seals = chances(map, first_weighing.seal_probability, now.seal_now, renewed, suspected);
    for (SealChance& chance : result.seals) {
        for (const auto& suspect : first_weighing.suspects) {
            if (suspect.seals.size() != 1 || suspect.seals.front() != chance.seal) continue;
            chance.hole_mm = suspect.hole_mm;
            chance.both_ways = !suspects::leaks_one_way(suspect);
        }
    }
    result.converged = weigher.tables().all_converged();
    return result;
}

} // namespace ringland::diagnosis
