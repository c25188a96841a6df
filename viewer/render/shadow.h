// The soft shadow of the unit on the bench: seen from straight above once, then spread.
#pragma once

#include "frame_block.h"
#include "geometry_store.h"

namespace ringland::viewer {

class Shadow {
public:
    Shadow() : empty_(gl::make_vertex_array()) {}

    struct Scene {
        glm::dmat4 world_from_unit{1};
        glm::dvec3 low{0}, high{0}; ///< of the unit, world space
        double ground = 0;          ///< height of the bench
        double side = 0;
        friend bool operator==(const Scene& a, const Scene& b) {
            return a.world_from_unit == b.world_from_unit && a.low == b.low && a.high == b.high &&
                   a.ground == b.ground && a.side == b.side;
        }
    };
    /// Draws it anew unless nothing changed since the last time. `geometry_is_new` says that the shapes did.
    void update(const GeometryStore& geometry, const Scene& scene, bool geometry_is_new);

    [[nodiscard]] const gl::Texture& texture() const { return spread_[1]; }
    [[nodiscard]] glm::vec4 map() const { return map_; }

private:
    gl::Program height_, blur_;
    gl::Framebuffer targets_[2];
    gl::Texture spread_[2];
    gl::VertexArray empty_;
    FrameBuffer block_buffer_;
    Scene scene_;
    glm::vec4 map_{0};
};

} // namespace ringland::viewer
