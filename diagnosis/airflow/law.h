// How much air passes one restriction: mass flow as a function of the pressures on its two sides.
//
// Every law has the same promises, and one test holds all of them to it: no flow without a difference; flow goes from
// the higher pressure to the lower; more pressure in front never means less flow, more pressure behind never more; the
// slopes given are the derivatives of the flow, and they are continuous. A one-way law has the same promises with "no
// flow" in one direction. The formulas, their sources and their limits stand in docs/physics.md.
//
// A law is a small value without virtual functions: a network of a hundred of them is worked through in microseconds.
#pragma once

#include "../flow/through.h"
#include "air.h"

namespace ringland::diagnosis::airflow {

using flow::Through;

/// What of the air the laws need, computed once.
struct AirFactors {
    explicit AirFactors(const Air& air);
    double rt;            ///< gas constant × temperature, J/kg
    double root_rt;       ///< its square root, m/s
    double viscosity;     ///< Pa s
    double iso_reference; ///< ρ0·√(T0/T) of ISO 6358, kg/m³
};

class Law {
public:
    enum class Kind {
        closed,      ///< nothing passes: a plugged port
        sharp_hole,  ///< defect: isentropic, with a contraction that grows with the pressure ratio
        round_hole,  ///< drilled or rounded hole: isentropic with a constant coefficient
        conductance, ///< ISO 6358
        slot         ///< laminar film
    };

    /// A default law is closed.
    Law() = default;
    static Law closed() { return {}; }

    /// Sharp-edged hole. Isentropic core with the contraction of Jobson's momentum balance (Proc. IMechE 169, 1955):
    /// for `incompressible_cd` 0.611 the coefficient is 0.61 at small differences, 0.74 where the flow chokes, 0.85 at
    /// 80 psi gauge into the open.
    static Law sharp_hole(double area_m2, double incompressible_cd = 0.611);

    /// Coefficient of a short cylindrical hole: Encyclopaedia Britannica, 11th ed., Hydraulics, §63.
    static constexpr double drilled_cd = 0.82;
    /// Hole with a constant discharge coefficient: 1 ideal, 0.97 well rounded, `drilled_cd` short drilled hole.
    static Law round_hole(double area_m2, double cd);

    /// ISO 6358: sonic conductance in m³/(s Pa) at the reference of ISO 8778, and critical pressure ratio, 0 <= b < 1.
    static Law conductance(double c_m3_per_s_pa, double critical_ratio);

    /// Long bored passage: the ISO 6358 form with critical ratio 0, which is isothermal turbulent pipe flow
    /// ṁ² = A²(p1² − p2²)/(R T (f L/d + K)). `friction` is Darcy's f, `losses` the sum K of entry, bends and exit.
    static Law passage(double diameter_m, double length_m, double friction, double losses, const Air& air);

    /// Laminar film between two walls, compressible and isothermal: ṁ = w h³ (p1² − p2²)/(24 μ L R T).
    static Law slot(double width_m, double height_m, double length_m);

    /// The same restriction behind a check ball or a lip that lifts: it passes from the first side to the second only.
    /// It begins to open at a difference of `opens_pa` and is free at twice that.
    [[nodiscard]] Law one_way(double opens_pa) const;

    /// The law with its flow multiplied: a towel over a port lets a share through.
    [[nodiscard]] Law scaled(double factor) const;

    /// Flow and slopes between two absolute pressures, both positive.
    [[nodiscard]] Through through(const AirFactors& air, double first_pa, double second_pa) const {
        return through(air, first_pa, second_pa, first_pa - second_pa);
    }
    /// The same where their difference is known to more digits than the two pressures tell: a large hole between nodes
    /// of nearly one pressure passes a flow that hangs on those digits.
    [[nodiscard]] Through through(const AirFactors& air, double first_pa, double second_pa, double difference_pa) const;

    [[nodiscard]] Kind kind() const { return kind_; }
    [[nodiscard]] bool is_one_way() const { return opens_pa_ >= 0; }
    /// Area of a hole, m²; conductance; or w h³/L of a slot, m³.
    [[nodiscard]] double size() const { return size_; }
    /// Coefficient of a hole, incompressible where it is sharp; or critical ratio of a conductance.
    [[nodiscard]] double shape() const { return shape_; }
    /// Difference at which a one-way law begins to open; negative where it passes both ways.
    [[nodiscard]] double opens_pa() const { return opens_pa_; }

private:
    Kind kind_ = Kind::closed;
    double size_ = 0;
    double shape_ = 0;     ///< incompressible or constant coefficient, or critical ratio
    double opens_pa_ = -1; ///< negative: passes both ways
};

} // namespace ringland::diagnosis::airflow
