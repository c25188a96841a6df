// Colours that carry a meaning, for the drawing and for the panels alike.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

#include "../../model-data/unit_map.h"

namespace ringland::viewer {

/// sRGB, 0 to 1.
struct Rgb {
    double r = 0, g = 0, b = 0;
    friend constexpr bool operator==(const Rgb&, const Rgb&) = default;
};

/// 0xRRGGBB.
[[nodiscard]] constexpr Rgb rgb(std::uint32_t hex) {
    return {static_cast<double>((hex >> 16) & 255u) / 255.0, static_cast<double>((hex >> 8) & 255u) / 255.0,
            static_cast<double>(hex & 255u) / 255.0};
}

/// The suspect, and nothing else: vermillion of the Okabe-Ito palette (value from memory of Okabe and Ito's
/// "Color Universal Design").
inline constexpr Rgb suspect_colour = rgb(0xD55E00);

/// Lube, sump and whatever is no question of an air check.
inline constexpr Rgb neutral_circuit_colour = rgb(0x98978F);

struct CircuitColour {
    Rgb colour;
    bool dashed = false; ///< the second mark, beside the colour
};

/// The circuit's colour: the map's own where it gives one that can be read, grey for lube and sump, else by the order
/// of the circuits through the Okabe-Ito palette without vermillion; dashed where the palette has come round. Cheap.
[[nodiscard]] CircuitColour circuit_colour(const model::UnitMap& map, std::string_view circuit);

/// The same colours in the order of the map, with marks that take neighbours into account: two circuits with a seal
/// between them, whose colours some eye could confuse, differ in the mark, and so do two of one colour. Two marks
/// cannot part three circuits of which each could be taken for each other: then the two that are easiest to tell apart
/// share one, and their tags part them. Not cheap: once for a map.
[[nodiscard]] std::vector<CircuitColour> circuit_colours(const model::UnitMap& map);

/// Two circuits that should not be taken for each other though their colours are alike, and how badly alike these are.
struct AlikePair {
    std::size_t first = 0, second = 0; ///< in the order of the map
    double weight = 0;                 ///< 20 less their least distance; 100 for the same colour without a seal between
};
[[nodiscard]] std::vector<AlikePair> alike_pairs(const model::UnitMap& map);

} // namespace ringland::viewer
