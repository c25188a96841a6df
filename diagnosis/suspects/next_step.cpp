#include "next_step.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "likelihood.h"

namespace ringland::diagnosis::suspects {

namespace {

using Kind = NextStep::Kind;
using model::Mechanism;

constexpr std::size_t joint_ports = 4, words = 4;
constexpr std::size_t gauge_bins = 10;
constexpr std::size_t time_bins = 3; ///< at once, after a while, not at all

double entropy(const std::vector<double>& weights) {
    double sum = 0, h = 0;
    for (const double w : weights)
        sum += w;
    if (sum <= 0) return 0;
    for (const double w : weights) {
        if (w > 0) h -= w / sum * std::log2(w / sum);
    }
    return h;
}

/// One state of the posterior with what it means for the hands: which group comes off.
struct Weighted {
    State state;
    std::size_t mechanism = 0;
    std::size_t group = 0;
    double weight = 0;
};

class Adviser {
public:
    Adviser(Weigher& weigher, const model::AirCheck& check)
        : weigher_(weigher), check_(check), tables_(weigher.tables()), map_(tables_.map()) {
        gather();
    }

    Advice advise(std::size_t most) {
        Advice advice;
        advice.entropy_bits = entropy(group_weights());
        listening();
        gauging();
        changing();
        looking();
        rigging();
        std::stable_sort(steps_.begin(), steps_.end(),
                         [](const NextStep& a, const NextStep& b) { return a.bits / a.minutes > b.bits / b.minutes; });
        steps_.erase(
            std::remove_if(steps_.begin(), steps_.end(), [](const NextStep& s) { return s.bits < trifle_bits; }),
            steps_.end());
        advice.exhausted = steps_.empty();
        if (steps_.size() > most) steps_.resize(most);
        for (NextStep& step : steps_)
            step.words = words_of(step);
        advice.steps = std::move(steps_);
        return advice;
    }

private:
    /// Groups, then "nothing wrong", then "the rig".
    [[nodiscard]] std::size_t sound_group() const { return weigher_.groups().size(); }
    [[nodiscard]] std::size_t rig_group() const { return weigher_.groups().size() + 1; }

    void gather() {
        const Posterior& p = weigher_.posterior();
        constexpr double least = 1e-5;
        for (const auto& single : p.singles) {
            if (single.weight < least) continue;
            const std::size_t seal = tables_.faults()[single.fault].seal;
            states_.push_back({State{static_cast<int>(single.fault), single.size, -1, 0, -1}, single.mechanism,
                               weigher_.group_of()[seal], single.weight});
        }
        for (std::size_t k = 0; k < p.rig.size(); ++k) {
            if (p.rig[k] < least) continue;
            states_.push_back(
                {State{-1, k % size_count, -1, 0, static_cast<int>(k / size_count)}, 0, rig_group(), p.rig[k]});
        }
        states_.push_back({State{}, 0, sound_group(), p.sound});
        // Two faults: known to be worth a word, reckoned as the first alone.
        for (const auto& pair : p.pairs) {
            if (pair.weight < 0.002) continue;
            states_.push_back({State{static_cast<int>(pair.first), pair.first_size, -1, 0, -1}, 0,
                               weigher_.group_of()[tables_.faults()[pair.first].seal], pair.weight});
        }
        double sum = 0;
        for (const Weighted& s : states_)
            sum += s.weight;
        for (Weighted& s : states_)
            s.weight /= sum;
    }

    [[nodiscard]] std::vector<double> group_weights() const {
        std::vector<double> weights(weigher_.groups().size() + 2, 0);
        for (const Weighted& s : states_)
            weights[s.group] += s.weight;
        return weights;
    }

    /// Information about the group in an outcome: chance[state][outcome].
    [[nodiscard]] double information(const std::vector<std::vector<double>>& chance) const {
        if (chance.empty()) return 0;
        const std::size_t outcomes = chance.front().size(), groups = weigher_.groups().size() + 2;
        std::vector<double> joint(outcomes * groups, 0);
        for (std::size_t s = 0; s < states_.size(); ++s) {
            for (std::size_t o = 0; o < outcomes; ++o)
                joint[o * groups + states_[s].group] += states_[s].weight * chance[s][o];
        }
        double after = 0;
        for (std::size_t o = 0; o < outcomes; ++o) {
            const std::vector<double> slice(joint.begin() + static_cast<std::ptrdiff_t>(o * groups),
                                            joint.begin() + static_cast<std::ptrdiff_t>((o + 1) * groups));
            double share = 0;
            for (const double w : slice)
                share += w;
            after += share * entropy(slice);
        }
        return std::max(0.0, entropy(group_weights()) - after);
    }

    [[nodiscard]] Shown shown(std::size_t table, const State& state) const {
        if (state.first >= 0) return tables_.single(table, static_cast<std::size_t>(state.first), state.first_size);
        if (state.rig >= 0) return tables_.rig(table, static_cast<std::size_t>(state.rig), state.first_size);
        return tables_.sound(table);
    }

    /// Word chances of every state at one port; the open case comes after the last port. A change of the test heals or
    /// redraws what its mechanism says.
    [[nodiscard]] std::vector<std::array<double, words>> words_at(std::size_t table, std::size_t port,
                                                                  Kind change) const {
        const std::size_t ports = map_.ports.size();
        const Shown sound = tables_.sound(table);
        const auto flow = [&](const Shown& s) { return double(port == ports ? s.case_lpm : s.flow_lpm[port]); };
        const auto chances = [&](const Shown& s) {
            return word_chances(flow(s), flow(sound), tables_.bench().heard_from_lpm, weigher_.priors());
        };
        const auto healthy = chances(sound);
        std::vector<std::array<double, words>> all;
        all.reserve(states_.size());
        for (const Weighted& s : states_) {
            const auto mechanism = static_cast<Mechanism>(s.mechanism);
            const bool seal = s.state.first >= 0;
            const bool heals =
                (change == Kind::wet && seal && mechanism == Mechanism::dry_film) ||
                (change == Kind::resnug && seal && mechanism == Mechanism::joint_face) ||
                (change == Kind::resnug && s.state.rig >= 0 &&
                 tables_.rig_faults()[static_cast<std::size_t>(s.state.rig)].kind == RigFault::Kind::plate);
            const bool redraws = (change == Kind::turn && seal && mechanism == Mechanism::joint) ||
                                 (change == Kind::push && seal && mechanism == Mechanism::groove_wall);
            if (heals) {
                all.push_back(healthy);
            } else if (redraws) {
                std::array<double, words> mean = healthy;
                for (double& m : mean)
                    m *= 0.3;
                for (std::size_t i = 0; i < size_count; ++i) {
                    const auto one = chances(tables_.single(table, static_cast<std::size_t>(s.state.first), i));
                    for (std::size_t k = 0; k < words; ++k)
                        mean[k] += 0.7 / size_count * one[k];
                }
                all.push_back(mean);
            } else {
                all.push_back(chances(shown(table, s.state)));
            }
        }
        return all;
    }

    /// The most telling ports of a setting together.
    NextStep heard(std::size_t table, Kind kind) {
        const std::size_t ports = map_.ports.size();
        const Setting& setting = tables_.setting(table);
        struct Port {
            std::size_t port;
            double bits;
            std::vector<std::array<double, words>> chance;
        };
        std::vector<Port> list;
        for (std::size_t p = 0; p <= ports; ++p) {
            if (p < ports && (static_cast<int>(p) == setting.into || setting.plugged[p])) continue;
            Port port{p, 0, words_at(table, p, kind)};
            port.bits = information(as_outcomes(port.chance));
            if (port.bits > 0.25 * trifle_bits) list.push_back(std::move(port));
        }
        std::stable_sort(list.begin(), list.end(), [](const Port& a, const Port& b) { return a.bits > b.bits; });
        if (list.size() > joint_ports) list.resize(joint_ports);
        NextStep step;
        step.kind = kind;
        step.into = setting.into;
        step.supply_gauge_pa = setting.supply_gauge_pa;
        for (std::size_t p = 0; p < ports; ++p) {
            if (setting.plugged[p]) step.plugged.push_back(static_cast<int>(p));
        }
        if (list.empty()) return step;
        std::vector<std::vector<double>> joint(states_.size(), {1.0});
        for (const Port& port : list) {
            if (port.port < ports) step.watch.push_back(static_cast<int>(port.port));
            for (std::size_t s = 0; s < states_.size(); ++s) {
                std::vector<double> finer;
                finer.reserve(joint[s].size() * words);
                for (const double chance : joint[s]) {
                    for (std::size_t k = 0; k < words; ++k)
                        finer.push_back(chance * port.chance[s][k]);
                }
                joint[s] = std::move(finer);
            }
        }
        step.bits = information(joint);
        return step;
    }
    [[nodiscard]] static std::vector<std::vector<double>>
    as_outcomes(const std::vector<std::array<double, words>>& chance) {
        std::vector<std::vector<double>> outcomes;
        outcomes.reserve(chance.size());
        for (const auto& c : chance)
            outcomes.emplace_back(c.begin(), c.end());
        return outcomes;
    }

    [[nodiscard]] Setting setting(int into, int plugged = -1) const {
        Setting s;
        s.into = into;
        s.supply_gauge_pa = weigher_.usual_gauge_pa();
        s.plugged.assign(map_.ports.size(), false);
        if (plugged >= 0) s.plugged[static_cast<std::size_t>(plugged)] = true;
        return s;
    }
    /// True where this was done already, as far as words go: to hear the same again tells nothing.
    [[nodiscard]] bool made(const Setting& wanted, Kind kind) const {
        return std::any_of(check_.readings.begin(), check_.readings.end(), [&](const model::Reading& r) {
            const Setting was = setting_of(map_, r, weigher_.usual_gauge_pa());
            if (was.into != wanted.into || was.plugged != wanted.plugged) return false;
            switch (kind) {
            case Kind::wet:
                return r.wet;
            case Kind::turn:
                return r.shaft_turned_deg.value_or(0) != 0;
            case Kind::push:
                return r.pushed.has_value();
            case Kind::resnug:
                return r.plate_resnugged;
            default:
                return true;
            }
        });
    }

    void listening() {
        for (int into = 0; into < static_cast<int>(map_.ports.size()); ++into) {
            const Setting s = setting(into);
            if (made(s, Kind::listen)) continue;
            NextStep step = heard(tables_.table_of(s), Kind::listen);
            step.minutes = weigher_.priors().minutes_reading;
            steps_.push_back(std::move(step));
        }
    }

    /// Pairs of ports whose circuits a likely seal divides.
    [[nodiscard]] std::vector<std::array<int, 2>> likely_pairs() const {
        std::vector<double> chance(map_.seals.size(), 0);
        for (const Weighted& s : states_) {
            if (s.state.first >= 0) chance[tables_.faults()[static_cast<std::size_t>(s.state.first)].seal] += s.weight;
        }
        std::vector<std::pair<double, std::array<int, 2>>> pairs;
        for (std::size_t a = 0; a < map_.ports.size(); ++a) {
            for (std::size_t b = 0; b < map_.ports.size(); ++b) {
                double sum = 0;
                for (std::size_t s = 0; s < map_.seals.size(); ++s) {
                    const auto& between = map_.seals[s].between;
                    const auto& first = map_.ports[a].circuit;
                    const auto& second = map_.ports[b].circuit;
                    if ((between[0] == first && between[1] == second) || (between[1] == first && between[0] == second))
                        sum += chance[s];
                }
                if (sum > 0.05) pairs.push_back({sum, {static_cast<int>(a), static_cast<int>(b)}});
            }
        }
        std::stable_sort(pairs.begin(), pairs.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
        constexpr std::size_t most_pairs = 6;
        std::vector<std::array<int, 2>> list;
        for (std::size_t k = 0; k < std::min(pairs.size(), most_pairs); ++k)
            list.push_back(pairs[k].second);
        return list;
    }

    void gauging() {
        for (const auto& pair : likely_pairs()) {
            const Setting s = setting(pair[0], pair[1]);
            if (made(s, Kind::gauge)) continue;
            const std::size_t table = tables_.table_of(s);
            const auto port = static_cast<std::size_t>(pair[1]);
            const double sound = double(tables_.sound(table).gauge_pa[port]);
            std::vector<std::vector<double>> chance;
            for (const Weighted& w : states_)
                chance.push_back(gauge_chances(double(shown(table, w.state).gauge_pa[port]), sound, s.supply_gauge_pa));
            NextStep step;
            step.kind = Kind::gauge;
            step.into = pair[0];
            step.watch = {pair[1]};
            step.supply_gauge_pa = s.supply_gauge_pa;
            step.bits = information(chance);
            step.minutes = weigher_.priors().minutes_reading + weigher_.priors().minutes_gauge;
            steps_.push_back(step);
        }
    }
    /// Chances that a gauge stands in each tenth of the supply's pressure, with the errors of the likelihood.
    [[nodiscard]] std::vector<double> gauge_chances(double gauge, double sound, double supply) const {
        std::vector<double> chance;
        double sum = 0;
        const Errors errors{weigher_.priors(), tables_.bench().heard_from_lpm, supply};
        Predicted p;
        p.gauge_pa = gauge;
        p.sound_gauge_pa = sound;
        for (std::size_t k = 0; k < gauge_bins; ++k) {
            // The mean of three places of the bin.
            double density = 0;
            for (const double at : {0.2, 0.5, 0.8}) {
                model::Seen seen;
                seen.pressure = model::GaugePressure{(static_cast<double>(k) + at) / gauge_bins * supply / 1e5,
                                                     model::PressureDimension::Unit::bar};
                density += std::exp(log_likelihood(seen, p, errors));
            }
            chance.push_back(density);
            sum += density;
        }
        for (double& c : chance)
            c /= sum;
        return chance;
    }

    void changing() {
        const auto& p = weigher_.priors();
        const auto pairs = likely_pairs();
        if (pairs.empty()) return;
        const Setting s = setting(pairs.front()[0]);
        if (!made(s, Kind::listen)) return; // a change is heard against the plain reading
        const std::size_t table = tables_.table_of(s);
        const std::array<std::pair<Kind, double>, 4> changes{{{Kind::wet, p.minutes_wet},
                                                              {Kind::turn, p.minutes_turn},
                                                              {Kind::push, p.minutes_push},
                                                              {Kind::resnug, p.minutes_resnug}}};
        for (const auto& change : changes) {
            if (made(s, change.first)) continue;
            NextStep step = heard(table, change.first);
            step.minutes = p.minutes_reading + change.second;
            steps_.push_back(std::move(step));
        }
        timing(pairs.front());
    }

    void timing(const std::array<int, 2>& pair) {
        const Setting s = setting(pair[0], pair[1]);
        const bool timed = std::any_of(check_.readings.begin(), check_.readings.end(), [&](const model::Reading& r) {
            return setting_of(map_, r, weigher_.usual_gauge_pa()) == s;
        });
        if (timed) return;
        const std::size_t table = tables_.table_of(s);
        const double sound = tables_.apply_time_s(table, State{}, pair[1]);
        std::vector<std::vector<double>> chance;
        for (const Weighted& w : states_) {
            // Only what changes the closed port's pressure can change its time.
            const bool changes = std::abs(shown(table, w.state).gauge_pa[static_cast<std::size_t>(pair[1])] -
                                          tables_.sound(table).gauge_pa[static_cast<std::size_t>(pair[1])]) >
                                 0.01F * float(s.supply_gauge_pa);
            const double t = changes ? tables_.apply_time_s(table, w.state, pair[1]) : sound;
            const double spread = std::hypot(weigher_.priors().time_error, 0.25);
            const auto before = [&](double at_s) {
                return std::isfinite(t) ? 0.5 * std::erfc(-std::log(at_s / t) / spread / std::sqrt(2.0)) : 0.0;
            };
            const double at_once = before(0.5), in_time = before(4);
            chance.push_back(
                {0.96 * at_once + 0.0133, 0.96 * (in_time - at_once) + 0.0133, 0.96 * (1 - in_time) + 0.0134});
        }
        static_assert(time_bins == 3);
        NextStep step;
        step.kind = Kind::timed;
        step.into = pair[0];
        step.plugged = {pair[1]};
        step.watch = {pair[1]};
        step.supply_gauge_pa = s.supply_gauge_pa;
        step.bits = information(chance);
        step.minutes = weigher_.priors().minutes_reading + weigher_.priors().minutes_plug;
        steps_.push_back(step);
    }

    void looking() {
        const auto& p = weigher_.priors();
        for (std::size_t s = 0; s < map_.seals.size(); ++s) {
            const auto& seal = map_.seals[s];
            if (!seal.look_minutes) continue;
            if (std::any_of(check_.looks.begin(), check_.looks.end(), [&](const auto& l) { return l.seal == seal.id; }))
                continue;
            std::vector<std::vector<double>> chance;
            for (const Weighted& w : states_) {
                const bool at_fault =
                    w.state.first >= 0 && tables_.faults()[static_cast<std::size_t>(w.state.first)].seal == s;
                const double damaged = at_fault ? 1 - p.look_misses : p.look_alarms;
                chance.push_back({damaged, 1 - damaged});
            }
            NextStep step;
            step.kind = Kind::look;
            step.seal = static_cast<int>(s);
            step.bits = information(chance);
            step.minutes = std::max(0.5, *seal.look_minutes);
            steps_.push_back(step);
        }
    }

    void rigging() {
        constexpr double found = 0.9, alarm = 0.02;
        // Where it was resnugged or proved, nothing new comes of it.
        if (std::any_of(check_.readings.begin(), check_.readings.end(),
                        [](const auto& r) { return r.plate_resnugged; }))
            return;
        std::vector<std::vector<double>> chance;
        for (const Weighted& w : states_) {
            const double leaks = w.group == rig_group() ? found : alarm;
            chance.push_back({leaks, 1 - leaks});
        }
        NextStep step;
        step.kind = Kind::rig;
        step.bits = information(chance);
        step.minutes = weigher_.priors().minutes_rig;
        steps_.push_back(step);
    }

    [[nodiscard]] std::string port(int p) const {
        const auto& port = map_.ports[static_cast<std::size_t>(p)];
        return fmt::format("{} {}", port.id, model::port_label(map_, port));
    }
    [[nodiscard]] std::string words_of(const NextStep& step) const {
        std::vector<std::string> watch;
        for (const int p : step.watch)
            watch.push_back(port(p));
        const std::string at = watch.empty() ? "every port" : fmt::format("{}", fmt::join(watch, ", "));
        switch (step.kind) {
        case Kind::listen:
            return fmt::format("Air into {}, all others open. Listen at {} first, then at every other port.",
                               port(step.into), at);
        case Kind::gauge:
            return fmt::format("Air into {}, a gauge on {}: read it.", port(step.into), at);
        case Kind::timed:
            return fmt::format("Close {}, air into {}: how long until its element applies?", at, port(step.into));
        case Kind::wet:
            return fmt::format(
                "A squirt of oil into {}, a few strokes and a turn of the shaft; then air into it again. Listen at {}.",
                port(step.into), at);
        case Kind::turn:
            return fmt::format("Turn the shaft a quarter, then air into {} again. Listen at {}.", port(step.into), at);
        case Kind::push:
            return fmt::format("Push the shaft through its end play, then air into {} again. Listen at {}.",
                               port(step.into), at);
        case Kind::resnug:
            return fmt::format(
                "Air off. Snug the plate's bolts anew in their pattern, then air into {} again. Listen at {}.",
                port(step.into), at);
        case Kind::rig:
            return "Prove the rig: close the nozzle and watch the gauge, oil along the edge of the plate and watch for "
                   "bubbles.";
        case Kind::look: {
            const auto& seal = map_.seals[static_cast<std::size_t>(step.seal)];
            return fmt::format("Look at {} ({}){}", seal.id, model::seal_name(map_, seal),
                               seal.look.empty() ? "." : ": " + seal.look);
        }
        }
        return {};
    }

    Weigher& weigher_;
    const model::AirCheck& check_;
    Tables& tables_;
    const model::UnitMap& map_;
    std::vector<Weighted> states_;
    std::vector<NextStep> steps_;
};

} // namespace

Advice advise(Weigher& weigher, const model::AirCheck& check, std::size_t most) {
    return Adviser(weigher, check).advise(most);
}

model::Reading reading_of(const model::UnitMap& map, const NextStep& step) {
    model::Reading reading;
    if (step.into < 0) return reading;
    const auto id = [&](int p) { return map.ports[static_cast<std::size_t>(p)].id; };
    reading.into = id(step.into);
    for (const int p : step.plugged)
        reading.plugged.push_back(id(p));
    reading.wet = step.kind == Kind::wet;
    if (step.kind == Kind::turn) reading.shaft_turned_deg = 90;
    if (step.kind == Kind::push) reading.pushed = model::Pushed::in;
    reading.plate_resnugged = step.kind == Kind::resnug;
    return reading;
}

} // namespace ringland::diagnosis::suspects
