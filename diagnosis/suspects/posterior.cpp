// The posterior: every hypothesis with its prior and what all readings say of it, summed exactly over the grid.
#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "../airflow/seal_leak.h"
#include "information.h"
#include "weigh_impl.h"

namespace ringland::diagnosis::suspects {

namespace {

/// What was found of the rig, where it has this fault against where it has none.
double rig_look_log(const model::AirCheck& check, const model::Priors& priors) {
    double sum = 0;
    for (const model::Look& look : check.looks) {
        if (look.seal != model::the_rig) continue;
        sum += look.found == model::Found::damaged ? std::log((1 - priors.look_misses) / priors.look_alarms)
                                                   : std::log(priors.look_misses / (1 - priors.look_alarms));
    }
    return sum;
}

/// What was found at a seal, where it is at fault or is not.
double look_log(const model::AirCheck& check, const model::Priors& priors, const std::string& seal, bool at_fault) {
    double sum = 0;
    for (const model::Look& look : check.looks) {
        if (look.seal != seal) continue;
        const double damaged = at_fault ? 1 - priors.look_misses : priors.look_alarms;
        sum += std::log(look.found == model::Found::damaged ? damaged : 1 - damaged);
    }
    return sum;
}

} // namespace

void Weigher::Impl::fill_posterior(const model::AirCheck& check, const std::vector<const Case*>& of) {
    const auto faults = tables.faults();
    const std::size_t seals = tables.map().seals.size();
    // Looks: what was found at a seal, at fault against sound; the sound part is common to all.
    std::vector<double> look(seals);
    for (std::size_t s = 0; s < seals; ++s)
        look[s] = look_log(check, priors, tables.map().seals[s].id, true) -
                  look_log(check, priors, tables.map().seals[s].id, false);

    hear(check.complaints);
    posterior = {};
    const auto sum_of = [&](auto&& part) {
        double sum = 0;
        for (const Case* c : of)
            sum += part(*c);
        return sum;
    };
    const double sound_log = sum_of([](const Case& c) { return c.sound; });
    double most = sound_log;
    for (std::size_t f = 0; f < faults.size(); ++f) {
        const auto& seal = tables.map().seals[faults[f].seal];
        const bool lip = airflow::fails_one_way(seal);
        const auto& share = priors.kind[static_cast<std::size_t>(seal.kind)].mechanism;
        const auto one_way = static_cast<std::size_t>(model::Mechanism::one_way_lip);
        const double two_way_share = std::accumulate(share.begin(), share.end(), 0.0) - share[one_way];
        for (std::size_t m = 0; m < model::mechanism_count; ++m) {
            if ((m == one_way) != !faults[f].both_ways) continue;
            // A kind of lip without a direction fails like any other seal.
            double part = share[m];
            if (!lip) part = two_way_share > 0 ? share[m] / two_way_share : (m == 0 ? 1 : 0);
            if (part <= 0 || odds[faults[f].seal] <= 0) continue;
            for (std::size_t i = 0; i < size_count; ++i) {
                const double log =
                    std::log(odds[faults[f].seal]) + std::log(part) + size_log[i] + look[faults[f].seal] +
                    told_of(f, i) +
                    sum_of([&](const Case& c) { return single_log(c, f, i, static_cast<model::Mechanism>(m)); });
                posterior.singles.push_back({f, i, m, log});
                most = std::max(most, log);
            }
        }
    }
    const std::size_t plates = tables.rig_faults().size() - 1;
    const double rig_look = rig_look_log(check, priors);
    for (std::size_t r = 0; r <= plates; ++r) {
        const bool hose = r == plates;
        const double fails = hose ? priors.hose_fails : priors.plate_fails / static_cast<double>(plates);
        for (std::size_t i = 0; i < size_count; ++i) {
            const double size = hose ? -std::log(double(size_count)) : size_log[i];
            const double log =
                std::log(std::max(1e-12, fails / (1 - fails))) + rig_look + size + sum_of([&](const Case& c) {
                    return c.reading.plate_resnugged && !hose ? c.sound : c.rig[r * size_count + i];
                });
            posterior.rig.push_back(log);
            most = std::max(most, log);
        }
    }
    const double unmapped_log = std::log(std::max(1e-12, priors.unmapped / (1 - priors.unmapped))) +
                                sum_of([](const Case& c) { return c.unmapped; });
    most = std::max(most, unmapped_log);

    std::array<double, pair_combos> both{};
    for (std::size_t a = 0; a < seals; ++a) {
        for (std::size_t b = a + 1; b < seals; ++b) {
            if (odds[a] <= 0 || odds[b] <= 0) continue;
            const std::size_t f = plain[a], g = plain[b];
            for (std::size_t n = 0; n < pair_combos; ++n)
                both[n] = size_log[n / size_count] + size_log[n % size_count];
            // Of two faults the one that explains the complaints better.
            for (std::size_t n = 0; n < pair_combos && !told_log.empty(); ++n)
                both[n] += std::max(told_of(f, n / size_count), told_of(g, n % size_count));
            for (const Case* c : of) {
                const int at = c->pair_at[f * faults.size() + g];
                if (at >= 0) {
                    const auto& logs = c->pair[static_cast<std::size_t>(at)];
                    for (std::size_t n = 0; n < pair_combos; ++n)
                        both[n] += logs[n];
                    continue;
                }
                const double *first = c->fault.data() + f * size_count, *second = c->fault.data() + g * size_count;
                for (std::size_t n = 0; n < pair_combos; ++n)
                    both[n] += first[n / size_count] + second[n % size_count] - c->sound;
            }
            const auto best = static_cast<std::size_t>(std::max_element(both.begin(), both.end()) - both.begin());
            const double log = std::log(odds[a]) + std::log(odds[b]) + look[a] + look[b] + log_sum(both);
            posterior.pairs.push_back({f, g, log, best / size_count, best % size_count});
            most = std::max(most, log);
        }
    }

    // All at once against the largest, so that nothing runs out of figures.
    double sum = 0;
    const auto lift = [&](double& log) {
        log = std::exp(log - most);
        sum += log;
    };
    posterior.sound = sound_log;
    posterior.unmapped = unmapped_log;
    lift(posterior.sound);
    lift(posterior.unmapped);
    for (auto& single : posterior.singles)
        lift(single.weight);
    for (double& weight : posterior.rig)
        lift(weight);
    for (auto& pair : posterior.pairs)
        lift(pair.weight);
    posterior.sound /= sum;
    posterior.unmapped /= sum;
    for (auto& single : posterior.singles)
        single.weight /= sum;
    for (double& weight : posterior.rig)
        weight /= sum;
    for (auto& pair : posterior.pairs)
        pair.weight /= sum;
}

} // namespace ringland::diagnosis::suspects
