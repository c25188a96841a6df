// What a step is said to tell, against an enumeration of everything that it can bring, written for this test straight
// from the definition: the entropy of which part comes off, less what is expected of it after each outcome.
//
// It is held against the same hypotheses exactly, and against all of them within what those that the program leaves out
// for their small weight can move a figure by.
#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "../../diagnosis/airflow/expected.h"
#include "../../diagnosis/airflow/heard.h"
#include "../../diagnosis/suspects/next_step.h"
#include "../../model-data/map_io.h"
#include "small_unit.h"

using namespace ringland;
using namespace ringland::diagnosis;
using suspects::NextStep;
using suspects::size_count;

namespace {

/// One hypothesis: its weight, what comes off, and what it shows in a setting.
struct Hypothesis {
    double weight = 0;
    std::string comes_off;
    std::function<suspects::Shown(std::size_t table)> shows;
    std::vector<std::size_t> seals; ///< at fault
    bool rig = false;
};

/// Weights below which the program leaves a hypothesis out: one fault, two faults.
struct Least {
    double single = suspects::least_weight, pair = suspects::least_pair_weight;
};

/// All hypotheses of the last weighing but something that is not on the map; or those that weigh enough. What comes off
/// is asked of the first part, where of two faults the likelier part answers it, or of all parts (`second`).
std::vector<Hypothesis> hypotheses(suspects::Weigher& weigher, bool second, const Least& least = {0, 0}) {
    auto& tables = weigher.tables();
    const auto& posterior = weigher.posterior();
    const auto seal = [&](std::size_t fault) { return tables.faults()[fault].seal; };
    const auto group = [&](std::size_t fault) { return std::to_string(weigher.group_of()[seal(fault)]); };
    std::map<std::string, double> part_chance;
    for (const auto& s : posterior.singles)
        part_chance[group(s.fault)] += s.weight;
    for (const auto& p : posterior.pairs) {
        part_chance[group(p.first)] += p.weight;
        if (group(p.second) != group(p.first)) part_chance[group(p.second)] += p.weight;
    }
    std::vector<Hypothesis> list;
    list.push_back({posterior.sound, "nothing", [&tables](std::size_t t) { return tables.sound(t); }, {}, false});
    for (const auto& s : posterior.singles)
        list.push_back({s.weight,
                        group(s.fault),
                        [&tables, s](std::size_t t) { return tables.single(t, s.fault, s.size); },
                        {seal(s.fault)},
                        false});
    for (std::size_t k = 0; k < posterior.rig.size(); ++k)
        list.push_back({posterior.rig[k],
                        "rig",
                        [&tables, k](std::size_t t) { return tables.rig(t, k / size_count, k % size_count); },
                        {},
                        true});
    for (const auto& p : posterior.pairs) {
        const std::string a = group(p.first), b = group(p.second);
        const std::string both = std::min(a, b) + " and " + std::max(a, b);
        list.push_back(
            {p.weight,
             a == b                                  ? a
             : second                                ? both
             : part_chance.at(b) > part_chance.at(a) ? b
                                                     : a,
             [&tables, p](std::size_t t) { return tables.pair(t, p.first, p.first_size, p.second, p.second_size); },
             {seal(p.first), seal(p.second)},
             false});
    }
    list.erase(std::remove_if(
                   list.begin() + 1, list.end(),
                   [&](const Hypothesis& h) { return h.weight < (h.seals.size() == 2 ? least.pair : least.single); }),
               list.end());
    double sum = 0;
    for (const auto& h : list)
        sum += h.weight;
    for (auto& h : list)
        h.weight /= sum;
    return list;
}

/// Chances of a step's outcomes at one place, by hypothesis.
using Rows = std::vector<std::vector<double>>;

class Enumeration {
public:
    explicit Enumeration(const std::vector<Hypothesis>& list) {
        std::map<std::string, std::size_t> number;
        for (const auto& h : list)
            part_.push_back(number.try_emplace(h.comes_off, number.size()).first->second);
        parts_ = number.size();
        for (const auto& h : list)
            weight_.push_back(h.weight);
    }
    [[nodiscard]] std::size_t parts() const { return parts_; }
    [[nodiscard]] double entropy() const { return entropy_of(weight_); }
    /// What all places together tell, every combination of outcomes tried.
    [[nodiscard]] double bits(const std::vector<Rows>& places) const {
        return entropy() - expected(weight_, places, 0);
    }

private:
    /// Entropy of what comes off, times the weight of it all.
    [[nodiscard]] double entropy_of(const std::vector<double>& weight) const {
        std::vector<double> of_part(parts_, 0);
        double all = 0, sum = 0;
        for (std::size_t k = 0; k < weight.size(); ++k) {
            of_part[part_[k]] += weight[k];
            all += weight[k];
        }
        for (const double w : of_part) {
            if (w > 0) sum -= w * std::log2(w / all);
        }
        return sum;
    }
    [[nodiscard]] double expected(const std::vector<double>& weight, const std::vector<Rows>& places,
                                  std::size_t place) const {
        if (place == places.size()) return entropy_of(weight);
        double sum = 0;
        for (std::size_t outcome = 0; outcome < places[place][0].size(); ++outcome) {
            std::vector<double> then = weight;
            for (std::size_t k = 0; k < then.size(); ++k)
                then[k] *= places[place][k][outcome];
            sum += expected(then, places, place + 1);
        }
        return sum;
    }

    std::vector<std::size_t> part_;
    std::size_t parts_ = 0;
    std::vector<double> weight_;
};

/// Words at a port, or in the open case after the last port, as every hypothesis has them.
Rows words_at(suspects::Weigher& weigher, const std::vector<Hypothesis>& list, std::size_t table, std::size_t port) {
    const auto lpm = [&](const suspects::Shown& shown) {
        return double(port == shown.flow_lpm.size() ? shown.case_lpm : shown.flow_lpm[port]);
    };
    auto& tables = weigher.tables();
    const double sound = lpm(tables.sound(table));
    Rows rows;
    for (const auto& h : list) {
        const auto chance =
            suspects::word_chances(lpm(h.shows(table)), sound, tables.bench().heard_from_lpm, weigher.priors());
        rows.emplace_back(chance.begin(), chance.end());
    }
    return rows;
}

/// The most that hypotheses of this weight together can move a figure of information. Whether one of them is true is a
/// thing of entropy h; to know it changes what a test tells by h at most, and under them a test tells log2 of the parts
/// at most.
double slack_of(double left_out, std::size_t parts) {
    if (left_out <= 0) return 1e-9;
    const double h = -left_out * std::log2(left_out) - (1 - left_out) * std::log2(1 - left_out);
    return h + left_out * std::log2(double(parts)) + 1e-9;
}

/// Holes only, and rarely, so that next to nothing is left out and pairs weigh nothing.
model::Priors plain_priors() {
    model::Priors priors;
    for (auto& kind : priors.kind)
        kind = {0.002, {1, 0, 0, 0, 0, 0}};
    return priors;
}

/// A reading of the unit with a hole in it, heard without mistakes.
model::Reading heard_with(const model::UnitMap& map, std::size_t seal, double mm, std::size_t into) {
    airflow::UnitAir unit(map, {});
    unit.set_defect(static_cast<int>(seal), mm * 1e-3);
    unit.blow_into(static_cast<int>(into), airflow::usual_gauge_pa(map, {}));
    REQUIRE(unit.solve_cold().converged);
    model::Reading reading;
    reading.into = map.ports[into].id;
    for (std::size_t p = 0; p <= map.ports.size(); ++p) {
        if (p == into) continue;
        const bool last = p == map.ports.size();
        const double flow = last ? unit.sump_flow_kgps() : unit.port_flow_kgps(static_cast<int>(p));
        model::Seen seen;
        seen.at = last ? std::string(model::open_case) : map.ports[p].id;
        seen.word = airflow::heard(airflow::normal_lpm(flow), {});
        reading.seen.push_back(seen);
    }
    return reading;
}

/// The seal that is at fault in a unit: one that can be looked at where there is one, in every other unit.
std::size_t hidden_seal(const model::UnitMap& map, std::uint64_t number) {
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        if (number % 2 == 0 && map.seals[s].look_minutes) return s;
    }
    return number % map.seals.size();
}

/// Goes through small units before any reading and after one and two, the first beside the fault where a port leads
/// there.
void each_case(const model::Priors& priors, std::uint64_t units,
               const std::function<void(const model::UnitMap&, suspects::Weigher&, const model::AirCheck&)>& visit) {
    for (std::uint64_t number = 1; number <= units; ++number) {
        const auto map = tests::small_unit(number);
        if (map.ports.size() < 2) continue;
        CAPTURE(number);
        const std::size_t seal = hidden_seal(map, number);
        const auto beside = std::find_if(map.ports.begin(), map.ports.end(), [&](const model::Port& p) {
            return p.circuit == map.seals[seal].between[0] || p.circuit == map.seals[seal].between[1];
        });
        const std::size_t first = beside == map.ports.end() ? 0 : std::size_t(beside - map.ports.begin());
        suspects::Weigher weigher(map, {}, priors);
        model::AirCheck check;
        for (std::size_t readings = 0; readings < 3 && readings < map.ports.size(); ++readings) {
            CAPTURE(readings);
            static_cast<void>(weigher.weigh(check));
            visit(map, weigher, check);
            check.readings.push_back(heard_with(map, seal, 1.6, (first + readings) % map.ports.size()));
        }
    }
}

/// Weight of what is light: the program may leave that out.
double light(const suspects::Weigher& weigher) {
    constexpr double single = suspects::least_weight, pair = suspects::least_pair_weight;
    double sum = 0;
    for (const auto& s : weigher.posterior().singles)
        sum += s.weight < single ? s.weight : 0;
    for (const double w : weigher.posterior().rig)
        sum += w < single ? w : 0;
    for (const auto& p : weigher.posterior().pairs)
        sum += p.weight < pair ? p.weight : 0;
    return sum / (1 - weigher.posterior().unmapped);
}

/// What is heard where a fault moves a flow by less than a thousandth is taken for what a sound unit shows: bits.
constexpr double rounding = 1e-4;

/// The setting of a step, as the window would make it.
std::size_t table_of(const model::UnitMap& map, suspects::Weigher& weigher, const NextStep& step) {
    suspects::Setting setting = suspects::setting_of(map, suspects::reading_of(map, step), weigher.usual_gauge_pa());
    if (step.kind == NextStep::Kind::gauge) setting.plugged[static_cast<std::size_t>(step.watch.front())] = true;
    return weigher.tables().table_of(setting);
}

/// Open ports of a setting with their words, the open case last; by what each tells by itself, the most first.
std::vector<std::pair<double, Rows>> open_places(suspects::Weigher& weigher, const std::vector<Hypothesis>& list,
                                                 const Enumeration& all, std::size_t table) {
    const suspects::Setting setting = weigher.tables().setting(table);
    std::vector<std::pair<double, Rows>> places;
    for (std::size_t p = 0; p <= setting.plugged.size(); ++p) {
        if (static_cast<int>(p) == setting.into || (p < setting.plugged.size() && setting.plugged[p])) continue;
        Rows rows = words_at(weigher, list, table, p);
        const double own = all.bits({rows});
        places.emplace_back(own, std::move(rows));
    }
    std::stable_sort(places.begin(), places.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    return places;
}

} // namespace

TEST_CASE("advice: listening tells what all combinations of words at the four best ports say") {
    int steps = 0, few = 0, settled = 0;
    double most_given_away = 0, most_apart = 0, largest = 0;
    each_case(plain_priors(), 100, [&](const auto& map, auto& weigher, const auto& check) {
        const auto advice = suspects::advise(weigher, check, 1000);
        const auto kept = hypotheses(weigher, advice.second, Least{}), whole = hypotheses(weigher, advice.second);
        const Enumeration all(kept), everything(whole);
        const double left_out = slack_of(light(weigher), everything.parts());
        // What two faults show together is reckoned from what each shows alone: not held against the enumeration here.
        if (std::any_of(kept.begin(), kept.end(), [](const auto& h) { return h.seals.size() == 2; })) return;
        CHECK(std::abs(advice.entropy_bits - all.entropy()) < 1e-9);
        CHECK(std::abs(advice.entropy_bits - everything.entropy()) <= left_out);
        for (const NextStep& step : advice.steps) {
            if (step.kind != NextStep::Kind::listen) continue;
            CAPTURE(step.words);
            const std::size_t table = table_of(map, weigher, step);
            std::vector<Rows> every, sure, perhaps;
            for (const auto& place : open_places(weigher, kept, all, table)) {
                every.push_back(place.second);
                // Ports that tell next to nothing by themselves are not counted; one may stand at the edge of that.
                const double edge = 0.25 * suspects::trifle_bits;
                if (perhaps.size() < 4 && place.first > edge - rounding) perhaps.push_back(place.second);
                if (sure.size() < 4 && place.first > edge + rounding) sure.push_back(place.second);
            }
            const double exact = all.bits(every), least = all.bits(sure), most = all.bits(perhaps);
            CHECK(step.bits <= exact + rounding);
            CHECK(step.bits >= least - rounding);
            CHECK(step.bits <= most + rounding);
            every.clear();
            for (const auto& place : open_places(weigher, whole, everything, table))
                every.push_back(place.second);
            CHECK(step.bits <= everything.bits(every) + left_out + rounding);
            double before = 1e9;
            for (const int port : step.watch) { // the most telling first
                const double own = all.bits({words_at(weigher, kept, table, static_cast<std::size_t>(port))});
                CHECK(own <= before + rounding);
                before = own;
            }
            if (sure.size() == perhaps.size()) most_apart = std::max(most_apart, std::abs(step.bits - most));
            settled += sure.size() == perhaps.size();
            most_given_away = std::max(most_given_away, exact - step.bits);
            largest = std::max(largest, step.bits);
            few += every.size() <= 4;
            ++steps;
        }
    });
    CHECK(steps > 150);
    CHECK(few > 100);
    CHECK(steps - few > 10);
    CHECK(settled > 150);
    CHECK(largest > 0.5);
    MESSAGE(steps, " steps of up to ", largest, " bits, ", few, " of them with four ports or fewer, ", settled,
            " without a port at the edge; there apart at most ", most_apart, "; given away at most ", most_given_away);
}

TEST_CASE("advice: a look, and proving the rig, tells what its two outcomes say, pairs and all") {
    int looks = 0, rigs = 0, seconds = 0;
    double most_apart = 0;
    each_case({}, 60, [&](const auto&, auto& weigher, const auto& check) {
        const auto advice = suspects::advise(weigher, check, 1000);
        const auto kept = hypotheses(weigher, advice.second, Least{});
        const Enumeration all(kept);
        const auto& priors = weigher.priors();
        seconds += advice.second;
        for (const NextStep& step : advice.steps) {
            if (step.kind != NextStep::Kind::look && step.kind != NextStep::Kind::rig) continue;
            CAPTURE(step.words);
            Rows rows;
            for (const auto& h : kept) {
                const bool at_seal =
                    std::find(h.seals.begin(), h.seals.end(), static_cast<std::size_t>(step.seal)) != h.seals.end();
                const bool there = step.kind == NextStep::Kind::rig ? h.rig : at_seal;
                const double damaged = there ? 1 - priors.look_misses : priors.look_alarms;
                rows.push_back({damaged, 1 - damaged});
            }
            const double exact = all.bits({rows});
            CHECK(std::abs(step.bits - exact) < 1e-9);
            most_apart = std::max(most_apart, std::abs(step.bits - exact));
            ++(step.kind == NextStep::Kind::rig ? rigs : looks);
        }
    });
    CHECK(looks > 20);
    CHECK(rigs > 20);
    MESSAGE(looks, " looks, ", rigs, " proofs of the rig, ", seconds, " cases about a second fault; apart at most ",
            most_apart);
}

TEST_CASE("advice: a gauge tells no more than a fine scale on it and all open ports together") {
    int steps = 0;
    double most_above = -1, most_given_away = 0;
    each_case(plain_priors(), 60, [&](const auto& map, auto& weigher, const auto& check) {
        const auto advice = suspects::advise(weigher, check, 1000);
        const auto kept = hypotheses(weigher, advice.second, Least{});
        const Enumeration all(kept);
        for (const NextStep& step : advice.steps) {
            if (step.kind != NextStep::Kind::gauge) continue;
            CAPTURE(step.words);
            const std::size_t table = table_of(map, weigher, step);
            const auto port = static_cast<std::size_t>(step.watch.front());
            const suspects::Errors errors{weigher.priors(), weigher.tables().bench().heard_from_lpm,
                                          step.supply_gauge_pa};
            Rows reads;
            const double sound = double(weigher.tables().sound(table).gauge_pa[port]);
            for (const auto& h : kept) {
                constexpr int marks = 350;
                suspects::Predicted predicted;
                predicted.gauge_pa = double(h.shows(table).gauge_pa[port]);
                predicted.sound_gauge_pa = sound;
                std::vector<double> row;
                double sum = 0;
                for (int k = 0; k < marks; ++k) {
                    model::Seen seen;
                    seen.pressure = model::GaugePressure{(k + 0.5) / marks * step.supply_gauge_pa / 1e5,
                                                         model::PressureDimension::Unit::bar};
                    row.push_back(std::exp(suspects::log_likelihood(seen, predicted, errors)));
                    sum += row.back();
                }
                for (double& chance : row)
                    chance /= sum;
                reads.push_back(std::move(row));
            }
            std::vector<Rows> every{reads}, words;
            for (auto& place : open_places(weigher, kept, all, table)) {
                const double edge = 0.25 * suspects::trifle_bits + rounding;
                if (words.size() < 2 && place.first > edge) words.push_back(place.second);
                every.push_back(std::move(place.second));
            }
            const double exact = all.bits(every);
            CHECK(step.bits <= exact + rounding);
            // And no less than the words at the two best ports beside it by themselves.
            CHECK(step.bits >= all.bits(words) - rounding);
            most_above = std::max(most_above, step.bits - exact);
            most_given_away = std::max(most_given_away, exact - step.bits);
            ++steps;
        }
    });
    CHECK(steps > 20);
    MESSAGE(steps, " steps; above at most ", most_above, ", given away at most ", most_given_away);
}

TEST_CASE("advice: which part first comes before whether there is a second fault") {
    // A hole of 3 mm in one seal; where another of the same two circuits sounds like it, circuits far from both have
    // nothing to say about which of the two it is.
    int settled = 0, seconds = 0, elsewhere = 0;
    for (std::uint64_t number = 1; number <= 60; ++number) {
        const auto map = tests::small_unit(number);
        if (map.ports.size() < 3) continue;
        CAPTURE(number);
        const std::size_t seal = hidden_seal(map, number);
        suspects::Weigher weigher(map, {}, {});
        model::AirCheck check;
        for (std::size_t p = 0; p < map.ports.size(); ++p) {
            const auto& between = map.seals[seal].between;
            if (map.ports[p].circuit == between[0] || map.ports[p].circuit == between[1])
                check.readings.push_back(heard_with(map, seal, 3, p));
        }
        static_cast<void>(weigher.weigh(check));
        const auto advice = suspects::advise(weigher, check, 1000);
        const double first = Enumeration(hypotheses(weigher, false, Least{})).entropy();
        const double all = Enumeration(hypotheses(weigher, true, Least{})).entropy();
        CHECK(first <= all + 1e-9); // the parts decide which comes first
        CHECK(std::abs(advice.entropy_bits - (advice.second ? all : first)) < 1e-9);
        CHECK((!advice.second || advice.exhausted));
        CHECK((advice.exhausted || !advice.steps.empty()));
        settled += advice.exhausted;
        seconds += advice.second;
        if (!advice.second) continue;
        for (const auto& step : advice.steps)
            elsewhere += step.into >= 0;
    }
    CHECK(settled >= 3);
    CHECK(seconds >= 1);
    CHECK(elsewhere >= 2);
    MESSAGE(settled, " settled, ", seconds, " then about a second fault, ", elsewhere, " readings offered for it");
}

TEST_CASE("advice: readings far from the two that sound alike wait until those are told apart or cannot be") {
    // Ring 7 and lip 4 of the demo unit both stand between reverse and balance. Its servos have nothing to do with
    // them.
    const auto read = model::read_map(std::string(RINGLAND_SOURCE_DIR) + "/assets-demo/larch-five.toml");
    REQUIRE(read.map);
    const auto& map = *read.map;
    const auto index = [](const auto& list, const std::string& id) {
        return static_cast<std::size_t>(
            std::find_if(list.begin(), list.end(), [&](const auto& one) { return one.id == id; }) - list.begin());
    };
    model::AirCheck check;
    for (const char* port : {"P2", "P6"})
        check.readings.push_back(heard_with(map, index(map.seals, "R7"), 1.5, index(map.ports, port)));
    suspects::Weigher weigher(map, {}, {});
    const auto weighed = weigher.weigh(check);
    CHECK(weighed.seal_probability[index(map.seals, "R7")] + weighed.seal_probability[index(map.seals, "L4")] > 0.9);
    CHECK_FALSE(weighed.enough);
    const auto far = [&](const suspects::Advice& advice) {
        int steps = 0;
        for (const auto& step : advice.steps) {
            if (step.into < 0) continue;
            const auto& circuit = map.ports[static_cast<std::size_t>(step.into)].circuit;
            steps += circuit == "second-apply" || circuit == "second-release" || circuit == "three-five-apply";
        }
        return steps;
    };
    const auto advice = suspects::advise(weigher, check, 1000);
    REQUIRE_FALSE(advice.exhausted);
    CHECK(far(advice) == 0);
    // Pulled and found: what is left to ask is whether the servos have a fault of their own.
    check.looks.push_back({"R7", model::Found::damaged, "", {}});
    check.looks.push_back({"L4", model::Found::sound, "", {}});
    CHECK(weigher.weigh(check).enough);
    const auto then = suspects::advise(weigher, check, 1000);
    CHECK(then.exhausted);
    CHECK(then.second);
    CHECK(far(then) >= 1);
}
