// The answers about air in the words of the bench, as tables that print.
#pragma once

#include <string>
#include <vector>

#include "../../diagnosis/airflow/expected.h"
#include "../../diagnosis/airflow/leak_down.h"
#include "air_setup.h"

namespace ringland::viewer {

/// The whole chart: rows get the air, columns are where it shows; reasons of what is by design stand below, numbered.
[[nodiscard]] std::string chart_text(const AirSetup& setup, const diagnosis::airflow::ExpectedChart& chart);

/// One row of it, port by port.
[[nodiscard]] std::string row_text(const AirSetup& setup, const diagnosis::airflow::ExpectedRow& row);

/// One case, solved: `setup.unit` holds the answer.
[[nodiscard]] std::string case_text(const AirSetup& setup, const AirCase& air);

/// Both ways of leak-down.
[[nodiscard]] std::string leak_down_text(const diagnosis::airflow::LeakDownRig& rig, double reading_gauge_pa,
                                         const diagnosis::airflow::LeakDownAnswer& answer);

/// One trial of a calibration.
struct BlownHole {
    double diameter_m = 0;
    diagnosis::airflow::Trial trial;
};
[[nodiscard]] std::string calibration_text(const BenchInUse& bench, double supply_gauge_pa,
                                           const std::vector<BlownHole>& blown,
                                           const diagnosis::airflow::Calibration& calibration);

/// Whose figures an answer rests on, and the cautions; the last lines of every answer.
[[nodiscard]] std::string bench_words(const model::AirBench& bench, const std::string& file);
[[nodiscard]] std::string air_cautions(double supply_gauge_pa);

} // namespace ringland::viewer
