// The expected chart: what a healthy unit shows at every port when air goes into one of them.
//
// It is the chart that a rebuilder keeps in his head. Direction matters: air from A in B may be by design while air
// from B in A is a fault.
#pragma once

#include <string>
#include <vector>

#include "heard.h"
#include "unit_air.h"

namespace ringland::diagnosis::airflow {

/// What shows at one port.
struct ExpectedAt {
    int port = 0;         ///< index in the map
    double flow_kgps = 0; ///< out of it, open
    Heard word{};
    double plugged_gauge_pa = 0; ///< on a gauge that closes it
    bool same_circuit = false;   ///< another mouth of the circuit under air
    std::vector<int> by_design;  ///< flows by design on the way, in order, indices in the map; empty: none leads here
};

/// What shows everywhere when air goes into one port and all others are open.
struct ExpectedRow {
    int into = 0;
    double supply_gauge_pa = 0;
    double port_gauge_pa = 0; ///< a gauge at the port under air; less than the supply where much goes in
    double supply_kgps = 0;
    double case_kgps = 0; ///< comes out inside the open case
    Heard case_word{};
    std::vector<int> case_by_design;
    std::vector<ExpectedAt> at; ///< all other ports in the order of the map
    bool converged = true;      ///< every solve behind it was
};

struct ExpectedChart {
    double supply_gauge_pa = 0;
    std::vector<ExpectedRow> rows; ///< one for each port in the order of the map
    bool converged = true;         ///< every solve behind it was
};

/// The chart of the unit as it stands: defects that are set on it are in it, so that a faulty unit can be charted as
/// well. Port states are left all open, and no air, afterwards.
[[nodiscard]] ExpectedChart expect(const model::UnitMap& map, UnitAir& unit, double supply_gauge_pa);
/// One row of it.
[[nodiscard]] ExpectedRow expect_row(const model::UnitMap& map, UnitAir& unit, int into, double supply_gauge_pa);

/// Pressure at which a unit is blown where nobody says otherwise: the map's figure, or the bench's.
[[nodiscard]] double usual_gauge_pa(const model::UnitMap& map, const model::AirBench& bench);

enum class Verdict { as_expected, more, less };

/// What was seen against what a healthy unit shows.
[[nodiscard]] Verdict judge(Heard expected, Heard seen);
/// "expected faint, seen strong: more than a healthy unit shows".
[[nodiscard]] std::string judge_words(Heard expected, Heard seen);

/// The chart, or those rows of it that are given, as JSON with the field names that docs/command-line.md lists.
[[nodiscard]] std::string to_json(const model::UnitMap& map, const ExpectedChart& chart);

} // namespace ringland::diagnosis::airflow
