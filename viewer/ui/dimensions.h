// Figures at a ring, as in a drawing: extension lines, arrows, and the figure of the map or that it has none.
#pragma once

#include <string>
#include <vector>

#include "label_writer.h"

namespace ringland::viewer {

/// What is measured, and the figure in the units of the session; "not in the map" where the map is silent.
struct RingFigures {
    std::string seal, width, groove, gap;
};
/// The ring whose dimensions are shown: the suspect or the selected one, else the first of the shown stack.
[[nodiscard]] const model::RingPlace* measured_ring(const Session& session, const Derived& derived,
                                                    const model::StackPlace*& stack);
[[nodiscard]] RingFigures ring_figures(const Translator& tr, const Session& session, const std::string& seal);

/// Draws them in a close-up of a stack and notes the room that they take.
void draw_dimensions(ImDrawList* list, const OverlayFonts& fonts, const Session& session, const Derived& derived,
                     const LabelWriter& writer, double pixels_per_point, std::vector<LabelBox>& obstacles);

} // namespace ringland::viewer
