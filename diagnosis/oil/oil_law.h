// How much oil passes one restriction: mass flow as a function of the pressures on its two sides.
//
// The promises are those of the laws of air (airflow/law.h) and one test holds all of them to it: no flow without a
// difference; from the higher pressure to the lower; never less for more; the slopes given are the derivatives and have
// no jump. Oil does not give way, so the difference alone counts. Formulas and sources stand in docs/physics.md.
#pragma once

#include "../flow/through.h"

namespace ringland::diagnosis::oil {

using flow::Through;

/// The oil in the unit at one temperature, and the pressure of the open case.
struct Oil {
    double density = 850;         ///< kg/m³
    double kinematic_m2ps = 1e-5; ///< m²/s: 1 mm²/s is 1e-6
    double ambient_pa = 101325;   ///< absolute
};

/// What of the oil the laws need.
struct OilFactors {
    explicit OilFactors(const Oil& oil);
    double density;   ///< kg/m³
    double viscosity; ///< dynamic, Pa s
};

/// Litres a minute of a mass flow.
[[nodiscard]] constexpr double litres_per_minute(double flow_kgps, double density) {
    return flow_kgps / density * 60e3;
}

class OilLaw {
public:
    enum class Kind {
        closed,  ///< nothing passes
        hole,    ///< orifice: with the root of the difference, in proportion to it where it is tiny
        slot,    ///< laminar film
        passage, ///< long bored passage: laminar, turbulent and between
        supply   ///< all that is asked up to a limit
    };

    /// A default law is closed.
    OilLaw() = default;
    static OilLaw closed() { return {}; }

    /// Round orifice: ṁ = C A √(2 ρ Δp). 0.611 for a sharp edge (π/(π+2); Rabie, Fluid Power Engineering, citing
    /// Merritt), 0.82 for a short drilled hole (Encyclopaedia Britannica, 11th ed., Hydraulics). Below a Reynolds
    /// number near (C/0.2)² = 9 the flow is laminar and goes with Δp (Merritt, Hydraulic Control Systems: value from
    /// memory).
    static OilLaw hole(double area_m2, double cd);
    static OilLaw sharp_hole(double area_m2) { return hole(area_m2, sharp_cd); }
    static OilLaw drilled_hole(double area_m2) { return hole(area_m2, drilled_cd); }

    /// Laminar film of a conductance w h³/L in m³: ṁ = ρ (w h³/L) Δp/(12 μ). One between two flat walls, width × height
    /// × length along the flow:
    static OilLaw slot(double width_m, double height_m, double length_m);
    /// around a rod in a bore: w = π D; off centre by a share `eccentricity` (0 to 1) of the clearance it passes
    /// 1 + 1.5 ε² times as much (2.5 times where it lies against the wall);
    static OilLaw annulus(double diameter_m, double clearance_m, double length_m, double eccentricity = 0);
    /// between two discs, from one radius to the other: w h³/L = 2π h³/ln(r₂/r₁);
    static OilLaw disc_gap(double height_m, double inner_radius_m, double outer_radius_m);
    /// or one that is known by its conductance only.
    static OilLaw slot_of(double conductance_m3);

    /// Long bored passage, Δp = ½ ρ v² (f L/d + K): Darcy's f of a smooth pipe by Churchill (Chemical Engineering, 7
    /// November 1977; formula from memory of it) over all Reynolds numbers, `losses` the sum K of entry, bends and
    /// exit.
    static OilLaw passage(double diameter_m, double length_m, double losses);

    /// A pump behind its regulator, from a node that is held at the regulated pressure: it gives all that is asked, up
    /// to `most_m3ps`. The second side stands below the first by no more than `band_pa` as long as that is enough, and
    /// by whatever is left once it is not. Q = most · u (2 − |u|), u = Δp/band held between −1 and 1.
    static OilLaw supply(double most_m3ps, double band_pa);

    /// Behind a check ball or a lip that lifts: from the first side to the second only. It begins to open at a
    /// difference of `opens_pa` and is free at twice that.
    [[nodiscard]] OilLaw one_way(double opens_pa) const;

    /// The law with its flow multiplied.
    [[nodiscard]] OilLaw scaled(double factor) const;

    /// Flow and slopes between two absolute pressures; `difference_pa` is first − second, known to more digits than the
    /// two tell.
    [[nodiscard]] Through through(const OilFactors& oil, double first_pa, double second_pa, double difference_pa) const;
    [[nodiscard]] Through through(const OilFactors& oil, double first_pa, double second_pa) const {
        return through(oil, first_pa, second_pa, first_pa - second_pa);
    }

    [[nodiscard]] Kind kind() const { return kind_; }
    [[nodiscard]] bool is_one_way() const { return opens_pa_ >= 0; }
    /// Area of a hole or of the bore of a passage, m²; w h³/L of a slot, m³; limit of a supply, m³/s. Scaled.
    [[nodiscard]] double size() const { return size_; }
    /// Coefficient of a hole; band of a supply.
    [[nodiscard]] double shape() const { return shape_; }
    /// Of a hole or passage, m; length and sum of losses of a passage.
    [[nodiscard]] double diameter_m() const { return diameter_; }
    [[nodiscard]] double length_m() const { return length_; }
    [[nodiscard]] double losses() const { return losses_; }
    [[nodiscard]] double opens_pa() const { return opens_pa_; }

    static constexpr double sharp_cd = 0.611, drilled_cd = 0.82;

private:
    Kind kind_ = Kind::closed;
    double size_ = 0;
    double shape_ = 0;               ///< coefficient, or band
    double diameter_ = 0;            ///< of a hole, which says where it turns laminar, or of a passage; not scaled
    double length_ = 0, losses_ = 0; ///< of a passage
    double opens_pa_ = -1;           ///< negative: passes both ways
};

} // namespace ringland::diagnosis::oil
