#include "quick_scene.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstddef>
#include <utility>

#include "shader_texts.h"

namespace ringland::viewer {

namespace {

double steady_ms() {
    return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

const void* offset(std::size_t bytes) { return reinterpret_cast<const void*>(bytes); }

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

void QuickScene::fit(int width, int height) {
    sharpness_.expect(static_cast<double>(width) * height);
    low_width_ = std::max(1, static_cast<int>(std::lround(width * sharpness_.share())));
    low_height_ = std::max(1, static_cast<int>(std::lround(height * sharpness_.share())));
    low_.fit(low_width_, low_height_);
    if (width == width_ && height == height_ && full_) return;
    width_ = width;
    height_ = height;
    full_colour_ = gl::make_texture(GL_RGBA8, width, height, GL_RGBA, GL_UNSIGNED_BYTE, GL_NEAREST);
    full_ = gl::make_framebuffer();
    glBindFramebuffer(GL_FRAMEBUFFER, full_.name());
    glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, full_colour_.name(), 0);
    gl::require_complete("the moving drawing");
}

void QuickScene::send(const FaceLists::Range& range) const { gl::draw_triangles(range.first, range.count, true); }

/// In one pass, unlike the picture at rest: with few pixels, painting some of them twice costs less than sending every
/// corner twice. What is cut comes before what stays whole, as there.
void QuickScene::draw_solids(const SceneFrame& frame) const {
    glEnable(GL_DEPTH_TEST);
    glDepthFunc(GL_LESS);
    glDepthMask(GL_TRUE);
    glEnable(GL_CULL_FACE);
    glCullFace(GL_BACK);
    glBindVertexArray(solid_array_.name());
    part_.use();
    part_.set("see_through", 1.0f);
    if (frame.section) {
        send(lists_.foremost);
        send(lists_.cut);
        part_cut_.use();
        part_cut_.set("see_through", 1.0f);
        send(lists_.cut_through);
        if (lists_.inside.count + lists_.inside_through.count > 0) {
            glCullFace(GL_FRONT);
            glEnable(GL_STENCIL_TEST);
            glStencilFunc(GL_ALWAYS, 1, 0xFF);
            glStencilOp(GL_KEEP, GL_KEEP, GL_REPLACE);
            cap_.use();
            send(lists_.inside);
            cap_cut_.use();
            send(lists_.inside_through);
            glStencilFunc(GL_EQUAL, 1, 0xFF);
            glStencilOp(GL_KEEP, GL_KEEP, GL_KEEP);
            glDisable(GL_CULL_FACE);
            glDepthFunc(GL_ALWAYS);
            glColorMask(GL_FALSE, GL_FALSE, GL_FALSE, GL_FALSE);
            plane_.use();
            plane_.set("extent", plane_extent_);
            glBindVertexArray(empty_.name());
            glDrawArrays(GL_TRIANGLE_STRIP, 0, 4);
            glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
            glDepthFunc(GL_LESS);
            glDisable(GL_STENCIL_TEST);
            glEnable(GL_CULL_FACE);
            glCullFace(GL_BACK);
            glBindVertexArray(solid_array_.name());
        }
    }
    part_.use();
    send(lists_.whole);
}

void QuickScene::draw_hidden(const GeometryStore& geometry) const {
    const auto& shapes = geometry.asked_shapes();
    if (shapes.empty()) return;
    glEnable(GL_BLEND);
    glBlendFuncSeparate(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA, GL_ZERO, GL_ONE);
    glDepthMask(GL_FALSE);
    glDepthFunc(GL_GREATER);
    part_.use();
    for (const auto& [shape, share] : shapes) {
        part_.set("see_through", share);
        geometry.draw_shape(shape);
    }
}

/// As at rest: the tint of every wall, the depth of the nearest, the light on that one.
void QuickScene::draw_glass() {
    if (lists_.glass.count == 0) return;
    glEnable(GL_BLEND);
    // In alpha it keeps how much of what is behind still shows, for the lines.
    glBlendFuncSeparate(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA, GL_ZERO, GL_ONE_MINUS_SRC_ALPHA);
    glDepthMask(GL_FALSE);
    glDepthFunc(GL_LESS);
    glBindVertexArray(solid_array_.name());
    glass_.use();
    glass_.set("nearest", 0.0f);
    send(lists_.glass);
    glColorMask(GL_FALSE, GL_FALSE, GL_FALSE, GL_FALSE);
    glDepthMask(GL_TRUE);
    depth_.use();
    send(lists_.glass);
    glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
    glDepthMask(GL_FALSE);
    glDepthFunc(GL_EQUAL);
    glass_.use();
    glass_.set("nearest", 1.0f);
    send(lists_.glass);
    glDepthFunc(GL_LESS);
    read_depths(depths_with_glass_);
}

void QuickScene::read_depths(DepthPicture& into) const {
    into.width = low_width_;
    into.height = low_height_;
    into.depth.resize(static_cast<std::size_t>(low_width_) * static_cast<std::size_t>(low_height_));
    glPixelStorei(GL_PACK_ALIGNMENT, 4);
    glReadPixels(0, 0, low_width_, low_height_, GL_DEPTH_COMPONENT, GL_FLOAT, into.depth.data());
}

void QuickScene::draw_lines(GeometryStore& geometry, bool through_glass) {
    const auto found = through_glass ? lines_.corners(depths_, depths_with_glass_, far_glass_ink)
                                     : VisibleLines::ThroughGlass{lines_.corners(depths_), ~std::size_t{0}};
    const auto& corners = found.corners;
    if (corners.empty()) return;
    if (!line_array_) {
        line_ = gl::Program("seen line", shader_text::seen_line_vert, shader_text::seen_line_frag);
        line_array_ = gl::make_vertex_array();
        line_buffer_ = gl::make_buffer();
        line_indices_ = gl::make_buffer();
        glBindVertexArray(line_array_.name());
        glBindBuffer(GL_ARRAY_BUFFER, line_buffer_.name());
        glBindBuffer(GL_ELEMENT_ARRAY_BUFFER, line_indices_.name());
        glEnableVertexAttribArray(0);
        glVertexAttribPointer(0, 2, GL_FLOAT, GL_FALSE, sizeof(LineCorner), offset(offsetof(LineCorner, device)));
        glEnableVertexAttribArray(1);
        glVertexAttribPointer(1, 2, GL_FLOAT, GL_FALSE, sizeof(LineCorner), offset(offsetof(LineCorner, across)));
        glEnableVertexAttribArray(2);
        glVertexAttribPointer(2, 4, GL_UNSIGNED_BYTE, GL_TRUE, sizeof(LineCorner), offset(offsetof(LineCorner, ink)));
    }
    const std::size_t lines = corners.size() / 4;
    glBindVertexArray(line_array_.name());
    glBindBuffer(GL_ARRAY_BUFFER, line_buffer_.name());
    glBufferData(GL_ARRAY_BUFFER, static_cast<GLsizeiptr>(corners.size() * sizeof(LineCorner)), corners.data(),
                 GL_STREAM_DRAW);
    if (lines > line_indices_made_) {
        line_indices_made_ = lines * 5 / 4;
        gl::fill_quad_indices(line_indices_made_);
    }
    glEnable(GL_BLEND);
    glBlendFunc(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA);
    line_.use();
    line_.set("pixel_size", glm::vec2(1.0 / width_, 1.0 / height_));
    const std::size_t before = std::min(found.nearest_from / 4, lines);
    line_.set("behind_glass", 1.0f);
    gl::draw_triangles(0, 6 * before, true);
    if (before < lines) {
        line_.set("behind_glass", 0.0f);
        gl::draw_triangles(6 * before, 6 * (lines - before), true);
    }
    geometry.count(0, lines, before < lines ? 2 : 1);
}

void QuickScene::need_programs(bool section) {
    if (!ground_) {
        ground_ = gl::Program("ground", shader_text::full_vert, shader_text::ground_frag);
        part_ = gl::Program("part", shader_text::part_vert, shader_text::part_frag);
        spread_ = gl::Program("enlarged", shader_text::full_vert, shader_text::enlarged_frag);
    }
    if (!section && !glass_) {
        glass_ = gl::Program("glass", shader_text::part_vert, shader_text::glass_frag);
        depth_ = gl::Program("depth", shader_text::part_vert, shader_text::depth_frag);
    }
    if (section && !cap_) {
        part_cut_ = gl::Program("part, cut", shader_text::part_vert, shader_text::part_frag, {"SECTION"});
        cap_ = gl::Program("cut face", shader_text::part_vert, shader_text::cap_frag, {"CAP"});
        cap_cut_ = gl::Program("cut face, cut", shader_text::part_vert, shader_text::cap_frag, {"CAP", "SECTION"});
        plane_ = gl::Program("section plane", shader_text::plane_vert, shader_text::plane_frag);
    }
}

/// At the far end of the depth, where nothing else was drawn.
void QuickScene::draw_ground() const {
    glDepthRange(1, 1);
    glDepthFunc(GL_LEQUAL);
    glDepthMask(GL_FALSE);
    glDisable(GL_CULL_FACE);
    ground_.use();
    glBindVertexArray(empty_.name());
    glDrawArrays(GL_TRIANGLES, 0, 3);
    glDepthRange(0, 1);
    glDepthFunc(GL_LESS);
    glEnable(GL_CULL_FACE);
}

void QuickScene::take(const GeometryStore& geometry) {
    indices_ = gl::make_buffer();
    solid_array_ = geometry.solid_array(indices_);
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
        levels_[0].reset(); // the largest by far, and soon made
    }
    const bool first = std::none_of(levels_.begin(), levels_.end(), [](const auto& each) { return each.has_value(); });
    if (!first && !levels_[wanted] && !coming_) begin_level(shapes, wanted);
    std::size_t found = wanted;
    while (found > 0 && !levels_[found])
        --found;
    if (!levels_[found]) levels_[found].emplace(shapes, tolerances_mm[found]);
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
    coming_ = Coming{level, std::async(std::launch::async, [own = std::move(own), tolerance = tolerances_mm[level]] {
                         return FrontFaces(own, tolerance);
                     })};
}

void QuickScene::draw(GeometryStore& geometry, const std::vector<model::Shape>& shapes,
                      const std::vector<ShapeStyle>& styles, const Shadow& shadow, const SceneFrame& frame) {
    const double begin_ms = steady_ms();
    fit(frame.width, frame.height);
    need_programs(frame.section);
    if (!solid_array_) take(geometry);
    const auto box = geometry.bounds();
    plane_extent_ = glm::vec4(box.low.x - 1, box.low.z - 1, box.high.x + 1, box.high.z + 1);
    const auto& poses = hidden_.without_hidden(frame.sight, geometry.poses(), geometry.boxes(), box);
    level(shapes, frame.prepass.mm_per_pixel).collect(lists_, frame.sight, geometry.boxes(), poses);
    glBindVertexArray(solid_array_.name());
    glBufferData(GL_ELEMENT_ARRAY_BUFFER, static_cast<GLsizeiptr>(lists_.indices.size() * sizeof(std::uint32_t)),
                 lists_.indices.data(), GL_STREAM_DRAW);
    geometry.count(lists_.indices.size() / 3, 0, frame.section ? 9 : 7);

    FrameBlock block = frame.block;
    const auto share = static_cast<float>(low_width_) / static_cast<float>(width_);
    block.key.w = 0; // no occlusion
    block.up.w *= share;
    block.screen = glm::vec4(low_width_, low_height_, 1.0 / low_width_, 1.0 / low_height_);
    block.pixel.x *= share;
    block.pixel.y *= share;
    block.shadow_map = shadow.map();
    block_buffer_.set(block);

    glBindFramebuffer(GL_FRAMEBUFFER, low_.scene.name());
    glViewport(0, 0, low_width_, low_height_);
    glDisable(GL_BLEND);
    glDisable(GL_STENCIL_TEST);
    glDepthMask(GL_TRUE);
    glClear(GL_DEPTH_BUFFER_BIT | GL_STENCIL_BUFFER_BIT);
    gl::bind(gl::Unit::styles, geometry.styles());
    gl::bind(gl::Unit::shadow, shadow.texture());
    draw_solids(frame);
    draw_ground();
    // Triangles are set up here and painted by other threads: wherever they could begin they are told to.
    glFlush();
    LineRule rule;
    rule.width = width_;
    rule.height = height_;
    rule.pixels_per_point = frame.pixels_per_point;
    rule.before_surface = line_before_surface;
    const auto in_sight = geometry.lines_in_sight(frame.sight, poses);
    lines_.place(in_sight.lines, styles, frame.sight, rule, in_sight.before_glass);

    read_depths(depths_);
    hidden_.saw(depths_, frame.sight, geometry.poses());
    draw_hidden(geometry);
    if (!frame.section) draw_glass();
    glDepthMask(GL_TRUE);
    glDisable(GL_DEPTH_TEST);
    glDisable(GL_CULL_FACE);
    glDisable(GL_BLEND);
    glBindFramebuffer(GL_FRAMEBUFFER, full_.name());
    glViewport(0, 0, width_, height_);
    gl::bind(gl::Unit::source, low_.colour);
    spread_.use();
    glBindVertexArray(empty_.name());
    glDrawArrays(GL_TRIANGLES, 0, 3);
    glFlush();
    draw_lines(geometry, !frame.section && lists_.glass.count > 0);
    glDisable(GL_BLEND);
    glFinish(); // what it took has to be known
    sharpness_.took(steady_ms() - begin_ms);
}

} // namespace ringland::viewer
