// What a seal lets through: when it is sound, and with a hole in it.
//
// No published figure exists for the leak of a transmission ring. A sound seal leaks by its own figures where the map
// has them (a joint gap is a small hole, a dry side face a thin film) and by a default of its kind otherwise. Each
// default is a reckoning of ours, common practice, no source, and stands in docs/physics.md.
#pragma once

#include <optional>
#include <string>

#include "../../model-data/unit_map.h"
#include "law.h"

namespace ringland::diagnosis::airflow {

/// A sound seal is a hole and a film side by side; either may be closed.
struct SoundSeal {
    Law hole;
    Law film;
    bool from_map = false; ///< figures of the map were used, not only defaults of the kind
    std::string how;       ///< the reckoning in words: "joint gap 0.20 mm × 0.20 mm, film 4.8 µm"
};

/// What a ring was made to or measured at, metres. What is not told takes the usual figure (common practice, no
/// source).
struct RingFigures {
    std::optional<double> end_gap_m;        ///< of its joint, in its bore
    std::optional<double> side_clearance_m; ///< in its groove
    std::optional<double> diameter_m;       ///< of the shaft or support at the rings
    std::optional<double> thickness_m;      ///< from inside to outside
    model::Joint joint = model::Joint::none;
};

/// The figures that a map has of one of its rings.
[[nodiscard]] RingFigures ring_figures(const model::UnitMap& map, const model::Seal& seal);

/// The sound leak of a ring by its figures: so much is the healthy leak of a gap that was measured.
[[nodiscard]] SoundSeal sound_ring(const RingFigures& figures);

[[nodiscard]] SoundSeal sound_seal(const model::UnitMap& map, const model::Seal& seal);

/// A defect as an equivalent sharp-edged hole. A seal that works one way (a lip or check ball whose `faces` is given)
/// fails in the direction that it holds back, so air passes from the circuit that it faces to the other only.
[[nodiscard]] Law defect_law(bool one_way, double hole_diameter_m);

/// True where a seal fails in one direction only: a lip or check ball that faces one of its two circuits.
[[nodiscard]] bool fails_one_way(const model::Seal& seal);

/// A flow by design as the law of its hole or valve, from `from` to `to`.
[[nodiscard]] Law design_law(const model::DesignFlow& flow);

/// True where that direction is from between[1] to between[0].
[[nodiscard]] bool fails_backwards(const model::Seal& seal);

} // namespace ringland::diagnosis::airflow
