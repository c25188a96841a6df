// How long the weighing takes on an invented unit of 40 seals after 12 readings, singles and pairs: all at once from
// nothing, one more reading, the choice of the next step. A table over seals and readings follows. Each prints the
// median, how many solves of the network stand behind it, and a hash of the posterior: quick and wrong does not count.
//
//   bench_weigh [--no-table] [options of Google Benchmark]
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <stdexcept>
#include <string>
#include <vector>

#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include "../../diagnosis/suspects/next_step.h"
#include "../../diagnosis/suspects/weigh.h"
#include "../suspects/bench_unit.h"

namespace {

using namespace ringland;
using namespace ringland::diagnosis;
using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) { return std::chrono::duration<double>(Clock::now() - start).count(); }

double median(std::vector<double> list) {
    if (list.empty()) return 0;
    std::sort(list.begin(), list.end());
    const std::size_t half = list.size() / 2;
    return list.size() % 2 == 1 ? list[half] : 0.5 * (list[half - 1] + list[half]);
}

/// The unit, its air check, and the answer once and for all, against which every way to it is held.
struct Work {
    explicit Work(int stacks, int readings)
        : map(tests::bench_unit(stacks)), check(tests::bench_check(map, readings)), weigher(map, {}, {}),
          weighing(weigher.weigh(check)) {
        demand(weigher.tables().all_converged(), "not converged");
    }
    static void demand(bool good, const char* what) {
        if (!good) throw std::runtime_error(what);
    }
    /// Ends the program where another way to the same answer gave another.
    void demand_same(const suspects::Weighing& other) const {
        for (std::size_t s = 0; s < map.seals.size(); ++s)
            demand(std::abs(weighing.seal_probability[s] - other.seal_probability[s]) < 1e-7, "another posterior");
    }
    [[nodiscard]] suspects::Weigher fresh() const { return {map, {}, {}}; }
    /// The air check with one of its readings at the end.
    [[nodiscard]] model::AirCheck with_last(std::size_t last) const {
        model::AirCheck turned = check;
        std::rotate(turned.readings.begin() + static_cast<std::ptrdiff_t>(last),
                    turned.readings.begin() + static_cast<std::ptrdiff_t>(last) + 1, turned.readings.end());
        return turned;
    }

    model::UnitMap map;
    model::AirCheck check;
    suspects::Weigher weigher;
    suspects::Weighing weighing;
};

/// Seconds that one way of working takes, time after time; round k may use another reading.
double cold_s(const Work& work, std::size_t) {
    const auto start = Clock::now();
    auto weigher = work.fresh();
    const auto weighing = weigher.weigh(work.check);
    const double took = seconds_since(start);
    Work::demand(weighing.hash == work.weighing.hash, "another hash from the same work");
    return took;
}
double added_s(const Work& work, std::size_t round) {
    const auto turned = work.with_last(round % work.check.readings.size());
    auto weigher = work.fresh();
    model::AirCheck before = turned;
    before.readings.pop_back();
    static_cast<void>(weigher.weigh(before));
    const auto start = Clock::now();
    const auto weighing = weigher.weigh(turned);
    const double took = seconds_since(start);
    work.demand_same(weighing);
    return took;
}
/// The same reading with one word changed, as when a button is pressed once more: the setting is known already.
double changed_s(const Work& work, std::size_t round) {
    auto weigher = work.fresh();
    model::AirCheck check = work.check;
    auto& word = *check.readings[round % check.readings.size()].seen[0].word;
    word = word == model::Heard::nothing ? model::Heard::faint : model::Heard::nothing;
    static_cast<void>(weigher.weigh(check));
    const auto start = Clock::now();
    const auto weighing = weigher.weigh(work.check);
    const double took = seconds_since(start);
    work.demand_same(weighing);
    return took;
}
double advise_s(const Work& work, std::size_t) {
    auto weigher = work.fresh();
    static_cast<void>(weigher.weigh(work.check));
    const auto start = Clock::now();
    const auto advice = suspects::advise(weigher, work.check);
    const double took = seconds_since(start);
    benchmark::DoNotOptimize(advice.entropy_bits);
    return took;
}
double advise_again_s(const Work& work, std::size_t) {
    auto weigher = work.fresh();
    static_cast<void>(weigher.weigh(work.check));
    static_cast<void>(suspects::advise(weigher, work.check));
    const auto start = Clock::now();
    const auto advice = suspects::advise(weigher, work.check);
    const double took = seconds_since(start);
    benchmark::DoNotOptimize(advice.entropy_bits);
    return took;
}
using Way = double (*)(const Work&, std::size_t);

void measure(benchmark::State& state, Way way, bool felt) {
    Work work(4, 12);
    if (felt) {
        // The element of every port felt as well: its time is reckoned for every suspect.
        for (auto& reading : work.check.readings)
            reading.applied = model::Applied::soft;
        work.weigher = work.fresh();
        work.weighing = work.weigher.weigh(work.check);
    }
    std::vector<double> times;
    for (auto _ : state) {
        times.push_back(way(work, times.size()));
        state.SetIterationTime(times.back());
    }
    state.SetLabel(fmt::format("{} seals, {} readings: median {:.1f} ms of {}, longest {:.1f} ms, {} solves behind the "
                               "weighing, posterior {:016x}",
                               work.map.seals.size(), work.check.readings.size(), 1e3 * median(times), times.size(),
                               1e3 * *std::max_element(times.begin(), times.end()), work.weighing.solves,
                               work.weighing.hash));
}
void cold(benchmark::State& state) { measure(state, cold_s, false); }
void added_reading(benchmark::State& state) { measure(state, added_s, false); }
void changed_word(benchmark::State& state) { measure(state, changed_s, false); }
void next_step(benchmark::State& state) { measure(state, advise_s, false); }
void next_step_again(benchmark::State& state) { measure(state, advise_again_s, false); }
void cold_with_feel(benchmark::State& state) { measure(state, cold_s, true); }
BENCHMARK(cold)->UseManualTime()->Unit(benchmark::kMillisecond);
BENCHMARK(added_reading)->UseManualTime()->Unit(benchmark::kMillisecond);
BENCHMARK(changed_word)->UseManualTime()->Unit(benchmark::kMillisecond);
BENCHMARK(next_step)->UseManualTime()->Unit(benchmark::kMillisecond);
BENCHMARK(next_step_again)->UseManualTime()->Unit(benchmark::kMillisecond);
BENCHMARK(cold_with_feel)->UseManualTime()->Unit(benchmark::kMillisecond);

/// Medians over seals and readings.
void print_table() {
    constexpr std::size_t rounds = 5;
    std::printf("\n%6s %9s %9s %10s %11s %9s  %s\n", "seals", "readings", "cold ms", "added ms", "advise ms", "solves",
                "posterior");
    for (const int stacks : {1, 2, 4, 8}) {
        for (const int readings : {3, 6, 12, 24}) {
            const Work work(stacks, readings);
            const auto of = [&](Way way) {
                std::vector<double> times;
                for (std::size_t k = 0; k < rounds; ++k)
                    times.push_back(way(work, k * static_cast<std::size_t>(readings) / rounds));
                return 1e3 * median(times);
            };
            const double cold_ms = of(cold_s), added_ms = of(added_s), advise_ms = of(advise_s);
            std::printf("%6zu %9d %9.1f %10.1f %11.1f %9ld  %016llx\n", work.map.seals.size(), readings, cold_ms,
                        added_ms, advise_ms, work.weighing.solves, work.weighing.hash);
            std::fflush(stdout);
        }
    }
}

} // namespace

int main(int argc, char** argv) {
    bool table = true;
    std::vector<char*> rest;
    for (int k = 0; k < argc; ++k) {
        if (std::strcmp(argv[k], "--no-table") == 0)
            table = false;
        else
            rest.push_back(argv[k]);
    }
    int count = static_cast<int>(rest.size());
    benchmark::Initialize(&count, rest.data());
    if (benchmark::ReportUnrecognizedArguments(count, rest.data())) return 1;
    benchmark::RunSpecifiedBenchmarks();
    if (table) print_table();
    return 0;
}
