#include "compare.h"

#include <algorithm>
#include <array>
#include <cstdlib>
#include <vector>

#include <fmt/format.h>

namespace ringland::tests {
namespace {

using viewer::Image;

std::size_t index(const Image& image, int x, int y) {
    return (static_cast<std::size_t>(y) * static_cast<std::size_t>(image.width) + static_cast<std::size_t>(x)) * 4;
}

/// The same software driver draws the same bytes, with a narrower vector unit too. Another version of it or a graphics
/// card rounds otherwise: single pixels of edges and letters change, each by itself, and tones shift by a step or two,
/// while a thing that moved, a lost label or another colour changes pixels in a heap: hence the limit for one tile.
/// Measured: the 256 colours of a baseline alone make mean 0.28 to 0.48 %, other pixels 0.02 to 0.10 %, worst tile 1 to
/// 8 %; Mesa's other software driver, another rasteriser, adds up to 0.02 %, 0.01 % and 0.3 %, and far more only where
/// two surfaces lie in the same place, which is a fault of the drawing. The least fault that must be seen, the suspect
/// ring in another colour, makes 0.30 %, 0.58 % and 36 %; two drillings that moved by a centimetre 0.48 %, 0.34 % and
/// 47 %.
constexpr Difference limit{0.007, 0.003, 0.15};

} // namespace

Difference compare(const Image& a, const Image& b) {
    if (a.width != b.width || a.height != b.height || a.rgba.empty()) return {};
    const int across = (a.width + tile_side - 1) / tile_side, down = (a.height + tile_side - 1) / tile_side;
    std::vector<int> tiles(static_cast<std::size_t>(across) * static_cast<std::size_t>(down));
    double sum = 0;
    int others = 0;
    for (int y = 0; y < a.height; ++y) {
        for (int x = 0; x < a.width; ++x) {
            const std::size_t i = index(a, x, y);
            int most = 0;
            for (std::size_t c = 0; c < 3; ++c) {
                const int off = std::abs(int(a.rgba[i + c]) - int(b.rgba[i + c]));
                sum += off;
                most = std::max(most, off);
            }
            if (most <= another_pixel) continue;
            ++others;
            ++tiles[static_cast<std::size_t>(y / tile_side) * static_cast<std::size_t>(across) +
                    static_cast<std::size_t>(x / tile_side)];
        }
    }
    const double pixels = static_cast<double>(a.width) * a.height;
    return {sum / (pixels * 3 * 255), others / pixels,
            double(*std::max_element(tiles.begin(), tiles.end())) / (tile_side * tile_side)};
}

bool alike(const Difference& difference) {
    return difference.mean <= limit.mean && difference.share <= limit.share &&
           difference.worst_tile <= limit.worst_tile;
}

std::string to_string(const Difference& d) {
    return fmt::format(
        "mean {:.4f} % (at most {:.2f}), other pixels {:.4f} % (at most {:.2f}), worst tile {:.2f} % (at "
        "most {:.0f})",
        d.mean * 100, limit.mean * 100, d.share * 100, limit.share * 100, d.worst_tile * 100, limit.worst_tile * 100);
}

Image side_by_side(const Image& expected, const Image& got) {
    constexpr int gap = 8, amplify = 4;
    Image all;
    const int width = std::max(expected.width, got.width);
    all.width = 3 * width + 2 * gap;
    all.height = std::max(expected.height, got.height);
    all.rgba.assign(static_cast<std::size_t>(all.width) * static_cast<std::size_t>(all.height) * 4, 128);
    const auto put = [&](const Image& from, int left) {
        for (int y = 0; y < from.height; ++y) {
            const auto row = from.rgba.begin() + static_cast<std::ptrdiff_t>(index(from, 0, y));
            std::copy(row, row + static_cast<std::ptrdiff_t>(from.width) * 4,
                      all.rgba.begin() + static_cast<std::ptrdiff_t>(index(all, left, y)));
        }
    };
    put(expected, 0);
    put(got, width + gap);
    for (int y = 0; y < std::min(expected.height, got.height); ++y) {
        for (int x = 0; x < std::min(expected.width, got.width); ++x) {
            int most = 0;
            for (std::size_t c = 0; c < 3; ++c) {
                most = std::max(most, std::abs(int(expected.rgba[index(expected, x, y) + c]) -
                                               int(got.rgba[index(got, x, y) + c])));
            }
            const auto tone = static_cast<std::uint8_t>(255 - std::min(255, amplify * most));
            std::fill_n(all.rgba.begin() + static_cast<std::ptrdiff_t>(index(all, 2 * (width + gap) + x, y)), 3, tone);
        }
    }
    for (std::size_t i = 3; i < all.rgba.size(); i += 4)
        all.rgba[i] = 255;
    return all;
}

} // namespace ringland::tests
