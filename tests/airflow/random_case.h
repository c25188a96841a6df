// Benches and cases at random for any unit: what a person may set at all, and the corners of it more often than chance.
#pragma once

#include <cmath>

#include "../../diagnosis/airflow/unit_air.h"
#include "../model/random_map.h"

namespace ringland::tests {

/// A figure between two others, every power of ten as likely as the next.
inline double spread(RandomMap& dice, double low, double high) { return low * std::pow(high / low, dice.figure(0, 1)); }

/// Air of -10 to 50 °C, 0 to 4000 m, any hose and any towel.
inline AirBench random_bench(RandomMap& dice) {
    AirBench bench;
    bench.temperature_c = dice.figure(-10, 50);
    bench.altitude_m = dice.chance(30) ? 0 : dice.figure(0, 4000);
    bench.hose_conductance = spread(dice, 0.02, 20);
    bench.hose_critical_ratio = dice.chance(10) ? 0 : dice.figure(0, 0.6);
    bench.towel_share = dice.figure(0.02, 1);
    return bench;
}

/// Sets ports, defects and supply of `unit`. The supply is 0 to 10 bar, sometimes exactly 0 or next to nothing.
inline void set_random_case(const UnitMap& map, diagnosis::airflow::UnitAir& unit, RandomMap& dice) {
    using diagnosis::airflow::PortState;
    const int ports = static_cast<int>(map.ports.size()), seals = static_cast<int>(map.seals.size());
    const int all = dice.number(1, 10);
    for (int p = 0; p < ports; ++p) {
        // All open, all plugged but the one under air, or each as it comes.
        unit.set_port(p, all <= 3   ? PortState::open
                         : all == 4 ? PortState::plugged
                                    : static_cast<PortState>(dice.number(0, 2)));
    }
    unit.clear_defects();
    for (int n = dice.number(0, 3); n > 0 && seals > 0; --n) {
        const int seal = dice.number(0, seals - 1);
        const int size = dice.number(1, 10);
        unit.set_defect(seal, size == 1   ? 0
                              : size == 2 ? 10e-3
                              : size <= 5 ? spread(dice, 1e-6, 10e-3)
                                          : dice.figure(0, 10e-3));
    }
    const int kind = dice.number(1, 20);
    const double supply_pa = kind == 1   ? 0
                             : kind == 2 ? 1e6
                             : kind <= 5 ? spread(dice, 1e-6, 1e4)
                             : kind <= 9 ? spread(dice, 1e3, 1e6)
                                         : dice.figure(0, 1e6);
    unit.blow_into(dice.chance(2) ? -1 : dice.number(0, ports - 1), supply_pa);
    if (dice.chance(3)) unit.release_trigger();
}

} // namespace ringland::tests
