#include "inked_picture.h"

#include <algorithm>
#include <cmath>
#include <cstring>

#include "all_threads.h"

namespace ringland::viewer {

namespace {

constexpr int ink_band_rows = 24;

/// The four bytes of a pixel, each in sixteen bits: sums of two weighted pixels stay apart.
constexpr std::uint64_t each_low = 0x00FF00FF00FF00FFull, each_half = 0x0080008000800080ull;

std::uint64_t mixed(std::uint64_t a, std::uint64_t b, std::uint64_t share) {
    return ((a * (256 - share) + b * share + each_half) >> 8) & each_low;
}

/// The first of the four stays first in memory, whichever end of a number comes first there.
std::uint32_t narrow(std::uint64_t wide) {
    wide = (wide | wide >> 8) & 0x0000FFFF0000FFFFull;
    return static_cast<std::uint32_t>(wide | wide >> 16);
}

} // namespace

void InkedPicture::lay_out(std::vector<Mix>& mixes, int from, int to) {
    mixes.resize(static_cast<std::size_t>(to));
    for (int i = 0; i < to; ++i) {
        const double at = std::max((i + 0.5) * from / to - 0.5, 0.0);
        const int first = std::min(static_cast<int>(at), from - 1);
        mixes[static_cast<std::size_t>(i)] = {first, std::min(first + 1, from - 1),
                                              static_cast<std::uint32_t>(std::lround((at - first) * 256))};
    }
}

void InkedPicture::enlarge(BytePicture& picture, const BytePicture& small, int first_row, int end_row) const {
    // Down first: there are fewer columns yet. In blocks, which compilers turn into instructions for many bytes.
    constexpr std::size_t block = 16;
    const std::size_t bytes = static_cast<std::size_t>(small.width) * 4;
    std::vector<std::uint16_t> row(bytes);
    const auto start = [](const BytePicture& of, int y) {
        return static_cast<std::size_t>(y) * static_cast<std::size_t>(of.width) * 4;
    };
    for (int y = first_row; y < end_row; ++y) {
        const Mix& down = rows_[static_cast<std::size_t>(y)];
        const std::uint8_t *low = &small.rgba[start(small, down.first)], *high = &small.rgba[start(small, down.second)];
        const auto of_low = static_cast<std::uint16_t>(256 - down.share),
                   of_high = static_cast<std::uint16_t>(down.share);
        const auto mix = [&](std::size_t i) {
            row[i] =
                static_cast<std::uint16_t>(static_cast<std::uint16_t>(low[i] * of_low + high[i] * of_high + 128) >> 8);
        };
        std::size_t i = 0;
        for (; i + block <= bytes; i += block) {
            for (std::size_t k = 0; k < block; ++k)
                mix(i + k);
        }
        for (; i < bytes; ++i)
            mix(i);
        std::uint8_t* out = &picture.rgba[start(picture, y)];
        for (const Mix& across : columns_) {
            std::uint64_t first = 0, second = 0;
            std::memcpy(&first, &row[4 * static_cast<std::size_t>(across.first)], sizeof first);
            std::memcpy(&second, &row[4 * static_cast<std::size_t>(across.second)], sizeof second);
            const std::uint32_t pixel = narrow(mixed(first, second, across.share));
            std::memcpy(out, &pixel, sizeof pixel);
            out += 4;
        }
    }
}

void InkedPicture::draw(BytePicture& picture, const SeenLine& line, bool behind_glass, int first_row, int end_row) {
    const glm::vec2 span = line.to - line.from;
    const float length = std::sqrt(span.x * span.x + span.y * span.y);
    const glm::vec2 way = length > 1e-4f ? span / length : glm::vec2(1, 0);
    const float reach = line.half_width + 0.5f;
    const float tall = std::abs(way.x) * reach;
    const int first = std::max(first_row, static_cast<int>(std::floor(std::min(line.from.y, line.to.y) - tall))),
              end = std::min(end_row, static_cast<int>(std::ceil(std::max(line.from.y, line.to.y) + tall)) + 1);
    // Along the line and across it, from its beginning, of a pixel's middle: both grow evenly along a row.
    const auto bound = [](float& low, float& high, float at_0, float by_x, float least, float most) {
        if (std::abs(by_x) < 1e-5f) {
            if (at_0 < least || at_0 > most) high = -1;
            return;
        }
        const float a = (least - at_0) / by_x, b = (most - at_0) / by_x;
        low = std::max(low, std::min(a, b));
        high = std::min(high, std::max(a, b));
    };
    const float opacity = static_cast<float>(line.ink[3]) * (256.0f / 255.0f);
    for (int y = first; y < end; ++y) {
        const float dx = 0.5f - line.from.x, dy = static_cast<float>(y) + 0.5f - line.from.y;
        const float along = dx * way.x + dy * way.y, across = dy * way.x - dx * way.y;
        float low = 0, high = static_cast<float>(picture.width - 1);
        bound(low, high, along, way.x, 0, length);
        bound(low, high, across, -way.y, -reach, reach);
        if (!(low <= high)) continue;
        std::uint8_t* pixel =
            &picture.rgba[(static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.width)) * 4];
        const int last = static_cast<int>(high);
        for (int x = static_cast<int>(std::ceil(low)); x <= last; ++x) {
            std::uint8_t* at = pixel + static_cast<std::ptrdiff_t>(x) * 4;
            const float off = std::abs(across - static_cast<float>(x) * way.y);
            float share = opacity * std::clamp(reach - off, 0.0f, 1.0f);
            if (behind_glass) share *= static_cast<float>(at[3]) * (1.0f / 255.0f);
            const int weight = static_cast<int>(share + 0.5f);
            for (int k = 0; k < 3; ++k) {
                const int ground = at[k];
                at[k] = static_cast<std::uint8_t>(
                    ground + (((line.ink[static_cast<std::size_t>(k)] - ground) * weight + 128) >> 8));
            }
        }
    }
}

void InkedPicture::compose(BytePicture& picture, const BytePicture& small, const std::vector<SeenLine>& lines,
                           std::size_t nearest_from) {
    lay_out(columns_, small.width, picture.width);
    lay_out(rows_, small.height, picture.height);
    bands_.resize(static_cast<std::size_t>((picture.height + ink_band_rows - 1) / ink_band_rows));
    for (auto& band : bands_)
        band.clear();
    const auto last_band = static_cast<int>(bands_.size()) - 1;
    const auto band_at = [&](float y) { return std::clamp(static_cast<int>(y / ink_band_rows), 0, last_band); };
    for (std::size_t i = 0; i < lines.size(); ++i) {
        const auto& line = lines[i];
        const float reach = line.half_width + 2;
        const int end = band_at(std::max(line.from.y, line.to.y) + reach);
        for (int band = band_at(std::min(line.from.y, line.to.y) - reach); band <= end; ++band)
            bands_[static_cast<std::size_t>(band)].push_back(static_cast<std::uint32_t>(i));
    }
    on_all_threads(bands_.size(), [&](std::size_t band) {
        const int first = static_cast<int>(band) * ink_band_rows, end = std::min(first + ink_band_rows, picture.height);
        enlarge(picture, small, first, end);
        for (const auto i : bands_[band])
            draw(picture, lines[i], i < nearest_from, first, end);
        const auto row_bytes = static_cast<std::size_t>(picture.width) * 4;
        for (std::size_t at = static_cast<std::size_t>(first) * row_bytes;
             at < static_cast<std::size_t>(end) * row_bytes; at += 4)
            picture.rgba[at + 3] = 255;
    });
}

} // namespace ringland::viewer
