// What a command says on stderr where it cannot do what it was asked.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "../../model-data/fault.h"

namespace ringland::viewer {

/// "ringland COMMAND: WHAT".
void complain(std::string_view command, std::string_view what);
/// Faults of files, one a line.
void complain(const std::vector<model::Fault>& faults);
void complain(const std::vector<model::Fault>& faults, const model::Translator& tr);

} // namespace ringland::viewer
