// One frame's view of the scene, as every way of drawing it sees it.
#pragma once

#include <algorithm>
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
    double distance_mm = 1; ///< from the eye to what it looks at

    /// Share of the distance by which lines stand before their surface. From far away no more than a thin wall: what
    /// lies behind it must not show through.
    [[nodiscard]] float line_before_surface() const { return static_cast<float>(std::min(0.0022, 3.5 / distance_mm)); }
};

/// Share of their ink that edges of glass have behind other glass.
inline constexpr float far_glass_ink = 0.13f;
/// Strength of the occlusion where it is drawn.
inline constexpr float occlusion_strength = 0.9f;

} // namespace ringland::viewer
