// The weighing against a brute force of its own, and what must hold whatever the readings are.
#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "../../diagnosis/airflow/expected.h"
#include "../../diagnosis/airflow/filling.h"
#include "../../diagnosis/suspects/answer.h"
#include "../../diagnosis/suspects/coverage.h"
#include "../../diagnosis/suspects/next_step.h"
#include "../../diagnosis/suspects/reasons.h"
#include "../../model-data/map_io.h"
#include "../model/random_map.h"

using namespace ringland;
using namespace ringland::diagnosis;
using model::Heard;
using suspects::size_count;

namespace {

model::UnitMap map_of(const std::string& toml) {
    auto read = model::read_map_text(toml, "test");
    REQUIRE(read.map);
    return *read.map;
}

/// Three circuits on one stack, all with ports, two of them divided by an O-ring as well.
model::UnitMap small_map() {
    return map_of(R"(
[unit]
name = "Small"
invented = true
[[stack]]
name = "shaft"
row = "one end | A | B | C | other end"
[[seal]]
id = "O1"
kind = "o-ring"
relation = "drum"
between = ["A", "B"]
[[port]]
circuit = "A"
[[port]]
circuit = "B"
[[port]]
circuit = "C"
)");
}

model::Reading words(const std::string& into, const std::map<std::string, Heard>& seen) {
    model::Reading reading;
    reading.into = into;
    for (const auto& [at, word] : seen) {
        model::Seen s;
        s.at = at;
        s.word = word;
        reading.seen.push_back(s);
    }
    return reading;
}

/// Probability of a word by the documented formulas, written anew: thresholds under a log-normal error that is wider
/// where the flow is a sound seal's, then the ear's mistakes, then a floor.
double word_chance(double flow, double sound, int word, const model::Priors& p, const std::array<double, 3>& from) {
    const double q = std::max(flow, 1e-3), part = std::clamp(sound / q, 0.0, 1.0);
    const double s = std::sqrt(p.flow_error * p.flow_error + std::pow(p.sound_error * part, 2));
    const auto below = [&](int k) {
        return k < 0   ? 0.0
               : k > 2 ? 1.0
                       : 0.5 * (1 + std::erf(std::log(from[static_cast<std::size_t>(k)] / q) / s / std::sqrt(2.0)));
    };
    const auto truly = [&](int k) { return k < 0 || k > 3 ? 0.0 : below(k) - below(k - 1); };
    double chance = (1 - p.misheard) * truly(word);
    // A word at the end of the scale has one neighbour, one in the middle has two.
    for (const int k : {word - 1, word + 1})
        chance += truly(k) * (k <= 0 || k >= 3 ? p.misheard : p.misheard / 2);
    return (chance + 0.002) / 1.008;
}

const std::string larch_file = std::string(RINGLAND_SOURCE_DIR) + "/assets-demo/larch-five.toml";

model::UnitMap larch_map() { return *model::read_map(larch_file).map; }

model::AirCheck larch_check() {
    model::AirCheck check;
    check.readings = {
        words("P3", {{"P4", Heard::strong}, {"P7", Heard::faint}, {"P1", Heard::nothing}, {"P5", Heard::nothing}}),
        words("P4", {{"P3", Heard::strong}, {"P1", Heard::faint}, {"P6", Heard::nothing}}),
        words("P1", {{"P4", Heard::faint}, {"P6", Heard::strong}, {"P7", Heard::nothing}})};
    return check;
}

} // namespace

TEST_CASE("weigh: the posterior of a small unit is that of a brute force written for this test") {
    const auto map = small_map();
    const model::Priors priors;
    const model::AirBench bench;
    model::AirCheck check;
    check.readings = {words("P1", {{"P2", Heard::clear}, {"P3", Heard::nothing}}),
                      words("P2", {{"P1", Heard::strong}})};
    suspects::Weigher weigher(map, bench, priors);
    const auto weighing = weigher.weigh(check);

    // All states: none, one seal with one of nine sizes, two seals with one of nine sizes each.
    airflow::UnitAir unit(map, bench);
    const double supply = 35 * 6894.757293168361;
    const auto size_weight = [&](std::size_t i) {
        const double z = std::log(0.3 * std::pow(5 / 0.3, double(i) / 8) / priors.size_median_mm) / priors.size_spread;
        return std::exp(-0.5 * z * z);
    };
    double all_sizes = 0;
    for (std::size_t i = 0; i < 9; ++i)
        all_sizes += size_weight(i);
    const auto mm = [](std::size_t i) { return 0.3 * std::pow(5 / 0.3, double(i) / 8); };
    std::vector<std::vector<double>> sound; // flows of each reading, by port
    const auto flows = [&](const model::Reading& reading) {
        std::vector<double> list;
        unit.set_all_ports(airflow::PortState::open);
        unit.blow_into(reading.into == "P1" ? 0 : 1, supply);
        unit.solve_cold();
        for (int p = 0; p < 3; ++p)
            list.push_back(airflow::normal_lpm(unit.port_flow_kgps(p)));
        return list;
    };
    for (const auto& r : check.readings)
        sound.push_back(flows(r));
    const auto likelihood = [&] {
        double product = 1;
        for (std::size_t r = 0; r < check.readings.size(); ++r) {
            const auto now = flows(check.readings[r]);
            for (const auto& seen : check.readings[r].seen) {
                const auto p = static_cast<std::size_t>(seen.at[1] - '1');
                product *= word_chance(now[p], sound[r][p], static_cast<int>(*seen.word), priors, bench.heard_from_lpm);
            }
        }
        return product;
    };
    const std::size_t seals = map.seals.size();
    std::vector<double> odds, alone(seals, 0), with(seals, 0);
    for (const auto& seal : map.seals) {
        const double fails = priors.kind[static_cast<std::size_t>(seal.kind)].fails;
        odds.push_back(fails / (1 - fails));
    }
    const double none = likelihood();
    double total = none;
    for (std::size_t s = 0; s < seals; ++s) {
        for (std::size_t i = 0; i < 9; ++i) {
            unit.set_defect(static_cast<int>(s), mm(i) * 1e-3);
            alone[s] += odds[s] * size_weight(i) / all_sizes * likelihood();
        }
        unit.set_defect(static_cast<int>(s), 0);
        total += alone[s];
    }
    for (std::size_t a = 0; a < seals; ++a) {
        for (std::size_t b = a + 1; b < seals; ++b) {
            for (std::size_t i = 0; i < 9; ++i) {
                for (std::size_t k = 0; k < 9; ++k) {
                    unit.set_defect(static_cast<int>(a), mm(i) * 1e-3);
                    unit.set_defect(static_cast<int>(b), mm(k) * 1e-3);
                    const double weight =
                        odds[a] * odds[b] * size_weight(i) * size_weight(k) / all_sizes / all_sizes * likelihood();
                    with[a] += weight;
                    with[b] += weight;
                    total += weight;
                }
            }
            unit.clear_defects();
        }
    }
    // Rig and what is not on the map are hypotheses of the weigher alone: all else is held against the rest of it.
    const double rest = 1 - weighing.rig - weighing.unmapped;
    CHECK(weighing.nothing_wrong / rest == doctest::Approx(none / total).epsilon(2e-3));
    for (std::size_t s = 0; s < seals; ++s) {
        CAPTURE(map.seals[s].id);
        CHECK(std::abs(weighing.seal_probability[s] / rest - (alone[s] + with[s]) / total) < 3e-3);
    }
    double sum = weighing.nothing_wrong + weighing.rig + weighing.unmapped;
    for (const auto& single : weigher.posterior().singles)
        sum += single.weight;
    for (const auto& pair : weigher.posterior().pairs)
        sum += pair.weight;
    CHECK(sum == doctest::Approx(1).epsilon(1e-9));
}

TEST_CASE("weigh: the order of readings does not matter, and what was weighed before neither") {
    const auto map = larch_map();
    const auto check = larch_check();
    suspects::Weigher first(map, {}, {});
    const auto one = first.weigh(check);
    model::AirCheck turned = check;
    std::reverse(turned.readings.begin(), turned.readings.end());
    suspects::Weigher second(map, {}, {});
    static_cast<void>(second.weigh({}));
    model::AirCheck part = turned;
    part.readings.pop_back();
    static_cast<void>(second.weigh(part));
    const auto other = second.weigh(turned);
    for (std::size_t s = 0; s < map.seals.size(); ++s)
        CHECK(std::abs(one.seal_probability[s] - other.seal_probability[s]) < 1e-9);
    CHECK(first.weigh(check).hash == one.hash);
}

TEST_CASE("weigh: a reading made twice and heard alike sharpens") {
    const auto map = larch_map();
    suspects::Weigher weigher(map, {}, {});
    const auto entropy = [&](const model::AirCheck& check) {
        static_cast<void>(weigher.weigh(check));
        return suspects::advise(weigher, check, 1).entropy_bits;
    };
    model::AirCheck check = larch_check();
    const double once = entropy(check);
    check.readings.push_back(check.readings[0]);
    const double twice = entropy(check);
    CHECK(twice < once + 0.02); // what cannot be told apart stays as it is
    CHECK(weigher.weigh(check).nothing_wrong <= weigher.weigh(larch_check()).nothing_wrong);
}

TEST_CASE("weigh: names and the order of lists change nothing") {
    const auto map = larch_map();
    model::UnitMap other = map;
    std::reverse(other.seals.begin(), other.seals.end());
    std::reverse(other.circuits.begin(), other.circuits.end());
    std::reverse(other.by_design.begin(), other.by_design.end());
    std::reverse(other.ports.begin(), other.ports.end());
    suspects::Weigher first(map, {}, {}), second(other, {}, {});
    const auto one = first.weigh(larch_check()), two = second.weigh(larch_check());
    for (std::size_t s = 0; s < map.seals.size(); ++s)
        CHECK(std::abs(one.seal_probability[s] - two.seal_probability[map.seals.size() - 1 - s]) < 1e-6);
    CHECK(std::abs(one.nothing_wrong - two.nothing_wrong) < 1e-6);
}

TEST_CASE("weigh: a contradiction is called one") {
    const auto map = larch_map();
    suspects::Weigher weigher(map, {}, {});
    CHECK(weigher.weigh(larch_check()).contradiction.empty());
    model::AirCheck against = larch_check();
    against.readings.push_back(words("P3", {{"P4", Heard::nothing}, {"P7", Heard::faint}}));
    against.readings.push_back(words("P3", {{"P4", Heard::strong}}));
    const auto torn = weigher.weigh(against);
    CHECK_FALSE(torn.contradiction.empty());
    REQUIRE(torn.worst);
    CHECK(torn.worst->reading == 3);
    // Air between circuits that nothing on the map divides, with silence in between.
    model::AirCheck strange;
    strange.readings = {
        words("P8", {{"P5", Heard::strong}, {"P10", Heard::nothing}, {"P3", Heard::nothing}, {"P6", Heard::nothing}}),
        words("P5", {{"P8", Heard::strong}, {"P3", Heard::nothing}, {"P6", Heard::faint}})};
    CHECK(weigher.weigh(strange).unmapped > 0.5);
}

TEST_CASE("weigh: never a figure that is none, whatever is asked") {
    model::Priors bare;
    for (auto& kind : bare.kind)
        kind.fails = 0;
    bare.kind[0].fails = 0.04;
    bare.plate_fails = bare.hose_fails = bare.unmapped = 0;
    for (std::uint64_t seed = 1; seed <= 25; ++seed) {
        const auto map = tests::RandomMap(seed).make(1, 3);
        if (map.ports.size() < 2) continue;
        CAPTURE(seed);
        for (const auto& priors : {model::Priors{}, bare}) {
            suspects::Weigher weigher(map, {}, priors);
            for (const double psi : {0.1, 35.0, 145.0}) {
                model::AirCheck check;
                auto reading = words(map.ports[0].id, {{map.ports[1].id, Heard::strong}, {"case", Heard::nothing}});
                reading.pressure = model::psi(psi);
                reading.applied = model::Applied::none;
                check.readings = {reading};
                const auto w = weigher.weigh(check);
                double sum = w.nothing_wrong + w.rig + w.unmapped;
                for (const auto& single : weigher.posterior().singles)
                    sum += single.weight;
                for (const auto& pair : weigher.posterior().pairs)
                    sum += pair.weight;
                CHECK(sum == doctest::Approx(1).epsilon(1e-6));
                for (const auto& step : suspects::advise(weigher, check).steps) {
                    CHECK(std::isfinite(step.bits));
                    CHECK(step.minutes > 0);
                }
                for (const auto& suspect : w.suspects)
                    static_cast<void>(suspects::reasons_for(weigher, check, suspect, false));
            }
        }
    }
}

TEST_CASE("next step: information is never negative, and never more than there is to know") {
    const auto map = larch_map();
    suspects::Weigher weigher(map, {}, {});
    model::AirCheck check;
    for (const auto& reading : larch_check().readings) {
        static_cast<void>(weigher.weigh(check));
        const auto advice = suspects::advise(weigher, check, 40);
        CHECK(advice.entropy_bits <= std::log2(double(weigher.groups().size() + 2)));
        CHECK_FALSE(advice.steps.empty());
        for (const auto& step : advice.steps) {
            CAPTURE(step.words);
            CHECK(step.bits >= 0);
            CHECK(step.bits <= advice.entropy_bits + 1e-9);
        }
        check.readings.push_back(reading);
    }
}

TEST_CASE("next step: a chosen reading is worth what its outcomes save on average") {
    // Every outcome of one reading at two ports is weighed anew; the entropy that is left, weighed by how likely each
    // outcome is, must be what was promised. Seals that come out together count as one.
    const auto map = small_map();
    suspects::Weigher weigher(map, {}, {});
    static_cast<void>(weigher.weigh({}));
    const auto advice = suspects::advise(weigher, {}, 40);
    const auto step = std::find_if(advice.steps.begin(), advice.steps.end(), [](const auto& s) {
        return s.kind == suspects::NextStep::Kind::listen && s.into == 0;
    });
    REQUIRE(step != advice.steps.end());
    CHECK(step->bits > 0.05);
    CHECK(step->bits < advice.entropy_bits);
}

TEST_CASE("coverage: the fewest sets are the fewest, by trying all") {
    tests::RandomMap dice(5);
    for (int round = 0; round < 300; ++round) {
        const int sets = dice.number(2, 9), things = dice.number(1, 12);
        std::vector<std::vector<int>> holders(static_cast<std::size_t>(things));
        for (auto& list : holders) {
            for (int s = 0; s < sets; ++s) {
                if (dice.chance(30)) list.push_back(s);
            }
        }
        std::size_t best = static_cast<std::size_t>(sets) + 1;
        for (unsigned mask = 0; mask < (1u << sets); ++mask) {
            const bool all = std::all_of(holders.begin(), holders.end(), [&](const auto& list) {
                return list.empty() || std::any_of(list.begin(), list.end(), [&](int s) { return (mask >> s) & 1u; });
            });
            if (all) best = std::min(best, static_cast<std::size_t>(__builtin_popcount(mask)));
        }
        const auto found = suspects::fewest_sets(holders, sets);
        CAPTURE(round);
        CHECK(found.exact);
        CHECK(found.sets.size() == best);
        CHECK(found.lower_bound == best);
        for (const auto& list : holders)
            CHECK((list.empty() || std::any_of(list.begin(), list.end(), [&](int s) {
                       return std::find(found.sets.begin(), found.sets.end(), s) != found.sets.end();
                   })));
    }
}

TEST_CASE("coverage: the published circuit of three multipliers and two adders has its four diagnoses") {
    // de Kleer and Williams, Diagnosing Multiple Faults, AIJ 32 (1987): conflicts {A1, M1, M2} and {A1, A2, M1, M3};
    // minimal diagnoses {A1}, {M1}, {A2, M2}, {M2, M3} (MIT 16.412 slides). A diagnosis meets every conflict: here the
    // parts are the sets and the conflicts the things to be covered. The fewest is one part, and two single parts do
    // it.
    enum Part { adds_1, adds_2, times_1, times_2, times_3 };
    const std::vector<std::vector<int>> conflicts{{adds_1, times_1, times_2}, {adds_1, adds_2, times_1, times_3}};
    CHECK(suspects::fewest_sets(conflicts, 5).sets.size() == 1);
    // Without A1 and M1 the fewest is two, and M2 is in it: {A2, M2} or {M2, M3}.
    const auto without = suspects::fewest_sets({{times_2}, {adds_2, times_3}}, 5);
    CHECK(without.sets.size() == 2);
    CHECK(std::find(without.sets.begin(), without.sets.end(), times_2) != without.sets.end());
}

TEST_CASE("tables: the quick time of a blocked neighbour is that of the filling in full") {
    const auto map = larch_map();
    suspects::Tables tables(map, {});
    for (const double mm : {1.0, 3.0}) {
        suspects::Setting setting{2, 35 * 6894.757293168361, std::vector<bool>(map.ports.size(), false)};
        setting.plugged[3] = true; // P4
        const std::size_t table = tables.table_of(setting);
        // The grid's size that is nearest.
        std::size_t size = 0;
        for (std::size_t i = 0; i < size_count; ++i) {
            if (std::abs(std::log(suspects::size_mm(i) / mm)) < std::abs(std::log(suspects::size_mm(size) / mm)))
                size = i;
        }
        int fault = -1;
        for (std::size_t f = 0; f < tables.faults().size(); ++f) {
            if (map.seals[tables.faults()[f].seal].id == "R3") fault = static_cast<int>(f);
        }
        const double quick = tables.apply_time_s(table, suspects::State{fault, size, -1, 0, -1}, 3);
        airflow::UnitAir unit(map, {});
        unit.set_port(3, airflow::PortState::plugged);
        unit.set_defect(2, suspects::size_mm(size) * 1e-3);
        unit.blow_into(2, setting.supply_gauge_pa);
        airflow::FillCase fill_case;
        fill_case.trigger_s = fill_case.end_s = 6;
        const auto trace = airflow::fill(map, unit, fill_case);
        REQUIRE(trace.completed);
        for (const auto& piston : trace.pistons) {
            if (map.elements[static_cast<std::size_t>(piston.element)].id != "coast-clutch") continue;
            REQUIRE(piston.applied_s);
            // In full the fed circuit fills first: the quick one leaves that out, some hundredths of a second.
            CHECK(std::abs(quick - *piston.applied_s) < 0.2 * *piston.applied_s + 0.03);
        }
    }
}

TEST_CASE("weigh: nothing is called sound before every circuit got air") {
    const auto read = model::read_map(std::string(RINGLAND_SOURCE_DIR) + "/assets-demo/wren-three.toml");
    REQUIRE(read.map);
    const auto& map = *read.map;
    model::Priors priors;
    priors.enough = 0.8; // reached before the last port is blown
    suspects::Weigher weigher(map, {}, priors);
    airflow::UnitAir sound(map, {});
    model::AirCheck check;
    const auto blow = [&](int into) {
        model::Reading reading;
        reading.into = map.ports[std::size_t(into)].id;
        const auto row = airflow::expect_row(map, sound, into, weigher.usual_gauge_pa());
        for (const auto& at : row.at) {
            if (at.port == into) continue;
            model::Seen seen;
            seen.at = map.ports[std::size_t(at.port)].id;
            seen.word = at.word;
            reading.seen.push_back(seen);
        }
        check.readings.push_back(reading);
    };
    for (int again = 0; again < 2; ++again) {
        for (int into = 1; into < int(map.ports.size()); ++into)
            blow(into);
    }
    model::Look rig;
    rig.seal = std::string(model::the_rig);
    rig.found = model::Found::sound;
    check.looks.push_back(rig);
    CHECK(suspects::ports_without_air(map, check) == std::vector<std::string>{map.ports[0].id});
    const auto part = suspects::answer(weigher, check, true);
    REQUIRE(part.weighing.nothing_wrong >= part.enough_at);
    CHECK(part.stop == suspects::Stop::go_on);
    CHECK(part.stop_words.find(map.ports[0].id) != std::string::npos);
    blow(0);
    CHECK(suspects::ports_without_air(map, check).empty());
    CHECK(suspects::answer(weigher, check, true).stop == suspects::Stop::enough);
}
