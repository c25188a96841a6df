#include "hidden_shapes.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <glm/geometric.hpp>
#include <glm/vec4.hpp>

namespace ringland::viewer {

namespace {

/// Far enough that rounding of a depth does not decide, and no slope of a surface within a pixel does.
constexpr float depth_slack = 2e-5f;
constexpr int most_blocks = 4; // to look at along one side of a box

std::array<glm::vec4, 8> corners_of(const Edges::Box& box, const glm::mat4& clip_from_unit) {
    std::array<glm::vec4, 8> corners;
    for (std::size_t i = 0; i < corners.size(); ++i) {
        corners[i] =
            clip_from_unit * glm::vec4((i & 1) != 0 ? box.high.x : box.low.x, (i & 2) != 0 ? box.high.y : box.low.y,
                                       (i & 4) != 0 ? box.high.z : box.low.z, 1);
    }
    return corners;
}

} // namespace

void HiddenShapes::saw(const DepthPicture& picture, const Sight& sight, const std::vector<Pose>& poses) {
    seen_ = sight;
    poses_ = poses;
    levels_.resize(1);
    levels_[0].width = picture.width;
    levels_[0].height = picture.height;
    levels_[0].farthest = picture.depth;
    while (levels_.back().width > 1 || levels_.back().height > 1) {
        const Level& fine = levels_.back();
        Level coarse{(fine.width + 1) / 2, (fine.height + 1) / 2, {}};
        coarse.farthest.resize(static_cast<std::size_t>(coarse.width) * static_cast<std::size_t>(coarse.height));
        for (int y = 0; y < coarse.height; ++y) {
            const float* low = fine.farthest.data() + static_cast<std::ptrdiff_t>(2 * y) * fine.width;
            const float* high = 2 * y + 1 < fine.height ? low + fine.width : low;
            float* out = coarse.farthest.data() + static_cast<std::ptrdiff_t>(y) * coarse.width;
            for (int x = 0; x < coarse.width; ++x) {
                const int left = 2 * x, right = std::min(2 * x + 1, fine.width - 1);
                out[x] = std::max(std::max(low[left], low[right]), std::max(high[left], high[right]));
            }
        }
        levels_.push_back(std::move(coarse));
    }
}

float HiddenShapes::moved_pixels(const Sight& now, const Edges::Box& scene) const {
    const auto before = corners_of(scene, seen_.clip_from_unit), after = corners_of(scene, now.clip_from_unit);
    const glm::vec2 half(0.5f * static_cast<float>(levels_[0].width), 0.5f * static_cast<float>(levels_[0].height));
    float farthest = 0;
    for (std::size_t i = 0; i < before.size(); ++i) {
        if (before[i].w <= 0 || after[i].w <= 0) return std::numeric_limits<float>::max();
        farthest = std::max(farthest, glm::distance(half * glm::vec2(before[i]) / before[i].w,
                                                    half * glm::vec2(after[i]) / after[i].w));
    }
    return farthest;
}

bool HiddenShapes::behind(const Edges::Box& box, float around) const {
    const auto corners = corners_of(box, seen_.clip_from_unit);
    const auto width = static_cast<float>(levels_[0].width), height = static_cast<float>(levels_[0].height);
    glm::vec2 low(std::numeric_limits<float>::max()), high(std::numeric_limits<float>::lowest());
    float nearest = std::numeric_limits<float>::max();
    for (const auto& c : corners) {
        if (c.w <= 0 || c.z < -c.w) return false;
        const glm::vec2 at((0.5f + 0.5f * c.x / c.w) * width, (0.5f + 0.5f * c.y / c.w) * height);
        low = glm::min(low, at);
        high = glm::max(high, at);
        nearest = std::min(nearest, 0.5f + 0.5f * c.z / c.w);
    }
    low -= around;
    high += around;
    // What lies outside of the picture was not seen, so nothing is known of it.
    if (low.x < 0 || low.y < 0 || high.x >= width || high.y >= height) return false;
    std::size_t level = 0;
    int x0 = static_cast<int>(low.x), x1 = static_cast<int>(high.x), y0 = static_cast<int>(low.y),
        y1 = static_cast<int>(high.y);
    while (std::max(x1 - x0, y1 - y0) >= most_blocks && level + 1 < levels_.size()) {
        ++level;
        x0 /= 2, x1 /= 2, y0 /= 2, y1 /= 2;
    }
    const Level& blocks = levels_[level];
    for (int y = y0; y <= y1; ++y) {
        for (int x = x0; x <= x1; ++x) {
            if (nearest <= blocks.farthest[static_cast<std::size_t>(y) * static_cast<std::size_t>(blocks.width) +
                                           static_cast<std::size_t>(x)] +
                               depth_slack)
                return false;
        }
    }
    return true;
}

const std::vector<Pose>& HiddenShapes::without_hidden(const Sight& now, const std::vector<Pose>& poses,
                                                      const std::vector<Edges::Box>& boxes, const Edges::Box& scene) {
    left_out_ = 0;
    if (levels_.empty() || now.side != seen_.side || poses != poses_) return poses;
    const float moved = moved_pixels(now, scene);
    if (!(moved <= far_share * static_cast<float>(levels_[0].width))) return poses;
    result_ = poses;
    // Two points part by twice what each moves; a pixel more, since a pixel is seen at its middle.
    const float around = 2 * moved + 1.5f;
    for (std::size_t s = 0; s < result_.size(); ++s) {
        if (result_[s].hidden || boxes[s].empty() || !behind(boxes[s], around)) continue;
        result_[s].hidden = true;
        ++left_out_;
    }
    return result_;
}

} // namespace ringland::viewer
