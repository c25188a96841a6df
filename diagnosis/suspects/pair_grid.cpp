#include "pair_grid.h"

#include <algorithm>
#include <cmath>

namespace ringland::diagnosis::suspects {

namespace {

/// Keeps the logarithm of a flow of nothing finite; a quarter of the softest flow that is heard.
constexpr double least_lpm = 0.1;
/// No pair gives so much more or less than the sum of its faults.
constexpr double most_short = 3;

double flow_of(const Shown& shown, std::size_t port) {
    return double(port == shown.flow_lpm.size() ? shown.case_lpm : shown.flow_lpm[port]);
}

/// Place between the solved sizes: the lower of two neighbours and the share of the upper one. Beyond the ends the
/// nearest two go on.
struct Between {
    std::size_t low = 0;
    double share = 0;
    explicit Between(std::size_t size) {
        while (low + 2 < pair_sizes.size() && size > pair_sizes[low + 1])
            ++low;
        share = (static_cast<double>(size) - static_cast<double>(pair_sizes[low])) /
                static_cast<double>(pair_sizes[low + 1] - pair_sizes[low]);
    }
};

template <std::size_t N> double at(const std::array<double, N>& grid, std::size_t i, std::size_t k) {
    const Between a(i), b(k);
    const auto cell = [&](std::size_t x, std::size_t y) { return grid[x * pair_sizes.size() + y]; };
    const double low = (1 - b.share) * cell(a.low, b.low) + b.share * cell(a.low, b.low + 1);
    const double high = (1 - b.share) * cell(a.low + 1, b.low) + b.share * cell(a.low + 1, b.low + 1);
    return (1 - a.share) * low + a.share * high;
}

} // namespace

PairGrid::PairGrid(Tables& tables, std::size_t table, std::size_t first, std::size_t second)
    : tables_(tables), table_(table), first_(first), second_(second), ports_(tables.map().ports.size()),
      flow_short_(ports_ + 1), gauge_short_(ports_) {
    for (std::size_t i = 0; i < few; ++i) {
        for (std::size_t k = 0; k < few; ++k) {
            const Shown both = tables.pair(table, first, pair_sizes[i], second, pair_sizes[k]);
            for (std::size_t p = 0; p <= ports_; ++p) {
                const double sum = summed_flow(p, pair_sizes[i], pair_sizes[k]), own = flow_of(both, p);
                flow_short_[p][i * few + k] =
                    std::abs(own - sum) < 1e-3 * (1 + sum) ? 0 : std::log((own + least_lpm) / (sum + least_lpm));
                if (p == ports_) continue;
                gauge_short_[p][i * few + k] = double(both.gauge_pa[p]) - summed_gauge(p, pair_sizes[i], pair_sizes[k]);
            }
        }
    }
}

double PairGrid::summed_flow(std::size_t port, std::size_t i, std::size_t k) const {
    const auto of = [&](const Shown& shown) { return flow_of(shown, port); };
    return std::max(0.0, of(tables_.single(table_, first_, i)) + of(tables_.single(table_, second_, k)) -
                             of(tables_.sound(table_)));
}

double PairGrid::summed_gauge(std::size_t port, std::size_t i, std::size_t k) const {
    const auto of = [&](const Shown& shown) { return double(shown.gauge_pa[port]); };
    return of(tables_.single(table_, first_, i)) + of(tables_.single(table_, second_, k)) - of(tables_.sound(table_));
}

double PairGrid::flow_lpm(std::size_t port, std::size_t first_size, std::size_t second_size) const {
    const double sum = summed_flow(port, first_size, second_size);
    const double behind = at(flow_short_[port], first_size, second_size);
    if (behind == 0) return sum;
    return std::max(0.0, (sum + least_lpm) * std::exp(std::clamp(behind, -most_short, most_short)) - least_lpm);
}

double PairGrid::gauge_pa(std::size_t port, std::size_t first_size, std::size_t second_size) const {
    return std::clamp(summed_gauge(port, first_size, second_size) + at(gauge_short_[port], first_size, second_size),
                      0.0, tables_.setting(table_).supply_gauge_pa);
}

} // namespace ringland::diagnosis::suspects
