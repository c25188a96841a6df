// What the pointer is on, said beside it.
#pragma once

#include <optional>
#include <vector>

#include "overlay.h"
#include "panels.h"

namespace ringland::viewer {

/// Draws it and says where; nothing where the pointer is on nothing. It keeps off the labels, the suspect's before all.
std::optional<Rect> draw_hover_note(PanelContext& c, const Viewport& drawing, const model::Subject& hover,
                                    const std::vector<PlacedLabel>& labels);

} // namespace ringland::viewer
