// One reading worked out for every state: what each would show, and how well that agrees with what was seen.
#include <algorithm>
#include <cmath>
#include <limits>

#include "information.h"
#include "pair_grid.h"
#include "weigh_impl.h"

namespace ringland::diagnosis::suspects {

namespace {

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

class CaseWork {
public:
    CaseWork(Tables& tables, const Errors& errors, const std::vector<std::size_t>& plain, Case& c)
        : tables_(tables), errors_(errors), plain_(plain), c_(c), sound_(tables.sound(c.table)),
          timed_(c.reading.applied || std::any_of(c.reading.seen.begin(), c.reading.seen.end(),
                                                  [](const model::Seen& s) { return s.applies_after_s.has_value(); })) {
        for (const model::Seen& seen : c.reading.seen)
            port_.push_back(port_of(seen.at));
    }

    void work() {
        sound_times_ = times_of(State{});
        for (std::size_t k = 0; k < port_.size(); ++k)
            sound_seen_.push_back(log_likelihood(c_.reading.seen[k], sound_at(k), errors_));
        c_.sound = log_of(FiguresOf{sound_}, sound_times_);
        singles();
        rig();
        for (const auto& seen : c_.reading.seen)
            c_.unmapped += log_likelihood_unmapped(seen, errors_);
        if (c_.reading.applied) c_.unmapped += std::log(1.0 / 3);
        pairs();
    }

private:
    [[nodiscard]] std::size_t case_port() const { return tables_.map().ports.size(); }
    /// Place of the port, the open case after the last one.
    [[nodiscard]] std::size_t port_of(const std::string& id) const {
        const auto& ports = tables_.map().ports;
        if (id == model::open_case) return ports.size();
        return static_cast<std::size_t>(
            std::find_if(ports.begin(), ports.end(), [&](const auto& p) { return p.id == id; }) - ports.begin());
    }

    /// What a state shows at a port: flow, and a gauge where it is one.
    struct Figures {
        double flow_lpm = 0, gauge_pa = 0;
    };
    struct FiguresOf {
        Shown shown;
        Figures operator()(std::size_t port) const {
            if (port == shown.flow_lpm.size()) return {double(shown.case_lpm), 0};
            return {double(shown.flow_lpm[port]), double(shown.gauge_pa[port])};
        }
    };
    [[nodiscard]] Predicted sound_at(std::size_t k) const {
        const Figures f = FiguresOf{sound_}(port_[k]);
        return {f.flow_lpm, f.flow_lpm, f.gauge_pa, f.gauge_pa, sound_times_[k]};
    }

    /// Log-likelihood of all that was seen, for a state that shows `figures(port)` and takes so long.
    template <class At> [[nodiscard]] double log_of(const At& figures, const std::vector<double>& times) const {
        double sum = 0;
        for (std::size_t k = 0; k < port_.size(); ++k) {
            const model::Seen& seen = c_.reading.seen[k];
            Predicted p = sound_at(k);
            const Figures own = figures(port_[k]);
            p.flow_lpm = own.flow_lpm;
            p.gauge_pa = own.gauge_pa;
            p.apply_s = times[k];
            // Most faults change nothing at most ports.
            const bool as_sound = seen.word && std::abs(p.flow_lpm - p.sound_lpm) < 1e-4 * (1 + p.sound_lpm);
            sum += as_sound ? sound_seen_[k] : log_likelihood(seen, p, errors_);
        }
        if (c_.reading.applied) sum += log_likelihood(*c_.reading.applied, times.back(), errors_);
        return sum;
    }

    /// Times of a state, where the reading has any: one for each seen thing, the fed element's last.
    std::vector<double> times_of(const State& state) {
        std::vector<double> times(port_.size() + 1, 0);
        if (!timed_) return times;
        for (std::size_t k = 0; k < port_.size(); ++k) {
            if (c_.reading.seen[k].applies_after_s)
                times[k] = tables_.apply_time_s(c_.table, state, static_cast<int>(port_[k]));
        }
        if (c_.reading.applied) times.back() = tables_.apply_time_s(c_.table, state, tables_.setting(c_.table).into);
        return times;
    }
    /// True where the largest hole moves a pressure: only then can it change a time.
    [[nodiscard]] bool touches(std::size_t fault) const {
        const Shown most = tables_.single(c_.table, fault, size_count - 1);
        const float felt = 0.005F * static_cast<float>(tables_.setting(c_.table).supply_gauge_pa);
        for (std::size_t k = 0; k < most.circuit_pa.size(); ++k) {
            if (std::abs(most.circuit_pa[k] - sound_.circuit_pa[k]) > felt) return true;
        }
        return false;
    }

    void singles() {
        const std::size_t faults = tables_.faults().size();
        times_.assign(timed_ ? faults * size_count : 0, sound_times_);
        for (std::size_t f = 0; f < faults; ++f) {
            const bool meets = timed_ && touches(f);
            for (std::size_t i = 0; i < size_count; ++i) {
                if (tables_.idle(c_.table, f, i)) {
                    c_.fault.push_back(c_.sound);
                    continue;
                }
                if (meets) times_[f * size_count + i] = times_of(State{static_cast<int>(f), i, -1, 0, -1});
                c_.fault.push_back(log_of(FiguresOf{tables_.single(c_.table, f, i)},
                                          timed_ ? times_[f * size_count + i] : sound_times_));
            }
        }
    }
    void rig() {
        for (std::size_t r = 0; r < tables_.rig_faults().size(); ++r) {
            for (std::size_t i = 0; i < size_count; ++i)
                c_.rig.push_back(log_of(FiguresOf{tables_.rig(c_.table, r, i)}, sound_times_));
        }
    }

    void pairs() {
        const std::size_t faults = tables_.faults().size();
        c_.pair_at.assign(faults * faults, -1);
        std::vector<bool> observed(case_port() + 1, false);
        for (const std::size_t port : port_)
            observed[port] = true;
        // An element that is felt or timed hangs on the pressures, which `meddle` looks at for itself.
        observed[static_cast<std::size_t>(tables_.setting(c_.table).into)] = c_.reading.applied.has_value();
        std::vector<double> both(port_.size() + 1, 0);
        for (std::size_t a = 0; a < plain_.size(); ++a) {
            for (std::size_t b = a + 1; b < plain_.size(); ++b) {
                const std::size_t f = plain_[a], g = plain_[b];
                if (!tables_.meddle(c_.table, f, g, observed)) continue;
                const PairGrid grid(tables_, c_.table, f, g);
                c_.pair_at[f * faults + g] = static_cast<int>(c_.pair.size());
                auto& logs = c_.pair.emplace_back();
                for (std::size_t n = 0; n < pair_combos; ++n) {
                    const std::size_t i = n / size_count, k = n % size_count;
                    if (timed_) together(times_[f * size_count + i], times_[g * size_count + k], both);
                    logs[n] = log_of(
                        [&](std::size_t port) {
                            return Figures{grid.flow_lpm(port, i, k),
                                           port == case_port() ? 0 : grid.gauge_pa(port, i, k)};
                        },
                        both);
                }
            }
        }
    }
    /// A blocked neighbour applies as soon as the quicker of two leaks fills it; the fed element is as slow as the
    /// larger of two leaks makes it.
    void together(const std::vector<double>& a, const std::vector<double>& b, std::vector<double>& both) const {
        for (std::size_t k = 0; k < port_.size(); ++k)
            both[k] = std::min(a[k], b[k]);
        both.back() = std::max(a.back(), b.back());
    }

    Tables& tables_;
    const Errors errors_;
    const std::vector<std::size_t>& plain_;
    Case& c_;
    const Shown sound_;
    const bool timed_;
    std::vector<std::size_t> port_;
    std::vector<double> sound_times_, sound_seen_;
    std::vector<std::vector<double>> times_; ///< by fault and size
};

} // namespace

const Case& Weigher::Impl::case_of(const model::Reading& reading) {
    for (const Case& c : cases) {
        if (c.reading == reading) return c;
    }
    Case c;
    c.reading = reading;
    c.table = tables.table_of(setting_of(tables.map(), reading, usual_pa));
    CaseWork(tables, errors_of(c), plain, c).work();
    cases.push_back(std::move(c));
    return cases.back();
}

double Weigher::Impl::single_log(const Case& c, std::size_t fault, std::size_t size, model::Mechanism mechanism) const {
    switch (effect_of(mechanism, c.reading)) {
    case Effect::same:
        break;
    case Effect::heals:
        return c.sound;
    case Effect::redraws: {
        // It may be tight now, or any size.
        std::array<double, size_count + 1> logs{};
        for (std::size_t i = 0; i < size_count; ++i)
            logs[i] = std::log(1 - redrawn_tight) + size_log[i] + c.fault[fault * size_count + i];
        logs[size_count] = std::log(redrawn_tight) + c.sound;
        return log_sum(logs);
    }
    }
    return c.fault[fault * size_count + size];
}

} // namespace ringland::diagnosis::suspects
