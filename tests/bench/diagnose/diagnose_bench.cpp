// Does the advice lead to the right part? Faults are put into units, readings are taken with errors that the engine
// does not know of, its advice is followed to the end, and what it would have pulled is held against the fault.
//
// The truth differs from what the engine assumes: every leak and hole is off by ten per cent, the ear's thresholds by
// thirty, one word in twenty is its neighbour. Beside it stands the rule of thumb on the same first readings: the seal
// between the two ports of the loudest word that a healthy unit would not show.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <map>
#include <random>
#include <string>
#include <vector>

#include "../../../diagnosis/airflow/expected.h"
#include "../../../diagnosis/airflow/heard.h"
#include "../../../diagnosis/suspects/coverage.h"
#include "../../../diagnosis/suspects/next_step.h"
#include "../../../model-data/map_io.h"
#include "../../model/random_map.h"

namespace {

using namespace ringland;
namespace suspects = diagnosis::suspects;
namespace airflow = diagnosis::airflow;
using suspects::NextStep;

class Dice {
public:
    explicit Dice(std::uint64_t seed) : engine_(seed) {}
    double uniform() { return static_cast<double>(engine_() >> 11) * 0x1.0p-53; }
    double normal() { // Box and Muller; the library's own would differ from machine to machine
        return std::sqrt(-2 * std::log(1 - uniform())) * std::cos(2 * M_PI * uniform());
    }

private:
    std::mt19937_64 engine_;
};

/// The unit as it really is, and an ear that is not the engine's.
class Truth {
public:
    Truth(const model::UnitMap& map, Dice& dice) : map_(map), dice_(dice), unit_(map, {}) {
        auto& network = unit_.network();
        for (int k = 0; k < static_cast<int>(network.elements().size()); ++k) {
            const auto& law = network.elements()[static_cast<std::size_t>(k)].law;
            if (law.kind() != airflow::Law::Kind::closed) network.set_law(k, law.scaled(std::exp(0.1 * dice.normal())));
        }
        for (double& from : hearing_.from_lpm)
            from *= std::exp(0.3 * dice.normal());
        std::sort(hearing_.from_lpm.begin(), hearing_.from_lpm.end());
    }
    void break_seal(std::size_t seal, double mm) {
        unit_.set_defect(static_cast<int>(seal), mm * 1e-3 * std::exp(0.05 * dice_.normal()));
    }
    [[nodiscard]] model::Heard hear(double lpm) {
        int word = static_cast<int>(airflow::heard(lpm, hearing_));
        if (dice_.uniform() < 0.05) word += dice_.uniform() < 0.5 ? 1 : -1;
        return static_cast<model::Heard>(std::clamp(word, 0, 3));
    }
    /// Makes the reading of a step.
    model::Reading make(const NextStep& step, double supply_pa) {
        model::Reading reading = suspects::reading_of(map_, step);
        // A port's hole is set anew with its state, so the truth's own error of it is not kept: it is far from every
        // leak.
        unit_.set_all_ports(airflow::PortState::open);
        for (const int p : step.plugged)
            unit_.set_port(p, airflow::PortState::plugged);
        const bool gauge = step.kind == NextStep::Kind::gauge;
        if (gauge) unit_.set_port(step.watch.front(), airflow::PortState::plugged);
        unit_.blow_into(step.into, supply_pa);
        unit_.solve_cold();
        for (int p = 0; p < static_cast<int>(map_.ports.size()); ++p) {
            if (p == step.into) continue;
            model::Seen seen;
            seen.at = map_.ports[static_cast<std::size_t>(p)].id;
            if (gauge && p == step.watch.front()) {
                const double pa = std::max(0.0, unit_.port_gauge_pa(p) * (1 + 0.03 * dice_.normal()));
                seen.pressure = model::GaugePressure{pa / 1e5, model::PressureDimension::Unit::bar};
            } else if (std::find(step.plugged.begin(), step.plugged.end(), p) == step.plugged.end()) {
                seen.word = hear(airflow::normal_lpm(unit_.port_flow_kgps(p)));
            } else {
                continue;
            }
            reading.seen.push_back(seen);
        }
        model::Seen seen_case;
        seen_case.at = std::string(model::open_case);
        seen_case.word = hear(airflow::normal_lpm(unit_.sump_flow_kgps()));
        reading.seen.push_back(seen_case);
        return reading;
    }
    [[nodiscard]] airflow::UnitAir& unit() { return unit_; }
    [[nodiscard]] bool finds_damage(bool damaged) { return dice_.uniform() < (damaged ? 0.9 : 0.03); }

private:
    const model::UnitMap& map_;
    Dice& dice_;
    airflow::UnitAir unit_;
    airflow::Hearing hearing_;
};

struct Score {
    long cases = 0, right_part = 0, top_one = 0, top_three = 0, readings = 0, sure = 0, wrong_sure = 0;
    long thumb = 0, thumb_cases = 0;
    double bound = 0; ///< readings that the entropy asks for at least, summed
    std::array<double, 10> said{}, was{};
    std::array<long, 10> times{};
    void add(const Score& o) {
        cases += o.cases, right_part += o.right_part, top_one += o.top_one, top_three += o.top_three;
        readings += o.readings, sure += o.sure, wrong_sure += o.wrong_sure, thumb += o.thumb;
        thumb_cases += o.thumb_cases, bound += o.bound;
        for (std::size_t k = 0; k < 10; ++k)
            said[k] += o.said[k], was[k] += o.was[k], times[k] += o.times[k];
    }
};

double share(long part, long whole) {
    return whole == 0 ? 0 : 100.0 * static_cast<double>(part) / static_cast<double>(whole);
}

bool alike(const suspects::Coverage& coverage, std::size_t a, std::size_t b) {
    if (a == b) return true;
    return std::any_of(coverage.look_alikes.begin(), coverage.look_alikes.end(), [&](const auto& group) {
        return std::find(group.begin(), group.end(), a) != group.end() &&
               std::find(group.begin(), group.end(), b) != group.end();
    });
}

/// Every part of the one comes off with the other as well.
bool uncovers(const suspects::PullGroup& pulled, const suspects::PullGroup& needed) {
    return std::includes(pulled.parts.begin(), pulled.parts.end(), needed.parts.begin(), needed.parts.end()) &&
           (!needed.parts.empty() || pulled.seals == needed.seals);
}

/// One unit with its weigher, which keeps the tables over all cases of the unit.
class Trial {
public:
    Trial(const model::UnitMap& map) : map_(map), weigher_(map, {}, {}) {
        supply_ = weigher_.usual_gauge_pa();
        coverage_ = suspects::cover(weigher_.tables(), supply_);
    }
    [[nodiscard]] const suspects::Coverage& coverage() const { return coverage_; }

    Score run(const std::vector<std::pair<std::size_t, double>>& faults, Dice& dice) {
        Truth truth(map_, dice);
        for (const auto& [seal, mm] : faults)
            truth.break_seal(seal, mm);
        model::AirCheck check;
        constexpr int most_steps = 14;
        suspects::Weighing w = weigher_.weigh(check);
        const double entropy = suspects::advise(weigher_, check, 1).entropy_bits;
        int steps = 0;
        double bits = 0;
        for (; steps < most_steps && !w.enough; ++steps) {
            const auto advice = suspects::advise(weigher_, check, 3);
            if (advice.exhausted) break;
            const NextStep* step = nullptr;
            for (const auto& s : advice.steps) {
                // What this trial cannot act out: times, changes of the test, the rig. It takes the best of the others.
                if (s.kind == NextStep::Kind::listen || s.kind == NextStep::Kind::gauge ||
                    s.kind == NextStep::Kind::look) {
                    step = &s;
                    break;
                }
            }
            if (step == nullptr) break;
            bits += step->bits;
            if (step->kind == NextStep::Kind::look) {
                const auto seal = static_cast<std::size_t>(step->seal);
                const bool damaged =
                    std::any_of(faults.begin(), faults.end(), [&](const auto& f) { return f.first == seal; });
                check.looks.push_back({map_.seals[seal].id,
                                       truth.finds_damage(damaged) ? model::Found::damaged : model::Found::sound,
                                       {},
                                       {}});
            } else {
                check.readings.push_back(truth.make(*step, supply_));
            }
            w = weigher_.weigh(check);
        }
        Score score;
        if (faults.empty()) { // a sound unit counts for what it was said to have, and for nothing else
            calibrate(w, false, score);
            return score;
        }
        score.cases = 1;
        score.readings = steps;
        // What the best single readings tell is 0.6 bits or so: the bound is in steps of the mean that was promised.
        score.bound = bits > 0 ? std::ceil(entropy / std::max(0.05, bits / std::max(1, steps))) : 0;
        judge(w, faults, score);
        thumb(check, faults, score);
        return score;
    }

    /// Pairs: is it, or one with look-alikes, among the first three?
    bool pair_in_three(const std::vector<std::pair<std::size_t, double>>& faults, Dice& dice) {
        Truth truth(map_, dice);
        for (const auto& [seal, mm] : faults)
            truth.break_seal(seal, mm);
        model::AirCheck check;
        // Two faults: the whole air check is made.
        for (int into = 0; into < static_cast<int>(map_.ports.size()); ++into) {
            NextStep step;
            step.into = into;
            check.readings.push_back(truth.make(step, supply_));
        }
        const auto w = weigher_.weigh(check);
        for (std::size_t n = 0; n < std::min<std::size_t>(3, w.suspects.size()); ++n) {
            const auto& s = w.suspects[n].seals;
            if (s.size() != 2) continue;
            const auto meets = [&](std::size_t a, std::size_t b) {
                return alike(coverage_, a, faults[0].first) && alike(coverage_, b, faults[1].first);
            };
            if (meets(s[0], s[1]) || meets(s[1], s[0])) return true;
        }
        return false;
    }

private:
    void judge(const suspects::Weighing& w, const std::vector<std::pair<std::size_t, double>>& faults,
               Score& score) const {
        const std::size_t fault = faults.front().first;
        const auto& groups = weigher_.groups();
        const auto& pulled = groups[w.groups.front().group];
        bool right = false;
        for (std::size_t s = 0; s < map_.seals.size(); ++s) {
            if (alike(coverage_, s, fault) && uncovers(pulled, groups[weigher_.group_of()[s]])) right = true;
        }
        score.right_part = right ? 1 : 0;
        for (std::size_t n = 0; n < std::min<std::size_t>(3, w.suspects.size()); ++n) {
            const bool hit = std::any_of(w.suspects[n].seals.begin(), w.suspects[n].seals.end(),
                                         [&](std::size_t s) { return alike(coverage_, s, fault); });
            if (hit && n == 0) score.top_one = 1;
            if (hit) score.top_three = 1;
        }
        score.sure = w.enough ? 1 : 0;
        score.wrong_sure = w.enough && !right ? 1 : 0;
        calibrate(w, w.groups.front().group == weigher_.group_of()[fault], score);
    }
    /// What the group on top was given, and whether the fault is in it.
    static void calibrate(const suspects::Weighing& w, bool in_it, Score& score) {
        const double said = w.groups.front().probability;
        const auto bin = std::min<std::size_t>(9, static_cast<std::size_t>(said * 10));
        score.said[bin] += said;
        score.times[bin] += 1;
        score.was[bin] += in_it ? 1 : 0;
    }

    /// The loudest word that a healthy unit would not show, and the seals between those two ports.
    void thumb(const model::AirCheck& check, const std::vector<std::pair<std::size_t, double>>& faults, Score& score) {
        airflow::UnitAir healthy(map_, {});
        int loudest = 0;
        std::string from, to;
        for (const auto& reading : check.readings) {
            for (std::size_t p = 0; p < map_.ports.size(); ++p) {
                if (map_.ports[p].id != reading.into) continue;
                const auto row = airflow::expect_row(map_, healthy, static_cast<int>(p), supply_);
                for (const auto& at : row.at) {
                    for (const auto& seen : reading.seen) {
                        if (!seen.word || seen.at != map_.ports[static_cast<std::size_t>(at.port)].id) continue;
                        const int more = static_cast<int>(*seen.word) - static_cast<int>(at.word);
                        if (more <= loudest) continue;
                        loudest = more;
                        from = map_.ports[p].circuit;
                        to = map_.ports[static_cast<std::size_t>(at.port)].circuit;
                    }
                }
            }
        }
        score.thumb_cases = 1;
        if (loudest == 0) return;
        for (std::size_t s = 0; s < map_.seals.size(); ++s) {
            const auto& b = map_.seals[s].between;
            const bool ring = map_.seals[s].relation == model::Relation::stack;
            if (ring && ((b[0] == from && b[1] == to) || (b[1] == from && b[0] == to))) {
                score.thumb = alike(coverage_, s, faults.front().first) ? 1 : 0;
                return;
            }
        }
    }

    model::UnitMap map_;
    suspects::Weigher weigher_;
    suspects::Coverage coverage_;
    double supply_ = 0;
};

void print(const std::string& name, const Score& s) {
    std::printf("%-22s %6ld cases  right part %5.1f %%  top 1 %5.1f %%  top 3 %5.1f %%  steps %.2f  sure %5.1f %%  "
                "wrong when sure %4.1f %%  rule of thumb %5.1f %%\n",
                name.c_str(), s.cases, share(s.right_part, s.cases), share(s.top_one, s.cases),
                share(s.top_three, s.cases),
                s.cases == 0 ? 0 : static_cast<double>(s.readings) / static_cast<double>(s.cases),
                share(s.sure, s.cases), share(s.wrong_sure, s.sure), share(s.thumb, s.thumb_cases));
}

Score all_singles(Trial& trial, const model::UnitMap& map, std::uint64_t seed) {
    Score score;
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        const auto& cover = trial.coverage().seals[s];
        for (const double mm : {0.7, 1.5, 3.0}) {
            // A hole that no word tells of is nobody's case.
            if (!cover.findable || mm < 1.2 * cover.smallest_mm) continue;
            Dice dice(seed * 1000003 + s * 31 + static_cast<std::uint64_t>(mm * 10));
            score.add(trial.run({{s, mm}}, dice));
            // As many sound units beside the faulty ones as the priors have: about two in three.
            if (dice.uniform() < 0.67) score.add(trial.run({}, dice));
        }
    }
    return score;
}

} // namespace

int main(int argc, char** argv) {
    const bool quick = argc > 1 && std::strcmp(argv[1], "--quick") == 0;
    const std::uint64_t seed = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 1;
    Score demo;
    for (const char* unit : {"larch-five", "heron-shift", "wren-three"}) {
        const auto read = model::read_map(std::string(RINGLAND_SOURCE_DIR) + "/assets-demo/" + unit + ".toml");
        if (!read.map) return 1;
        Trial trial(*read.map);
        const Score score = all_singles(trial, *read.map, seed);
        print(unit, score);
        demo.add(score);
    }
    Score random;
    long pairs = 0, pairs_hit = 0;
    const int units = quick ? 6 : 200;
    for (int n = 0; n < units; ++n) {
        const auto map = tests::RandomMap(seed * 5000 + static_cast<std::uint64_t>(n)).make(1 + n % 2, 4);
        if (map.ports.size() < 2 || map.seals.size() > 24) continue;
        Trial trial(map);
        random.add(all_singles(trial, map, seed + static_cast<std::uint64_t>(n)));
        Dice dice(seed * 77 + static_cast<std::uint64_t>(n));
        for (int k = 0; k < 4; ++k) {
            const auto a = static_cast<std::size_t>(dice.uniform() * static_cast<double>(map.seals.size()));
            const auto b = static_cast<std::size_t>(dice.uniform() * static_cast<double>(map.seals.size()));
            if (a == b || !trial.coverage().seals[a].findable || !trial.coverage().seals[b].findable) continue;
            ++pairs;
            pairs_hit += trial.pair_in_three({{a, 2.0}, {b, 2.0}}, dice) ? 1 : 0;
        }
    }
    print("random units", random);
    std::printf("pairs of faults in the first three: %.1f %% of %ld\n", share(pairs_hit, pairs), pairs);
    Score all = demo;
    all.add(random);
    print("all", all);
    std::printf("when it says        it is        times\n");
    double error = 0, weight = 0;
    for (std::size_t k = 0; k < 10; ++k) {
        if (all.times[k] == 0) continue;
        const double n = static_cast<double>(all.times[k]);
        std::printf("  %5.1f %%          %5.1f %%       %ld\n", 100 * all.said[k] / n, 100 * all.was[k] / n,
                    all.times[k]);
        error += std::abs(all.said[k] - all.was[k]);
        weight += n;
    }
    std::printf("mean error of calibration: %.1f points\n", 100 * error / weight);
    return 0;
}
