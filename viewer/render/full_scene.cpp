#include "full_scene.h"

#include <utility>

#include "shader_texts.h"

namespace ringland::viewer {

using Group = GeometryStore::Group;

void FullScene::need_programs(bool section) {
    if (!ground_) {
        ground_ = gl::Program("ground", shader_text::full_vert, shader_text::ground_frag);
        part_ = gl::Program("part", shader_text::part_vert, gl::with_light(shader_text::part_frag));
        depth_ = gl::Program("depth", shader_text::part_vert, shader_text::depth_frag);
        line_ = gl::Program("line", shader_text::line_vert, shader_text::line_frag);
    }
    if (!section && !glass_)
        glass_ = gl::Program("glass", shader_text::part_vert, gl::with_light(shader_text::glass_frag));
    if (section && !depth_cut_) {
        depth_cut_ = gl::Program("depth, cut", shader_text::part_vert, shader_text::depth_frag, {"SECTION"});
        cap_ = gl::Program("cut face", shader_text::part_vert, gl::with_light(shader_text::cap_frag), {"CAP"});
        cap_depth_ =
            gl::Program("depth of cut faces", shader_text::part_vert, shader_text::depth_frag, {"SECTION", "CAP"});
        plane_ = gl::Program("section plane", shader_text::plane_vert, shader_text::plane_frag);
    }
}

void FullScene::begin(GeometryStore& geometry, Prepass& prepass, Shadow& shadow, const SceneFrame& frame,
                      const Wish& wish) {
    geometry_ = &geometry;
    prepass_ = &prepass;
    shadow_ = &shadow;
    frame_ = frame;
    still_ = wish.still;
    samples_ = wish.still && !on_processor_;
    steps_.clear();
    next_ = 0;
    need_programs(frame.section);
    plan_prepass(wish);
    add([this, is_new = wish.geometry_is_new] {
        shadow_->update(*geometry_, frame_.bench, is_new);
        frame_.block.shadow_map = shadow_->map();
        frame_.block.key.w = still_ ? occlusion_strength : 0;
        frame_.block.occlusion_map = prepass_->map();
    });
    plan_solids(wish);
}

void FullScene::plan_prepass(const Wish& wish) {
    if (!wish.still) return;
    if (!wish.prepass_is_drawn) {
        for (const auto step :
             {Prepass::Step::begin_and_whole, Prepass::Step::cut, Prepass::Step::caps, Prepass::Step::glass}) {
            const std::size_t parts = step == Prepass::Step::glass ? 1 : wish.parts;
            for (std::size_t part = 0; part < parts; ++part) {
                add([this, step, part, parts] {
                    prepass_->draw_step(*geometry_, frame_.prepass, step, {part, parts});
                });
            }
        }
    }
    if (!wish.occlusion_is_drawn) add([this] { prepass_->occlude(); });
}

void FullScene::add_drawing(std::function<void()> step) {
    add([this, step = std::move(step)] {
        enter();
        step();
    });
}

void FullScene::enter() const {
    block_buffer_.set(frame_.block);
    glBindFramebuffer(GL_FRAMEBUFFER, target_);
    glViewport(0, 0, frame_.width, frame_.height);
    gl::bind(gl::Unit::styles, geometry_->styles());
    gl::bind(gl::Unit::shadow, shadow_->texture());
    if (still_) gl::bind(gl::Unit::occlusion, prepass_->occlusion());
    glDisable(GL_STENCIL_TEST);
    glDisable(GL_BLEND);
    glEnable(GL_DEPTH_TEST);
    glDepthFunc(GL_LESS);
    glDepthMask(GL_TRUE);
    glEnable(GL_CULL_FACE);
    glCullFace(GL_BACK);
}

void FullScene::plan_solids(const Wish& wish) {
    targets_.fit(frame_.width, frame_.height);
    if (samples_) targets_.need_samples();
    target_ = samples_ ? targets_.samples.name() : targets_.scene.name();
    const auto in_parts = [&](const auto& step) {
        for (std::size_t part = 0; part < wish.parts; ++part)
            add_drawing([step, share = Share{part, wish.parts}] { step(share); });
    };
    add_drawing([this] {
        glDisable(GL_CULL_FACE);
        glDisable(GL_DEPTH_TEST);
        glClear(GL_DEPTH_BUFFER_BIT | GL_STENCIL_BUFFER_BIT);
        ground_.use();
        glBindVertexArray(empty_.name());
        glDrawArrays(GL_TRIANGLES, 0, 3);
    });
    // Depth first: then every pixel is shaded once, and the shading itself need not ask what is cut away. What is cut
    // comes before what stays whole: a drilling inside the metal behind the cut must not show on the cut face.
    in_parts([this](const Share& share) { draw_cut_depth(share); });
    if (frame_.section && frame_.sight.eye.y * frame_.sight.side > 0) {
        in_parts([this](const Share& share) {
            glCullFace(GL_FRONT);
            depth_only(cap_depth_, Group::capped, share);
        });
        in_parts([this](const Share& share) { draw_caps(share); });
        add_drawing([this] { lower_caps(); });
    }
    in_parts([this](const Share& share) {
        glEnable(GL_STENCIL_TEST); // what stands before a cut face is no cut face
        glStencilFunc(GL_ALWAYS, 0, 0xFF);
        glStencilOp(GL_KEEP, GL_KEEP, GL_REPLACE);
        depth_only(depth_, Group::whole, share);
    });
    for (const auto group : {Group::whole, Group::cut})
        in_parts([this, group](const Share& share) { shade(group, share); });
    if (still_ && on_processor_) add_drawing([this] { smooth_steps(); });
    add([this] { geometry_->set_lines(frame_.sight); });
    in_parts([this](const Share& share) { draw_lines(share); });
    add_drawing([this] { draw_hidden(); });
    if (!frame_.section) {
        for (const auto go : {Glass::tint, Glass::nearest_depth, Glass::nearest})
            in_parts([this, go](const Share& share) { draw_glass(go, share); });
        add_drawing([this] { draw_glass_lines(); });
    }
    add([this] {
        shown_ = target_;
        if (!samples_) return;
        glBindFramebuffer(GL_READ_FRAMEBUFFER, targets_.samples.name());
        glBindFramebuffer(GL_DRAW_FRAMEBUFFER, targets_.scene.name());
        glBlitFramebuffer(0, 0, frame_.width, frame_.height, 0, 0, frame_.width, frame_.height, GL_COLOR_BUFFER_BIT,
                          GL_NEAREST);
        shown_ = targets_.scene.name();
    });
}

bool FullScene::step() {
    if (finished()) return true;
    steps_[next_]();
    ++next_;
    return finished();
}

void FullScene::depth_only(const gl::Program& program, Group group, const Share& share) const {
    glColorMask(GL_FALSE, GL_FALSE, GL_FALSE, GL_FALSE);
    program.use();
    geometry_->draw(group, frame_.sight, frame_.section, share);
    glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
}

void FullScene::draw_cut_depth(const Share& share) const {
    depth_only(frame_.section ? depth_cut_ : depth_, Group::cut, share);
}

/// All fronts of what is cut are in the depth buffer already, so a cut face that passes the test is what is seen.
void FullScene::draw_caps(const Share& share) const {
    glCullFace(GL_FRONT);
    glDepthFunc(GL_EQUAL);
    glEnable(GL_STENCIL_TEST);
    glStencilFunc(GL_ALWAYS, 1, 0xFF);
    glStencilOp(GL_KEEP, GL_KEEP, GL_REPLACE);
    cap_.use();
    geometry_->draw(Group::capped, frame_.sight, frame_.section, share);
}

/// The plane's own depth takes the place of the inside's: what lies behind the cut stays behind it.
void FullScene::lower_caps() const {
    glEnable(GL_STENCIL_TEST);
    glStencilFunc(GL_EQUAL, 1, 0xFF);
    glStencilOp(GL_KEEP, GL_KEEP, GL_KEEP);
    glDisable(GL_CULL_FACE);
    glDepthFunc(GL_ALWAYS);
    glColorMask(GL_FALSE, GL_FALSE, GL_FALSE, GL_FALSE);
    const auto box = geometry_->bounds();
    plane_.use();
    plane_.set("extent", glm::vec4(box.low.x - 1, box.low.z - 1, box.high.x + 1, box.high.z + 1));
    glBindVertexArray(empty_.name());
    glDrawArrays(GL_TRIANGLE_STRIP, 0, 4);
    glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
}

void FullScene::shade(Group group, const Share& share) const {
    glDepthMask(GL_FALSE);
    glDepthFunc(GL_EQUAL);
    part_.use();
    part_.set("see_through", 1.0f);
    geometry_->draw(group, frame_.sight, frame_.section, share);
}

/// Softens the borders of the solids; hatches are soft already and stay as they are. All that follows goes over it.
void FullScene::smooth_steps() {
    if (!smooth_) smooth_ = gl::Program("steps", shader_text::full_vert, shader_text::steps_frag);
    targets_.need_smoothed();
    target_ = targets_.smoothed.name();
    glBindFramebuffer(GL_READ_FRAMEBUFFER, targets_.scene.name());
    glBindFramebuffer(GL_DRAW_FRAMEBUFFER, target_);
    glBlitFramebuffer(0, 0, targets_.width, targets_.height, 0, 0, targets_.width, targets_.height, GL_COLOR_BUFFER_BIT,
                      GL_NEAREST);
    glBindFramebuffer(GL_FRAMEBUFFER, target_);
    glDisable(GL_DEPTH_TEST);
    glDisable(GL_CULL_FACE);
    glEnable(GL_STENCIL_TEST);
    glStencilFunc(GL_EQUAL, 0, 0xFF);
    glStencilOp(GL_KEEP, GL_KEEP, GL_KEEP);
    gl::bind(gl::Unit::source, targets_.colour);
    smooth_.use();
    glBindVertexArray(empty_.name());
    glDrawArrays(GL_TRIANGLES, 0, 3);
    targets_.drop_unsmoothed();
}

void FullScene::begin_lines(float glass_share) const {
    glEnable(GL_BLEND);
    glBlendFunc(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA);
    glDepthMask(GL_FALSE);
    glDepthFunc(GL_LEQUAL);
    glDisable(GL_CULL_FACE);
    line_.use();
    line_.set("width_rule",
              glm::vec3(static_cast<float>(frame_.pixels_per_point), frame_.line_before_surface(), glass_share));
}

/// Edges of glass too, faintly, as far as no solid hides them.
void FullScene::draw_lines(const Share& share) const {
    begin_lines(frame_.section ? 1.0f : far_glass_ink);
    geometry_->draw_lines(share);
}

/// Those that no other wall of glass hides, in full.
void FullScene::draw_glass_lines() const {
    begin_lines(1);
    geometry_->draw_glass_lines();
}

/// What stands behind something else and is asked about still shows, faintly.
void FullScene::draw_hidden() const {
    glEnable(GL_BLEND);
    glBlendFunc(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA);
    glDepthMask(GL_FALSE);
    glDepthFunc(GL_GREATER);
    part_.use();
    for (const auto& [shape, share] : geometry_->asked_shapes()) {
        part_.set("see_through", share);
        geometry_->draw_shape(shape);
    }
}

void FullScene::draw_glass(Glass go, const Share& share) const {
    if (go == Glass::nearest_depth) {
        depth_only(depth_, Group::glass, share);
        return;
    }
    glEnable(GL_BLEND);
    glBlendFunc(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA);
    glDepthMask(GL_FALSE);
    glDepthFunc(go == Glass::nearest ? GL_EQUAL : GL_LESS);
    glass_.use();
    glass_.set("nearest", go == Glass::nearest ? 1.0f : 0.0f);
    geometry_->draw(Group::glass, frame_.sight, false, share);
}

} // namespace ringland::viewer
