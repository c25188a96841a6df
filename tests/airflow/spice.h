// A circuit simulator as an oracle: the same network as an electric circuit, solved by ngspice.
//
// Pressure is voltage (1 V = 1 bar absolute) and mass flow is current (1 A = 1 g/s). The formulas of the restrictions
// are written here once more, from their sources, as expressions of the netlist; only sizes come from the laws. The
// search for an operating point fails on such elements, so that every node gets a capacitor and the circuit runs from
// ambient until nothing changes any more.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "../../diagnosis/airflow/network.h"

namespace ringland::tests {

/// The network as a netlist that runs for so long, prints the pressure of every unknown node at the end and a while
/// before, and quits.
[[nodiscard]] std::string netlist_of(const diagnosis::airflow::FlowNetwork& network, double end_s);

struct SpiceAnswer {
    std::vector<double> pressure_pa; ///< of every node; held ones as they are held
    std::vector<double> given_kgps;  ///< by held nodes, all their restrictions together; 0 for the others
    std::string trouble;             ///< what ngspice said where it did not answer
};

/// Writes the netlist to `file` and runs ngspice on it.
[[nodiscard]] SpiceAnswer solve_with_spice(const diagnosis::airflow::FlowNetwork& network,
                                           const std::filesystem::path& file);

} // namespace ringland::tests
