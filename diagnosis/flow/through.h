// What passes one restriction, whatever the medium is.
#pragma once

namespace ringland::diagnosis::flow {

/// Mass flow from the first side to the second, kg/s, with its slopes by the two pressures, kg/(s Pa).
/// per_first >= 0 >= per_second.
struct Through {
    double flow_kgps = 0;
    double per_first = 0;
    double per_second = 0;
};

/// A restriction behind a check ball or a lip that lifts: `free` is what it passes where nothing stands in its way, at
/// a difference above `opens_pa`. It begins to open there and is free at twice that; the step between has no kink.
[[nodiscard]] inline Through behind_ball(const Through& free, double difference_pa, double opens_pa) {
    if (difference_pa >= 2 * opens_pa) return free;
    const double lift = difference_pa / opens_pa - 1;
    const double open = lift * lift * (3 - 2 * lift), by_difference = 6 * lift * (1 - lift) / opens_pa;
    return {free.flow_kgps * open, free.per_first * open + free.flow_kgps * by_difference,
            free.per_second * open - free.flow_kgps * by_difference};
}

} // namespace ringland::diagnosis::flow
