// Still pictures: the loop's frame read back, in tiles where the driver's limit is smaller than the picture.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "../app/commands.h"

namespace ringland::viewer {

struct Image {
    int width = 0, height = 0;
    std::vector<std::uint8_t> rgba; ///< rows from the top, 4 bytes a pixel, sRGB, opaque
};

struct PictureSpec {
    int width = 1920, height = 1080; ///< up to 7680 x 4320
    bool with_interface = false;     ///< as the window shows it, panels and all
};

inline constexpr int picture_max_width = 7680, picture_max_height = 4320;

/// Draws the workbench's session. Makes its own offscreen context; throws std::runtime_error where there is none.
[[nodiscard]] Image make_picture(Workbench& bench, const PictureSpec& spec);

/// Writes a PNG; error text, empty on success. The file is complete or absent.
[[nodiscard]] std::string write_png(const std::string& file, const Image& image);
/// Reads a PNG; empty image and an error text on failure.
[[nodiscard]] Image read_png(const std::string& file, std::string& error);

} // namespace ringland::viewer
