// The retest beside the first test, in the words of the bench and for programs.
#pragma once

#include <string>

#include "../../diagnosis/retest.h"

namespace ringland::viewer {

[[nodiscard]] std::string retest_text(const model::UnitMap& map, const diagnosis::Retest& retest, bool metric);
[[nodiscard]] std::string retest_json(const model::UnitMap& map, const diagnosis::Retest& retest);

} // namespace ringland::viewer
