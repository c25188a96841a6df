// What two faults show together, at every two sizes of the grid, from nine solved cases.
//
// Each alone is known at every size. What both show is near the sum of what each changes by itself; how far it stays
// behind that sum (the supply gives no more, the one takes the other's pressure) changes slowly with the sizes. So the
// network is solved at three sizes of each (pair_sizes), and the shortfall is interpolated in between: of flows in the
// logarithm, of pressures as it is. On the demo unit nine flows of ten come out within a tenth.
#pragma once

#include <array>
#include <vector>

#include "tables.h"

namespace ringland::diagnosis::suspects {

class PairGrid {
public:
    /// Solves what is not solved yet.
    PairGrid(Tables& tables, std::size_t table, std::size_t first, std::size_t second);

    /// Out of an open port, L/min; the open case comes after the last port.
    [[nodiscard]] double flow_lpm(std::size_t port, std::size_t first_size, std::size_t second_size) const;
    /// At a port, gauge.
    [[nodiscard]] double gauge_pa(std::size_t port, std::size_t first_size, std::size_t second_size) const;

private:
    static constexpr std::size_t few = pair_sizes.size();
    [[nodiscard]] double summed_flow(std::size_t port, std::size_t i, std::size_t k) const;
    [[nodiscard]] double summed_gauge(std::size_t port, std::size_t i, std::size_t k) const;

    Tables& tables_;
    std::size_t table_, first_, second_, ports_;
    /// By port: logarithm of flow over sum, at the solved sizes; the same for gauges, Pa.
    std::vector<std::array<double, few * few>> flow_short_, gauge_short_;
};

} // namespace ringland::diagnosis::suspects
