// The equations of filling, without an integrator: pressures and stroke in, their rates out.
//
// Each unknown node of a network is a volume of air at bench temperature; pistons without mass stand where the air
// balances their springs and so make a volume depend on pressures:
//
//   W_i dp_i/dt + n p_i dW_i/dt = n R T ṁ_i      W_i = V_i + Σ_k a_ik x_k      x_k = c_k (Σ_i a_ik p_i − F_k)
//
// a_ik is the area with which node i pushes piston k (negative on its release side), c_k its stroke over the force from
// begin to end of it, F_k the force at which it begins. Pistons at a stop or at the end of their stroke have no
// part in it until a contact changes. With the velocities v of the moving pistons as unknowns what is to be solved is
// the symmetric positive definite system (I + √C Aᵀ diag(n p/W) A √C) u = √C Aᵀ (n R T ṁ/W), v = √C u: it always has
// one answer, and because its diagonal minors are positive too, a piston that leaves a contact keeps the direction in
// which it was pushed: contacts cannot chatter.
#pragma once

#include <span>
#include <vector>

#include "network.h"

namespace ringland::diagnosis::airflow {

/// A piston between nodes of a network.
struct FillPiston {
    struct Face {
        int node = 0;
        double area_m2 = 0; ///< positive where pressure applies, negative where it releases
    };
    std::vector<Face> faces; ///< a node that is held pushes, but has no volume of its own
    double stroke_m = 0;
    double begins_n = 0; ///< force of the gauge pressures that lifts it off its stop, more than 0
    double ends_n = 0;   ///< and that holds it at the end of its stroke; more than begins_n
};

/// Where a piston stands.
enum class Contact { stop, moving, end };

/// State: the absolute pressure of every unknown node, then the three sums below.
class FillEquations {
public:
    /// Integrals that are carried along to prove the balance of mass.
    enum Sum { net_in = 0, gross_in = 1, swept_work = 2, sums = 3 };

    /// Dead volumes by node of the network, all unknown ones positive: with every piston at its stop for the apply side
    /// and at the end of its stroke for the release side, so that no volume can vanish.
    FillEquations(const FlowNetwork& network, const std::vector<double>& volume_m3,
                  const std::vector<FillPiston>& pistons, double exponent);

    /// Other laws in the same network: the trigger was let go.
    void take_laws(const FlowNetwork& network);

    [[nodiscard]] int unknown_count() const { return unknowns_; }
    [[nodiscard]] int state_count() const { return unknowns_ + sums; }
    [[nodiscard]] int piston_count() const { return static_cast<int>(pistons_.size()); }
    [[nodiscard]] Contact contact(int piston) const { return contact_[static_cast<std::size_t>(piston)]; }
    void set_contact(int piston, Contact contact) { contact_[static_cast<std::size_t>(piston)] = contact; }

    /// Force on a piston beyond that at which it begins, as a share of that from begin to end: 0 at the stop, 1 at
    /// the end of the stroke, whatever its contact.
    [[nodiscard]] double push(int piston, std::span<const double> state) const;
    /// The same held between 0 and 1: where it stands, as a share of its stroke.
    [[nodiscard]] double stroke_share(int piston, std::span<const double> state) const;
    /// Volume of an unknown, by its position among the unknowns.
    [[nodiscard]] double volume_m3(int unknown, std::span<const double> state) const;
    /// What the sums must agree with: Σ p W/n, in joules.
    [[nodiscard]] double stored(std::span<const double> state) const;
    /// Disagreement of the sums with what is stored now, kg, where `stored_at_start` was stored when all sums were 0.
    [[nodiscard]] double missing_kg(double stored_at_start, std::span<const double> state) const;
    /// A mass that is small against nothing: all volumes full of ambient air, kg.
    [[nodiscard]] double mass_scale_kg() const;

    /// Rates of the state. False where a pressure is not positive: the integrator must take a smaller step.
    [[nodiscard]] bool rates(std::span<const double> state, std::span<double> rate);
    /// Derivative of the rates by the state, by columns: entry (row, column) at column * state_count() + row.
    [[nodiscard]] bool slopes(std::span<const double> state, std::span<double> by_column);

private:
    struct Link {
        Law law;
        int first = 0, second = 0;          ///< unknowns, or -1 for a held one
        double first_pa = 0, second_pa = 0; ///< of held ones
    };
    struct Face {
        int unknown = 0;
        double area_m2 = 0;
    };
    struct Piston {
        std::vector<Face> faces;
        double stroke_m = 0, begins_n = 0, range_n = 0;
        double held_n = 0; ///< push of held nodes and of the ambient pressure on all
        [[nodiscard]] double compliance() const { return stroke_m / range_n; }
    };

    void prepare(std::span<const double> state);
    void factor();
    /// From n R T ṁ, by unknown, to dp/dt in place; velocities of the moving pistons by the way.
    void divide(std::span<double> rate);

    double rt_, ambient_pa_, exponent_;
    AirFactors factors_;
    int unknowns_ = 0;
    std::vector<int> unknown_of_node_;
    std::vector<double> dead_m3_; ///< by unknown
    std::vector<Link> links_;
    std::vector<Piston> pistons_;
    std::vector<Contact> contact_;
    // Room to work in, so that nothing is allocated while integrating.
    std::vector<int> moving_;
    std::vector<double> pressure_, volume_, spread_, velocity_, own_velocity_, force_, triangle_, rate_;
};

} // namespace ringland::diagnosis::airflow
