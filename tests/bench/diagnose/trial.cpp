#include "trial.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include <fmt/format.h>

#include "../../../diagnosis/airflow/expected.h"
#include "../../../diagnosis/suspects/answer.h"

namespace ringland::tests {

namespace airflow = diagnosis::airflow;
namespace suspects = diagnosis::suspects;

void Score::add(const Score& o) {
    readings += o.readings;
    cases += o.cases, right_part += o.right_part, top_one += o.top_one, top_three += o.top_three, steps += o.steps;
    sure += o.sure, wrong_sure += o.wrong_sure, thumb += o.thumb, minutes += o.minutes;
    gained_bits += o.gained_bits, most_bits += o.most_bits;
    pairs_drawn += o.pairs_drawn, pairs += o.pairs, pairs_in_three += o.pairs_in_three,
        pairs_seals_in_three += o.pairs_seals_in_three;
    for (std::size_t k = 0; k < 10; ++k)
        said[k] += o.said[k], was[k] += o.was[k], times[k] += o.times[k];
}

double Score::over_bound(long made) const {
    if (cases == 0 || gained_bits <= 0) return 0;
    const double bound = gained_bits / (most_bits / static_cast<double>(cases));
    return static_cast<double>(made) / bound;
}

Trial::Trial(const model::UnitMap& map) : map_(map), weigher_(map, {}, {}) {
    supply_ = weigher_.usual_gauge_pa();
    coverage_ = suspects::cover(weigher_.tables(), supply_);
    prior_.assign(weigher_.groups().size(), 0);
    const auto before = weigher_.weigh({});
    for (const auto& chance : before.groups)
        prior_[chance.group] = chance.probability;
    before_ = weigher_.posterior();
}

bool Trial::findable(const Fault& fault) const {
    const auto& cover = coverage_.seals[fault.seal];
    return cover.findable && fault.mm >= 1.2 * cover.smallest_mm;
}

/// One of its look-alikes. A lip that is cut through passes air like any seal between the same two circuits.
bool Trial::alike(std::size_t a, std::size_t b) const {
    if (a == b) return true;
    const auto &of_a = map_.seals[a].between, &of_b = map_.seals[b].between;
    if (of_a == of_b || (of_a[0] == of_b[1] && of_a[1] == of_b[0])) return true;
    return std::any_of(coverage_.look_alikes.begin(), coverage_.look_alikes.end(), [&](const auto& group) {
        return std::find(group.begin(), group.end(), a) != group.end() &&
               std::find(group.begin(), group.end(), b) != group.end();
    });
}

bool Trial::tellable(const Fault& first, const Fault& second) {
    auto& tables = weigher_.tables();
    const airflow::Hearing hearing{tables.bench().heard_from_lpm};
    const auto fault_of = [&](std::size_t seal) {
        std::size_t found = 0;
        for (std::size_t f = 0; f < tables.faults().size(); ++f) {
            if (tables.faults()[f].seal == seal && tables.faults()[f].both_ways) found = f;
        }
        return found;
    };
    const auto nearest = [](double mm) {
        std::size_t best = 0;
        for (std::size_t i = 1; i < suspects::size_count; ++i) {
            if (std::abs(std::log(suspects::size_mm(i) / mm)) < std::abs(std::log(suspects::size_mm(best) / mm)))
                best = i;
        }
        return best;
    };
    const auto flows = [](const suspects::Shown& shown) {
        std::vector<double> list(shown.flow_lpm.begin(), shown.flow_lpm.end());
        list.push_back(double(shown.case_lpm));
        return list;
    };
    // A word that the one fault alone would not bring even if its flow were off by one standard error, nor the leak of
    // the sound seals in it by theirs.
    const model::Priors& priors = weigher_.priors();
    const auto apart = [&](double pair, double single, double sound) {
        if (!(single > 0)) return airflow::heard(pair, hearing) != airflow::heard(single, hearing);
        const double share = std::clamp(sound / single, 0.0, 1.0);
        const double factor = std::exp(std::hypot(priors.flow_error, priors.sound_error * share));
        const auto word = airflow::heard(pair, hearing);
        return word < airflow::heard(single / factor, hearing) || word > airflow::heard(single * factor, hearing);
    };
    const std::size_t a = fault_of(first.seal), b = fault_of(second.seal), ports = map_.ports.size();
    // By size: does something in all readings tell the pair from it?
    std::array<std::array<bool, suspects::size_count>, 2> told{};
    for (std::size_t into = 0; into < ports; ++into) {
        const std::size_t table = tables.table_of({static_cast<int>(into), supply_, std::vector<bool>(ports, false)});
        const auto both = flows(tables.pair(table, a, nearest(first.mm), b, nearest(second.mm)));
        const auto sound = flows(tables.sound(table));
        for (std::size_t i = 0; i < suspects::size_count; ++i) {
            const std::array<std::vector<double>, 2> alone{flows(tables.single(table, a, i)),
                                                           flows(tables.single(table, b, i))};
            for (std::size_t k = 0; k < alone.size(); ++k) {
                for (std::size_t p = 0; p < both.size(); ++p)
                    told[k][i] = told[k][i] || (p != into && apart(both[p], alone[k][p], sound[p]));
            }
        }
    }
    const auto all = [](const auto& list) { return std::find(list.begin(), list.end(), false) == list.end(); };
    return all(told[0]) && all(told[1]);
}

void Trial::follow(Truth& truth, Course& course, bool past_enough) {
    constexpr int most_steps = 20;
    course.weighing = weigher_.weigh(course.check);
    const auto enough = [&] {
        const auto& w = course.weighing;
        const double sure = weigher_.priors().enough;
        const bool sound = w.nothing_wrong >= sure && suspects::ports_without_air(map_, course.check).empty();
        return w.enough || sound || w.rig >= sure;
    };
    for (; course.steps < most_steps && (past_enough || !enough()); ++course.steps) {
        const auto advice = suspects::advise(weigher_, course.check, 1);
        if (advice.steps.empty() || (advice.exhausted && !past_enough)) break;
        const auto& step = advice.steps.front();
        most_bits_ = std::max(most_bits_, step.bits);
        truth.carry_out(step, supply_, course.check);
        course.minutes += step.minutes;
        course.weighing = weigher_.weigh(course.check);
        if (tell_failures)
            course.told.push_back(fmt::format("{:.2f} bits, {:.1f} min: {}", step.bits, step.minutes, step.words));
    }
}

Score Trial::single(const Fault& fault, std::uint64_t seed) {
    Dice dice(seed);
    Truth truth(map_, weigher_.tables().rig_faults(), {{fault}}, dice);
    Course course;
    follow(truth, course, false);
    Score score;
    judge(course, fault, score);
    if (tell_failures && score.right_part == 0) tell(course, {fault});
    return score;
}

Trouble Trial::drawn(Dice& dice) {
    const model::Priors priors;
    const auto faults = weigher_.tables().faults();
    const auto size = [&] {
        return std::clamp(priors.size_median_mm * std::exp(priors.size_spread * dice.normal()), 0.3, 5.0);
    };
    double left = dice.uniform() - before_.sound;
    if (left < 0) return {};
    for (const auto& single : before_.singles) {
        left -= single.weight;
        if (left < 0) return {{{faults[single.fault].seal, size()}}};
    }
    for (const auto& pair : before_.pairs) {
        left -= pair.weight;
        if (left < 0) return {{{faults[pair.first].seal, size()}, {faults[pair.second].seal, size()}}};
    }
    for (std::size_t k = 0; k < before_.rig.size(); ++k) {
        left -= before_.rig[k];
        if (left < 0) return {{}, static_cast<int>(k / suspects::size_count), size()};
    }
    const auto circuit = [&] {
        return map_.circuits[static_cast<std::size_t>(dice.number(0, static_cast<int>(map_.circuits.size()) - 1))].id;
    };
    Trouble crack;
    do
        crack.wall = {circuit(), circuit()};
    while ((*crack.wall)[0] == (*crack.wall)[1]);
    crack.wall_mm = size();
    return crack;
}

Score Trial::as_they_come(std::uint64_t seed) {
    Dice dice(seed);
    const Trouble trouble = drawn(dice);
    Truth truth(map_, weigher_.tables().rig_faults(), trouble, dice);
    Course course;
    follow(truth, course, false);
    Score score;
    calibrate(course, trouble.faults, score);
    return score;
}

Score Trial::pair(const Fault& first, const Fault& second, std::uint64_t seed) {
    Dice dice(seed);
    Truth truth(map_, weigher_.tables().rig_faults(), {{first, second}}, dice);
    Course course;
    for (int into = 0; into < static_cast<int>(map_.ports.size()); ++into) {
        suspects::NextStep step;
        step.into = into;
        truth.carry_out(step, supply_, course.check);
    }
    follow(truth, course, true);
    Score score;
    score.pairs = 1;
    std::array<bool, 2> named{};
    for (std::size_t n = 0; n < std::min<std::size_t>(3, course.weighing.suspects.size()); ++n) {
        const auto& seals = course.weighing.suspects[n].seals;
        for (const std::size_t s : seals) {
            named[0] = named[0] || alike(s, first.seal);
            named[1] = named[1] || alike(s, second.seal);
        }
        if (seals.size() == 2 && ((alike(seals[0], first.seal) && alike(seals[1], second.seal)) ||
                                  (alike(seals[1], first.seal) && alike(seals[0], second.seal))))
            score.pairs_in_three = 1;
    }
    score.pairs_seals_in_three = named[0] && named[1] ? 1 : 0;
    if (tell_failures && score.pairs_in_three == 0) tell(course, {first, second});
    return score;
}

/// Every part of the one comes off with the other as well.
bool Trial::right_part(const Course& course, const Fault& fault) const {
    const auto& groups = weigher_.groups();
    const auto& pulled = groups[course.weighing.groups.front().group];
    const auto uncovers = [&](const suspects::PullGroup& needed) {
        return std::includes(pulled.parts.begin(), pulled.parts.end(), needed.parts.begin(), needed.parts.end()) &&
               (!needed.parts.empty() || pulled.seals == needed.seals);
    };
    for (std::size_t s = 0; s < map_.seals.size(); ++s) {
        if (alike(s, fault.seal) && uncovers(groups[weigher_.group_of()[s]])) return true;
    }
    return false;
}

void Trial::judge(const Course& course, const Fault& fault, Score& score) const {
    const auto& w = course.weighing;
    score.cases = 1;
    score.steps = course.steps;
    score.readings = static_cast<long>(course.check.readings.size());
    score.minutes = course.minutes;
    score.most_bits = most_bits_;
    const bool right = right_part(course, fault);
    score.right_part = right ? 1 : 0;
    for (std::size_t n = 0; n < std::min<std::size_t>(3, w.suspects.size()); ++n) {
        const bool hit = std::any_of(w.suspects[n].seals.begin(), w.suspects[n].seals.end(),
                                     [&](std::size_t s) { return alike(s, fault.seal); });
        if (hit && n == 0) score.top_one = 1;
        if (hit) score.top_three = 1;
    }
    score.sure = w.enough ? 1 : 0;
    score.wrong_sure = w.enough && !right ? 1 : 0;
    score.thumb = thumb(course.check, fault) ? 1 : 0;
    const std::size_t group = weigher_.group_of()[fault.seal];
    for (const auto& chance : w.groups) {
        if (chance.group == group)
            score.gained_bits = std::max(0.0, std::log2(std::max(1e-9, chance.probability) / prior_[group]));
    }
}

/// What the part on top was given, and whether the fault is in it.
void Trial::calibrate(const Course& course, const std::vector<Fault>& faults, Score& score) const {
    const auto& top = course.weighing.groups.front();
    const auto bin = std::min<std::size_t>(9, static_cast<std::size_t>(top.probability * 10));
    score.said[bin] += top.probability;
    score.times[bin] += 1;
    const bool in_it = std::any_of(faults.begin(), faults.end(),
                                   [&](const Fault& f) { return weigher_.group_of()[f.seal] == top.group; });
    score.was[bin] += in_it ? 1 : 0;
}

/// The rule of thumb: the loudest word that a healthy unit would not show, and the ring between those two ports.
bool Trial::thumb(const model::AirCheck& check, const Fault& fault) const {
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
    if (loudest == 0) return false;
    for (std::size_t s = 0; s < map_.seals.size(); ++s) {
        const auto& b = map_.seals[s].between;
        const bool ring = map_.seals[s].relation == model::Relation::stack;
        if (ring && ((b[0] == from && b[1] == to) || (b[1] == from && b[0] == to))) return alike(s, fault.seal);
    }
    return false;
}

void Trial::tell(const Course& course, const std::vector<Fault>& faults) const {
    std::printf("%s:", map_.unit.id.c_str());
    for (const auto& f : faults) {
        const auto& s = map_.seals[f.seal];
        std::printf(" %s (%s | %s) %.1f mm", s.id.c_str(), s.between[0].c_str(), s.between[1].c_str(), f.mm);
    }
    const auto& w = course.weighing;
    std::printf("  nothing %.2f rig %.2f unmapped %.2f\n", w.nothing_wrong, w.rig, w.unmapped);
    for (const auto& line : course.told)
        std::printf("    %s\n", line.c_str());
    for (const auto& r : course.check.readings) {
        std::printf("    into %s%s:", r.into.c_str(),
                    r.wet                ? " wet"
                    : r.shaft_turned_deg ? " turned"
                    : r.pushed           ? " pushed"
                    : r.plate_resnugged  ? " snugged"
                                         : "");
        for (const auto& seen : r.seen) {
            if (seen.word && *seen.word != model::Heard::nothing)
                std::printf(" %s %s", seen.at.c_str(), std::string(model::word(*seen.word)).c_str());
            if (seen.pressure) std::printf(" %s %.1f psi", seen.at.c_str(), seen.pressure->si() / 6894.757);
            if (seen.applies_after_s) std::printf(" %s %.2f s", seen.at.c_str(), *seen.applies_after_s);
        }
        std::printf("\n");
    }
    for (std::size_t n = 0; n < std::min<std::size_t>(5, w.suspects.size()); ++n) {
        std::printf("    %.3f", w.suspects[n].probability);
        for (const auto s : w.suspects[n].seals)
            std::printf(" %s (%s | %s)", map_.seals[s].id.c_str(), map_.seals[s].between[0].c_str(),
                        map_.seals[s].between[1].c_str());
        std::printf(" %.1f mm\n", w.suspects[n].hole_mm);
    }
}

} // namespace ringland::tests
