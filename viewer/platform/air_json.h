// The answers about air for programs; docs/command-line.md lists the fields.
#pragma once

#include <string>
#include <vector>

#include "air_text.h"

namespace ringland::viewer {

/// The chart, or those of its rows that are given.
[[nodiscard]] std::string chart_json(const AirSetup& setup, const diagnosis::airflow::ExpectedChart& chart);
[[nodiscard]] std::string case_json(const AirSetup& setup, const AirCase& air);
[[nodiscard]] std::string leak_down_json(const diagnosis::airflow::LeakDownRig& rig, double reading_gauge_pa,
                                         const diagnosis::airflow::LeakDownAnswer& answer);
/// `file` is where the bench was written, or empty.
[[nodiscard]] std::string calibration_json(const BenchInUse& bench, double supply_gauge_pa,
                                           const std::vector<BlownHole>& blown,
                                           const diagnosis::airflow::Calibration& calibration, const std::string& file);

/// An answer (a JSON object) with what it rests on: its fields `bench` and `defaults`.
[[nodiscard]] std::string with_bench(const std::string& answer, const model::UnitMap& map, const model::AirBench& bench,
                                     const std::string& bench_file);

} // namespace ringland::viewer
