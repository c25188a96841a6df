// The work sheet: a plan on paper, to tick off at the bench and to write figures into by pencil.
#pragma once

#include <string>

#include "../../diagnosis/plan/plan.h"
#include "../app/texts.h"
#include "paper.h"

namespace ringland::viewer {

struct WorkSheetWords {
    PaperSize paper = PaperSize::letter;
    UnitSystem units = UnitSystem::psi_inch;
};

/// Error text, empty on success.
[[nodiscard]] std::string write_work_sheet(const std::string& file, const Translator& tr, const model::UnitMap& map,
                                           const diagnosis::plan::PlanAnswer& plan, const WorkSheetWords& words);

} // namespace ringland::viewer
