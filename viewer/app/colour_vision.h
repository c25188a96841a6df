// How far apart two colours are to an eye: CIEDE2000, the contrast of the web's guidelines, and colour blindness.
//
// The tests use it to prove that the drawing can be read; the drawing asks it which circuits need a second mark.
#pragma once

#include <array>

#include "colours.h"

namespace ringland::viewer {

/// CIE 1976 L*a*b*, white D65, 2° observer.
struct Lab {
    double l = 0, a = 0, b = 0;
};

/// IEC 61966-2-1: the light of an sRGB value, each 0 to 1.
[[nodiscard]] double linear_of_srgb(double value);
[[nodiscard]] double srgb_of_linear(double light);

[[nodiscard]] Lab lab_of(Rgb colour);

/// CIEDE2000 with all three weights 1, after Sharma, Wu and Dalal, Color Res. Appl. 30 (2005) 21-30.
[[nodiscard]] double delta_e_2000(const Lab& first, const Lab& second);
[[nodiscard]] inline double delta_e_2000(Rgb first, Rgb second) { return delta_e_2000(lab_of(first), lab_of(second)); }

/// Relative luminance of WCAG 2, 0 to 1.
[[nodiscard]] double relative_luminance(Rgb colour);
/// Contrast of WCAG 2, 1 to 21, in any order.
[[nodiscard]] double contrast(Rgb first, Rgb second);

/// WCAG 2: 1.4.3 for text, 1.4.11 for graphics that carry a meaning.
inline constexpr double least_text_contrast = 4.5, least_graphics_contrast = 3;

/// Who looks: one of the three kinds of cone may be missing.
enum class Vision { all_cones, protan, deutan, tritan };
inline constexpr std::array<Vision, 4> all_visions{Vision::all_cones, Vision::protan, Vision::deutan, Vision::tritan};

/// The colour as such an eye sees it: Machado, Oliveira and Fernandes, IEEE Trans. Vis. Comput. Graph. 15 (2009)
/// 1291-1298, severity 1; what falls out of the gamut is brought back to its border.
[[nodiscard]] Rgb as_seen_by(Vision vision, Rgb colour);

/// The least distance of two colours over all visions.
[[nodiscard]] double least_delta_e(Rgb first, Rgb second);
/// Nearer than this for any of them, two neighbours need something beside the colour.
inline constexpr double least_circuit_distance = 20;

/// The colour, made as much darker or lighter as it needs to stand out from the ground by that contrast; for outlines.
[[nodiscard]] Rgb made_to_contrast(Rgb colour, Rgb ground, double least);

} // namespace ringland::viewer
