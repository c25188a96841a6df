// Colours that carry a meaning, for the drawing and for the panels alike.
#pragma once

#include <cstdint>
#include <string_view>

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
    bool dashed = false; ///< the palette has come round: the second mark tells it from the first
};

/// The circuit's colour: the map's own where it gives one that can be read, grey for lube and sump, else by the order
/// of the circuits through the Okabe-Ito palette without vermillion.
[[nodiscard]] CircuitColour circuit_colour(const model::UnitMap& map, std::string_view circuit);

} // namespace ringland::viewer
