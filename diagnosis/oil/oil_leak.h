// What a seal, a flow by design and a defect let through when oil stands behind them, from what they do to air.
//
// A sound ring, lip or O-ring that passes a little air holds oil: oil wets a dry side face and closes it (common
// practice, no source). What is left of a sound ring is the gap of its joint. A defect is known by its air alone, as an
// equivalent sharp hole; what it passes of oil hangs on whether it is a hole or a film, so it is reckoned as either.
#pragma once

#include "../../model-data/unit_map.h"
#include "../airflow/law.h"
#include "oil_law.h"

namespace ringland::diagnosis::oil {

/// The same opening with oil in it: a hole of the same area, a slot of the same w h³/L; a check ball or lip before it
/// opens at the same difference. A sharp hole has 0.611 in oil, other holes keep their coefficient. A part known by its
/// ISO 6358 conductance has no such twin.
[[nodiscard]] OilLaw in_oil(const airflow::Law& air);

/// A sound seal is two laws of air side by side (airflow/seal_leak.h) and one of oil: the joint gap of a ring, the film
/// of a bushing, the healthy hole that the map gives; all other kinds hold oil.
[[nodiscard]] OilLaw sound_seal_in_oil(const model::UnitMap& map, const model::Seal& seal);

/// A flow by design, from `from` to `to`. A bleed ball into the case is seated by its oil.
[[nodiscard]] OilLaw design_in_oil(const model::DesignFlow& flow);

/// The laminar film, as its w h³/L in m³, that lets through the same air as a sharp hole of this diameter, from
/// `supply_gauge_pa` into the open: ṁ = (w h³/L) (p₁² − p₂²)/(24 μ R T).
[[nodiscard]] double slot_of_hole_m3(double hole_diameter_m, double supply_gauge_pa, const airflow::Air& air = {});

} // namespace ringland::diagnosis::oil
