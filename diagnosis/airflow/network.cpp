#include "network.h"

#include "../flow/network_solver.h"

template class ringland::diagnosis::flow::Network<ringland::diagnosis::airflow::AirMedium>;
