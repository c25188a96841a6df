// Circuits as nodes and restrictions between them, for air: the network of flow/network.h with the laws of air.
#pragma once

#include "../flow/network.h"
#include "law.h"

namespace ringland::diagnosis::airflow {

/// Nodes and elements are counted in int; this is where one stands in a vector.
[[nodiscard]] constexpr std::size_t at(int index) { return static_cast<std::size_t>(index); }

struct AirMedium {
    using Fluid = Air;
    using Factors = AirFactors;
    using Law = airflow::Law;
};

using flow::most_mass_residual;
using flow::most_pressure_residual;
using flow::SolveReport;

class FlowNetwork : public flow::Network<AirMedium> {
public:
    using Network::Network;
    [[nodiscard]] const Air& air() const { return fluid(); }
};

} // namespace ringland::diagnosis::airflow

extern template class ringland::diagnosis::flow::Network<ringland::diagnosis::airflow::AirMedium>;
