// The answers of `weigh` and `cover` in the words of the bench, for a terminal and for paper.
#pragma once

#include <string>

#include "../../diagnosis/airflow/expected.h"
#include "../../diagnosis/suspects/answer.h"
#include "../../diagnosis/suspects/coverage.h"
#include "air_setup.h"

namespace ringland::viewer {

/// A map on a bench with what is likely beforehand.
struct WeighSetup {
    AirSetup air;
    model::Priors priors;
    std::string priors_file;  ///< empty: the defaults
    double most_gauge_pa = 0; ///< the highest pressure that was blown or is advised
};

[[nodiscard]] std::string weigh_text(const WeighSetup& setup, const diagnosis::suspects::Answer& answer);

[[nodiscard]] std::string cover_text(const AirSetup& setup, const diagnosis::suspects::Coverage& coverage);

/// The shortest check as a card to fill in at the bench; `rows` are what a healthy unit shows in each of its readings.
[[nodiscard]] std::string card_text(const AirSetup& setup, const diagnosis::suspects::Coverage& coverage,
                                    const diagnosis::airflow::ExpectedChart& rows);

} // namespace ringland::viewer
