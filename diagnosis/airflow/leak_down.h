// Leak-down: two gauges with a known orifice between them say how large the leak behind the second gauge is.
//
// The same air passes the orifice and the leak. From the two readings follows the flow through the orifice, and from
// that the hole that passes as much into the open.
#pragma once

#include <optional>
#include <string>

#include "../../model-data/texts.h"
#include "law.h"

namespace ringland::diagnosis::airflow {

/// How the holes are reckoned.
enum class LeakDownLaw {
    ideal, ///< both as ideal nozzles of one coefficient: the ratio of the areas, as leak-down tables are made
    sharp  ///< orifice drilled (coefficient 0.82), leak sharp-edged: the size of the hole in the ring
};

struct LeakDownRig {
    double supply_gauge_pa = 0;    ///< first gauge
    double orifice_diameter_m = 0; ///< between the gauges
    LeakDownLaw law = LeakDownLaw::sharp;
    Air air;
};

struct LeakDownAnswer {
    double flow_kgps = 0;
    double effective_area_m2 = 0; ///< area of an ideal hole that passes the flow
    double area_m2 = 0;           ///< of the hole by the chosen law
    double diameter_m = 0;
    double loss = 0; ///< share of the supply's gauge pressure that is lost, 0 to 1: the "percent" of the bench
};

/// The leak behind a second gauge that reads `reading_gauge_pa`. Nothing, with `why` saying what would be right, where
/// the readings cannot be: not 0 < reading <= supply, or no orifice. A reading equal to the supply is no leak.
[[nodiscard]] std::optional<LeakDownAnswer> leak_of_reading(const LeakDownRig& rig, double reading_gauge_pa,
                                                            std::string& why, const model::Translator& tr = {});

/// What the second gauge reads for a leak of this diameter, pascal gauge. Inverse of leak_of_reading.
[[nodiscard]] double reading_of_leak(const LeakDownRig& rig, double leak_diameter_m);

} // namespace ringland::diagnosis::airflow
