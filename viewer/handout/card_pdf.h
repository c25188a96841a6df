// The bench card: the shortest air check of a unit on paper, for the wall and to fill in by pencil.
#pragma once

#include <string>

#include "../../diagnosis/airflow/expected.h"
#include "../../diagnosis/suspects/coverage.h"
#include "../app/texts.h"
#include "paper.h"

namespace ringland::viewer {

struct CardWords {
    PaperSize paper = PaperSize::letter;
    UnitSystem units = UnitSystem::psi_inch;
    std::string own_figures; ///< on whose figures the expected words rest
};

/// `rows` are what a healthy unit shows in each reading of coverage.shortest, in its order. Error text, empty on
/// success.
[[nodiscard]] std::string write_card_pdf(const std::string& file, const Translator& tr, const model::UnitMap& map,
                                         const diagnosis::suspects::Coverage& coverage,
                                         const diagnosis::airflow::ExpectedChart& rows, const CardWords& words);

} // namespace ringland::viewer
