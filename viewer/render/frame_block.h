// The uniform block `Frame` of frame.glsl, and the windows of a picture that passes draw.
#pragma once

#include <cmath>

#include <glm/mat4x4.hpp>
#include <glm/vec4.hpp>

#include "gl_objects.h"

namespace ringland::viewer {

/// std140 image of the block; the order is that of frame.glsl.
struct FrameBlock {
    glm::mat4 clip_from_unit{1};
    glm::mat4 view_from_unit{1};
    glm::vec4 eye{0}, up{0}, key{0}, section{0}, screen{1}, place{0, 0, 1, 1}, pixel{0}, occlusion_map{0};
    glm::vec4 ground_top{0}, ground_bottom{0};
    glm::mat4 world_from_clip{1};
    glm::vec4 world_eye{0}, shadow_map{0};
};
static_assert(sizeof(FrameBlock) == 3 * 64 + 12 * 16);

/// Part of a whole picture in its pixels, counted from the bottom left.
struct PixelWindow {
    double x = 0, y = 0, width = 1, height = 1;
    double whole_width = 1, whole_height = 1;

    /// Brings the part of normalised device space that the window shows to the whole of it.
    [[nodiscard]] glm::dmat4 from_whole() const {
        const double sx = whole_width / width, sy = whole_height / height;
        const double middle_x = 2 * (x + width / 2) / whole_width - 1,
                     middle_y = 2 * (y + height / 2) / whole_height - 1;
        glm::dmat4 m(1);
        m[0][0] = sx;
        m[1][1] = sy;
        m[3][0] = -middle_x * sx;
        m[3][1] = -middle_y * sy;
        return m;
    }
};

/// A block on the graphics side.
class FrameBuffer {
public:
    FrameBuffer() : buffer_(gl::make_buffer()) {}
    void set(const FrameBlock& block) const {
        glBindBuffer(GL_UNIFORM_BUFFER, buffer_.name());
        glBufferData(GL_UNIFORM_BUFFER, sizeof block, &block, GL_STREAM_DRAW);
        glBindBufferBase(GL_UNIFORM_BUFFER, 0, buffer_.name());
    }

private:
    gl::Buffer buffer_;
};

} // namespace ringland::viewer
