// A unit on the air bench: its map as a network of restrictions, with a supply, ports and a defect that can be set.
//
// Every circuit is a node, and so is every port: between the two lies the passage, so that a gauge at the port reads
// the port and not the ring. The sump is the open air. A seal is two elements for its sound leak and one for its
// defect, which is closed until a defect is set; a by-design flow is one. Set a case, solve, read; nothing allocates in
// between.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "../../model-data/air_bench.h"
#include "../../model-data/unit_map.h"
#include "network.h"

namespace ringland::diagnosis::airflow {

enum class PortState {
    open,
    plugged, ///< by hand, plug or gauge
    towel    ///< a towel lies over it: open, but throttled
};

/// Air of a bench as the computation needs it.
[[nodiscard]] Air air_of(const model::AirBench& bench);

class UnitAir {
public:
    /// The map must be valid; indices below are those of its lists.
    /// `plate_neighbours` are pairs of ports between which the gasket of the test plate may leak.
    UnitAir(const model::UnitMap& map, const model::AirBench& bench,
            const std::vector<std::array<int, 2>>& plate_neighbours = {});

    // The case. Fresh: all ports open, no air, no defect.

    void set_port(int port, PortState state);
    void set_all_ports(PortState state);
    /// Air at this gauge pressure, at the regulator, into a port by hose and nozzle; the port is closed otherwise. -1:
    /// into none.
    void blow_into(int port, double supply_gauge_pa);
    /// A defect in a seal as an equivalent hole; 0: sound again. A seal that fails one way does so unless it is said to
    /// be cut right through, `both_ways`.
    void set_defect(int seal, double hole_diameter_m, bool both_ways = false);
    void clear_defects();
    /// A leak of the rig between two neighbours on the plate, by its place in plate_neighbours; 0: none.
    void set_plate_leak(int pair, double hole_diameter_m);
    /// A leak at the nozzle, or a hose that starves: this share of its conductance arrives. 1: as the bench says.
    void set_hose_share(double share);
    /// Holds a circuit at a gauge pressure, as if it were a volume that fills just now; -1: none.
    void hold(int circuit, double gauge_pa);
    /// The trigger let go with the nozzle held on its port: no air goes in and none comes back.
    void release_trigger();

    const SolveReport& solve() { return network_.solve(); }
    /// From scratch: the answer does not depend on the cases before.
    const SolveReport& solve_cold();

    // The answer.

    [[nodiscard]] double port_gauge_pa(int port) const;
    [[nodiscard]] double circuit_gauge_pa(int circuit) const; ///< 0 for the sump
    /// Out of the mouth of a port; 0 where it is plugged or under air.
    [[nodiscard]] double port_flow_kgps(int port) const;
    [[nodiscard]] double supply_flow_kgps() const;
    /// All that comes out inside the open case.
    [[nodiscard]] double sump_flow_kgps() const;
    /// Net flow into the circuit that is held: what would fill it.
    [[nodiscard]] double held_flow_kgps() const;
    /// Through a seal, sound leak and defect together, from between[0] to between[1].
    [[nodiscard]] double seal_flow_kgps(int seal) const;
    /// From `from` to `to` of the flow by design.
    [[nodiscard]] double design_flow_kgps(int flow) const;

    // What it is made of, for whoever needs the bare network.

    struct SealElements {
        int hole = -1, film = -1, defect = -1;
    };
    [[nodiscard]] const FlowNetwork& network() const { return network_; }
    [[nodiscard]] FlowNetwork& network() { return network_; }
    [[nodiscard]] const model::AirBench& bench() const { return bench_; }
    [[nodiscard]] int circuit_node(int circuit) const { return circuit_node_[static_cast<std::size_t>(circuit)]; }
    [[nodiscard]] int port_node(int port) const { return port_node_[static_cast<std::size_t>(port)]; }
    [[nodiscard]] int ambient_node() const { return ambient_; }
    [[nodiscard]] const SealElements& seal_elements(int seal) const { return seal_[static_cast<std::size_t>(seal)]; }
    [[nodiscard]] int design_element(int flow) const { return design_[static_cast<std::size_t>(flow)]; }
    [[nodiscard]] int passage_element(int port) const { return passage_[static_cast<std::size_t>(port)]; }
    [[nodiscard]] int mouth_element(int port) const { return mouth_[static_cast<std::size_t>(port)]; }
    [[nodiscard]] int supply_element(int port) const { return supply_[static_cast<std::size_t>(port)]; }
    /// Free air volume of a node, m³: for filling. 0 for held nodes.
    [[nodiscard]] double volume_m3(int node) const { return volume_[static_cast<std::size_t>(node)]; }
    [[nodiscard]] int blown_port() const { return blown_; }
    [[nodiscard]] double supply_gauge_pa() const { return supply_gauge_pa_; }

private:
    void renew_port(int port);

    model::AirBench bench_;
    FlowNetwork network_;
    int ambient_ = 0, source_ = 0;
    std::vector<int> circuit_node_, port_node_;
    std::vector<SealElements> seal_;
    std::vector<int> design_, passage_, mouth_, supply_;
    std::vector<Law> mouth_law_;
    std::vector<PortState> state_;
    std::vector<bool> one_way_; ///< of the defect of each seal
    std::vector<double> volume_;
    std::vector<int> sump_elements_, plate_, hold_;
    int holder_ = 0, held_ = -1;
    double hose_share_ = 1;
    int blown_ = -1;
    bool trigger_ = true;
    double supply_gauge_pa_ = 0;
};

} // namespace ringland::diagnosis::airflow
