#include "next_step.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <string_view>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../divide.h"
#include "information.h"
#include "likelihood.h"

namespace ringland::diagnosis::suspects {

namespace {

using Kind = NextStep::Kind;
using model::Mechanism;

constexpr std::size_t joint_ports = 4, word_count = 4;
constexpr std::size_t gauge_bins = 10, beside_gauge = 2;

/// One state of the posterior with its mechanism; what it means for the hands stands in Candidates.
struct Hypothesis {
    State state;
    std::size_t mechanism = 0;
};

class Adviser {
public:
    Adviser(Weigher& weigher, const model::AirCheck& check, const std::function<bool()>& stop,
            const model::Translator& tr)
        : weigher_(weigher), check_(check), stop_(stop), tr_(tr), tables_(weigher.tables()), map_(tables_.map()) {
        gather();
    }

    Advice advise(std::size_t most) {
        Advice advice = ask(pull_class_, most);
        advice.exhausted = !advice.stopped && advice.steps.empty();
        if (!advice.exhausted) return advice;
        Advice another = ask(both_class_, most);
        another.exhausted = true;
        another.second = !another.steps.empty();
        if (another.steps.empty()) another.entropy_bits = advice.entropy_bits;
        return another;
    }

private:
    [[nodiscard]] bool stopped() const { return stop_ && stop_(); }

    /// The steps that tell of these classes.
    Advice ask(const std::vector<std::size_t>& class_of, std::size_t most) {
        candidates_.class_of = class_of;
        candidates_.classes = 1 + *std::max_element(class_of.begin(), class_of.end());
        steps_.clear();
        Advice advice;
        advice.entropy_bits = entropy_bits(class_weights(candidates_));
        listening();
        if (!stopped()) gauging();
        if (!stopped()) changing();
        if (!stopped()) looking();
        if (!stopped()) rigging();
        advice.stopped = stopped();
        if (advice.stopped) return advice;
        std::stable_sort(steps_.begin(), steps_.end(),
                         [](const NextStep& a, const NextStep& b) { return a.bits / a.minutes > b.bits / b.minutes; });
        steps_.erase(
            std::remove_if(steps_.begin(), steps_.end(), [](const NextStep& s) { return s.bits < trifle_bits; }),
            steps_.end());
        if (steps_.size() > most) steps_.resize(most);
        for (NextStep& step : steps_)
            step.words = words_of(step);
        advice.steps = std::move(steps_);
        return advice;
    }

    /// Classes: the groups that come off, then "nothing wrong", then "the rig", then two groups together. A pair either
    /// counts for the likelier group of the two, or for both.
    [[nodiscard]] std::size_t sound_class() const { return weigher_.groups().size(); }
    [[nodiscard]] std::size_t rig_class() const { return weigher_.groups().size() + 1; }

    void gather() {
        const Posterior& p = weigher_.posterior();
        const auto add = [&](State state, std::size_t mechanism, std::size_t pull, std::size_t both, double weight) {
            states_.push_back({state, mechanism});
            pull_class_.push_back(pull);
            both_class_.push_back(both);
            candidates_.weight.push_back(weight);
        };
        const auto group = [&](std::size_t fault) { return weigher_.group_of()[tables_.faults()[fault].seal]; };
        std::vector<double> chance(weigher_.groups().size(), 0);
        for (const auto& single : p.singles)
            chance[group(single.fault)] += single.weight;
        for (const auto& pair : p.pairs) {
            chance[group(pair.first)] += pair.weight;
            if (group(pair.second) != group(pair.first)) chance[group(pair.second)] += pair.weight;
        }
        for (const auto& single : p.singles) {
            if (single.weight < least_weight) continue;
            add(State{static_cast<int>(single.fault), single.size, -1, 0, -1}, single.mechanism, group(single.fault),
                group(single.fault), single.weight);
        }
        for (std::size_t k = 0; k < p.rig.size(); ++k) {
            if (p.rig[k] < least_weight) continue;
            add(State{-1, k % size_count, -1, 0, static_cast<int>(k / size_count)}, 0, rig_class(), rig_class(),
                p.rig[k]);
        }
        add(State{}, 0, sound_class(), sound_class(), p.sound);
        std::map<std::array<std::size_t, 2>, std::size_t> pair_class;
        for (const auto& pair : p.pairs) {
            if (pair.weight < least_pair_weight) continue;
            const std::size_t g = group(pair.first), h = group(pair.second);
            std::size_t both = g;
            if (g != h) {
                const std::array<std::size_t, 2> key{std::min(g, h), std::max(g, h)};
                both = pair_class.try_emplace(key, rig_class() + 1 + pair_class.size()).first->second;
            }
            add(State{static_cast<int>(pair.first), pair.first_size, static_cast<int>(pair.second), pair.second_size,
                      -1},
                0, chance[h] > chance[g] ? h : g, both, pair.weight);
        }
        double sum = 0;
        for (const double w : candidates_.weight)
            sum += w;
        for (double& w : candidates_.weight)
            w /= sum;
    }

    /// True where the state shows what a sound unit shows.
    [[nodiscard]] bool idle(std::size_t table, const State& s) const {
        if (s.rig >= 0) return false;
        const auto of = [&](int fault, std::size_t size) {
            return fault < 0 || tables_.idle(table, static_cast<std::size_t>(fault), size);
        };
        return of(s.first, s.first_size) && of(s.second, s.second_size);
    }
    /// A figure of what the state shows. Two faults add up what each changes by itself: near enough to choose a step
    /// by, and nothing is solved for it.
    template <class Figure> [[nodiscard]] double figure(std::size_t table, const State& s, const Figure& of) const {
        if (s.rig >= 0) return of(tables_.rig(table, static_cast<std::size_t>(s.rig), s.first_size));
        if (s.first < 0) return of(tables_.sound(table));
        const double first = of(tables_.single(table, static_cast<std::size_t>(s.first), s.first_size));
        if (s.second < 0) return first;
        const double second = of(tables_.single(table, static_cast<std::size_t>(s.second), s.second_size));
        return std::max(0.0, first + second - of(tables_.sound(table)));
    }
    [[nodiscard]] static auto flow_at(std::size_t port) {
        return [port](const Shown& s) { return double(port == s.flow_lpm.size() ? s.case_lpm : s.flow_lpm[port]); };
    }
    [[nodiscard]] static auto gauge_at(std::size_t port) {
        return [port](const Shown& s) { return double(s.gauge_pa[port]); };
    }

    enum class Turned { same, heals, redraws };
    [[nodiscard]] Turned turned_by(Kind change, const Hypothesis& h) const {
        const auto mechanism = static_cast<Mechanism>(h.mechanism);
        const bool plate = h.state.rig >= 0 &&
                           tables_.rig_faults()[static_cast<std::size_t>(h.state.rig)].kind == RigFault::Kind::plate;
        if (change == Kind::resnug && plate) return Turned::heals;
        if (h.state.first < 0) return Turned::same;
        if (change == Kind::wet && mechanism == Mechanism::dry_film) return Turned::heals;
        if (change == Kind::resnug && mechanism == Mechanism::joint_face) return Turned::heals;
        if (change == Kind::turn && mechanism == Mechanism::joint) return Turned::redraws;
        if (change == Kind::push && mechanism == Mechanism::groove_wall) return Turned::redraws;
        return Turned::same;
    }

    /// Word chances of every state at one port; the open case comes after the last port. A change of the test heals or
    /// redraws what its mechanism says.
    [[nodiscard]] Outlook words_at(std::size_t table, std::size_t port, Kind change) const {
        const auto flow = flow_at(port);
        const double sound = flow(tables_.sound(table));
        const auto chances = [&](double lpm) {
            return word_chances(lpm, sound, tables_.bench().heard_from_lpm, weigher_.priors());
        };
        const auto healthy = chances(sound);
        Outlook all;
        all.outcomes = word_count;
        all.chance.reserve(states_.size() * word_count);
        // Most faults change nothing at most ports, and mechanisms share what a fault of one size shows.
        std::vector<std::array<double, word_count>> known(tables_.faults().size() * size_count);
        std::vector<char> is_known(known.size(), 0);
        const auto shown = [&](const State& s) {
            if (idle(table, s)) return healthy;
            const double lpm = figure(table, s, flow);
            if (std::abs(lpm - sound) < 1e-3 * (1 + sound)) return healthy;
            if (s.first < 0 || s.second >= 0) return chances(lpm);
            const std::size_t place = static_cast<std::size_t>(s.first) * size_count + s.first_size;
            if (!is_known[place]) known[place] = chances(lpm);
            is_known[place] = 1;
            return known[place];
        };
        for (const Hypothesis& h : states_) {
            std::array<double, word_count> own = healthy;
            switch (turned_by(change, h)) {
            case Turned::heals:
                break;
            case Turned::redraws:
                for (double& chance : own)
                    chance *= redrawn_tight;
                for (std::size_t i = 0; i < size_count; ++i) {
                    const auto one = chances(flow(tables_.single(table, static_cast<std::size_t>(h.state.first), i)));
                    for (std::size_t k = 0; k < word_count; ++k)
                        own[k] += (1 - redrawn_tight) * weigher_.size_chance()[i] * one[k];
                }
                break;
            case Turned::same:
                own = shown(h.state);
            }
            all.chance.insert(all.chance.end(), own.begin(), own.end());
        }
        return all;
    }

    struct Heard {
        std::vector<std::size_t> ports; ///< the most telling first
        Outlook together{1, {}};
    };
    /// What is heard at the most telling ports of a setting, together.
    [[nodiscard]] Heard heard(std::size_t table, Kind change, std::size_t most_ports) const {
        const std::size_t ports = map_.ports.size();
        const Setting& setting = tables_.setting(table);
        struct Port {
            std::size_t port;
            double bits;
            Outlook outlook;
        };
        std::vector<Port> list;
        for (std::size_t p = 0; p <= ports; ++p) {
            if (p < ports && (static_cast<int>(p) == setting.into || setting.plugged[p])) continue;
            Port port{p, 0, words_at(table, p, change)};
            port.bits = information_bits(candidates_, port.outlook);
            if (port.bits > 0.25 * trifle_bits) list.push_back(std::move(port));
        }
        std::stable_sort(list.begin(), list.end(), [](const Port& a, const Port& b) { return a.bits > b.bits; });
        if (list.size() > most_ports) list.resize(most_ports);
        Heard heard;
        heard.together.chance.assign(states_.size(), 1);
        for (const Port& port : list) {
            heard.ports.push_back(port.port);
            heard.together = together(heard.together, port.outlook);
        }
        return heard;
    }

    NextStep listen(std::size_t table, Kind kind) {
        const Setting& setting = tables_.setting(table);
        const Heard h = heard(table, kind, joint_ports);
        NextStep step;
        step.kind = kind;
        step.into = setting.into;
        step.supply_gauge_pa = setting.supply_gauge_pa;
        for (std::size_t p = 0; p < map_.ports.size(); ++p) {
            if (setting.plugged[p]) step.plugged.push_back(static_cast<int>(p));
        }
        for (const std::size_t p : h.ports) {
            if (p < map_.ports.size()) step.watch.push_back(static_cast<int>(p));
        }
        if (!h.ports.empty()) step.bits = information_bits(candidates_, h.together);
        return step;
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
        for (int into = 0; into < static_cast<int>(map_.ports.size()) && !stopped(); ++into) {
            const Setting s = setting(into);
            if (made(s, Kind::listen)) continue;
            NextStep step = listen(tables_.table_of(s), Kind::listen);
            step.minutes = weigher_.priors().minutes_reading;
            steps_.push_back(std::move(step));
        }
    }

    /// Pairs of ports whose circuits a likely seal divides.
    [[nodiscard]] std::vector<std::array<int, 2>> likely_pairs() const {
        std::vector<double> chance(map_.seals.size(), 0);
        for (std::size_t k = 0; k < states_.size(); ++k) {
            for (const int fault : {states_[k].state.first, states_[k].state.second}) {
                if (fault >= 0) chance[tables_.faults()[static_cast<std::size_t>(fault)].seal] += candidates_.weight[k];
            }
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
            if (stopped()) return;
            const Setting s = setting(pair[0], pair[1]);
            if (made(s, Kind::gauge)) continue;
            const std::size_t table = tables_.table_of(s);
            const auto gauge = gauge_at(static_cast<std::size_t>(pair[1]));
            const double sound = gauge(tables_.sound(table));
            Outlook reads;
            reads.outcomes = gauge_bins;
            const auto healthy = gauge_chances(sound, sound, s.supply_gauge_pa);
            for (const Hypothesis& h : states_) {
                const auto own = idle(table, h.state)
                                     ? healthy
                                     : gauge_chances(std::min(figure(table, h.state, gauge), s.supply_gauge_pa), sound,
                                                     s.supply_gauge_pa);
                reads.chance.insert(reads.chance.end(), own.begin(), own.end());
            }
            // While the gauge is read, the open ports are listened at.
            const Heard beside = heard(table, Kind::gauge, beside_gauge);
            NextStep step;
            step.kind = Kind::gauge;
            step.into = pair[0];
            step.watch = {pair[1]};
            for (const std::size_t p : beside.ports) {
                if (p < map_.ports.size()) step.watch.push_back(static_cast<int>(p));
            }
            step.supply_gauge_pa = s.supply_gauge_pa;
            step.bits = information_bits(candidates_, together(reads, beside.together));
            step.minutes = weigher_.priors().minutes_reading + weigher_.priors().minutes_gauge;
            steps_.push_back(std::move(step));
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
            NextStep step = listen(table, change.first);
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
        const auto gauge = gauge_at(static_cast<std::size_t>(pair[1]));
        const double sound_pa = gauge(tables_.sound(table));
        const double sound_s = tables_.apply_time_s(table, State{}, pair[1]);
        const double spread = std::hypot(weigher_.priors().time_error, 0.25);
        Outlook outlook;
        outlook.outcomes = 3; // at once, after a while, not at all
        for (const Hypothesis& h : states_) {
            if (stopped()) return;
            // Only what changes the closed port's pressure can change its time.
            const bool changes = std::abs(figure(table, h.state, gauge) - sound_pa) > 0.01 * s.supply_gauge_pa;
            const double t = changes ? tables_.apply_time_s(table, h.state, pair[1]) : sound_s;
            const auto before = [&](double at_s) {
                return std::isfinite(t) ? 0.5 * std::erfc(-std::log(at_s / t) / spread / std::sqrt(2.0)) : 0.0;
            };
            const double at_once = before(0.5), in_time = before(longest_wait_s);
            for (const double chance : {at_once, in_time - at_once, 1 - in_time})
                outlook.chance.push_back(0.96 * chance + 0.04 / 3);
        }
        NextStep step;
        step.kind = Kind::timed;
        step.into = pair[0];
        step.plugged = {pair[1]};
        step.watch = {pair[1]};
        step.supply_gauge_pa = s.supply_gauge_pa;
        step.bits = information_bits(candidates_, outlook);
        step.minutes = weigher_.priors().minutes_reading + weigher_.priors().minutes_plug;
        steps_.push_back(std::move(step));
    }

    /// A look, or the proof of the rig: damage is found or not, with its own chances of a mistake.
    void look_for(NextStep step, const std::function<bool(const Hypothesis&)>& at_fault) {
        const auto& p = weigher_.priors();
        Outlook outlook;
        outlook.outcomes = 2;
        for (const Hypothesis& h : states_) {
            const double damaged = at_fault(h) ? 1 - p.look_misses : p.look_alarms;
            outlook.chance.insert(outlook.chance.end(), {damaged, 1 - damaged});
        }
        step.bits = information_bits(candidates_, outlook);
        steps_.push_back(std::move(step));
    }
    [[nodiscard]] bool looked_at(std::string_view what) const {
        return std::any_of(check_.looks.begin(), check_.looks.end(), [&](const auto& l) { return l.seal == what; });
    }

    void looking() {
        for (std::size_t s = 0; s < map_.seals.size(); ++s) {
            const auto& seal = map_.seals[s];
            if (!seal.look_minutes || looked_at(seal.id)) continue;
            NextStep step;
            step.kind = Kind::look;
            step.seal = static_cast<int>(s);
            step.minutes = std::max(0.5, *seal.look_minutes);
            look_for(std::move(step), [&](const Hypothesis& h) {
                const auto is = [&](int fault) {
                    return fault >= 0 && tables_.faults()[static_cast<std::size_t>(fault)].seal == s;
                };
                return is(h.state.first) || is(h.state.second);
            });
        }
    }

    void rigging() {
        if (looked_at(model::the_rig)) return;
        NextStep step;
        step.kind = Kind::rig;
        step.minutes = weigher_.priors().minutes_rig;
        look_for(std::move(step), [](const Hypothesis& h) { return h.state.rig >= 0; });
    }

    [[nodiscard]] std::string port(int p) const {
        const auto& port = map_.ports[static_cast<std::size_t>(p)];
        return fmt::format("{} {}", port.id, model::port_label(map_, port));
    }
    [[nodiscard]] std::string words_of(const NextStep& step) const {
        const bool closed = step.kind == Kind::gauge || step.kind == Kind::timed;
        std::vector<std::string> watch;
        for (const int p : step.watch)
            watch.push_back(port(p));
        const std::string first = watch.empty() ? std::string() : watch.front();
        if (closed) watch.erase(watch.begin());
        const std::string at = watch.empty() ? tr_("every port")
                                             : model::filled(tr_("{0} first, then at every other port"),
                                                             fmt::format("{}", fmt::join(watch, ", ")));
        switch (step.kind) {
        case Kind::listen:
            return model::filled(tr_("Air into {0}, all others open. Listen at {1}."), port(step.into), at);
        case Kind::gauge:
            return model::filled(tr_("Air into {0}, a gauge on {1}: read it. Listen at {2}."), port(step.into), first,
                                 at);
        case Kind::timed:
            return model::filled(tr_("Close {0}, air into {1}: how long until its element applies?"), first,
                                 port(step.into));
        case Kind::wet:
            return model::filled(tr_("A squirt of oil into {0}, a few strokes and a turn of the shaft; then air into "
                                     "it again. Listen at {1}."),
                                 port(step.into), at);
        case Kind::turn:
            return model::filled(tr_("Turn the shaft a quarter, then air into {0} again. Listen at {1}."),
                                 port(step.into), at);
        case Kind::push:
            return model::filled(tr_("Push the shaft through its end play, then air into {0} again. Listen at {1}."),
                                 port(step.into), at);
        case Kind::resnug:
            return model::filled(
                tr_("Air off. Snug the plate's bolts anew in their pattern, then air into {0} again. Listen at {1}."),
                port(step.into), at);
        case Kind::rig:
            return tr_(
                "Prove the rig: close the nozzle and watch the gauge, oil along the edge of the plate and watch for "
                "bubbles.");
        case Kind::look: {
            const auto& seal = map_.seals[static_cast<std::size_t>(step.seal)];
            return seal.look.empty()
                       ? model::filled(tr_("Look at {0} ({1})."), seal.id, seal_title(seal, tr_))
                       : model::filled(tr_("Look at {0} ({1}): {2}"), seal.id, seal_title(seal, tr_), seal.look);
        }
        }
        return {};
    }

    Weigher& weigher_;
    const model::AirCheck& check_;
    const std::function<bool()>& stop_;
    const model::Translator& tr_;
    Tables& tables_;
    const model::UnitMap& map_;
    std::vector<Hypothesis> states_;
    std::vector<std::size_t> pull_class_, both_class_; ///< of the states
    Candidates candidates_;                            ///< the same, by the question that is asked
    std::vector<NextStep> steps_;
};

} // namespace

Advice advise(Weigher& weigher, const model::AirCheck& check, std::size_t most, const std::function<bool()>& stop,
              const model::Translator& tr) {
    return Adviser(weigher, check, stop, tr).advise(most);
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
