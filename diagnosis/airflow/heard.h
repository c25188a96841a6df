// What an ear makes of a flow: nothing, faint, clear, strong.
//
// There is no published figure for these words. The defaults are common practice, no source; a shop sets its own by
// blowing through drilled holes of known size and saying what it hears (calibrate).
#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "../../model-data/readings.h"
#include "../../model-data/texts.h"

namespace ringland::diagnosis::airflow {

using model::Heard;

/// The least flow of each word above `nothing`, normal litres a minute: faint, clear, strong. Ascending.
struct Hearing {
    std::array<double, 3> from_lpm{0.4, 6.0, 25.0};
    friend bool operator==(const Hearing& a, const Hearing& b) { return a.from_lpm == b.from_lpm; }
};

[[nodiscard]] Heard heard(double flow_lpm, const Hearing& hearing);

/// One trial of the calibration: this much flow was blown, this is what it sounded like.
struct Trial {
    double flow_lpm = 0;
    Heard word{};
};

/// Thresholds from trials.
struct Calibration {
    Hearing hearing;
    /// For each threshold the flows between which the trials place it; nothing where no trial lies on one side: that
    /// threshold keeps its place of `before` (moved only where it would contradict the trials or break the order).
    std::array<std::optional<std::array<double, 2>>, 3> between_lpm;
    /// Trials that contradict one another, in words; the threshold then lies where the fewest trials are wrong.
    std::vector<std::string> remarks;
};

/// Each threshold is the geometric mean of the loudest trial below it and the softest above it.
[[nodiscard]] Calibration calibrate(std::span<const Trial> trials, const Hearing& before,
                                    const model::Translator& tr = {});

} // namespace ringland::diagnosis::airflow
