// The type: Inter in two weights and five sizes, drawn at the scale of the screen.
#pragma once

#include <string>
#include <vector>

#include <imgui.h>

namespace ringland::viewer {

struct Fonts {
    ImFont* note = nullptr;   ///< 13 points
    ImFont* body = nullptr;   ///< 15
    ImFont* strong = nullptr; ///< 15, semibold
    ImFont* title = nullptr;  ///< 18, semibold
    ImFont* answer = nullptr; ///< 24, semibold
};

/// Builds the atlas anew at a scale (pixels per point). `letters` may hold UTF-8 text with characters beyond the Latin
/// ones that are always there. Throws std::runtime_error where the font is not installed.
[[nodiscard]] Fonts load_fonts(ImFontAtlas& atlas, double scale, const std::string& letters);

} // namespace ringland::viewer
