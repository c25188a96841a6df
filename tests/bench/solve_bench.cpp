// How long the air of the largest demo unit takes: one solve begun near its answer, one begun from nothing, the whole
// expected chart. Each prints how well it is balanced and a hash of what it answered: quick and wrong does not count.
#include <algorithm>
#include <cstdint>
#include <stdexcept>
#include <string>
#include <string_view>

#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include "../../diagnosis/airflow/expected.h"
#include "../../model-data/map_io.h"

namespace {

using namespace ringland;
using namespace ringland::diagnosis::airflow;

constexpr double psi_pa = 6894.757;

model::UnitMap largest_demo() {
    auto read = model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml");
    if (!read.map) throw std::runtime_error("the demo map does not read");
    return *std::move(read.map);
}

/// FNV-1a over figures of eight digits: the same on every machine that computes the same.
class Hash {
public:
    void add(double figure) {
        for (const char c : fmt::format("{:.7e};", figure))
            hash_ = (hash_ ^ static_cast<unsigned char>(c)) * 1099511628211u;
    }
    [[nodiscard]] std::uint64_t value() const { return hash_; }

private:
    std::uint64_t hash_ = 14695981039346656037u;
};

void add_pressures(Hash& hash, const UnitAir& unit) {
    for (int n = 0; n < unit.network().node_count(); ++n)
        hash.add(unit.network().pressure_pa(n));
}

/// Ends the program, which then fails, where something was not solved.
void demand_converged(bool converged) {
    if (!converged) throw std::runtime_error("not converged");
}

/// What was solved, beside the time it took.
void tell(benchmark::State& state, const UnitAir& unit, const Hash& hash, int iterations) {
    const SolveReport& report = unit.network().report();
    demand_converged(report.converged);
    state.SetLabel(fmt::format(
        "{} unknowns, {} iterations, mass residual {:.1e}, pressure residual {:.1e}, answers {:016x}",
        unit.network().unknown_count(), iterations, report.mass_residual, report.pressure_residual, hash.value()));
}

/// Air into P3, and the hole in ring R3 between 1.00 and 1.05 mm as under a slider: every solve begins at the answer of
/// the other case and has work to do.
void warm_solve(benchmark::State& state) {
    const model::UnitMap map = largest_demo();
    UnitAir unit(map, {});
    const int seal = static_cast<int>(index_of(map.seals, "R3"));
    unit.blow_into(static_cast<int>(index_of(map.ports, "P3")), 35 * psi_pa);
    bool larger = false;
    const auto next = [&] {
        larger = !larger;
        unit.set_defect(seal, larger ? 1.05e-3 : 1.00e-3);
        return unit.solve().converged;
    };
    bool good = next();
    for (auto _ : state)
        good = next() && good;
    demand_converged(good);
    Hash hash;
    int iterations = 0;
    larger = false;
    next(); // from wherever the loop ended
    for (int k = 0; k < 2; ++k) {
        next();
        iterations += unit.network().report().iterations;
        add_pressures(hash, unit);
    }
    tell(state, unit, hash, iterations / 2);
}
BENCHMARK(warm_solve)->Unit(benchmark::kMicrosecond);

/// Nothing is known before: the first solve after another port got the air.
void cold_solve(benchmark::State& state) {
    const model::UnitMap map = largest_demo();
    UnitAir unit(map, {});
    unit.set_defect(static_cast<int>(index_of(map.seals, "R3")), 1e-3);
    unit.blow_into(static_cast<int>(index_of(map.ports, "P3")), 35 * psi_pa);
    bool good = true;
    for (auto _ : state)
        good = unit.solve_cold().converged && good;
    demand_converged(good);
    Hash hash;
    add_pressures(hash, unit);
    tell(state, unit, hash, unit.network().report().iterations);
}
BENCHMARK(cold_solve)->Unit(benchmark::kMicrosecond);

/// Every port in turn, with a gauge on every other.
void expected_chart(benchmark::State& state) {
    const model::UnitMap map = largest_demo();
    UnitAir unit(map, {});
    ExpectedChart chart;
    for (auto _ : state)
        chart = expect(map, unit, 35 * psi_pa);
    demand_converged(chart.converged);
    Hash hash;
    for (const ExpectedRow& row : chart.rows) {
        hash.add(row.port_gauge_pa);
        hash.add(row.supply_kgps);
        hash.add(row.case_kgps);
        for (const ExpectedAt& at : row.at) {
            hash.add(at.flow_kgps);
            hash.add(at.plugged_gauge_pa);
        }
    }
    tell(state, unit, hash, unit.network().report().iterations);
}
BENCHMARK(expected_chart)->Unit(benchmark::kMillisecond);

} // namespace

BENCHMARK_MAIN();
