// Nodes and restrictions between them, for air and for oil: which pressures are in balance.
//
// Unknown is the pressure of every node that is not held; at each, as much must come in as goes out. All laws are
// monotone, so there is exactly one answer, between the lowest and the highest held pressure. It is found by Newton's
// method with the exact slopes and a line search; the equations are those of an electric circuit, and KLU, the solver
// that circuit simulators use, works them out on a pattern that is analysed once.
//
// The solver calls itself converged only when both hold: every node is in balance (mass), and the last correction of
// every pressure was negligible (pressure). A balance alone proves little where a leak is small.
//
// The mathematics does not ask what flows. A Medium names three types: Fluid, a value with `ambient_pa`; Factors, what
// the laws need of it, made from it once; and Law, a small value with `kind()`, `Kind::closed` and `through(factors,
// first_pa, second_pa, difference_pa)`, which keeps the promises of flow::Through. Each medium makes its network in one
// source file (network_solver.h), so that its laws are worked through without a detour.
#pragma once

#include <memory>
#include <span>
#include <string>
#include <vector>

#include "through.h"

namespace ringland::diagnosis::flow {

/// How a solution was reached, and how far it can be trusted.
struct SolveReport {
    bool converged = false;
    int iterations = 0;
    double supply_kgps = 0;       ///< what goes in at held nodes, the scale of the mass residual
    double mass_residual = 0;     ///< largest imbalance of a node, as a share of supply_kgps
    double lost_mass = 0;         ///< all that goes in less all that comes out at held nodes, as a share of supply_kgps
    double pressure_residual = 0; ///< largest last correction, as a share of the pressure of its node
    int worst_node = -1;          ///< with the largest imbalance
    int worst_element = -1;       ///< that changed most in the last correction
};

/// A solution counts as converged below these.
inline constexpr double most_mass_residual = 1e-9;
inline constexpr double most_pressure_residual = 1e-9;

template <class Medium> class Network {
public:
    using Law = typename Medium::Law;
    using Fluid = typename Medium::Fluid;
    using Factors = typename Medium::Factors;

    explicit Network(const Fluid& fluid);
    ~Network();
    Network(const Network& other); ///< a copy is set up anew and keeps laws and pressures
    Network(Network&&) noexcept;
    Network& operator=(const Network&) = delete;
    Network& operator=(Network&&) noexcept;

    // Building, before the first solve.

    /// A node with an unknown pressure. Gives its index; all nodes share one count.
    int add_node(std::string name);
    /// A node that is held at a pressure, absolute.
    int add_held_node(std::string name, double pressure_pa);
    /// A restriction between two nodes. Gives its index.
    int add_element(std::string name, const Law& law, int first, int second);
    /// Fixes the pattern; nothing can be added afterwards. Every unknown node must reach a held one over elements of
    /// any law; where its elements are closed at the time of a solve, `closure_kgps_per_pa` brings it to the ambient
    /// pressure.
    void finish();

    // Changing a case, between solves. None of these allocates.

    void set_law(int element, const Law& law) { elements_[static_cast<std::size_t>(element)].law = law; }
    void set_held_pressure(int node, double pressure_pa);
    /// Where the next solve begins, for an unknown node. After a solve the pressures stay: a warm start.
    void set_guess(int node, double pressure_pa);
    /// All unknown nodes begin at the ambient pressure: the answer does not depend on what was solved before.
    void forget();

    /// Balances the network. Does not allocate.
    const SolveReport& solve();

    // What came out; valid after solve().

    [[nodiscard]] const SolveReport& report() const { return report_; }
    [[nodiscard]] double pressure_pa(int node) const { return pressure_[static_cast<std::size_t>(node)]; }
    [[nodiscard]] double gauge_pa(int node) const { return pressure_pa(node) - fluid_.ambient_pa; }
    /// From the first node of the element to its second.
    [[nodiscard]] double flow_kgps(int element) const { return flow_[static_cast<std::size_t>(element)].flow_kgps; }

    // What it is made of.

    struct Element {
        std::string name;
        Law law;
        int first = 0, second = 0;
    };
    [[nodiscard]] const Fluid& fluid() const { return fluid_; }
    [[nodiscard]] const Factors& factors() const { return factors_; }
    [[nodiscard]] std::span<const Element> elements() const { return elements_; }
    [[nodiscard]] int node_count() const { return static_cast<int>(names_.size()); }
    [[nodiscard]] const std::string& node_name(int node) const { return names_[static_cast<std::size_t>(node)]; }
    /// Position among the unknowns, or -1 for a held node.
    [[nodiscard]] int unknown(int node) const { return unknown_[static_cast<std::size_t>(node)]; }
    [[nodiscard]] int unknown_count() const { return unknowns_; }

    /// The hair's breadth that ties every unknown node to the open air, so that none is without a pressure: 1e-12 kg/s
    /// at 1 bar, far below what can be measured.
    static constexpr double closure_kgps_per_pa = 1e-17;

private:
    struct Equations; ///< the sparse matrix, its solver and the vectors of an iteration
    double evaluate();
    void sum_up();
    void move(std::size_t node, double by_pa);
    bool iterate(double low, double high, int most);
    bool iterate_carefully(double low, double high);
    void spread(double low, double high);
    [[nodiscard]] bool within(double mass, double pressure) const;
    void name_worst_element();
    bool step(double held_kgps_per_pa);

    Fluid fluid_;
    Factors factors_;
    std::vector<std::string> names_;
    std::vector<double> pressure_;
    std::vector<double> rest_; ///< what the digits of pressure_ cannot hold
    std::vector<int> unknown_;
    std::vector<Element> elements_;
    std::vector<Through> flow_;
    int unknowns_ = 0;
    bool finished_ = false;
    SolveReport report_;
    std::unique_ptr<Equations> equations_;
};

} // namespace ringland::diagnosis::flow
