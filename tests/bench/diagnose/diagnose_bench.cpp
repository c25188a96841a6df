// Does the advice lead to the right part? Faults are put into units, readings are taken with errors that the engine
// does not know of (truth.h), its advice is followed to the end, and what it would have pulled is held against the
// fault. Beside it stands the rule of thumb on the same readings: the ring between the two ports of the loudest word
// that a healthy unit would not show.
//
//   bench_diagnose [--quick] [--tell] [SEED]   exit 1 where a figure of the quick part falls below its floor
#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <functional>
#include <span>
#include <string>
#include <thread>
#include <vector>

#include "../../../model-data/map_io.h"
#include "../../model/random_map.h"
#include "invented_unit.h"
#include "trial.h"

namespace {

using namespace ringland;
using tests::Dice;
using tests::Score;
using tests::Trial;

double share(long part, long whole) {
    return whole == 0 ? 0 : 100.0 * static_cast<double>(part) / static_cast<double>(whole);
}

void print(const std::string& name, const Score& s) {
    const double cases = std::max(1.0, static_cast<double>(s.cases));
    std::printf("%-15s %6ld cases  right part %5.1f %%  first %5.1f %%  in three %5.1f %%  sure %5.1f %%, then wrong "
                "%4.1f %%  rule of thumb %5.1f %%\n",
                name.c_str(), s.cases, share(s.right_part, s.cases), share(s.top_one, s.cases),
                share(s.top_three, s.cases), share(s.sure, s.cases), share(s.wrong_sure, s.sure),
                share(s.thumb, s.cases));
    std::printf("%15s readings %.2f, %.2f of the bound; with looks %.2f steps, %.2f of it; %.1f min; gained %.2f bits, "
                "most of a step %.2f\n",
                "", static_cast<double>(s.readings) / cases, s.over_bound(s.readings),
                static_cast<double>(s.steps) / cases, s.over_bound(s.steps), s.minutes / cases, s.gained_bits / cases,
                s.most_bits / cases);
    if (s.pairs > 0)
        std::printf("%15s %ld pairs that words tell apart (of %ld): among the first three suspects %.1f %%, both seals "
                    "named there %.1f %%\n",
                    "", s.pairs, s.pairs_drawn, share(s.pairs_in_three, s.pairs),
                    share(s.pairs_seals_in_three, s.pairs));
}

/// Mean distance of what is said from what is, points.
double print_reliability(const Score& s) {
    std::printf("when it says        it is        times\n");
    double error = 0, weight = 0;
    for (std::size_t k = 0; k < 10; ++k) {
        if (s.times[k] == 0) continue;
        const double n = static_cast<double>(s.times[k]);
        std::printf("  %5.1f %%          %5.1f %%       %ld\n", 100 * s.said[k] / n, 100 * s.was[k] / n, s.times[k]);
        error += std::abs(s.said[k] - s.was[k]);
        weight += n;
    }
    const double points = 100 * error / std::max(1.0, weight);
    std::printf("mean error of calibration: %.1f points\n", points);
    return points;
}

/// Every seal, or every `stride`th, with three sizes; then `drawn` units as the priors have them.
Score singles(Trial& trial, std::uint64_t seed, std::size_t stride, int drawn) {
    Score score;
    for (std::size_t s = 0; s < trial.map().seals.size(); s += stride) {
        for (const double mm : {0.7, 1.5, 3.0}) {
            // A hole that no word tells of is nobody's case.
            if (!trial.findable({s, mm})) continue;
            score.add(trial.single({s, mm}, seed * 1000003 + s * 31 + static_cast<std::uint64_t>(mm * 10)));
        }
    }
    for (int n = 0; n < drawn; ++n)
        score.add(trial.as_they_come(seed * 500009 + static_cast<std::uint64_t>(n)));
    return score;
}

Score pairs(Trial& trial, std::uint64_t seed, int count) {
    Score score;
    Dice dice(seed * 77 + 5);
    for (int tries = 0; tries < 20 * count && score.pairs < count; ++tries) {
        const int last = static_cast<int>(trial.map().seals.size()) - 1;
        const tests::Fault a{static_cast<std::size_t>(dice.number(0, last)), dice.size(1, 3)};
        const tests::Fault b{static_cast<std::size_t>(dice.number(0, last)), dice.size(1, 3)};
        // Two holes between the same two circuits are one to air.
        if (trial.alike(a.seal, b.seal) || !trial.findable(a) || !trial.findable(b)) continue;
        ++score.pairs_drawn;
        if (!trial.tellable(a, b)) continue;
        score.add(trial.pair(a, b, seed * 131 + static_cast<std::uint64_t>(tries)));
    }
    return score;
}

/// Units by number, on all cores; the scores come in order, so that sums are the same on every machine.
std::vector<Score> over_units(int units, const std::function<Score(int)>& one) {
    std::vector<Score> scores(static_cast<std::size_t>(units));
    std::atomic<int> next{0};
    std::vector<std::thread> crew;
    for (unsigned k = 0; k < std::max(1U, std::thread::hardware_concurrency()); ++k) {
        crew.emplace_back([&] {
            for (int n = next++; n < units; n = next++)
                scores[static_cast<std::size_t>(n)] = one(n);
        });
    }
    for (auto& worker : crew)
        worker.join();
    return scores;
}

Score sum_of(std::span<const Score> scores) {
    Score sum;
    for (const Score& score : scores)
        sum.add(score);
    return sum;
}

} // namespace

int main(int argc, char** argv) {
    bool quick = false, tell = false;
    std::uint64_t seed = 1;
    int units = 200;
    for (int k = 1; k < argc; ++k) {
        if (std::strcmp(argv[k], "--quick") == 0)
            quick = true;
        else if (std::strcmp(argv[k], "--tell") == 0)
            tell = true;
        else if (std::strcmp(argv[k], "--units") == 0 && k + 1 < argc)
            units = std::atoi(argv[++k]);
        else
            seed = std::strtoull(argv[k], nullptr, 10);
    }
    if (quick) units = 4;
    constexpr std::array<const char*, 3> demo{"larch-five", "heron-shift", "wren-three"};
    const int demos = static_cast<int>(demo.size());
    const auto scores = over_units(demos + units, [&](int n) {
        if (n < demos) {
            const auto name = demo[static_cast<std::size_t>(n)];
            const auto read = model::read_map(std::string(RINGLAND_SOURCE_DIR) + "/assets-demo/" + name + ".toml");
            Trial trial(read.map.value());
            trial.tell_failures = tell;
            Score score = singles(trial, seed, quick ? 3 : 1, quick ? 15 : 60);
            score.add(pairs(trial, seed, quick ? 3 : 10));
            return score;
        }
        const std::uint64_t own = seed + static_cast<std::uint64_t>(n - demos);
        Trial trial(tests::invented_unit(seed * 5000 + static_cast<std::uint64_t>(n - demos)));
        trial.tell_failures = tell;
        Score score = singles(trial, own, quick ? 4 : 1, quick ? 12 : 25);
        score.add(pairs(trial, own, 2));
        return score;
    });
    const std::span<const Score> each(scores);
    for (std::size_t n = 0; n < demo.size(); ++n)
        print(demo[n], each[n]);
    print("invented units", sum_of(each.subspan(demo.size())));
    const Score all = sum_of(each);
    print("all", all);
    const double calibration = print_reliability(all);
    if (quick) {
        // Few cases, so the floors lie below what the whole of it shows.
        const bool good = share(all.right_part, all.cases) >= 93 && share(all.thumb, all.cases) < 50 &&
                          share(all.wrong_sure, all.sure) <= 2 && all.over_bound(all.readings) < 1.5 &&
                          calibration < 14;
        std::printf("%s\n", good ? "good" : "below a floor");
        return good ? 0 : 1;
    }
    // Maps with odd figures at random, made for trying the reader: rings that leak as much as a hole, ports in a row of
    // nothing. No unit is like them; they show where the advice stops being worth anything.
    const Score odd = sum_of(over_units(units, [&](int n) {
        const auto map = tests::RandomMap(seed * 5000 + static_cast<std::uint64_t>(n)).make(1 + n % 2, 4);
        if (map.ports.size() < 2 || map.seals.size() > 24) return Score{};
        Trial trial(map);
        return singles(trial, seed + static_cast<std::uint64_t>(n), 1, 0);
    }));
    print("odd maps", odd);
    return 0;
}
