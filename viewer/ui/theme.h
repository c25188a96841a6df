// Colours of the panels, light and dark: a technical plate on warm paper, and the same on slate.
#pragma once

#include <cstdint>

#include <imgui.h>

#include "../app/colour_vision.h"
#include "../app/colours.h"
#include "../app/session.h"

namespace ringland::viewer {

/// Sizes in points; the interface multiplies them by the pixels per point and by the text scale.
namespace size {
inline constexpr float unit = 8, padding = 16, radius = 6, target = 44;
inline constexpr float note = 13, body = 15, title = 18, answer = 24;
} // namespace size

struct Colours {
    ImVec4 panel, raised;
    ImVec4 rule;   ///< parts what belongs together from the rest; nothing hangs on seeing it
    ImVec4 border; ///< of what can be pressed or drawn: at least 3:1
    ImVec4 ink, second_ink, action, on_action;
    ImVec4 suspect;     ///< outlines and fillings
    ImVec4 suspect_ink; ///< the same hue for letters: at least 4.5:1
};

[[nodiscard]] inline ImVec4 colour(Rgb c, float alpha = 1) {
    return {static_cast<float>(c.r), static_cast<float>(c.g), static_cast<float>(c.b), alpha};
}

[[nodiscard]] inline ImVec4 mix(const ImVec4& a, const ImVec4& b, float t) {
    return {a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t, a.z + (b.z - a.z) * t, a.w + (b.w - a.w) * t};
}

[[nodiscard]] inline ImVec4 faded(ImVec4 c, float alpha) {
    c.w *= alpha;
    return c;
}

/// As a list of drawing takes it.
[[nodiscard]] inline ImU32 u32(const ImVec4& c) { return ImGui::ColorConvertFloat4ToU32(c); }

[[nodiscard]] inline Colours colours_of(Theme theme) {
    if (theme == Theme::light) {
        return {colour(rgb(0xFCFBF8)),  colour(rgb(0xFFFFFF)), colour(rgb(0xD6D0C3)), colour(rgb(0x857F74)),
                colour(rgb(0x1D2228)),  colour(rgb(0x59616A)), colour(rgb(0x23405C)), colour(rgb(0xFFFFFF)),
                colour(suspect_colour), colour(rgb(0xAF4D00))};
    }
    return {colour(rgb(0x22272E)),  colour(rgb(0x2A3038)), colour(rgb(0x3A424C)), colour(rgb(0x7C8692)),
            colour(rgb(0xECEAE4)),  colour(rgb(0xA3ABB4)), colour(rgb(0x9DBAD6)), colour(rgb(0x171A1E)),
            colour(suspect_colour), colour(rgb(0xF08A45))};
}

[[nodiscard]] inline Rgb plain_rgb(const ImVec4& c) { return {c.x, c.y, c.z}; }

/// Near black or white, whichever reads better on a colour.
[[nodiscard]] inline ImVec4 ink_on(const ImVec4& ground) {
    const Rgb dark = rgb(0x1D2228), light = rgb(0xFFFFFF), on = plain_rgb(ground);
    return colour(contrast(dark, on) >= contrast(light, on) ? dark : light);
}

} // namespace ringland::viewer
