// The scene while it moves, where the processor does the drawing: the solids in fewer pixels, painted without OpenGL
// and shaded once a pixel; the lines over them in full sharpness, and only those that are seen.
#pragma once

#include <array>
#include <future>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "face_painter.h"
#include "front_faces.h"
#include "inked_picture.h"
#include "scene_frame.h"
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
    static constexpr double slow_ms = 27, spare_ms = 16;

private:
    std::size_t step_ = 1;
    double pixels_ = 0, usual_ms_ = 0;
    int frames_ = 0; ///< since the last change
};

class QuickScene {
public:
    /// Where a picture stands that nobody will ask for again.
    struct Place {
        GLuint framebuffer = 0;
        int left = 0, bottom = 0;
    };
    /// Draws it whole. The shadow is up to date; `shapes` are those of the geometry. Given a place, it is drawn there
    /// and not kept, which takes less memory.
    void draw(GeometryStore& geometry, const std::vector<model::Shape>& shapes, const std::vector<ShapeStyle>& styles,
              const Shadow& shadow, const SceneFrame& frame, const std::optional<Place>& place);
    /// For new shapes.
    void forget() {
        levels_ = {};
        coming_.reset();
        taken_ = drawn_ = false;
    }
    /// What draw() would have to make of new shapes itself.
    void take(std::vector<SolidVertex> vertices, FrontFaces finest) {
        painter_.take(std::move(vertices));
        levels_[0] = std::move(finest);
        ++levels_made_;
        taken_ = true;
    }
    /// How often a level of detail was made.
    [[nodiscard]] unsigned long levels_made() const { return levels_made_; }
    /// That of the last picture that was kept.
    [[nodiscard]] GLuint framebuffer() const { return full_.name(); }
    [[nodiscard]] const gl::Texture& depth() const { return has_glass_ ? glass_.depth : solids_.depth; }
    /// From pixels of the drawing to coordinates of the depth: pixel * xy + zw.
    [[nodiscard]] glm::vec4 depth_map() const;

private:
    /// The solids, coarser and coarser.
    static constexpr std::array<double, 3> tolerances_mm{0, 0.25, 0.5};
    const FrontFaces& level(const std::vector<model::Shape>& shapes, double mm_per_pixel);
    void begin_level(const std::vector<model::Shape>& shapes, std::size_t level);
    void fit(int width, int height);
    void need_textures();
    /// What the painter found, as textures.
    struct Layer {
        gl::Texture faces, depth;
        void fit(int width, int height);
        void send(const std::vector<FacePixel>& pixels, const DepthPicture& picture) const;
    };
    /// Where the painter left something to shade: quads of the tiles.
    struct Quads {
        std::size_t first = 0, count = 0;
    };
    void send_tiles();
    void shade(const Quads& quads) const;
    void draw_solids(const SceneFrame& frame) const;
    void draw_glass(const SceneFrame& frame) const;
    void draw_asked(const GeometryStore& geometry);
    void put_together(const VisibleLines::ThroughGlass& found, const std::optional<Place>& place);
    void need_programs();

    gl::Program ground_, solid_program_, glass_program_, part_;
    gl::Framebuffer low_, low_with_depth_, full_;
    gl::Texture low_colour_, full_colour_, clearness_;
    Layer solids_, glass_;
    int width_ = 0, height_ = 0, low_width_ = 0, low_height_ = 0, full_rows_ = 0;
    gl::VertexArray tile_array_;
    gl::Buffer tile_corners_, tile_indices_;
    std::size_t tile_indices_made_ = 0;
    Quads ground_quads_, solid_quads_, glass_quads_;
    FrameBuffer block_buffer_;
    std::array<std::optional<FrontFaces>, tolerances_mm.size()> levels_;
    struct Coming {
        std::size_t level = 0;
        std::future<FrontFaces> faces;
    };
    unsigned long levels_made_ = 0;
    std::optional<Coming> coming_; ///< a level in the making, on a thread of its own
    FaceLists lists_;
    bool has_glass_ = false; ///< in the last frame
    FacePainter painter_;
    bool taken_ = false; ///< the painter has the shapes
    bool drawn_ = false; ///< they are in a picture that was kept
    VisibleLines lines_;
    BytePicture low_picture_, stripe_;
    InkedPicture inked_;
    Sharpness sharpness_;
};

} // namespace ringland::viewer
