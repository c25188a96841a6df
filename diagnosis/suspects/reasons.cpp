#include "reasons.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string_view>

#include <fmt/format.h>

#include "../airflow/heard.h"
#include "likelihood.h"

namespace ringland::diagnosis::suspects {

namespace {

constexpr double worth_a_line = 0.25; ///< nats
constexpr std::size_t rival_size = 5; ///< of the grid: what a rival is imagined with

/// Looks one seen thing up in a state.
class Desk {
public:
    Desk(Weigher& weigher, const model::AirCheck& check, const model::Translator& tr = {})
        : weigher_(weigher), check_(check), tables_(weigher.tables()), tr_(tr) {}

    [[nodiscard]] const model::UnitMap& map() const { return tables_.map(); }
    [[nodiscard]] std::size_t table(std::size_t reading) {
        return tables_.table_of(setting_of(map(), check_.readings[reading], weigher_.usual_gauge_pa()));
    }
    [[nodiscard]] Predicted predicted(std::size_t table, const Shown& shown, const model::Seen& seen) const {
        const Shown sound = tables_.sound(table);
        Predicted p;
        if (seen.at == model::open_case) {
            p.flow_lpm = double(shown.case_lpm);
            p.sound_lpm = double(sound.case_lpm);
            return p;
        }
        for (std::size_t port = 0; port < map().ports.size(); ++port) {
            if (map().ports[port].id != seen.at) continue;
            p = {double(shown.flow_lpm[port]), double(sound.flow_lpm[port]), double(shown.gauge_pa[port]),
                 double(sound.gauge_pa[port]), 0};
        }
        return p;
    }
    [[nodiscard]] double log_of(std::size_t table, const Shown& shown, const model::Seen& seen) const {
        const Errors errors{weigher_.priors(), tables_.bench().heard_from_lpm, tables_.setting(table).supply_gauge_pa};
        return log_likelihood(seen, predicted(table, shown, seen), errors);
    }
    /// Of all hypotheses but the suspect, weighted as they stand.
    [[nodiscard]] double log_of_others(std::size_t table, const Suspect& suspect, const model::Seen& seen) const {
        const Posterior& p = weigher_.posterior();
        double sum = p.sound * std::exp(log_of(table, tables_.sound(table), seen)), weight = p.sound;
        for (const auto& single : p.singles) {
            if (single.weight < 1e-7) continue;
            if (suspect.seals.size() == 1 && tables_.faults()[single.fault].seal == suspect.seals.front()) continue;
            sum += single.weight * std::exp(log_of(table, tables_.single(table, single.fault, single.size), seen));
            weight += single.weight;
        }
        // Rivals count with what they were before, or a clear winner would have nobody to win against.
        const std::size_t seals = map().seals.size();
        const double each = 0.1 / static_cast<double>(seals);
        for (std::size_t f = 0; f < tables_.faults().size(); ++f) {
            if (tables_.faults()[f].seal == suspect.seals.front()) continue;
            sum += each * std::exp(log_of(table, tables_.single(table, f, rival_size), seen));
            weight += each;
        }
        return std::log(std::max(1e-300, sum / weight));
    }
    /// The seal that this seen thing speaks most against, of those that touch the circuit under air or are suspected.
    [[nodiscard]] int ruled_out(std::size_t table, const Suspect& suspect, const model::Seen& seen) const {
        const double own = log_of(table, tables_.sound(table), seen);
        int best = -1;
        double least = own - 1;
        for (std::size_t f = 0; f < tables_.faults().size(); ++f) {
            const std::size_t seal = tables_.faults()[f].seal;
            if (std::find(suspect.seals.begin(), suspect.seals.end(), seal) != suspect.seals.end()) continue;
            const double log = log_of(table, tables_.single(table, f, rival_size), seen);
            if (log >= least) continue;
            least = log;
            best = static_cast<int>(f);
        }
        return best;
    }
    [[nodiscard]] std::string place(const std::string& at) const {
        if (at == model::open_case) return tr_("the case");
        const auto* port = model::find(map().ports, at);
        return port == nullptr ? at : fmt::format("{} {}", port->id, model::port_label(map(), *port));
    }
    [[nodiscard]] std::string word_of(double lpm) const {
        return tr_.word(airflow::heard(lpm, {tables_.bench().heard_from_lpm}));
    }
    Weigher& weigher_;
    const model::AirCheck& check_;
    Tables& tables_;
    model::Translator tr_;
};

std::string gauge(const model::Translator& tr, double pa, bool metric) {
    return metric ? tr.number(pa / 1e5, 2) + " bar" : tr.number(pa / 6894.757293168361, 0) + " psi";
}

std::string suspect_name(const model::Translator& tr, const model::UnitMap& map, const Suspect& suspect) {
    const std::string& first = map.seals[suspect.seals.front()].id;
    return suspect.seals.size() > 1 ? model::filled(tr("{0} and {1}"), first, map.seals[suspect.seals[1]].id) : first;
}

/// What was seen at a place, in words: "P3 LOW was strong".
std::string seen_words(const model::Translator& tr, const std::string& place, const model::Seen& seen, bool metric) {
    if (seen.word) return model::filled(tr("{0} was {1}"), place, tr.word(*seen.word));
    if (seen.pressure) return model::filled(tr("{0} read {1}"), place, gauge(tr, seen.pressure->si(), metric));
    if (seen.flow_lpm) return model::filled(tr("{0} gave {1} L/min"), place, tr.number(*seen.flow_lpm, 1));
    if (seen.applies_after_s)
        return model::filled(tr("{0} applied after {1} s"), place, tr.number(*seen.applies_after_s, 1));
    return model::filled(tr("{0} was not told"), place);
}

std::string predicted_words(const Desk& desk, const model::Seen& seen, double lpm, double pa, bool metric) {
    if (seen.pressure) return gauge(desk.tr_, pa, metric);
    return fmt::format("{} ({} L/min)", desk.word_of(lpm), desk.tr_.number(lpm, 1));
}

/// A change of the test, the mechanism that answers to it, and both in words.
struct Change {
    model::Mechanism mechanism;
    std::string_view test, does;
};
std::optional<Change> change_of(const model::Reading& reading) {
    using model::marked, model::Mechanism;
    if (reading.wet) return Change{Mechanism::dry_film, marked("With oil"), marked("a dry film that oil seals")};
    if (reading.plate_resnugged)
        return Change{Mechanism::joint_face, marked("Plate snugged anew"), marked("a face that bolts close")};
    if (reading.shaft_turned_deg.value_or(0) != 0)
        return Change{Mechanism::joint, marked("Shaft turned"), marked("a joint gap")};
    if (reading.pushed) return Change{Mechanism::groove_wall, marked("Shaft pushed"), marked("a worn groove wall")};
    return {};
}

/// What changed between a plain reading and the same one with a change of the test speaks for a seal that has such a
/// mechanism and against one that has none.
void add_changes(Weigher& weigher, const model::AirCheck& check, const Suspect& suspect, const model::Translator& tr,
                 Reasons& reasons) {
    if (suspect.seals.size() != 1) return;
    const auto& map = weigher.tables().map();
    const auto& seal = map.seals[suspect.seals.front()];
    const auto& share = weigher.priors().kind[static_cast<std::size_t>(seal.kind)].mechanism;
    const auto place = [&](const std::string& at) {
        const auto* port = model::find(map.ports, at);
        return port == nullptr ? tr("the case") : fmt::format("{} {}", at, model::port_label(map, *port));
    };
    for (const auto& changed : check.readings) {
        const auto change = change_of(changed);
        if (!change) continue;
        for (const auto& plain : check.readings) {
            if (change_of(plain) || plain.into != changed.into || plain.plugged != changed.plugged) continue;
            for (const auto& then : changed.seen) {
                const auto before = std::find_if(plain.seen.begin(), plain.seen.end(),
                                                 [&](const model::Seen& seen) { return seen.at == then.at; });
                if (!then.word || before == plain.seen.end() || !before->word || *before->word == *then.word) continue;
                const bool able = share[static_cast<std::size_t>(change->mechanism)] > 0;
                (able ? reasons.for_it : reasons.against_it)
                    .push_back(model::filled(
                        able ? tr("{0}, air into {1}: {2} went from {3} to {4}, as {5} does.")
                             : tr("{0}, air into {1}: {2} went from {3} to {4}, but nothing in {6} is {5}."),
                        tr(change->test), place(changed.into), place(then.at), tr.word(*before->word),
                        tr.word(*then.word), tr(change->does), seal.id));
            }
        }
    }
}

} // namespace

std::vector<Comparison> compare(Weigher& weigher, const model::AirCheck& check, const Suspect& suspect) {
    Desk desk(weigher, check);
    std::vector<Comparison> list;
    const std::size_t size = nearest_size(suspect.hole_mm);
    const auto faults = desk.tables_.faults();
    std::size_t second = size;
    for (const auto& pair : weigher.posterior().pairs) {
        if (suspect.seals.size() > 1 && faults[pair.first].seal == suspect.seals[0] &&
            faults[pair.second].seal == suspect.seals[1])
            second = pair.second_size;
    }
    // A lip that leaks one way in most of its probability is shown so.
    const auto fault_of = [&](std::size_t seal) {
        std::size_t found = 0;
        const bool one_way = leaks_one_way(suspect);
        for (std::size_t f = 0; f < faults.size(); ++f) {
            if (faults[f].seal == seal && (faults[f].both_ways || one_way)) {
                found = f;
                if (faults[f].both_ways != one_way) break;
            }
        }
        return found;
    };
    for (std::size_t r = 0; r < check.readings.size(); ++r) {
        const std::size_t table = desk.table(r);
        for (std::size_t k = 0; k < check.readings[r].seen.size(); ++k) {
            const model::Seen& seen = check.readings[r].seen[k];
            if (seen.not_sure || seen.applies_after_s) continue;
            const Shown shown = suspect.seals.size() > 1 ? desk.tables_.pair(table, fault_of(suspect.seals[0]), size,
                                                                             fault_of(suspect.seals[1]), second)
                                                         : desk.tables_.single(table, fault_of(suspect.seals[0]), size);
            const Predicted p = desk.predicted(table, shown, seen);
            const double own = desk.log_of(table, shown, seen);
            list.push_back({r, k, p.flow_lpm, p.gauge_pa, p.sound_lpm, p.sound_gauge_pa,
                            own - desk.log_of_others(table, suspect, seen)});
        }
    }
    return list;
}

Reasons reasons_for(Weigher& weigher, const model::AirCheck& check, const Suspect& suspect, bool metric,
                    const model::Translator& tr, std::size_t most) {
    Desk desk(weigher, check, tr);
    auto list = compare(weigher, check, suspect);
    std::stable_sort(list.begin(), list.end(), [](const Comparison& a, const Comparison& b) {
        return std::abs(a.log_weight) > std::abs(b.log_weight);
    });
    const std::string name = suspect_name(tr, desk.map(), suspect);
    // Of a pair the sizes stand beside it.
    const bool pair = suspect.seals.size() > 1;
    const std::string size =
        metric ? tr.number(suspect.hole_mm, 1) + " mm" : tr.number(suspect.hole_mm / 25.4, 3) + " in";
    Reasons reasons;
    add_changes(weigher, check, suspect, tr, reasons);
    for (const Comparison& c : list) {
        // With the test changed a leak need not be what it was: see above.
        if (change_of(check.readings[c.reading])) continue;
        if (std::abs(c.log_weight) < worth_a_line) break;
        auto& lines = c.log_weight > 0 ? reasons.for_it : reasons.against_it;
        if (lines.size() >= most) continue;
        const auto& reading = check.readings[c.reading];
        const model::Seen& seen = reading.seen[c.seen];
        const std::string into = desk.place(reading.into), was = seen_words(tr, desk.place(seen.at), seen, metric);
        const bool changes = seen.pressure ? std::abs(c.gauge_pa - c.sound_gauge_pa) > 0.02 * std::abs(c.gauge_pa) + 1e3
                                           : std::abs(c.flow_lpm - c.sound_lpm) > 0.1 * c.sound_lpm + 0.1;
        const std::string own = predicted_words(desk, seen, c.flow_lpm, c.gauge_pa, metric);
        const std::string sound = predicted_words(desk, seen, c.sound_lpm, c.sound_gauge_pa, metric);
        const int rival = desk.ruled_out(desk.table(c.reading), suspect, seen);
        if (c.log_weight > 0 && !changes && rival >= 0) {
            const std::size_t table = desk.table(c.reading);
            const SealFault& fault = desk.tables_.faults()[static_cast<std::size_t>(rival)];
            const Predicted p =
                desk.predicted(table, desk.tables_.single(table, static_cast<std::size_t>(rival), rival_size), seen);
            lines.push_back(model::filled(tr("Air into {0}: {1}; {2} leaves it so, {3} would have made it {4}."), into,
                                          was, name, desk.map().seals[fault.seal].id,
                                          predicted_words(desk, seen, p.flow_lpm, p.gauge_pa, metric)));
        } else if (changes && pair) {
            lines.push_back(model::filled(tr("Air into {0}: {1}; {2} together make it {3}, a sound unit {4}."), into,
                                          was, name, own, sound));
        } else if (changes) {
            lines.push_back(model::filled(tr("Air into {0}: {1}; a hole of {2} in {3} makes it {4}, a sound unit {5}."),
                                          into, was, size, name, own, sound));
        } else {
            lines.push_back(
                model::filled(tr("Air into {0}: {1}; {2} does not change it from {3}."), into, was, name, sound));
        }
    }
    road::Told told = weigher.told(check.complaints, suspect, metric, worth_a_line, tr);
    const auto append = [&](std::vector<std::string>& lines, const std::vector<std::string>& more) {
        for (const auto& line : more)
            lines.push_back(model::filled(tr("The driver says, {0}"), line));
    };
    append(reasons.for_it, told.fits);
    append(reasons.against_it, told.against);
    return reasons;
}

} // namespace ringland::diagnosis::suspects
