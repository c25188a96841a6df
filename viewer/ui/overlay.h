// Labels, leader lines, title and legend on the drawing.
#pragma once

#include "../app/camera.h"
#include "../app/derived.h"
#include "../app/labels.h"
#include "../app/session.h"
#include "../app/texts.h"

struct ImDrawList;
struct ImFont;

namespace ringland::viewer {

struct OverlayFonts {
    ImFont* note = nullptr;   ///< 13 points
    ImFont* body = nullptr;   ///< 15, regular
    ImFont* strong = nullptr; ///< 15, semibold
    ImFont* title = nullptr;  ///< 18, semibold
    ImFont* answer = nullptr; ///< 24, semibold
};

struct OverlaySpec {
    Viewport drawing;
    double pixels_per_point = 1;
    double now_s = 0;
    bool title = false, legend = false; ///< on pictures, where no panel carries them
    bool plates = false;                ///< behind every label: nobody knows what it will stand on
    bool remembers = false;             ///< labels keep their places from frame to frame
    bool labels = true;                 ///< with their leaders, and the mark of the engine end
    model::Subject hover;
    std::vector<std::string>* written = nullptr; ///< every line that is written, for the tests
};

/// Key of the suspect's own label.
inline constexpr const char* suspect_label = "suspect";

/// A label as it was placed.
struct PlacedLabel {
    std::string key;
    LabelPlace place;
    glm::dvec2 anchor{};
};

/// Draws onto the list. Labels never overlap each other and keep off the suspect; with a memory they keep their places
/// from frame to frame. `standing` gets what stands still on the drawing: title, legend, mark of the engine end.
std::vector<PlacedLabel> draw_overlay(ImDrawList* list, const OverlayFonts& fonts, const Session& session,
                                      const Derived& derived, const OverlaySpec& spec, const Translator& tr,
                                      LabelMemory* memory = nullptr, std::vector<LabelBox>* standing = nullptr);

} // namespace ringland::viewer
