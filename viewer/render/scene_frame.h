// One frame's view of the scene, as every way of drawing it sees it.
#pragma once

#include <string>

#include "prepass.h"
#include "shadow.h"

namespace ringland::viewer {

struct SceneFrame {
    int width = 1, height = 1; ///< of the drawing, pixels
    Sight sight;
    bool section = false;
    double pixels_per_point = 1;
    FrameBlock block; ///< without what depends on the way of drawing: occlusion, shadow
    Shadow::Scene bench;
    Prepass::Scene prepass;
};

/// Share of the distance by which lines stand before their surface.
inline constexpr float line_before_surface = 0.0022f;
/// Share of their ink that edges of glass have behind other glass.
inline constexpr float far_glass_ink = 0.13f;
/// Strength of the occlusion where it is drawn.
inline constexpr float occlusion_strength = 0.9f;

} // namespace ringland::viewer
