#include "weigh.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <numeric>

#include <fmt/format.h>

#include "../airflow/expected.h"
#include "information.h"
#include "likelihood.h"
#include "weigh_impl.h"

namespace ringland::diagnosis::suspects {

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

Weigher::Impl::Impl(const model::UnitMap& map, const model::AirBench& bench, const model::Priors& p)
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
    for (std::size_t i = 0; i < size_count; ++i) {
        const double z = std::log(size_mm(i) / priors.size_median_mm) / priors.size_spread;
        size_log[i] = -0.5 * z * z;
    }
    const double all = log_sum(size_log);
    for (double& l : size_log)
        l -= all;
}

std::size_t Weigher::Impl::port_index(const std::string& id) const {
    const auto& ports = tables.map().ports;
    for (std::size_t p = 0; p < ports.size(); ++p) {
        if (ports[p].id == id) return p;
    }
    return no_port;
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
    // Mechanisms of one size show alike.
    std::vector<double> weight(tables.faults().size() * size_count, 0);
    for (const auto& single : posterior.singles)
        weight[single.fault * size_count + single.size] += single.weight;
    for (std::size_t n = 0; n < of.size(); ++n) {
        const Case& c = *of[n];
        const Errors errors = errors_of(c);
        const Shown sound = tables.sound(c.table);
        for (std::size_t k = 0; k < c.reading.seen.size(); ++k) {
            const model::Seen& seen = c.reading.seen[k];
            if (!seen.word) continue;
            const std::size_t port = seen.at == model::open_case ? no_port : port_index(seen.at);
            const auto flow = [&](const Shown& shown) {
                return double(port == no_port ? shown.case_lpm : shown.flow_lpm[port]);
            };
            const double healthy = flow(sound);
            const auto chance = [&](double lpm) {
                return word_chances(lpm, healthy, errors.heard_from_lpm, priors)[static_cast<std::size_t>(*seen.word)];
            };
            const double of_sound = chance(healthy);
            // How much likelier each hypothesis makes the word than a sound unit does.
            double sum = mapped * of_sound;
            const auto more = [&](const Shown& shown) {
                const double lpm = flow(shown);
                return std::abs(lpm - healthy) < 1e-3 * (1 + healthy) ? 0 : chance(lpm) - of_sound;
            };
            for (std::size_t place = 0; place < weight.size(); ++place) {
                if (weight[place] < 1e-9 || tables.idle(c.table, place / size_count, place % size_count)) continue;
                sum += weight[place] * more(tables.single(c.table, place / size_count, place % size_count));
            }
            for (std::size_t r = 0; r < posterior.rig.size(); ++r) {
                if (posterior.rig[r] >= 1e-9)
                    sum += posterior.rig[r] * more(tables.rig(c.table, r / size_count, r % size_count));
            }
            for (const auto& pair : posterior.pairs) {
                if (pair.weight < 1e-6) continue;
                // Of two faults the one that explains the word better is near enough to name a misfit.
                const auto alone = [&](std::size_t fault, std::size_t size) {
                    return tables.idle(c.table, fault, size) ? 0 : more(tables.single(c.table, fault, size));
                };
                sum += pair.weight * std::max(alone(pair.first, pair.first_size), alone(pair.second, pair.second_size));
            }
            const double bits = -std::log2(std::max(1e-12, sum / mapped));
            if (!w.worst || bits > w.worst->surprise) w.worst = WorstFit{n, k, bits};
        }
    }
    constexpr double worth_saying_bits = 4;
    if (w.worst && w.worst->surprise < worth_saying_bits) w.worst.reset();
    w.contradiction = contradiction_words(w, check);
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

bool leaks_one_way(const Suspect& suspect) {
    return suspect.mechanism[static_cast<std::size_t>(model::Mechanism::one_way_lip)] > 0.5;
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
std::array<double, size_count> Weigher::size_chance() const {
    std::array<double, size_count> chance{};
    for (std::size_t i = 0; i < size_count; ++i)
        chance[i] = std::exp(impl_->size_log[i]);
    return chance;
}
double Weigher::usual_gauge_pa() const { return impl_->usual_pa; }

std::string contradiction_words(const Weighing& weighing, const model::AirCheck& check, const model::Translator& tr) {
    if (!weighing.worst) return {};
    const auto& reading = check.readings[weighing.worst->reading];
    const auto& seen = reading.seen[weighing.worst->seen];
    return model::filled(tr("Reading {0} fits worst: air into {1}, {2} at {3}."), weighing.worst->reading + 1,
                         reading.into, tr.word(*seen.word), seen.at) +
           " " +
           (weighing.unmapped > 0.5 ? tr("Nothing on the map explains it: a wall, plug or passage that is not mapped, "
                                         "or a reading mistaken. Make it once more.")
                                    : tr("Make it once more before anything is pulled."));
}

} // namespace ringland::diagnosis::suspects
