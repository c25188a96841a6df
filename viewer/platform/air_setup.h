// What the words of `expect` and `air` mean on one map: bench, pressure, faults that are imagined.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "../../diagnosis/airflow/filling.h"
#include "../../diagnosis/airflow/unit_air.h"
#include "../../model-data/air_bench.h"
#include "../../model-data/unit_map.h"
#include "answers_air.h"

namespace ringland::viewer {

/// A hole that is imagined in a seal.
struct ImaginedHole {
    int seal = 0; ///< index in the map
    double diameter_m = 0;
};

/// A map on a bench, with the faults that are imagined set.
struct AirSetup {
    model::UnitMap map;
    model::AirBench bench;
    std::string bench_file; ///< empty: the defaults
    double supply_gauge_pa = 0;
    std::vector<ImaginedHole> holes;
    std::unique_ptr<diagnosis::airflow::UnitAir> unit;
};

/// One case of `air`: a port under air and what is done to the others.
struct AirCase {
    int into = 0;
    std::vector<diagnosis::airflow::PortState> ports; ///< in the order of the map
    double trigger_s = 0, end_s = 0;
    std::optional<diagnosis::airflow::FillTrace> time;
};

/// Reads map and bench and understands the words; complaints go to standard error. `exit` says how the program ends
/// where there is nothing to work with. `command` is its name for sentences.
[[nodiscard]] std::optional<AirSetup> set_up_air(const AirOptions& options, const char* command, Exit& exit);

/// The bench of --bench, the shop's own or the defaults; what is wrong with it has been said.
struct BenchInUse {
    model::AirBench bench;
    std::string file;
};
[[nodiscard]] std::optional<BenchInUse> bench_in_use(const std::string& named);

/// A port by what was typed, or -1 and a complaint.
[[nodiscard]] int port_of(const model::UnitMap& map, const std::string& typed, const char* command);

/// A pressure or hole by what was typed; a complaint where it is none. `option` is what it was typed for.
[[nodiscard]] std::optional<double> pressure_pa_of(const std::string& typed, const char* command, const char* option);
[[nodiscard]] std::optional<double> hole_m_of(const std::string& typed, const char* command, const char* option);

} // namespace ringland::viewer
