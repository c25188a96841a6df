// Units made up at random that read like real ones: one to three shafts with rings, drums with pistons, servos outside,
// gasket bridges between neighbours on the case face, drillings with tubes and plugs, bleeds, a lube circuit. Sizes
// keep to ranges that are common practice in the trade (no source). Every one is invented.
#pragma once

#include <cstdint>
#include <string>

#include "../../../model-data/unit_map.h"

namespace ringland::tests {

/// The map of a number: the same on every machine. About 12 to 45 seals.
[[nodiscard]] model::UnitMap invented_unit(std::uint64_t number);
/// Its text, for whoever wants to look at one.
[[nodiscard]] std::string invented_unit_text(std::uint64_t number);

} // namespace ringland::tests
