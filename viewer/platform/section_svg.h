// A laid-out section as SVG 1.1: text as text, colours and hatches as a printer wants them.
#pragma once

#include <string>

#include "section_plan.h"

namespace ringland::viewer {

/// The whole file. Width and height are those of the spec, and the page keeps its proportions in it.
[[nodiscard]] std::string section_svg(const SectionPlan& plan, const PictureSpec& spec, Theme theme);

} // namespace ringland::viewer
