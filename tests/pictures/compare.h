// How far a picture may be from its baseline.
#pragma once

#include <string>

#include "../../viewer/platform/picture.h"

namespace ringland::tests {

/// A pixel that is further off than this in one of its colours counts as another pixel.
inline constexpr int another_pixel = 24;

/// All between 0 and 1.
struct Difference {
    double mean = 1;       ///< of all colours of all pixels, absolute
    double share = 1;      ///< part of the pixels that are other pixels
    double worst_tile = 1; ///< the same in the tile of the picture that has most of them
};

/// Side of a tile, pixels.
inline constexpr int tile_side = 30;

/// Pictures of different sizes are as different as can be.
[[nodiscard]] Difference compare(const viewer::Image& a, const viewer::Image& b);
[[nodiscard]] bool alike(const Difference& difference);
/// "mean 0.12 %, 0.031 % other pixels, worst tile 4.2 %".
[[nodiscard]] std::string to_string(const Difference& difference);

/// Both pictures and what differs, beside each other: white where they are the same, the blacker the further off.
[[nodiscard]] viewer::Image side_by_side(const viewer::Image& expected, const viewer::Image& got);

} // namespace ringland::tests
