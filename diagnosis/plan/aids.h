// Measuring aids: a figure off a gauge, held against its limits, and what to do about it.
//
// Each aid says its formula in words. The limits and sizes are the map's; where it has none, the aid says what is
// missing and still gives what follows without. Figures in pascal, metre, kg/s inside; words carry mm and in.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "../../model-data/air_bench.h"
#include "../../model-data/job.h"
#include "../../model-data/unit_map.h"
#include "../airflow/heard.h"

namespace ringland::diagnosis::plan {

/// Clearance of a band servo's pin where the maker gives none: 1/8 in (common practice, no source).
inline constexpr double usual_pin_clearance_m = 0.125 * 0.0254;

/// What is measured at a selective part, and what can be had.
struct SelectiveAsked {
    double measured_m = 0;
    std::optional<double> lower_m, upper_m;
    std::optional<double> fitted_m; ///< size of the selective part that is in now
    std::vector<double> sizes_m;    ///< as they can be had
};

struct SizeChoice {
    double size_m = 0;
    double clearance_m = 0; ///< that it would give: measured + fitted - size
    bool within = false;
};

/// Clutch pack, end play, servo pin: a thicker ring, plate or washer, or a longer pin, takes as much off the clearance.
struct Selective {
    model::Verdict verdict = model::Verdict::no_limits;
    /// How much thicker (negative: thinner) than what is in it may be: measured - upper to measured - lower, which
    /// holds 0 where the figure is within. A side without a limit is left open.
    std::optional<double> thicker_from_m, thicker_to_m;
    std::vector<SizeChoice> choices; ///< by size; where sizes and what is fitted are known
    std::optional<std::size_t> best; ///< in choices: within, and nearest to the middle of the limits
};

/// No figure may be negative but a clearance that a choice gives (it would bind).
[[nodiscard]] Selective selective(const SelectiveAsked& asked);

/// A ring in its bore and groove: what it lets by while it is sound.
struct RingLeak {
    std::size_t seal = 0; ///< one ring of the stack, for all
    double air_lpm = 0;   ///< normal litres a minute, from the bench pressure to the open case
    double air_kgps = 0;
    double supply_gauge_pa = 0;
    airflow::Heard word{}; ///< what that sounds like on this bench
    double oil_lpm = 0;    ///< hot oil from the highest line pressure of the map to the open case; oil closes the film
    double line_pa = 0;    ///< gauge
    std::string how;       ///< the reckoning in words
};

/// A measured figure and all that follows from it.
struct MeasureAnswer {
    std::size_t clearance = 0; ///< in UnitMap::clearances
    model::ClearanceKind kind{};
    model::Verdict verdict = model::Verdict::no_limits;
    std::optional<Selective> selective;             ///< of a pack, a servo pin, end play
    std::optional<double> grind_from_m, grind_to_m; ///< of a servo pin that is too long: to take off its tip
    std::optional<RingLeak> leak;                   ///< of ring gap and ring side clearance
    std::string verdict_words;        ///< "4.10 mm (0.161 in) is 0.50 mm (0.020 in) too large: 2.80 to 3.60 mm (...)."
    std::vector<std::string> advice;  ///< what to do, a sentence each
    std::string formula;              ///< in words
    std::vector<std::string> missing; ///< what the map does not give, and what that means
};

/// `fitted`: size of the selective part that is in now. Figures must not be negative.
[[nodiscard]] MeasureAnswer measure(const model::UnitMap& map, std::size_t clearance, const model::Length& value,
                                    const std::optional<model::Length>& fitted, const model::AirBench& bench);

/// "4.10 mm (0.161 in)".
[[nodiscard]] std::string length_words(double metres);
/// "2.80 to 3.60 mm (0.110 to 0.142 in)", "at most 0.06 mm (0.002 in)", "no limits in the map".
[[nodiscard]] std::string limits_words(const model::Clearance& clearance);

} // namespace ringland::diagnosis::plan
