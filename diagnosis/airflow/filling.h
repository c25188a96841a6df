// Air checks in time: how fast a clutch fills and applies, when a blocked neighbour applies, how long it holds.
//
// Every circuit is a volume of air at bench temperature. A piston without mass stands where the air balances its
// return spring, and sweeps volume while it moves: dead volume, stroke, end of stroke. Between those contacts the
// equations are smooth; SUNDIALS CVODE integrates them (variable-order BDF, stiff-safe) and stops at each contact.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "unit_air.h"

namespace ringland::diagnosis::airflow {

/// One pull of the trigger. Port states, defects, supply pressure and port are those set on the UnitAir.
struct FillCase {
    double trigger_s = 3;   ///< how long air is given; then the nozzle is held on and nothing more goes in
    double end_s = 6;       ///< when watching ends
    double sample_s = 0.01; ///< distance of the samples of the traces
    double exponent =
        1; ///< polytropic exponent of the air in a volume: 1 isothermal (small volumes in metal), 1.4 no heat
    double relative_tolerance = 1e-8; ///< of a step of the integration, as a share of the span of all pressures
};

/// What one piston did. Times from the pull of the trigger.
struct PistonTimes {
    int element = 0;                  ///< index in the map
    std::optional<double> moves_s;    ///< left its stop
    std::optional<double> applied_s;  ///< reached the end of its stroke
    std::optional<double> let_go_s;   ///< left the end of its stroke after the trigger was released
    std::optional<double> returned_s; ///< back at its stop
    double furthest = 0;              ///< of the stroke, 0 to 1
};

struct FillTrace {
    std::vector<double> time_s;
    std::vector<std::vector<double>> circuit_gauge_pa; ///< for each circuit of the map, as long as time_s
    std::vector<std::vector<double>> port_gauge_pa;    ///< for each port
    std::vector<std::vector<double>> piston;           ///< for each element, share of its stroke
    std::vector<PistonTimes> pistons;                  ///< elements that have a piston, in map order
    bool completed = false;
    std::string trouble; ///< why not, for the person who reported it
    long steps = 0, events = 0;
    double mass_error = 0; ///< air in the volumes against what went in and out, as a share of what went in
};

/// Integrates one pull of the trigger. `unit` keeps its case; its steady pressures are not used.
[[nodiscard]] FillTrace fill(const model::UnitMap& map, const UnitAir& unit, const FillCase& fill_case);

/// The piston of an element as filling uses it, with defaults where the map is silent (common practice, no source).
struct PistonData {
    double apply_area_m2 = 0, release_area_m2 = 0;
    double stroke_m = 0;
    double begins_pa = 0; ///< gauge pressure on the apply area that lifts it off its stop
    double ends_pa = 0;   ///< and that holds it at the end of the stroke
};
[[nodiscard]] PistonData piston_of(const model::Element& element);

} // namespace ringland::diagnosis::airflow
