// A moving frame put together: the small picture of the solids enlarged, and the lines over it in full sharpness.
// No OpenGL: to the software driver both are pixels like any others, at ten times the price.
#pragma once

#include <cstdint>
#include <vector>

#include "visible_lines.h"

namespace ringland::viewer {

/// Rows from the bottom; each pixel is four bytes.
struct BytePicture {
    int width = 0, height = 0;
    std::vector<std::uint8_t> rgba;
    void fit(int w, int h) {
        width = w;
        height = h;
        rgba.resize(static_cast<std::size_t>(w) * static_cast<std::size_t>(h) * 4);
    }
};

class InkedPicture {
public:
    /// A picture of so many pixels is going to be filled. In alpha the small one says how much of what is behind its
    /// glass still shows: lines before `nearest_from` are behind all of it, the others before it. Both stay until then.
    void begin(int width, int height, const BytePicture& small, const std::vector<SeenLine>& lines,
               std::size_t nearest_from);
    /// Fills `stripe`, which has the width of the picture and begins with this row of it, a multiple of `band_rows`.
    void fill(BytePicture& stripe, int first_row) const;

    static constexpr int band_rows = 24;

private:
    /// Where one pixel's colour comes from along a side: two neighbours, and the share of the second in 256.
    struct Mix {
        int first = 0, second = 0;
        std::uint32_t share = 0;
    };
    static void lay_out(std::vector<Mix>& mixes, int from, int to);
    /// Rows of the picture; `base` is the one with which the stripe begins.
    struct Rows {
        int base = 0, first = 0, end = 0;
    };
    void enlarge(BytePicture& stripe, const Rows& rows) const;
    static void draw(BytePicture& stripe, const SeenLine& line, bool behind_glass, const Rows& rows);

    int height_ = 0;
    const BytePicture* small_ = nullptr;
    const std::vector<SeenLine>* lines_ = nullptr;
    std::size_t nearest_from_ = 0;
    std::vector<Mix> columns_, rows_;
    std::vector<std::vector<std::uint32_t>> bands_; ///< the lines of each band of rows
};

} // namespace ringland::viewer
