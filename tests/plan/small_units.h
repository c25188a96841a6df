// Small units made up by dice, for comparing plans with everything that could be done instead.
#pragma once

#include <cstdint>
#include <random>
#include <string>
#include <vector>

#include "../../model-data/unit_map.h"

namespace ringland::test {

/// The same unit for the same seed on every computer.
class Dice {
public:
    explicit Dice(std::uint32_t seed) : engine_(seed) {}
    int below(int n) { return static_cast<int>(engine_() % static_cast<std::uint32_t>(n)); }
    bool one_in(int n) { return below(n) == 0; }

private:
    std::mt19937 engine_;
};

/// Parts of which each waits for some of those before it, and seals that sit on one or are renewed with up to three.
inline model::UnitMap invented_unit(Dice& dice, int parts, int seals) {
    model::UnitMap map;
    for (int p = 0; p < parts; ++p) {
        model::Part part;
        part.id = "p" + std::to_string(p);
        if (!dice.one_in(8)) part.minutes = 1 + dice.below(20);
        for (int before = 0; before < p; ++before)
            if (dice.one_in(3)) part.after.push_back("p" + std::to_string(before));
        map.parts.push_back(part);
    }
    for (int s = 0; s < seals; ++s) {
        model::Seal seal;
        seal.id = "s" + std::to_string(s);
        seal.kind = model::SealKind::lip;
        seal.relation = model::Relation::drum;
        seal.at = "p" + std::to_string(dice.below(parts));
        for (int renewed = dice.below(3); renewed > 0; --renewed)
            map.parts[static_cast<std::size_t>(dice.below(parts))].renew.push_back(seal.id);
        if (dice.one_in(3)) seal.look_minutes = 1 + dice.below(12);
        map.seals.push_back(seal);
    }
    return map;
}

/// The place of a part by its id.
inline std::size_t part_at(const model::UnitMap& map, const std::string& id) {
    for (std::size_t p = 0; p < map.parts.size(); ++p)
        if (map.parts[p].id == id) return p;
    return map.parts.size();
}

/// Whether a part can come off where those of `off` are off already.
inline bool free_to_go(const model::UnitMap& map, std::size_t part, unsigned off) {
    for (const auto& before : map.parts[part].after)
        if ((off >> part_at(map, before) & 1U) == 0) return false;
    return true;
}

/// Whether a seal is reached: a part that it is renewed with is off, or the part that it sits on where no part names
/// it.
inline bool is_reached(const model::UnitMap& map, const model::Seal& seal, unsigned off) {
    bool named = false;
    for (std::size_t p = 0; p < map.parts.size(); ++p) {
        for (const auto& what : map.parts[p].renew) {
            if (what != seal.id) continue;
            named = true;
            if ((off >> p & 1U) != 0) return true;
        }
    }
    return !named && (off >> part_at(map, seal.at) & 1U) != 0;
}

} // namespace ringland::test
