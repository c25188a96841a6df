// The handout on paper.
#pragma once

#include <string>

#include "content.h"
#include "paper.h"

namespace ringland::viewer {

/// Writes the handout; error text, empty on success.
[[nodiscard]] std::string write_handout_pdf(const std::string& file, const Handout& handout, PaperSize size);

} // namespace ringland::viewer
