#include "weigh.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>
#include <numeric>
#include <span>

#include <fmt/format.h>

#include "../airflow/expected.h"
#include "../airflow/seal_leak.h"
#include "likelihood.h"

namespace ringland::diagnosis::suspects {

namespace {

constexpr std::size_t none = ~std::size_t{0};
constexpr std::size_t combos = pair_sizes.size() * pair_sizes.size();

/// What a change of the test does to a mechanism.
enum class Effect { same, heals, redraws };

Effect effect_of(model::Mechanism mechanism, const model::Reading& reading) {
    using model::Mechanism;
    if (mechanism == Mechanism::dry_film && reading.wet) return Effect::heals;
    if (mechanism == Mechanism::joint_face && reading.plate_resnugged) return Effect::heals;
    if (mechanism == Mechanism::joint && reading.shaft_turned_deg.value_or(0) != 0) return Effect::redraws;
    if (mechanism == Mechanism::groove_wall && reading.pushed) return Effect::redraws;
    return Effect::same;
}

/// One reading, worked out for every single state.
struct Case {
    model::Reading reading;
    std::size_t table = 0;
    std::vector<double> fault; ///< log-likelihood by fault and size
    std::vector<double> rig;   ///< by fault of the rig and size
    double sound = 0, unmapped = 0;
    std::vector<int> pair_at; ///< by first fault × faults + second: place in pair, or -1 where they do not meddle
    std::vector<std::array<double, combos>> pair;
};

double log_sum(std::span<const double> logs) {
    const double most = *std::max_element(logs.begin(), logs.end());
    if (!std::isfinite(most)) return most;
    double sum = 0;
    for (const double l : logs)
        sum += std::exp(l - most);
    return most + std::log(sum);
}

} // namespace

Setting setting_of(const model::UnitMap& map, const model::Reading& reading, double usual_gauge_pa) {
    Setting setting;
    setting.plugged.assign(map.ports.size(), false);
    setting.supply_gauge_pa = reading.pressure ? reading.pressure->si() : usual_gauge_pa;
    for (std::size_t p = 0; p < map.ports.size(); ++p) {
        const std::string& id = map.ports[p].id;
        if (id == reading.into) setting.into = static_cast<int>(p);
        const bool named = std::find(reading.plugged.begin(), reading.plugged.end(), id) != reading.plugged.end();
        // A gauge closes its port, and an element can only be timed behind a closed one.
        const bool gauged = std::any_of(reading.seen.begin(), reading.seen.end(), [&](const model::Seen& s) {
            return s.at == id && (s.pressure || s.applies_after_s);
        });
        setting.plugged[p] = (named || gauged) && id != reading.into;
    }
    return setting;
}

struct Weigher::Impl {
    Tables tables;
    model::Priors priors;
    double usual_pa;
    std::vector<PullGroup> groups;
    std::vector<std::size_t> group_of;
    std::vector<double> odds;                ///< prior odds of each seal
    std::array<double, size_count> size_log; ///< logarithm of the prior of each size
    std::array<double, pair_sizes.size()> pair_size_log;
    std::vector<std::size_t> plain; ///< fault of each seal that is a plain hole
    std::vector<Case> cases;
    Posterior posterior;

    Impl(const model::UnitMap& map, const model::AirBench& bench, const model::Priors& p)
        : tables(map, bench), priors(p), usual_pa(airflow::usual_gauge_pa(map, bench)), groups(pull_groups(map)),
          group_of(map.seals.size()), plain(map.seals.size()) {
        for (std::size_t g = 0; g < groups.size(); ++g) {
            for (const std::size_t s : groups[g].seals)
                group_of[s] = g;
        }
        for (const auto& seal : map.seals) {
            const double fails =
                std::clamp(priors.kind[static_cast<std::size_t>(seal.kind)].fails * seal.prior.value_or(1), 0.0, 0.5);
            odds.push_back(fails / (1 - fails));
        }
        const auto faults = tables.faults();
        for (std::size_t f = 0; f < faults.size(); ++f) {
            if (faults[f].both_ways) plain[faults[f].seal] = f;
        }
        size_priors();
    }

    void size_priors() {
        const auto density = [&](std::size_t i) {
            const double z = std::log(size_mm(i) / priors.size_median_mm) / priors.size_spread;
            return -0.5 * z * z;
        };
        for (std::size_t i = 0; i < size_count; ++i)
            size_log[i] = density(i);
        const double all = log_sum(size_log);
        for (double& l : size_log)
            l -= all;
        for (std::size_t i = 0; i < pair_sizes.size(); ++i)
            pair_size_log[i] = density(pair_sizes[i]);
        const double few = log_sum(pair_size_log);
        for (double& l : pair_size_log)
            l -= few;
    }

    [[nodiscard]] Errors errors_of(const Case& c) const {
        return {priors, tables.bench().heard_from_lpm, tables.setting(c.table).supply_gauge_pa};
    }

    /// Log-likelihood of everything seen in a reading for a state that shows this.
    double reading_log(const Case& c, const Shown& shown, const std::vector<double>& apply_s) {
        const Shown sound = tables.sound(c.table);
        const Errors errors = errors_of(c);
        double sum = 0;
        for (std::size_t k = 0; k < c.reading.seen.size(); ++k) {
            const model::Seen& seen = c.reading.seen[k];
            Predicted p;
            if (seen.at == model::open_case) {
                p.flow_lpm = double(shown.case_lpm);
                p.sound_lpm = double(sound.case_lpm);
            } else {
                const std::size_t port = port_index(seen.at);
                if (port == none) continue;
                p = {double(shown.flow_lpm[port]), double(sound.flow_lpm[port]), double(shown.gauge_pa[port]),
                     double(sound.gauge_pa[port]), apply_s[k]};
            }
            sum += log_likelihood(seen, p, errors);
        }
        if (c.reading.applied) sum += log_likelihood(*c.reading.applied, apply_s.back(), errors);
        return sum;
    }

    [[nodiscard]] std::size_t port_index(const std::string& id) const {
        const auto& ports = tables.map().ports;
        for (std::size_t p = 0; p < ports.size(); ++p) {
            if (ports[p].id == id) return p;
        }
        return none;
    }

    /// Times of a state, where the reading has any: one for each seen thing, the fed element's last.
    std::vector<double> times_of(const Case& c, const State& state) {
        std::vector<double> times(c.reading.seen.size() + 1, 0);
        for (std::size_t k = 0; k < c.reading.seen.size(); ++k) {
            const model::Seen& seen = c.reading.seen[k];
            if (!seen.applies_after_s) continue;
            if (const std::size_t port = port_index(seen.at); port != none)
                times[k] = tables.apply_time_s(c.table, state, static_cast<int>(port));
        }
        if (c.reading.applied) times.back() = tables.apply_time_s(c.table, state, tables.setting(c.table).into);
        return times;
    }
    [[nodiscard]] static bool has_times(const model::Reading& reading) {
        return reading.applied || std::any_of(reading.seen.begin(), reading.seen.end(),
                                              [](const model::Seen& s) { return s.applies_after_s.has_value(); });
    }

    Case work_out(const model::Reading& reading) {
        Case c;
        c.reading = reading;
        c.table = tables.table_of(setting_of(tables.map(), reading, usual_pa));
        const bool timed = has_times(reading);
        const auto faults = tables.faults();
        const std::vector<double> sound_times =
            timed ? times_of(c, State{}) : std::vector<double>(reading.seen.size() + 1, 0);
        std::vector<std::vector<double>> slowest(timed ? faults.size() * size_count : 0, sound_times);
        c.sound = reading_log(c, tables.sound(c.table), sound_times);
        for (std::size_t f = 0; f < faults.size(); ++f) {
            const bool meets = timed && touches(c.table, f);
            for (std::size_t i = 0; i < size_count; ++i) {
                if (meets) slowest[f * size_count + i] = times_of(c, State{static_cast<int>(f), i, -1, 0, -1});
                c.fault.push_back(
                    reading_log(c, tables.single(c.table, f, i), timed ? slowest[f * size_count + i] : sound_times));
            }
        }
        for (std::size_t r = 0; r < tables.rig_faults().size(); ++r) {
            for (std::size_t i = 0; i < size_count; ++i)
                c.rig.push_back(reading_log(c, tables.rig(c.table, r, i), sound_times));
        }
        for (const auto& seen : reading.seen)
            c.unmapped += log_likelihood_unmapped(seen, errors_of(c));
        if (reading.applied) c.unmapped += std::log(1.0 / 3);
        pairs_of(c, timed, slowest);
        return c;
    }

    /// True where the largest hole moves a pressure: only then can it change a time.
    [[nodiscard]] bool touches(std::size_t table, std::size_t fault) const {
        const Shown most = tables.single(table, fault, size_count - 1), sound = tables.sound(table);
        for (std::size_t k = 0; k < most.circuit_pa.size(); ++k) {
            if (std::abs(most.circuit_pa[k] - sound.circuit_pa[k]) >
                0.005F * float(tables.setting(table).supply_gauge_pa))
                return true;
        }
        return false;
    }

    void pairs_of(Case& c, bool timed, const std::vector<std::vector<double>>& times) {
        const std::size_t faults = tables.faults().size();
        c.pair_at.assign(faults * faults, -1);
        std::vector<bool> observed(tables.map().ports.size() + 1, false);
        for (const auto& seen : c.reading.seen) {
            const std::size_t port = seen.at == model::open_case ? observed.size() - 1 : port_index(seen.at);
            if (port != none) observed[port] = true;
        }
        // An element that is felt or timed hangs on the pressures, which `meddle` looks at for itself.
        observed[static_cast<std::size_t>(tables.setting(c.table).into)] = c.reading.applied.has_value();
        for (std::size_t a = 0; a < plain.size(); ++a) {
            for (std::size_t b = a + 1; b < plain.size(); ++b) {
                const std::size_t f = plain[a], g = plain[b];
                if (!tables.meddle(c.table, f, g, observed)) continue;
                std::array<double, combos> logs{};
                for (std::size_t i = 0; i < pair_sizes.size(); ++i) {
                    for (std::size_t k = 0; k < pair_sizes.size(); ++k) {
                        std::vector<double> both(c.reading.seen.size() + 1, 0);
                        if (timed)
                            both = together(c.reading, times[f * size_count + pair_sizes[i]],
                                            times[g * size_count + pair_sizes[k]]);
                        logs[i * pair_sizes.size() + k] =
                            reading_log(c, tables.pair(c.table, f, pair_sizes[i], g, pair_sizes[k]), both);
                    }
                }
                c.pair_at[f * faults + g] = static_cast<int>(c.pair.size());
                c.pair.push_back(logs);
            }
        }
    }
    /// A blocked neighbour applies as soon as the quicker of two leaks fills it; the fed element is as slow as the
    /// larger of two leaks makes it.
    static std::vector<double> together(const model::Reading& reading, const std::vector<double>& a,
                                        const std::vector<double>& b) {
        std::vector<double> both(a.size());
        for (std::size_t k = 0; k < a.size(); ++k)
            both[k] = k < reading.seen.size() ? std::min(a[k], b[k]) : std::max(a[k], b[k]);
        return both;
    }

    const Case& case_of(const model::Reading& reading) {
        for (const Case& c : cases) {
            if (c.reading == reading) return c;
        }
        cases.push_back(work_out(reading));
        return cases.back();
    }

    /// Log-likelihood of one reading for a fault of that size and mechanism.
    [[nodiscard]] double single_log(const Case& c, std::size_t fault, std::size_t size,
                                    model::Mechanism mechanism) const {
        switch (effect_of(mechanism, c.reading)) {
        case Effect::same:
            break;
        case Effect::heals:
            return c.sound;
        case Effect::redraws: {
            // It may be tight now, or any size.
            constexpr double tight = 0.3;
            std::array<double, size_count + 1> logs{};
            for (std::size_t i = 0; i < size_count; ++i)
                logs[i] = std::log(1 - tight) + size_log[i] + c.fault[fault * size_count + i];
            logs[size_count] = std::log(tight) + c.sound;
            return log_sum(logs);
        }
        }
        return c.fault[fault * size_count + size];
    }

    [[nodiscard]] double look_log(const model::AirCheck& check, std::size_t seal, bool at_fault) const {
        double sum = 0;
        for (const model::Look& look : check.looks) {
            if (look.seal != tables.map().seals[seal].id) continue;
            const double damaged = at_fault ? 1 - priors.look_misses : priors.look_alarms;
            sum += std::log(look.found == model::Found::damaged ? damaged : 1 - damaged);
        }
        return sum;
    }

    void fill_posterior(const model::AirCheck& check, const std::vector<const Case*>& of);
    Weighing weighing(const model::AirCheck& check, const std::vector<const Case*>& of) const;
    std::vector<Suspect> suspects() const;
    void name_worst(const model::AirCheck& check, const std::vector<const Case*>& of, Weighing& w) const;
};

void Weigher::Impl::fill_posterior(const model::AirCheck& check, const std::vector<const Case*>& of) {
    const auto faults = tables.faults();
    const std::size_t seals = tables.map().seals.size();
    // Looks: what was found at a seal, at fault against sound; the sound part is common to all.
    std::vector<double> look(seals);
    for (std::size_t s = 0; s < seals; ++s)
        look[s] = look_log(check, s, true) - look_log(check, s, false);

    posterior = {};
    std::vector<double> logs;
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
                    sum_of([&](const Case& c) { return single_log(c, f, i, static_cast<model::Mechanism>(m)); });
                posterior.singles.push_back({f, i, m, log});
                most = std::max(most, log);
            }
        }
    }
    const std::size_t plates = tables.rig_faults().size() - 1;
    for (std::size_t r = 0; r <= plates; ++r) {
        const bool hose = r == plates;
        const double fails = hose ? priors.hose_fails : priors.plate_fails / static_cast<double>(plates);
        for (std::size_t i = 0; i < size_count; ++i) {
            const double size = hose ? -std::log(double(size_count)) : size_log[i];
            const double log = std::log(std::max(1e-12, fails / (1 - fails))) + size + sum_of([&](const Case& c) {
                                   return c.reading.plate_resnugged && !hose ? c.sound : c.rig[r * size_count + i];
                               });
            posterior.rig.push_back(log);
            most = std::max(most, log);
        }
    }
    const double unmapped_log = std::log(std::max(1e-12, priors.unmapped / (1 - priors.unmapped))) +
                                sum_of([](const Case& c) { return c.unmapped; });
    most = std::max(most, unmapped_log);

    std::array<double, combos> both{};
    for (std::size_t a = 0; a < seals; ++a) {
        for (std::size_t b = a + 1; b < seals; ++b) {
            if (odds[a] <= 0 || odds[b] <= 0) continue;
            const std::size_t f = plain[a], g = plain[b];
            for (std::size_t i = 0; i < pair_sizes.size(); ++i) {
                for (std::size_t k = 0; k < pair_sizes.size(); ++k)
                    both[i * pair_sizes.size() + k] = pair_size_log[i] + pair_size_log[k];
            }
            for (const Case* c : of) {
                const int at = c->pair_at[f * faults.size() + g];
                for (std::size_t i = 0; i < pair_sizes.size(); ++i) {
                    for (std::size_t k = 0; k < pair_sizes.size(); ++k) {
                        const std::size_t n = i * pair_sizes.size() + k;
                        both[n] += at >= 0 ? c->pair[static_cast<std::size_t>(at)][n]
                                           : c->fault[f * size_count + pair_sizes[i]] +
                                                 c->fault[g * size_count + pair_sizes[k]] - c->sound;
                    }
                }
            }
            const auto best = static_cast<std::size_t>(std::max_element(both.begin(), both.end()) - both.begin());
            const double log = std::log(odds[a]) + std::log(odds[b]) + look[a] + look[b] + log_sum(both);
            posterior.pairs.push_back(
                {f, g, log, pair_sizes[best / pair_sizes.size()], pair_sizes[best % pair_sizes.size()]});
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

std::vector<Suspect> Weigher::Impl::suspects() const {
    constexpr double least = 0.001;
    const auto faults = tables.faults();
    const std::size_t seals = tables.map().seals.size();
    std::vector<Suspect> list;
    std::vector<double> alone(seals, 0);
    for (const auto& single : posterior.singles)
        alone[faults[single.fault].seal] += single.weight;
    for (std::size_t s = 0; s < seals; ++s) {
        Suspect suspect;
        suspect.seals = {s};
        suspect.group = group_of[s];
        std::array<double, size_count> size{};
        for (const auto& single : posterior.singles) {
            if (faults[single.fault].seal != s) continue;
            suspect.probability += single.weight;
            suspect.mechanism[single.mechanism] += single.weight;
            size[single.size] += single.weight;
        }
        if (suspect.probability < least) continue;
        for (double& share : suspect.mechanism)
            share /= suspect.probability;
        suspect.hole_mm = size_mm(static_cast<std::size_t>(std::max_element(size.begin(), size.end()) - size.begin()));
        double below = 0;
        for (std::size_t i = 0; i < size_count; ++i) {
            const double before = below;
            below += size[i] / suspect.probability;
            if (before < 0.1 && below >= 0.1) suspect.hole_mm_low = size_mm(i);
            if (before < 0.9 && below >= 0.9 - 1e-12) suspect.hole_mm_high = size_mm(i);
        }
        list.push_back(suspect);
    }
    for (const auto& pair : posterior.pairs) {
        const std::size_t first = faults[pair.first].seal, second = faults[pair.second].seal;
        if (pair.weight < least * least) continue;
        // Where the readings ask for one of the two only, the other is a companion that nobody has tested yet: what it
        // weighs belongs to the one that is asked for.
        const double by_first = alone[first] * odds[second], by_second = alone[second] * odds[first];
        constexpr double idle = 2.5;
        if (pair.weight <= idle * std::max(by_first, by_second)) {
            const std::size_t carrier = by_first >= by_second ? first : second;
            const auto found = std::find_if(list.begin(), list.end(), [&](const Suspect& s) {
                return s.seals.size() == 1 && s.seals.front() == carrier;
            });
            if (found != list.end()) found->probability += pair.weight;
            continue;
        }
        if (pair.weight < least) continue;
        Suspect suspect;
        suspect.seals = {first, second};
        suspect.probability = pair.weight;
        suspect.hole_mm = suspect.hole_mm_low = suspect.hole_mm_high = size_mm(pair.first_size);
        suspect.mechanism[0] = 1;
        suspect.group = group_of[suspect.seals[0]];
        list.push_back(suspect);
    }
    std::stable_sort(list.begin(), list.end(),
                     [](const Suspect& a, const Suspect& b) { return a.probability > b.probability; });
    return list;
}

/// The word that the hypotheses on the map expect least, and a sentence where it says more than an ear's mistake.
void Weigher::Impl::name_worst(const model::AirCheck& check, const std::vector<const Case*>& of, Weighing& w) const {
    const double mapped = std::max(1e-12, 1 - posterior.unmapped);
    for (std::size_t n = 0; n < of.size(); ++n) {
        const Case& c = *of[n];
        const Errors errors = errors_of(c);
        const Shown sound = tables.sound(c.table);
        for (std::size_t k = 0; k < c.reading.seen.size(); ++k) {
            const model::Seen& seen = c.reading.seen[k];
            if (!seen.word) continue;
            const std::size_t port = seen.at == model::open_case ? none : port_index(seen.at);
            const auto chance = [&](const Shown& shown) {
                const double flow = double(port == none ? shown.case_lpm : shown.flow_lpm[port]);
                const double healthy = double(port == none ? sound.case_lpm : sound.flow_lpm[port]);
                return word_chances(flow, healthy, errors.heard_from_lpm, priors)[static_cast<std::size_t>(*seen.word)];
            };
            const double of_sound = chance(sound);
            double sum = posterior.sound * of_sound;
            for (const auto& single : posterior.singles) {
                if (single.weight < 1e-9) continue;
                sum += single.weight * chance(tables.single(c.table, single.fault, single.size));
            }
            for (std::size_t r = 0; r < posterior.rig.size(); ++r)
                sum += posterior.rig[r] * chance(tables.rig(c.table, r / size_count, r % size_count));
            for (const auto& pair : posterior.pairs) {
                if (pair.weight < 1e-6) {
                    sum += pair.weight * of_sound;
                    continue;
                }
                // The larger of what the two show alone is near enough to name a misfit.
                sum += pair.weight * std::max(chance(tables.single(c.table, pair.first, pair.first_size)),
                                              chance(tables.single(c.table, pair.second, pair.second_size)));
            }
            const double bits = -std::log2(std::max(1e-12, sum / mapped));
            if (!w.worst || bits > w.worst->surprise) w.worst = WorstFit{n, k, bits};
        }
    }
    constexpr double worth_saying_bits = 4;
    if (w.worst && w.worst->surprise < worth_saying_bits) w.worst.reset();
    if (!w.worst) return;
    const auto& reading = check.readings[w.worst->reading];
    const auto& seen = reading.seen[w.worst->seen];
    w.contradiction = fmt::format("Reading {} fits worst: air into {}, {} at {}. ", w.worst->reading + 1, reading.into,
                                  model::word(*seen.word), seen.at);
    w.contradiction += w.unmapped > 0.5
                           ? "Nothing on the map explains it: a wall, plug or passage that is not mapped, or a "
                             "reading mistaken. Make it once more."
                           : "Make it once more before anything is pulled.";
}

Weighing Weigher::Impl::weighing(const model::AirCheck& check, const std::vector<const Case*>& of) const {
    Weighing w;
    w.suspects = suspects();
    w.nothing_wrong = posterior.sound;
    w.unmapped = posterior.unmapped;
    w.rig = std::accumulate(posterior.rig.begin(), posterior.rig.end(), 0.0);
    w.seal_probability.assign(tables.map().seals.size(), 0);
    std::vector<double> chance(groups.size(), 0);
    const auto faults = tables.faults();
    for (const auto& single : posterior.singles) {
        w.seal_probability[faults[single.fault].seal] += single.weight;
        chance[group_of[faults[single.fault].seal]] += single.weight;
    }
    for (const auto& pair : posterior.pairs) {
        const std::size_t a = faults[pair.first].seal, b = faults[pair.second].seal;
        w.seal_probability[a] += pair.weight;
        w.seal_probability[b] += pair.weight;
        chance[group_of[a]] += pair.weight;
        if (group_of[a] != group_of[b]) chance[group_of[b]] += pair.weight;
    }
    for (std::size_t g = 0; g < groups.size(); ++g)
        w.groups.push_back({g, chance[g]});
    std::stable_sort(w.groups.begin(), w.groups.end(),
                     [](const GroupChance& a, const GroupChance& b) { return a.probability > b.probability; });
    w.enough = !w.groups.empty() && w.groups.front().probability >= priors.enough;
    name_worst(check, of, w);
    w.solves = tables.solves();
    unsigned long long hash = 14695981039346656037ull;
    const auto mix = [&](double value) {
        unsigned long long bits = 0;
        std::memcpy(&bits, &value, sizeof bits);
        hash = (hash ^ bits) * 1099511628211ull;
    };
    mix(posterior.sound);
    mix(posterior.unmapped);
    for (const auto& single : posterior.singles)
        mix(single.weight);
    for (const auto& pair : posterior.pairs)
        mix(pair.weight);
    w.hash = hash;
    return w;
}

Weigher::Weigher(const model::UnitMap& map, const model::AirBench& bench, const model::Priors& priors)
    : impl_(std::make_unique<Impl>(map, bench, priors)) {}
Weigher::~Weigher() = default;
Weigher::Weigher(Weigher&&) noexcept = default;
Weigher& Weigher::operator=(Weigher&&) noexcept = default;

Weighing Weigher::weigh(const model::AirCheck& check) {
    // Worked out first: the list of cases may move while it grows.
    for (const auto& reading : check.readings)
        static_cast<void>(impl_->case_of(reading));
    std::vector<const Case*> of;
    for (const auto& reading : check.readings)
        of.push_back(&impl_->case_of(reading));
    impl_->fill_posterior(check, of);
    return impl_->weighing(check, of);
}

const Posterior& Weigher::posterior() const { return impl_->posterior; }
Tables& Weigher::tables() { return impl_->tables; }
const model::Priors& Weigher::priors() const { return impl_->priors; }
const std::vector<PullGroup>& Weigher::groups() const { return impl_->groups; }
const std::vector<std::size_t>& Weigher::group_of() const { return impl_->group_of; }
double Weigher::usual_gauge_pa() const { return impl_->usual_pa; }

} // namespace ringland::diagnosis::suspects
