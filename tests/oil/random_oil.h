// Networks of oil at random: a regulator and its pump, circuits, every law between them.
#pragma once

#include <cmath>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "../../diagnosis/airflow/air.h"
#include "../../diagnosis/oil/oil_network.h"
#include "../model/random_map.h"

namespace ringland::tests {

inline double spread_of(RandomMap& dice, double low, double high) {
    return low * std::pow(high / low, dice.figure(0, 1));
}

/// What a random network is made of.
struct OilMix {
    int nodes = 8;
    bool slots = true, holes = true, passages = true, balls = true, pump = true;
    bool extreme = false; ///< sizes that no unit has
    bool thin = false;    ///< so thin that no hole is laminar
};

struct RandomOil {
    diagnosis::oil::OilNetwork network;
    int sump = 0, regulator = 0, line = 0, supply = -1;
    double supply_pa = 0; ///< gauge
};

inline RandomOil random_oil(RandomMap& dice, const OilMix& mix) {
    using namespace diagnosis::oil;
    Oil oil;
    oil.density = dice.figure(790, 880);
    oil.kinematic_m2ps = mix.thin      ? dice.figure(8e-7, 1.2e-6)
                         : mix.extreme ? spread_of(dice, 2.1e-7, 1)
                                       : spread_of(dice, 4e-6, 2e-5);
    RandomOil made{OilNetwork(oil), 0, 0, 0, -1, mix.extreme ? spread_of(dice, 100, 3e7) : dice.figure(3e5, 2e6)};
    OilNetwork& network = made.network;
    made.sump = network.add_held_node("sump", oil.ambient_pa);
    made.regulator = network.add_held_node("regulator", oil.ambient_pa + made.supply_pa);
    made.line = network.add_node("line");
    const auto hole = [&] {
        const double d = mix.extreme ? spread_of(dice, 1e-6, 0.05) : dice.figure(0.3e-3, 3e-3);
        const double area = diagnosis::airflow::circle_area(d);
        return dice.chance(50) ? OilLaw::sharp_hole(area) : OilLaw::drilled_hole(area);
    };
    const auto slot = [&] {
        return OilLaw::slot_of(mix.extreme ? spread_of(dice, 1e-20, 1e-8)
                                           : spread_of(dice, 1e-13, 1e-11) * (mix.thin ? 0.1 : 1));
    };
    const auto law = [&] {
        OilLaw made_law = !mix.holes || (mix.slots && dice.chance(40)) ? slot() : hole();
        if (mix.passages && dice.chance(20))
            made_law = mix.extreme
                           ? OilLaw::passage(spread_of(dice, 1e-4, 0.1), spread_of(dice, 1e-3, 10), dice.figure(0, 5))
                           : OilLaw::passage(dice.figure(4e-3, 8e-3), dice.figure(0.1, 0.5), 2.5);
        if (mix.balls && dice.chance(20)) made_law = made_law.one_way(mix.extreme ? spread_of(dice, 1, 1e5) : 5);
        return made_law;
    };
    if (mix.pump)
        made.supply =
            network.add_element("pump",
                                OilLaw::supply(mix.extreme ? spread_of(dice, 1e-7, 1e-1) : spread_of(dice, 3e-5, 6e-4),
                                               1e-3 * made.supply_pa),
                                made.regulator, made.line);
    else
        made.supply = network.add_element("main", OilLaw::drilled_hole(diagnosis::airflow::circle_area(4e-3)),
                                          made.regulator, made.line);
    std::vector<int> nodes{made.line};
    for (int n = 1; n < mix.nodes; ++n) {
        const int node = network.add_node(fmt::format("c{}", n));
        // Every circuit has a way from the line; the others are its leaks.
        network.add_element(fmt::format("feed {}", n), mix.holes ? hole() : slot(), dice.one_of(nodes), node);
        nodes.push_back(node);
    }
    const int leaks = dice.number(mix.nodes, 2 * mix.nodes);
    for (int k = 0; k < leaks; ++k) {
        const int from = dice.one_of(nodes), to = dice.chance(50) ? made.sump : dice.one_of(nodes);
        if (from != to) network.add_element(fmt::format("leak {}", k), law(), from, to);
    }
    network.add_element("last", mix.holes ? hole() : slot(), nodes.back(), made.sump);
    network.finish();
    return made;
}

} // namespace ringland::tests
