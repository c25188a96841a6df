#include "shadow.h"

#include <algorithm>

#include "shader_texts.h"

namespace ringland::viewer {

namespace {
constexpr int map_pixels = 256;
}

void Shadow::update(const GeometryStore& geometry, const Scene& scene, bool geometry_is_new) {
    if (!geometry_is_new && height_ && scene == scene_) return;
    scene_ = scene;
    if (!height_) {
        height_ = gl::Program("shadow", shader_text::shadow_vert, shader_text::shadow_frag);
        blur_ = gl::Program("spread shadow", shader_text::full_vert, shader_text::spread_frag);
        for (int i = 0; i < 2; ++i) {
            spread_[i] = gl::make_texture(GL_RGBA8, map_pixels, map_pixels, GL_RGBA, GL_UNSIGNED_BYTE, GL_LINEAR);
            targets_[i] = gl::make_framebuffer();
            glBindFramebuffer(GL_FRAMEBUFFER, targets_[i].name());
            glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, spread_[i].name(), 0);
            gl::require_complete("the shadow");
        }
    }
    const glm::dvec3 size = scene.high - scene.low;
    const double margin = 0.32 * std::max(size.x, size.y) + 1;
    const double span_x = size.x + 2 * margin, span_y = size.y + 2 * margin;
    const double middle_x = (scene.low.x + scene.high.x) / 2, middle_y = (scene.low.y + scene.high.y) / 2;
    map_ = glm::vec4(1 / span_x, 1 / span_y, 0.5 - middle_x / span_x, 0.5 - middle_y / span_y);

    FrameBlock block;
    block.section.x = static_cast<float>(scene.side);
    block.shadow_map = map_;
    block.world_eye.w = static_cast<float>(scene.ground);
    block.screen = glm::vec4(map_pixels, map_pixels, 1.0f / map_pixels, 1.0f / map_pixels);
    block_buffer_.set(block);
    glViewport(0, 0, map_pixels, map_pixels);
    glDisable(GL_DEPTH_TEST);
    glEnable(GL_CULL_FACE); // of a closed solid the lower side is all that counts
    glCullFace(GL_FRONT);
    glEnable(GL_BLEND);
    glBlendEquation(GL_MAX);
    glBlendFunc(GL_ONE, GL_ONE);
    glBindFramebuffer(GL_FRAMEBUFFER, targets_[0].name());
    glClearColor(0, 0, 0, 0);
    glClear(GL_COLOR_BUFFER_BIT);
    gl::bind(gl::Unit::styles, geometry.styles());
    height_.use();
    height_.set("world_from_unit", glm::mat4(scene.world_from_unit));
    height_.set("height", static_cast<float>(std::max(size.z, 1.0)));
    Sight everything; // a unit matrix would cull by the view, and the shadow has none
    everything.clip_from_unit = glm::mat4(0);
    everything.clip_from_unit[3][3] = 1;
    everything.side = scene.side;
    geometry.draw(GeometryStore::Group::whole, everything, true);
    geometry.draw(GeometryStore::Group::cut, everything, true);
    glBlendEquation(GL_FUNC_ADD);
    glDisable(GL_BLEND);
    glDisable(GL_CULL_FACE);
    glCullFace(GL_BACK);

    blur_.use();
    glBindVertexArray(empty_.name());
    const float step_x = static_cast<float>(margin / span_x / 11), step_y = static_cast<float>(margin / span_y / 11);
    for (const float scale : {1.0f, 0.5f}) {
        glBindFramebuffer(GL_FRAMEBUFFER, targets_[1].name());
        gl::bind(gl::Unit::source, spread_[0]);
        blur_.set("stride", glm::vec2(step_x * scale, 0));
        glDrawArrays(GL_TRIANGLES, 0, 3);
        glBindFramebuffer(GL_FRAMEBUFFER, targets_[0].name());
        gl::bind(gl::Unit::source, spread_[1]);
        blur_.set("stride", glm::vec2(0, step_y * scale));
        glDrawArrays(GL_TRIANGLES, 0, 3);
    }
    std::swap(spread_[0], spread_[1]);
    std::swap(targets_[0], targets_[1]);
}

} // namespace ringland::viewer
