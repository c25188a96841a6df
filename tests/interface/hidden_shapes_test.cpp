// Shapes left out of a moving frame: whatever is left out is not seen, by rays cast into the next frame.
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <random>
#include <vector>

#include <doctest/doctest.h>
#include <glm/gtc/matrix_transform.hpp>

#include "../../viewer/render/hidden_shapes.h"

using namespace ringland::viewer;

namespace {

using Box = Edges::Box;

struct Eye {
    glm::vec3 at;
    Sight sight;
};

Eye looks_from(float azimuth, float elevation, float distance, int width, int height) {
    const float a = glm::radians(azimuth), e = glm::radians(elevation);
    Eye eye;
    eye.at = distance * glm::vec3(std::cos(e) * std::cos(a), std::cos(e) * std::sin(a), std::sin(e));
    eye.sight.eye = eye.at;
    eye.sight.clip_from_unit =
        glm::perspective(glm::radians(30.0f), static_cast<float>(width) / static_cast<float>(height), 10.0f, 3000.0f) *
        glm::lookAt(eye.at, glm::vec3(0), glm::vec3(0, 0, 1));
    return eye;
}

/// Where a ray meets the nearest box: its number, or -1, and the window depth there.
struct Hit {
    int box = -1;
    float depth = 1;
};
Hit cast(const Eye& eye, const std::vector<Box>& boxes, float x, float y, int width, int height) {
    const glm::mat4 back = glm::inverse(eye.sight.clip_from_unit);
    const glm::vec4 far4 =
        back * glm::vec4(2 * x / static_cast<float>(width) - 1, 2 * y / static_cast<float>(height) - 1, 1, 1);
    const glm::vec3 way = glm::vec3(far4) / far4.w - eye.at;
    Hit hit;
    float nearest = std::numeric_limits<float>::max();
    for (std::size_t b = 0; b < boxes.size(); ++b) {
        float in = 0, out = 1;
        for (int k = 0; k < 3; ++k) {
            const float t0 = (boxes[b].low[k] - eye.at[k]) / way[k], t1 = (boxes[b].high[k] - eye.at[k]) / way[k];
            in = std::max(in, std::min(t0, t1));
            out = std::min(out, std::max(t0, t1));
        }
        if (in <= out && in < nearest) {
            nearest = in;
            hit.box = static_cast<int>(b);
        }
    }
    if (hit.box >= 0) {
        const glm::vec4 c = eye.sight.clip_from_unit * glm::vec4(eye.at + nearest * way, 1);
        hit.depth = 0.5f + 0.5f * c.z / c.w;
    }
    return hit;
}

DepthPicture picture_of(const Eye& eye, const std::vector<Box>& boxes, int width, int height) {
    DepthPicture picture{width, height, {}};
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x)
            picture.depth.push_back(
                cast(eye, boxes, static_cast<float>(x) + 0.5f, static_cast<float>(y) + 0.5f, width, height).depth);
    }
    return picture;
}

float between(std::mt19937_64& random, float low, float high) {
    return low + (high - low) * static_cast<float>(static_cast<double>(random() >> 11) * 0x1.0p-53);
}

Box around(const std::vector<Box>& boxes) {
    Box all = boxes.front();
    for (const auto& box : boxes) {
        all.low = glm::min(all.low, box.low);
        all.high = glm::max(all.high, box.high);
    }
    return all;
}

} // namespace

TEST_CASE("hidden shapes: nothing that a ray of the next frame meets was left out, and much is left out") {
    std::mt19937_64 random(7);
    constexpr int width = 96, height = 54;
    std::size_t left_out = 0, asked = 0;
    for (int scene = 0; scene < 14; ++scene) {
        // Small things behind and between a few large plates.
        std::vector<Box> boxes;
        for (int i = 0; i < 40; ++i) {
            const bool plate = i < 4;
            const glm::vec3 at(between(random, -120, 120), between(random, -120, 120), between(random, -80, 80));
            const glm::vec3 half = plate ? glm::vec3(between(random, 40, 140), between(random, 40, 140), 60)
                                         : glm::vec3(between(random, 3, 14));
            boxes.push_back({at - half, at + half});
        }
        const std::vector<Pose> poses(boxes.size());
        float azimuth = between(random, 0, 360), elevation = between(random, 5, 60);
        const float distance = 700;
        HiddenShapes hidden;
        for (int frame = 0; frame < 6; ++frame) {
            const Eye before = looks_from(azimuth, elevation, distance, width, height);
            hidden.saw(picture_of(before, boxes, width, height), before.sight, poses);
            azimuth += between(random, -1.5f, 1.5f);
            elevation += between(random, -1, 1);
            const Eye now = looks_from(azimuth, elevation, distance, width, height);
            const auto& result = hidden.without_hidden(now.sight, poses, boxes, around(boxes));
            left_out += hidden.left_out();
            asked += boxes.size();
            for (int y = 0; y < 3 * height; ++y) {
                for (int x = 0; x < 3 * width; ++x) {
                    const Hit hit = cast(now, boxes, (static_cast<float>(x) + 0.5f) / 3,
                                         (static_cast<float>(y) + 0.5f) / 3, width, height);
                    if (hit.box >= 0) REQUIRE_FALSE(result[static_cast<std::size_t>(hit.box)].hidden);
                }
            }
        }
    }
    CHECK(static_cast<double>(left_out) > 0.15 * static_cast<double>(asked));
}

TEST_CASE("hidden shapes: nothing is left out where more than the eye has changed") {
    constexpr int width = 96, height = 54;
    const std::vector<Box> boxes{{{-60, -60, -60}, {60, 60, 60}}, {{-5, -5, -5}, {5, 5, 5}}};
    const Eye eye = looks_from(30, 20, 700, width, height);
    const auto picture = picture_of(eye, boxes, width, height);
    std::vector<Pose> poses(2);
    HiddenShapes hidden;
    CHECK_FALSE(hidden.without_hidden(eye.sight, poses, boxes, boxes[0])[1].hidden); // nothing was seen yet
    hidden.saw(picture, eye.sight, poses);
    CHECK(hidden.without_hidden(eye.sight, poses, boxes, boxes[0])[1].hidden);
    CHECK(hidden.left_out() == 1);
    const Eye far = looks_from(75, 20, 700, width, height);
    CHECK_FALSE(hidden.without_hidden(far.sight, poses, boxes, boxes[0])[1].hidden);
    Sight cut = eye.sight;
    cut.side = 1;
    CHECK_FALSE(hidden.without_hidden(cut, poses, boxes, boxes[0])[1].hidden);
    poses[0].glass = true;
    CHECK_FALSE(hidden.without_hidden(eye.sight, poses, boxes, boxes[0])[1].hidden);
    hidden.forget();
    CHECK(hidden.left_out() == 0);
}
