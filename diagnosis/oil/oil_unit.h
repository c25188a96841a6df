// A unit on the road: its map as a network of oil restrictions, with the pump, its regulator and the valve body around
// it.
//
// Every circuit is a node. In a range, the circuits that are on stand under line pressure through their feed, all
// others are open to the sump through their exhaust; seals, flows by design and passages are the same things as for air
// (airflow/unit_air.h), with the laws of a liquid. Lube and converter are fed from the line in every range; a balance
// circuit has what its flows give it; a governor circuit counts as empty. The regulator holds line pressure as long as
// the pump delivers enough; beyond that the pressure falls to what the pump's flow makes. A defect is reckoned twice,
// as a sharp hole and as a long slot that passed the same air: the truth lies between.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "../../model-data/texts.h"
#include "../../model-data/unit_map.h"

namespace ringland::diagnosis::oil {

/// What the defect is like for oil.
enum class DefectShape { sharp_hole, slot };

/// One case: a range, a state of the oil, and a defect or none.
struct OilQuestion {
    std::size_t range = 0;             ///< in UnitMap::ranges
    std::optional<std::size_t> seal{}; ///< with the defect; none: the sound unit
    double hole_mm = 0;                ///< as the equivalent sharp hole that its air showed
    DefectShape shape = DefectShape::sharp_hole;
    bool both_ways = false; ///< a lip that is cut through; else it lets oil by only out of the circuit that it faces
    bool hot = true;        ///< else cold
    bool idle = true;       ///< engine at idle, else at driving speed: pump and centrifugal head
};

/// An element in one case.
struct ElementOil {
    bool on = false;      ///< commanded in this range
    double apply_pa = 0;  ///< pressure that pushes its piston, release side and centrifugal head reckoned in, gauge;
                          ///< each of its circuits pushes with the whole apply area, so two of them add
    double spring_pa = 0; ///< at which it begins to move
    double head_pa = 0;   ///< of apply_pa, what spinning oil adds
    double clamp_share =
        0; ///< force on its plates or band against that of the sound unit in this range where it is on in it, else in
           ///< the first range where it is on, at the same speed and oil: 1 sound, 0 where the spring takes all
    bool moves = false;                ///< apply_pa reaches spring_pa
    std::optional<double> capacity_nm; ///< torque it can carry; where plates, area and friction are given
};

struct OilCase {
    std::vector<double> circuit_gauge_pa; ///< by circuit; 0 for the sump
    std::vector<ElementOil> elements;     ///< by element of the map
    double line_gauge_pa = 0;             ///< at the regulator
    double defect_lpm = 0;                ///< through the defect, litres a minute
    double pump_lpm = 0, used_lpm = 0;    ///< delivered at this speed, and taken by the circuits
    bool line_held = true;                ///< the pump delivers enough
    bool converged = true;
};

/// A figure that the map does not give, and what was taken instead.
struct Assumed {
    std::string what; ///< in words: "exhaust of Coast: 3.0 mm (common practice, no source)"
};

class OilUnit {
public:
    /// The map must be valid.
    explicit OilUnit(const model::UnitMap& map);
    ~OilUnit();
    OilUnit(OilUnit&&) noexcept;
    OilUnit& operator=(OilUnit&&) noexcept;

    /// Solves one case; `range` must be one of the map. A map without ranges has no case. The answer does not depend on
    /// the cases before. A defect of 0 is the sound unit.
    [[nodiscard]] OilCase solve(const OilQuestion& question);
    /// Circuits that are on in a range: those that apply its elements, less those that only release them (the chart of
    /// gears/chart.h).
    [[nodiscard]] const std::vector<bool>& circuits_on(std::size_t range) const;
    /// Kinematic viscosity mm²/s, density kg/m³ of the oil, hot or cold.
    [[nodiscard]] double kinematic_mm2ps(bool hot) const;
    [[nodiscard]] double density(bool hot) const;
    [[nodiscard]] double temperature_c(bool hot) const;
    [[nodiscard]] std::vector<Assumed> assumed(const model::Translator& tr = {}) const;

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

} // namespace ringland::diagnosis::oil
