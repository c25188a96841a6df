// A frame buffer of 8-bit colour without depth: where finished frames go that no window shows.
#pragma once

#include <cstdint>

namespace ringland::viewer {

/// Needs a current OpenGL context for as long as it lives.
class ColourTarget {
public:
    /// Throws std::runtime_error where the driver refuses the size.
    ColourTarget(int width, int height);
    ~ColourTarget();
    ColourTarget(const ColourTarget&) = delete;
    ColourTarget& operator=(const ColourTarget&) = delete;

    [[nodiscard]] unsigned framebuffer() const { return framebuffer_; }
    [[nodiscard]] int width() const { return width_; }
    [[nodiscard]] int height() const { return height_; }

    /// Copies all of it into another frame buffer of the same size.
    void copy_to(unsigned framebuffer) const;
    /// Reads the corner at the bottom left, rows from the bottom, 4 bytes a pixel.
    void read(int width, int height, std::uint8_t* rgba) const;
    /// Into a picture whose rows have so many pixels.
    void read(int width, int height, int row_pixels, std::uint8_t* rgba) const;

private:
    unsigned framebuffer_ = 0, colour_ = 0;
    int width_, height_;
};

} // namespace ringland::viewer
