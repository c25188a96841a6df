// Circuits as nodes and restrictions between them, for oil: the network of flow/network.h with the laws of oil.
#pragma once

#include "../flow/network.h"
#include "oil_law.h"

namespace ringland::diagnosis::oil {

struct OilMedium {
    using Fluid = Oil;
    using Factors = OilFactors;
    using Law = OilLaw;
};

using OilNetwork = flow::Network<OilMedium>;

} // namespace ringland::diagnosis::oil

extern template class ringland::diagnosis::flow::Network<ringland::diagnosis::oil::OilMedium>;
