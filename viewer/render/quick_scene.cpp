#include "quick_scene.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <utility>

#include "shader_texts.h"

namespace ringland::viewer {

namespace {

double steady_ms() {
    return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// A surface that is off by so much of a pixel of the frame looks the same in a moving picture.
constexpr double told_pixels = 0.7;

} // namespace

void Sharpness::expect(double pixels) {
    if (pixels == pixels_) return;
    pixels_ = pixels;
    usual_ms_ = 0;
    frames_ = 0;
    // A megapixel in half its width and height is what a small processor draws in time.
    step_ = pixels > 5e5 ? 1 : (pixels > 2.5e5 ? 2 : 3);
}

void Sharpness::took(double ms) {
    ++frames_;
    if (frames_ <= 2) return; // new shaders and buffers say nothing of what follows
    // One long frame is somebody else's work.
    usual_ms_ = usual_ms_ == 0 ? ms : usual_ms_ + (std::min(ms, 1.5 * usual_ms_) - usual_ms_) * 0.15;
    if (usual_ms_ > slow_ms && frames_ >= 8 && step_ > 0) {
        --step_;
        usual_ms_ = frames_ = 0;
    } else if (usual_ms_ < spare_ms && frames_ >= 45 && step_ + 1 < shares.size()) {
        ++step_;
        usual_ms_ = frames_ = 0;
    }
}

glm::vec4 QuickScene::depth_map() const { return {1.0 / width_, 1.0 / height_, 0, 0}; }

void QuickScene::Layer::fit(int width, int height) {
    faces = gl::make_texture(GL_RGBA16I, width, height, GL_RGBA_INTEGER, GL_SHORT, GL_NEAREST);
    depth = gl::make_texture(GL_DEPTH_COMPONENT32F, width, height, GL_DEPTH_COMPONENT, GL_FLOAT, GL_NEAREST);
}

void QuickScene::Layer::send(const std::vector<FacePixel>& pixels, const DepthPicture& picture) const {
    gl::bind(gl::Unit::faces, faces);
    glTexSubImage2D(GL_TEXTURE_2D, 0, 0, 0, picture.width, picture.height, GL_RGBA_INTEGER, GL_SHORT, pixels.data());
    gl::bind(gl::Unit::scene_depth, depth);
    glTexSubImage2D(GL_TEXTURE_2D, 0, 0, 0, picture.width, picture.height, GL_DEPTH_COMPONENT, GL_FLOAT,
                    picture.depth.data());
}

void QuickScene::fit(int width, int height) {
    sharpness_.expect(static_cast<double>(width) * height);
    if (width != width_ || height != height_) full_rows_ = 0;
    width_ = width;
    height_ = height;
    const auto part = [this](int pixels) {
        return std::max(1, static_cast<int>(std::lround(pixels * sharpness_.share())));
    };
    if (part(width) == low_width_ && part(height) == low_height_) return;
    low_width_ = part(width);
    low_height_ = part(height);
    low_ = gl::Framebuffer();
    low_with_depth_ = gl::Framebuffer();
}

void QuickScene::need_textures() {
    if (low_) return;
    solids_.fit(low_width_, low_height_);
    glass_.fit(low_width_, low_height_);
    clearness_ = gl::make_texture(GL_R32F, low_width_, low_height_, GL_RED, GL_FLOAT, GL_NEAREST);
    low_colour_ = gl::make_texture(GL_RGBA8, low_width_, low_height_, GL_RGBA, GL_UNSIGNED_BYTE, GL_NEAREST);
    low_ = gl::make_framebuffer();
    glBindFramebuffer(GL_FRAMEBUFFER, low_.name());
    glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, low_colour_.name(), 0);
    gl::require_complete("the solids of the moving drawing");
}

/// A row of tiles that follow each other is one quad.
void QuickScene::send_tiles() {
    if (!tile_array_) {
        tile_array_ = gl::make_vertex_array();
        tile_corners_ = gl::make_buffer();
        tile_indices_ = gl::make_buffer();
        glBindVertexArray(tile_array_.name());
        glBindBuffer(GL_ARRAY_BUFFER, tile_corners_.name());
        glBindBuffer(GL_ELEMENT_ARRAY_BUFFER, tile_indices_.name());
        glEnableVertexAttribArray(0);
        glVertexAttribPointer(0, 2, GL_FLOAT, GL_FALSE, sizeof(glm::vec2), nullptr);
    }
    const auto& tiles = painter_.tiles();
    const auto columns = static_cast<std::size_t>(painter_.tile_columns());
    std::vector<glm::vec2> corners;
    const auto corner = [&](std::size_t column, std::size_t row) {
        corners.emplace_back(
            std::min(1.0f, static_cast<float>(column * FacePainter::tile_pixels) / static_cast<float>(low_width_)),
            std::min(1.0f, static_cast<float>(row * FacePainter::tile_pixels) / static_cast<float>(low_height_)));
    };
    const auto gather = [&](Quads& quads, bool FacePainter::Tile::*wanted) {
        quads.first = corners.size() / 4;
        for (std::size_t row = 0; row * columns < tiles.size(); ++row) {
            for (std::size_t from = 0; from < columns; ++from) {
                std::size_t end = from;
                while (end < columns && tiles[row * columns + end].*wanted)
                    ++end;
                if (end == from) continue;
                corner(from, row), corner(end, row), corner(from, row + 1), corner(end, row + 1);
                from = end;
            }
        }
        quads.count = corners.size() / 4 - quads.first;
    };
    gather(ground_quads_, &FacePainter::Tile::ground);
    gather(solid_quads_, &FacePainter::Tile::solid);
    gather(glass_quads_, &FacePainter::Tile::glass);
    glBindVertexArray(tile_array_.name());
    glBindBuffer(GL_ARRAY_BUFFER, tile_corners_.name());
    glBufferData(GL_ARRAY_BUFFER, static_cast<GLsizeiptr>(corners.size() * sizeof(glm::vec2)), corners.data(),
                 GL_STREAM_DRAW);
    if (corners.size() / 4 <= tile_indices_made_) return;
    tile_indices_made_ = corners.size() / 4 * 2;
    gl::fill_quad_indices(tile_indices_made_);
}

void QuickScene::shade(const Quads& quads) const {
    glBindVertexArray(tile_array_.name());
    gl::draw_triangles(6 * quads.first, 6 * quads.count, false);
}

void QuickScene::draw_solids(const SceneFrame& frame) const {
    solids_.send(painter_.solids(), painter_.depths());
    const auto unit_from_clip = glm::inverse(glm::dmat4(frame.sight.clip_from_unit));
    const double far_w = unit_from_clip[2].w + unit_from_clip[3].w;
    solid_program_.use();
    solid_program_.set("unit_from_clip", glm::mat4(unit_from_clip));
    solid_program_.set("right", glm::vec3(unit_from_clip[0]) * static_cast<float>(2 / (far_w * low_width_)));
    solid_program_.set("above", glm::vec3(unit_from_clip[1]) * static_cast<float>(2 / (far_w * low_height_)));
    shade(solid_quads_);
}

void QuickScene::draw_glass(const SceneFrame& frame) const {
    glass_.send(painter_.glass(), painter_.depths_with_glass());
    gl::bind(gl::Unit::source, clearness_);
    glTexSubImage2D(GL_TEXTURE_2D, 0, 0, 0, low_width_, low_height_, GL_RED, GL_FLOAT, painter_.clearness().data());
    glEnable(GL_BLEND);
    glBlendFuncSeparate(GL_ONE, GL_SRC_ALPHA, GL_ONE, GL_ZERO);
    glass_program_.use();
    glass_program_.set("unit_from_clip", glm::mat4(glm::inverse(glm::dmat4(frame.sight.clip_from_unit))));
    shade(glass_quads_);
    glDisable(GL_BLEND);
}

/// What stands behind something else and is asked about still shows, faintly.
void QuickScene::draw_asked(const GeometryStore& geometry) {
    const auto& shapes = geometry.asked_shapes();
    if (shapes.empty()) return;
    if (!part_) part_ = gl::Program("part", shader_text::part_vert, gl::with_light(shader_text::part_frag));
    if (!low_with_depth_) {
        low_with_depth_ = gl::make_framebuffer();
        glBindFramebuffer(GL_FRAMEBUFFER, low_with_depth_.name());
        glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, low_colour_.name(), 0);
        glFramebufferTexture2D(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, GL_TEXTURE_2D, solids_.depth.name(), 0);
        gl::require_complete("what shows through the moving drawing");
    }
    glBindFramebuffer(GL_FRAMEBUFFER, low_with_depth_.name());
    glEnable(GL_CULL_FACE);
    glCullFace(GL_BACK);
    glEnable(GL_BLEND);
    glBlendFuncSeparate(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA, GL_ZERO, GL_ONE);
    glEnable(GL_DEPTH_TEST);
    glDepthMask(GL_FALSE);
    glDepthFunc(GL_GREATER);
    part_.use();
    for (const auto& [shape, share] : shapes) {
        part_.set("see_through", share);
        geometry.draw_shape(shape);
    }
    glDisable(GL_BLEND);
    glDisable(GL_DEPTH_TEST);
    glDisable(GL_CULL_FACE);
    glBindFramebuffer(GL_FRAMEBUFFER, low_.name());
}

void QuickScene::need_programs() {
    if (!ground_) {
        ground_ = gl::Program("ground", shader_text::tiles_vert, shader_text::ground_frag);
        solid_program_ =
            gl::Program("seen solids", shader_text::tiles_vert, gl::with_light(shader_text::seen_solid_frag));
    }
    if (has_glass_ && !glass_program_) {
        glass_program_ =
            gl::Program("seen glass", shader_text::tiles_vert, gl::with_light(shader_text::seen_glass_frag));
    }
}

/// The coarsest one that cannot be told from the finest. It takes longer to make than a frame may: until it is there, a
/// finer one serves as well. A single picture needs none.
const FrontFaces& QuickScene::level(const std::vector<model::Shape>& shapes, double mm_per_pixel) {
    std::size_t wanted = 0;
    while (wanted + 1 < levels_.size() && tolerances_mm[wanted + 1] <= told_pixels * mm_per_pixel)
        ++wanted;
    if (coming_ && coming_->faces.wait_for(std::chrono::seconds(0)) == std::future_status::ready) {
        levels_[coming_->level] = coming_->faces.get();
        coming_.reset();
    }
    if (drawn_ && wanted > 0 && !levels_[wanted] && !coming_) begin_level(shapes, wanted);
    if (levels_[wanted] && wanted > 0) levels_[0].reset(); // the largest by far, and soon made
    std::size_t found = wanted;
    while (found > 0 && !levels_[found])
        --found;
    if (!levels_[found]) {
        levels_[found].emplace(shapes, tolerances_mm[found]);
        ++levels_made_;
    }
    return *levels_[found];
}

void QuickScene::begin_level(const std::vector<model::Shape>& shapes, std::size_t level) {
    std::vector<model::Shape> own(shapes.size()); // with what the faces are made from
    for (std::size_t s = 0; s < shapes.size(); ++s) {
        own[s].mesh.positions = shapes[s].mesh.positions;
        own[s].mesh.triangles = shapes[s].mesh.triangles;
        own[s].section = shapes[s].section;
        own[s].glass = shapes[s].glass;
    }
    ++levels_made_;
    coming_ = Coming{level, std::async(std::launch::async, [own = std::move(own), tolerance = tolerances_mm[level]] {
                         return FrontFaces(own, tolerance);
                     })};
}

void QuickScene::put_together(const VisibleLines::ThroughGlass& found, const std::optional<Place>& place) {
    constexpr int rows_at_once = 6 * InkedPicture::band_rows;
    const int rows = place ? std::min(rows_at_once, height_) : height_;
    if (rows != full_rows_) {
        full_rows_ = rows;
        full_colour_ = gl::make_texture(GL_RGBA8, width_, rows, GL_RGBA, GL_UNSIGNED_BYTE, GL_NEAREST);
        full_ = gl::make_framebuffer();
        glBindFramebuffer(GL_FRAMEBUFFER, full_.name());
        glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, full_colour_.name(), 0);
        gl::require_complete("the moving drawing");
    }
    inked_.begin(width_, height_, low_picture_, found.lines, found.nearest_from);
    gl::bind(gl::Unit::source, full_colour_);
    for (int from = 0; from < height_; from += rows) {
        stripe_.fit(width_, std::min(rows, height_ - from));
        inked_.fill(stripe_, from);
        glTexSubImage2D(GL_TEXTURE_2D, 0, 0, 0, width_, stripe_.height, GL_RGBA, GL_UNSIGNED_BYTE, stripe_.rgba.data());
        if (!place) continue;
        glBindFramebuffer(GL_READ_FRAMEBUFFER, full_.name());
        glBindFramebuffer(GL_DRAW_FRAMEBUFFER, place->framebuffer);
        const int bottom = place->bottom + from;
        glBlitFramebuffer(0, 0, width_, stripe_.height, place->left, bottom, place->left + width_,
                          bottom + stripe_.height, GL_COLOR_BUFFER_BIT, GL_NEAREST);
    }
}

void QuickScene::draw(GeometryStore& geometry, const std::vector<model::Shape>& shapes,
                      const std::vector<ShapeStyle>& styles, const Shadow& shadow, const SceneFrame& frame,
                      const std::optional<Place>& place) {
    const double begin_ms = steady_ms();
    fit(frame.width, frame.height);
    if (!taken_) {
        painter_.take(solid_vertices(shapes));
        taken_ = true;
    }
    const auto& poses = geometry.poses();
    level(shapes, frame.prepass.mm_per_pixel).collect(lists_, frame.sight, geometry.boxes(), poses);
    if (place) forget(); // what is not needed any more makes room for what comes
    LineRule rule;
    rule.width = width_;
    rule.height = height_;
    rule.pixels_per_point = frame.pixels_per_point;
    rule.before_surface = frame.line_before_surface();
    auto placed = std::async(std::launch::async, [&] {
        const auto in_sight = geometry.lines_in_sight(frame.sight, poses);
        lines_.place(in_sight.lines, styles, frame.sight, rule, in_sight.before_glass);
    });
    painter_.paint(lists_, frame.sight, poses, styles, low_width_, low_height_);
    has_glass_ = lists_.glass.count > 0;
    geometry.count(lists_.indices.size() / 3, 0, 0);
    if (place) {
        painter_.forget_shapes();
        lists_ = FaceLists();
    }
    need_programs();
    need_textures();

    FrameBlock block = frame.block;
    const auto share = static_cast<float>(low_width_) / static_cast<float>(width_);
    block.key.w = 0; // no occlusion
    block.up.w *= share;
    block.screen = glm::vec4(low_width_, low_height_, 1.0 / low_width_, 1.0 / low_height_);
    block.pixel.x *= share;
    block.pixel.y *= share;
    block.shadow_map = shadow.map();
    block_buffer_.set(block);

    glDisable(GL_BLEND);
    glDisable(GL_STENCIL_TEST);
    glDisable(GL_DEPTH_TEST);
    glDisable(GL_CULL_FACE);
    glDepthMask(GL_TRUE);
    glBindFramebuffer(GL_FRAMEBUFFER, low_.name());
    glViewport(0, 0, low_width_, low_height_);
    gl::bind(gl::Unit::styles, geometry.styles());
    gl::bind(gl::Unit::shadow, shadow.texture());
    send_tiles();
    ground_.use();
    shade(ground_quads_);
    draw_solids(frame);
    draw_asked(geometry);
    if (has_glass_) draw_glass(frame);
    // Other threads shade meanwhile: they are told to begin.
    glFlush();
    placed.get();
    if (place) {
        painter_.forget_surfaces();
        solids_.faces = gl::Texture();
        glass_.faces = gl::Texture();
        clearness_ = gl::Texture();
    }
    const auto found = has_glass_ ? lines_.seen(painter_.depths(), painter_.depths_with_glass(), far_glass_ink)
                                  : VisibleLines::ThroughGlass{lines_.seen(painter_.depths()), 0};
    geometry.count(0, found.lines.size(), has_glass_ ? 3 : 2);
    low_picture_.fit(low_width_, low_height_);
    glPixelStorei(GL_PACK_ALIGNMENT, 4);
    glReadPixels(0, 0, low_width_, low_height_, GL_RGBA, GL_UNSIGNED_BYTE, low_picture_.rgba.data());
    put_together(found, place);
    drawn_ = !place;
    if (place) {
        painter_ = FacePainter();
        low_ = gl::Framebuffer(); // its textures are gone
    }
    sharpness_.took(steady_ms() - begin_ms);
}

} // namespace ringland::viewer
