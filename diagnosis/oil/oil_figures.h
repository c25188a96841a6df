// The figures with which the oil of a unit is reckoned: those of the map, usual ones where it is silent, and a list in
// words of what was taken.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "clutch.h"
#include "oil_law.h"
#include "oil_unit.h"
#include "viscosity.h"

namespace ringland::diagnosis::oil {

/// What the valve body does with a circuit.
enum class Mouth {
    none,     ///< nothing: only its seals and its flows by design
    fed,      ///< under the line through its feed in every range
    switched, ///< under the line while it is on, else open to the sump through its exhaust
};

struct CircuitFigures {
    Mouth mouth = Mouth::none;
    double feed_m = 0, exhaust_m = 0; ///< diameters
    std::vector<OilLaw> ways;         ///< between valve body and circuit, side by side
};

struct ElementFigures {
    std::vector<std::size_t> applied_by, released_by, balanced_by; ///< circuits
    double apply_area_m2 = 0, release_area_m2 = 0;
    double begins_pa = 0, ends_pa = 0; ///< of its return spring, as a pressure on the apply area
    std::optional<Chamber> spins;      ///< chamber of a piston that turns with its drum
    double head_from_m = 0;            ///< radius at which the oil has the pressure of its circuit
    bool vents = false;                ///< trapped oil gets out of it while it is off
    std::vector<double> turns;         ///< by range: of its drum, for one of the input
};

struct OilFigures {
    /// What is assumed is said in the language of the translator.
    explicit OilFigures(const model::UnitMap& map, const model::Translator& tr = {});

    std::vector<Assumed> assumed; ///< first, since the others add to it while they are made
    ViscosityLine viscosity;
    double density_15 = 0;
    double cold_c = 0, hot_c = 0;
    double pump_m3_per_turn = 0, pump_share = 0, idle_rpm = 0, driving_rpm = 0;
    std::vector<double> line_pa; ///< by range, gauge
    double highest_line_pa = 0;  ///< of them; of a map without ranges what it gives, or the usual one
    std::vector<CircuitFigures> circuits;
    std::vector<ElementFigures> elements;
    double air_check_pa = 0; ///< gauge, at which a defect showed its air

    [[nodiscard]] Oil oil(bool hot) const;
};

} // namespace ringland::diagnosis::oil
