// Half-size passes before the drawing: what is where (for picking), and how much of the sky each place sees.
#pragma once

#include <array>

#include "frame_block.h"
#include "geometry_store.h"

namespace ringland::viewer {

class Prepass {
public:
    Prepass();

    /// What the pass needs to know of the frame.
    struct Scene {
        PixelWindow window;          ///< of the frame itself
        glm::dmat4 whole_projection; ///< of the whole picture
        glm::dmat4 view_from_unit;
        double side = 0;
        glm::vec3 eye{0};
        double mm_per_pixel = 1; ///< at the middle of interest
        double pixels_per_point = 1;
    };
    /// Draws ids, normals and depth.
    void draw(const GeometryStore& geometry, const Scene& scene);
    /// The same in steps of about equal length; every step sets up what it needs.
    enum class Step { begin_and_whole, cut, caps, glass };
    void draw_step(const GeometryStore& geometry, const Scene& scene, Step step, const Share& share = {});
    /// Finds the occlusion from what was drawn last.
    void occlude();

    [[nodiscard]] const gl::Texture& occlusion() const { return smooth_; }
    [[nodiscard]] const gl::Texture& depth() const { return depth_; }
    /// From pixels of the frame to coordinates of the textures: pixel * xy + zw.
    [[nodiscard]] glm::vec4 map() const { return map_; }

    /// 1 + index of the shape at a pixel of the frame (from the bottom left), or 0. `rank` says how welcome a shape is;
    /// the most welcome within a few pixels wins, the nearest of equals.
    template <class Rank> [[nodiscard]] int pick(double x, double y, Rank&& rank) const;

private:
    void begin(const Scene& scene);
    [[nodiscard]] int id_block(double x, double y, std::array<int, 25>& ids) const;

    gl::Program front_, front_cut_, cap_, occlusion_program_, smooth_program_;
    gl::Framebuffer solid_target_, smooth_target_;
    gl::Texture ids_, depth_, smooth_;
    gl::VertexArray empty_;
    FrameBuffer block_buffer_;
    FrameBlock block_;
    Scene scene_;
    glm::dmat4 projection_{1};
    glm::vec4 map_{0};
    int width_ = 0, height_ = 0;
};

template <class Rank> int Prepass::pick(double x, double y, Rank&& rank) const {
    std::array<int, 25> ids{};
    if (id_block(x, y, ids) == 0) return 0;
    int best = 0, best_rank = -1, best_distance = 0;
    for (int i = 0; i < 25; ++i) {
        const int id = ids[static_cast<std::size_t>(i)];
        if (id == 0) continue;
        const int dx = i % 5 - 2, dy = i / 5 - 2, distance = dx * dx + dy * dy;
        if (distance > 5) continue;
        const int here = distance <= 2 ? rank(id) : rank(id) - 1;
        if (here > best_rank || (here == best_rank && distance < best_distance)) {
            best = id;
            best_rank = here;
            best_distance = distance;
        }
    }
    return best;
}

} // namespace ringland::viewer
