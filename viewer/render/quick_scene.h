// The scene while it moves, where the processor does the drawing: the solids in fewer pixels and in one pass over the
// triangles that face the eye, the lines over them in full sharpness, and only those that are seen.
#pragma once

#include <array>
#include <future>
#include <optional>
#include <string>
#include <vector>

#include "front_faces.h"
#include "hidden_shapes.h"
#include "scene_frame.h"
#include "targets.h"
#include "visible_lines.h"

namespace ringland::viewer {

/// How many pixels a moving frame spends on its solids: as many as the time allows, changed in few steps and seldom, so
/// that the change does not show. No OpenGL.
class Sharpness {
public:
    /// Share of the width and the height in which the solids are drawn.
    [[nodiscard]] double share() const { return shares[step_]; }
    /// A frame of so many pixels is going to be drawn; the first one only has their number to go by.
    void expect(double pixels);
    /// What the last frame took.
    void took(double ms);

    static constexpr std::array<double, 5> shares{0.4, 0.5, 0.62, 0.78, 1};
    /// Above the first a frame is too slow, and below the second there is time for the next step.
    static constexpr double slow_ms = 27, spare_ms = 13;

private:
    std::size_t step_ = 1;
    double pixels_ = 0, usual_ms_ = 0;
    int frames_ = 0; ///< since the last change
};

class QuickScene {
public:
    QuickScene() : empty_(gl::make_vertex_array()) {}

    /// Draws it whole. The shadow is up to date; `shapes` are those of the geometry.
    void draw(GeometryStore& geometry, const std::vector<model::Shape>& shapes, const std::vector<ShapeStyle>& styles,
              const Shadow& shadow, const SceneFrame& frame);
    /// For new shapes.
    void forget() {
        levels_ = {};
        hidden_.forget();
        coming_.reset();
        solid_array_ = gl::VertexArray();
    }
    /// Shapes that the last frame left out, since others hid them.
    [[nodiscard]] std::size_t left_out() const { return hidden_.left_out(); }
    [[nodiscard]] GLuint framebuffer() const { return full_.name(); }
    [[nodiscard]] const gl::Texture& depth() const { return low_.depth; }
    /// From pixels of the drawing to coordinates of the depth: pixel * xy + zw.
    [[nodiscard]] glm::vec4 depth_map() const;

private:
    /// The solids, coarser and coarser.
    static constexpr std::array<double, 3> tolerances_mm{0, 0.25, 0.5};
    void take(const GeometryStore& geometry);
    const FrontFaces& level(const std::vector<model::Shape>& shapes, double mm_per_pixel);
    void begin_level(const std::vector<model::Shape>& shapes, std::size_t level);
    void fit(int width, int height);
    void draw_solids(const SceneFrame& frame) const;
    void draw_glass();
    void read_depths(DepthPicture& into) const;
    void draw_hidden(const GeometryStore& geometry) const;
    void draw_ground() const;
    void draw_lines(GeometryStore& geometry, bool through_glass);
    void need_programs(bool section);
    void send(const FaceLists::Range& range) const;

    gl::Program ground_, part_, glass_, depth_, part_cut_, cap_, cap_cut_, plane_, spread_, line_;
    Targets low_;
    gl::Framebuffer full_;
    gl::Texture full_colour_;
    int width_ = 0, height_ = 0, low_width_ = 0, low_height_ = 0;
    gl::VertexArray empty_, solid_array_, line_array_;
    gl::Buffer indices_, line_buffer_, line_indices_;
    std::size_t line_indices_made_ = 0;
    FrameBuffer block_buffer_;
    std::array<std::optional<FrontFaces>, tolerances_mm.size()> levels_;
    struct Coming {
        std::size_t level = 0;
        std::future<FrontFaces> faces;
    };
    std::optional<Coming> coming_; ///< a level in the making, on a thread of its own
    FaceLists lists_;
    DepthPicture depths_, depths_with_glass_;
    VisibleLines lines_;
    HiddenShapes hidden_;
    Sharpness sharpness_;
    glm::vec4 plane_extent_{0};
};

} // namespace ringland::viewer
