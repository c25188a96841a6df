#include "prepass.h"

#include <algorithm>
#include <vector>

#include <glm/geometric.hpp>
#include <glm/mat4x4.hpp>

#include "shader_texts.h"

namespace ringland::viewer {

namespace {

/// Pixels of the frame around a window that is a part of a larger picture, so that occlusion runs on across the seam.
constexpr int guard_pixels = 64;
constexpr double greatest_radius_pixels = 24; // of the half-size target

} // namespace

Prepass::Prepass() : empty_(gl::make_vertex_array()) {}

void Prepass::draw(const GeometryStore& geometry, const Scene& scene) {
    for (const auto step : {Step::begin_and_whole, Step::cut, Step::caps, Step::glass})
        draw_step(geometry, scene, step);
}

/// Places the window and the buffers.
void Prepass::begin(const Scene& scene) {
    scene_ = scene;
    const auto& frame = scene.window;
    const bool part = frame.width < frame.whole_width || frame.height < frame.whole_height;
    // The half-size grid is that of the whole picture, or neighbouring windows would differ by half a pixel.
    const int guard_x = part ? guard_pixels + static_cast<int>(std::llround(frame.x)) % 2 : 0;
    const int guard_y = part ? guard_pixels + static_cast<int>(std::llround(frame.y)) % 2 : 0;
    const int width = (static_cast<int>(frame.width) + 2 * guard_x + 1) / 2;
    const int height = (static_cast<int>(frame.height) + 2 * guard_y + 1) / 2;
    if (width != width_ || height != height_) {
        width_ = width;
        height_ = height;
        ids_ = gl::make_texture(GL_RGBA8, width, height, GL_RGBA, GL_UNSIGNED_BYTE, GL_NEAREST);
        depth_ = gl::make_texture(GL_DEPTH_COMPONENT24, width, height, GL_DEPTH_COMPONENT, GL_UNSIGNED_INT, GL_NEAREST);
        solid_target_ = gl::make_framebuffer();
        glBindFramebuffer(GL_FRAMEBUFFER, solid_target_.name());
        glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, ids_.name(), 0);
        glFramebufferTexture2D(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, GL_TEXTURE_2D, depth_.name(), 0);
        gl::require_complete("the buffer of ids");
        smooth_ = gl::Texture();
    }
    if (!front_) front_ = gl::Program("prepass", shader_text::part_vert, shader_text::prepass_frag);

    PixelWindow window = frame;
    window.x -= guard_x;
    window.y -= guard_y;
    window.width = 2 * width;
    window.height = 2 * height;
    projection_ = window.from_whole() * scene.whole_projection;
    const auto clip_from_unit = glm::mat4(projection_ * scene.view_from_unit);
    map_ = glm::vec4(0.5f / static_cast<float>(width), 0.5f / static_cast<float>(height),
                     0.5f * static_cast<float>(guard_x) / static_cast<float>(width),
                     0.5f * static_cast<float>(guard_y) / static_cast<float>(height));
    block_ = FrameBlock();
    block_.clip_from_unit = clip_from_unit;
    block_.view_from_unit = glm::mat4(scene.view_from_unit);
    block_.eye = glm::vec4(scene.eye, static_cast<float>(scene.pixels_per_point));
    block_.section.x = static_cast<float>(scene.side);
    block_.screen = glm::vec4(width, height, 1.0f / static_cast<float>(width), 1.0f / static_cast<float>(height));
    block_.pixel = glm::vec4(std::llround(window.x / 2), std::llround(window.y / 2), 0, 0);
}

void Prepass::draw_step(const GeometryStore& geometry, const Scene& scene, Step step, const Share& share) {
    const bool first = step == Step::begin_and_whole && share.part == 0;
    if (first) begin(scene);
    block_buffer_.set(block_);
    glBindFramebuffer(GL_FRAMEBUFFER, solid_target_.name());
    glViewport(0, 0, width_, height_);
    glDisable(GL_BLEND);
    glDisable(GL_STENCIL_TEST);
    glEnable(GL_DEPTH_TEST);
    glDepthFunc(GL_LESS);
    glDepthMask(GL_TRUE);
    glEnable(GL_CULL_FACE);
    glCullFace(GL_BACK);
    if (first) {
        glClearColor(0, 0, 0, 0);
        glClear(GL_COLOR_BUFFER_BIT | GL_DEPTH_BUFFER_BIT);
    }
    gl::bind(gl::Unit::styles, geometry.styles());

    const Sight sight{block_.clip_from_unit, scene.eye, scene.side};
    const bool section = scene.side != 0;
    front_.use();
    switch (step) {
    case Step::begin_and_whole:
        geometry.draw(GeometryStore::Group::whole, sight, section, share);
        break;
    case Step::cut:
        if (section) {
            if (!front_cut_) {
                front_cut_ =
                    gl::Program("prepass, cut", shader_text::part_vert, shader_text::prepass_frag, {"SECTION"});
            }
            front_cut_.use();
        }
        geometry.draw(GeometryStore::Group::cut, sight, section, share);
        break;
    case Step::caps:
        if (!section || scene.eye.y * scene.side <= 0) break;
        if (!cap_) {
            cap_ = gl::Program("prepass, cap", shader_text::part_vert, shader_text::prepass_frag, {"SECTION", "CAP"});
        }
        cap_.use();
        glCullFace(GL_FRONT);
        geometry.draw(GeometryStore::Group::capped, sight, section, share);
        glCullFace(GL_BACK);
        break;
    case Step::glass:
        if (section) break;
        // Glass is picked only where nothing solid is behind it: drawn at the far end of the depth range.
        glDepthRange(1, 1);
        glDepthFunc(GL_LEQUAL);
        glDepthMask(GL_FALSE);
        for (const auto shape : geometry.glass_far_to_near(sight))
            geometry.draw_shape(shape);
        glDepthRange(0, 1);
        glDepthFunc(GL_LESS);
        glDepthMask(GL_TRUE);
        break;
    }
}

void Prepass::occlude() {
    if (!occlusion_program_) {
        occlusion_program_ = gl::Program("occlusion", shader_text::full_vert, shader_text::occlusion_frag);
        smooth_program_ = gl::Program("smooth occlusion", shader_text::full_vert, shader_text::smooth_frag);
    }
    const auto make = [&](gl::Texture& texture, gl::Framebuffer& target, GLint filter) {
        texture = gl::make_texture(GL_RGBA8, width_, height_, GL_RGBA, GL_UNSIGNED_BYTE, filter);
        target = gl::make_framebuffer();
        glBindFramebuffer(GL_FRAMEBUFFER, target.name());
        glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, texture.name(), 0);
        gl::require_complete("the buffer of occlusion");
    };
    gl::Texture raw; // only until it is smoothed
    gl::Framebuffer raw_target;
    make(raw, raw_target, GL_NEAREST);
    if (!smooth_) make(smooth_, smooth_target_, GL_LINEAR);
    glDisable(GL_DEPTH_TEST);
    glDisable(GL_BLEND);
    glViewport(0, 0, width_, height_);
    glBindVertexArray(empty_.name());
    block_buffer_.set(block_);

    const auto p = glm::mat4(projection_);
    const double reach_mm = std::max(6.0, 20.0 * scene_.mm_per_pixel * scene_.pixels_per_point);
    glBindFramebuffer(GL_FRAMEBUFFER, raw_target.name());
    gl::bind(gl::Unit::source, ids_);
    gl::bind(gl::Unit::scene_depth, depth_);
    occlusion_program_.use();
    occlusion_program_.set("lens", glm::vec4(1 / p[0][0], 1 / p[1][1], -p[3][2], -p[2][2]));
    occlusion_program_.set("reach", glm::vec4(static_cast<float>(reach_mm), p[1][1] * static_cast<float>(height_) / 2,
                                              greatest_radius_pixels * scene_.pixels_per_point, 0.08f));
    const glm::dvec3 normal = glm::dmat3(scene_.view_from_unit) * glm::dvec3(0, scene_.side, 0);
    const glm::dvec3 in_plane(scene_.view_from_unit[3]);
    occlusion_program_.set("cut_plane", glm::vec4(glm::vec3(normal), static_cast<float>(glm::dot(normal, in_plane))));
    occlusion_program_.set("shift", glm::vec2(-p[2][0], -p[2][1]));
    glDrawArrays(GL_TRIANGLES, 0, 3);

    glBindFramebuffer(GL_FRAMEBUFFER, smooth_target_.name());
    gl::bind(gl::Unit::source, raw);
    smooth_program_.use();
    glDrawArrays(GL_TRIANGLES, 0, 3);
}

int Prepass::id_block(double x, double y, std::array<int, 25>& ids) const {
    if (width_ == 0) return 0;
    const int px = static_cast<int>(std::floor((x * map_.x + map_.z) * width_));
    const int py = static_cast<int>(std::floor((y * map_.y + map_.w) * height_));
    const int x0 = std::max(0, px - 2), x1 = std::min(width_, px + 3), y0 = std::max(0, py - 2),
              y1 = std::min(height_, py + 3);
    if (x0 >= x1 || y0 >= y1) return 0;
    std::array<std::uint8_t, 100> bytes{};
    GLint before = 0;
    glGetIntegerv(GL_READ_FRAMEBUFFER_BINDING, &before);
    glBindFramebuffer(GL_READ_FRAMEBUFFER, solid_target_.name());
    glReadBuffer(GL_COLOR_ATTACHMENT0);
    glPixelStorei(GL_PACK_ALIGNMENT, 4);
    glReadPixels(x0, y0, x1 - x0, y1 - y0, GL_RGBA, GL_UNSIGNED_BYTE, bytes.data());
    glBindFramebuffer(GL_READ_FRAMEBUFFER, static_cast<GLuint>(before));
    int found = 0;
    for (int row = y0; row < y1; ++row) {
        for (int column = x0; column < x1; ++column) {
            const auto* at = &bytes[static_cast<std::size_t>(((row - y0) * (x1 - x0) + column - x0) * 4)];
            const int id = (at[0] & 127) * 256 + at[1]; // the highest bit marks a cut face
            ids[static_cast<std::size_t>((row - py + 2) * 5 + column - px + 2)] = id;
            found += id != 0;
        }
    }
    return found;
}

} // namespace ringland::viewer
