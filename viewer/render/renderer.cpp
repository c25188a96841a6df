#include "renderer.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <stdexcept>

#include <fmt/core.h>
#include <glm/gtc/matrix_inverse.hpp>

#include "air.h"
#include "frame_block.h"
#include "geometry_store.h"
#include "materials.h"
#include "prepass.h"
#include "shader_texts.h"
#include "shadow.h"
#include "styles.h"

namespace ringland::viewer {

namespace {

glm::vec4 four(const glm::dvec3& v, double w) { return {glm::vec3(v), static_cast<float>(w)}; }

/// Hatch spacing in mm for seven points, in steps so that it stands still while the eye moves a little.
double hatch_spacing(double mm_per_pixel, double pixels_per_point) {
    const double wanted = 7 * pixels_per_point * mm_per_pixel;
    return std::exp2(std::round(std::log2(wanted) * 2) / 2);
}

/// Everything that the still part of the picture depends on; equal keys mean an equal picture.
struct SceneKey {
    glm::dmat4 clip_from_unit{0};
    std::array<double, 12> figures{};
    std::vector<float> styles;
    friend bool operator==(const SceneKey& a, const SceneKey& b) {
        return a.clip_from_unit == b.clip_from_unit && a.figures == b.figures && a.styles == b.styles;
    }
};

/// Single-sample colour and depth of the drawing, and the many-sample buffers that are resolved into it.
struct Targets {
    int width = 0, height = 0;
    gl::Framebuffer scene, samples, smoothed;
    gl::Texture colour, depth, smooth_colour;
    gl::Renderbuffer sample_colour, sample_depth;

    void fit(int w, int h) {
        if (w == width && h == height) return;
        width = w;
        height = h;
        colour = gl::make_texture(GL_RGBA8, w, h, GL_RGBA, GL_UNSIGNED_BYTE, GL_LINEAR);
        depth = gl::make_texture(GL_DEPTH24_STENCIL8, w, h, GL_DEPTH_STENCIL, GL_UNSIGNED_INT_24_8, GL_NEAREST);
        scene = over_depth(colour, "the drawing");
        samples = gl::Framebuffer();
        smoothed = gl::Framebuffer();
    }

    /// A second picture with the same depth, for what is drawn over the smoothed solids.
    void need_smoothed() {
        if (smoothed) return;
        smooth_colour = gl::make_texture(GL_RGBA8, width, height, GL_RGBA, GL_UNSIGNED_BYTE, GL_NEAREST);
        smoothed = over_depth(smooth_colour, "the smoothed drawing");
    }

    /// A framebuffer of a colour texture with the depth that all share.
    [[nodiscard]] gl::Framebuffer over_depth(const gl::Texture& picture, const char* what) const {
        auto framebuffer = gl::make_framebuffer();
        glBindFramebuffer(GL_FRAMEBUFFER, framebuffer.name());
        glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, picture.name(), 0);
        glFramebufferTexture2D(GL_FRAMEBUFFER, GL_DEPTH_STENCIL_ATTACHMENT, GL_TEXTURE_2D, depth.name(), 0);
        gl::require_complete(what);
        return framebuffer;
    }

    void need_samples() {
        if (samples) return;
        GLint most = 0;
        glGetIntegerv(GL_MAX_SAMPLES, &most);
        const int count = std::min(4, static_cast<int>(most));
        sample_colour = gl::make_renderbuffer(GL_RGBA8, width, height, count);
        sample_depth = gl::make_renderbuffer(GL_DEPTH24_STENCIL8, width, height, count);
        samples = gl::make_framebuffer();
        glBindFramebuffer(GL_FRAMEBUFFER, samples.name());
        glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_RENDERBUFFER, sample_colour.name());
        glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_DEPTH_STENCIL_ATTACHMENT, GL_RENDERBUFFER, sample_depth.name());
        gl::require_complete("the drawing with several samples");
    }
};

int welcome(model::SubjectKind kind) {
    switch (kind) {
    case model::SubjectKind::port:
        return 8;
    case model::SubjectKind::seal:
        return 6;
    case model::SubjectKind::circuit:
        return 4;
    case model::SubjectKind::part:
        return 2;
    case model::SubjectKind::none:
        return 0;
    }
    return 0;
}

/// Without a graphics processor four samples a pixel take three times as long as one.
bool draws_on_processor() {
    const auto* text = reinterpret_cast<const char*>(glGetString(GL_RENDERER));
    const std::string_view name = text != nullptr ? text : "";
    return name.find("llvmpipe") != std::string_view::npos || name.find("softpipe") != std::string_view::npos ||
           name.find("Software") != std::string_view::npos;
}

} // namespace

struct Renderer::Impl {
    gl::Program ground, part, depth, depth_cut, cap, cap_depth, plane, line, steps;
    bool on_processor = draws_on_processor();
    GLuint shown = 0; ///< framebuffer that holds the finished scene
    gl::VertexArray empty = gl::make_vertex_array();
    FrameBuffer block_buffer;
    Targets targets;
    Prepass prepass;
    Shadow shadow;
    Air air;

    std::optional<GeometryStore> geometry;
    unsigned long shapes_revision = 0;
    const model::Shape* shapes_at = nullptr;
    bool geometry_is_new = false;
    std::vector<float> styles;
    SceneKey scene_key;
    Prepass::Scene prepass_scene;
    SceneKey prepass_key; ///< without the figures that only the look depends on
    bool prepass_drawn = false, occlusion_drawn = false;
    glm::dvec4 drawing{0}; ///< x, y, width, height of the last frame's drawing, from the top left

    Impl() {
        const int version = epoxy_gl_version();
        if (epoxy_is_desktop_gl() ? version < 33 : version < 30) {
            throw std::runtime_error(fmt::format("the drawing needs OpenGL 3.3, and this machine offers {}.{} ({})",
                                                 version / 10, version % 10,
                                                 reinterpret_cast<const char*>(glGetString(GL_VERSION))));
        }
    }

    void take_shapes(const Derived& derived) {
        if (geometry && derived.shapes_revision == shapes_revision && derived.shapes.data() == shapes_at) return;
        geometry.emplace(derived.shapes);
        shapes_revision = derived.shapes_revision;
        shapes_at = derived.shapes.data();
        geometry_is_new = true;
        prepass_drawn = occlusion_drawn = false;
        scene_key = SceneKey();
        styles.clear();
    }

    void take_styles(const std::vector<ShapeStyle>& table) {
        const auto* first = reinterpret_cast<const float*>(table.data());
        std::vector<float> flat(first, first + table.size() * 16);
        if (flat == styles) return;
        styles = std::move(flat);
        geometry->set_styles(table);
    }

    void need_prepass() {
        if (prepass_drawn) return;
        prepass.draw(*geometry, prepass_scene);
        prepass_drawn = true;
    }

    void draw_solids(const Sight& sight, bool section) {
        glEnable(GL_DEPTH_TEST);
        glDepthFunc(GL_LESS);
        glDepthMask(GL_TRUE);
        glEnable(GL_CULL_FACE);
        glCullFace(GL_BACK);
        if (section && !depth_cut) {
            depth_cut = gl::Program("depth, cut", shader_text::part_vert, shader_text::depth_frag, {"SECTION"});
            cap = gl::Program("cut face", shader_text::part_vert, shader_text::cap_frag, {"CAP"});
            cap_depth =
                gl::Program("depth of cut faces", shader_text::part_vert, shader_text::depth_frag, {"SECTION", "CAP"});
            plane = gl::Program("section plane", shader_text::plane_vert, shader_text::plane_frag);
        }
        // Depth first: then every pixel is shaded once, and the shading itself need not ask what is cut away. What is
        // cut comes before what stays whole: a drilling inside the metal behind the cut must not show on the cut face.
        depth_only(section ? depth_cut : depth, GeometryStore::Group::cut, sight, section);
        if (section && sight.eye.y * sight.side > 0) draw_cut_faces(sight, section);
        glEnable(GL_STENCIL_TEST); // what stands before a cut face is no cut face
        glStencilFunc(GL_ALWAYS, 0, 0xFF);
        glStencilOp(GL_KEEP, GL_KEEP, GL_REPLACE);
        depth_only(depth, GeometryStore::Group::whole, sight, section);
        glDisable(GL_STENCIL_TEST);
        glDepthMask(GL_FALSE);
        glDepthFunc(GL_EQUAL);
        part.use();
        part.set("see_through", 1.0f);
        geometry->draw(GeometryStore::Group::whole, sight, section);
        geometry->draw(GeometryStore::Group::cut, sight, section);
        glDepthMask(GL_TRUE);
        glDepthFunc(GL_LESS);
    }

    void depth_only(const gl::Program& program, GeometryStore::Group group, const Sight& sight, bool section) {
        glColorMask(GL_FALSE, GL_FALSE, GL_FALSE, GL_FALSE);
        program.use();
        geometry->draw(group, sight, section);
        glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
    }

    /// All fronts of what is cut are in the depth buffer already, so a cut face that passes the test is what is seen.
    void draw_cut_faces(const Sight& sight, bool section) {
        glCullFace(GL_FRONT);
        depth_only(cap_depth, GeometryStore::Group::capped, sight, section);
        glDepthFunc(GL_EQUAL);
        glEnable(GL_STENCIL_TEST);
        glStencilFunc(GL_ALWAYS, 1, 0xFF);
        glStencilOp(GL_KEEP, GL_KEEP, GL_REPLACE);
        cap.use();
        geometry->draw(GeometryStore::Group::capped, sight, section);
        // There the plane's own depth takes the place of the inside's: what lies behind the cut stays behind it.
        glStencilFunc(GL_EQUAL, 1, 0xFF);
        glStencilOp(GL_KEEP, GL_KEEP, GL_KEEP);
        glDisable(GL_CULL_FACE);
        glDepthFunc(GL_ALWAYS);
        glColorMask(GL_FALSE, GL_FALSE, GL_FALSE, GL_FALSE);
        const auto box = geometry->bounds();
        plane.use();
        plane.set("extent", glm::vec4(box.low.x - 1, box.low.z - 1, box.high.x + 1, box.high.z + 1));
        glBindVertexArray(empty.name());
        glDrawArrays(GL_TRIANGLE_STRIP, 0, 4);
        glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
        glDepthFunc(GL_LESS);
        glDisable(GL_STENCIL_TEST);
        glEnable(GL_CULL_FACE);
        glCullFace(GL_BACK);
    }

    /// Softens the borders of the solids; hatches are soft already and stay as they are.
    void smooth_steps() {
        if (!steps) steps = gl::Program("steps", shader_text::full_vert, shader_text::steps_frag);
        targets.need_smoothed();
        glBindFramebuffer(GL_READ_FRAMEBUFFER, targets.scene.name());
        glBindFramebuffer(GL_DRAW_FRAMEBUFFER, targets.smoothed.name());
        glBlitFramebuffer(0, 0, targets.width, targets.height, 0, 0, targets.width, targets.height, GL_COLOR_BUFFER_BIT,
                          GL_NEAREST);
        glBindFramebuffer(GL_FRAMEBUFFER, targets.smoothed.name());
        glDisable(GL_DEPTH_TEST);
        glDisable(GL_CULL_FACE);
        glEnable(GL_STENCIL_TEST);
        glStencilFunc(GL_EQUAL, 0, 0xFF);
        glStencilOp(GL_KEEP, GL_KEEP, GL_KEEP);
        gl::bind(gl::Unit::source, targets.colour);
        steps.use();
        glBindVertexArray(empty.name());
        glDrawArrays(GL_TRIANGLES, 0, 3);
        glDisable(GL_STENCIL_TEST);
        glEnable(GL_DEPTH_TEST);
    }

    void draw_lines(const glm::vec2& width_rule) {
        glEnable(GL_BLEND);
        glBlendFunc(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA);
        glDepthMask(GL_FALSE);
        glDepthFunc(GL_LEQUAL);
        glDisable(GL_CULL_FACE);
        line.use();
        line.set("width_rule", width_rule);
        geometry->draw_lines();
    }

    /// What stands behind something else and is asked about still shows, faintly.
    void draw_hidden(const std::vector<std::pair<std::size_t, float>>& shapes) {
        if (shapes.empty()) return;
        glEnable(GL_BLEND);
        glBlendFunc(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA);
        glDepthMask(GL_FALSE);
        glDepthFunc(GL_GREATER);
        glEnable(GL_CULL_FACE);
        part.use();
        for (const auto& [shape, share] : shapes) {
            part.set("see_through", share);
            geometry->draw_shape(shape);
        }
    }

    void draw_glass(const Sight& sight) {
        const auto shapes = geometry->glass_far_to_near(sight);
        if (shapes.empty()) return;
        part.use();
        part.set("see_through", 1.0f);
        glEnable(GL_CULL_FACE);
        glEnable(GL_BLEND);
        glBlendFunc(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA);
        for (const auto shape : shapes) {
            // Its own depth first, so that only the nearest layer tints.
            glColorMask(GL_FALSE, GL_FALSE, GL_FALSE, GL_FALSE);
            glDepthMask(GL_TRUE);
            glDepthFunc(GL_LESS);
            geometry->draw_shape(shape);
            glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
            glDepthMask(GL_FALSE);
            glDepthFunc(GL_EQUAL);
            geometry->draw_shape(shape);
        }
    }
};

Renderer::Renderer() : impl_(std::make_unique<Impl>()) {}
Renderer::~Renderer() = default;

void Renderer::draw(unsigned framebuffer, const Session& session, const Derived& derived, const FrameSpec& spec) {
    auto& my = *impl_;
    const int width = std::max(1, static_cast<int>(std::lround(spec.drawing.width)));
    const int height = std::max(1, static_cast<int>(std::lround(spec.drawing.height)));
    const int left = static_cast<int>(std::lround(spec.drawing.x));
    const int bottom = spec.height - static_cast<int>(std::lround(spec.drawing.y)) - height;
    my.drawing = glm::dvec4(left, std::lround(spec.drawing.y), width, height);
    glDisable(GL_SCISSOR_TEST);
    glDisable(GL_STENCIL_TEST);

    my.take_shapes(derived);
    my.take_styles(style_shapes(session, derived, spec.hover, my.geometry->ranks()));

    // The eye.
    PixelWindow window;
    window.width = width;
    window.height = height;
    window.whole_width = width / spec.tile.width;
    window.whole_height = height / spec.tile.height;
    window.x = spec.tile.x * window.whole_width;
    window.y = (1 - spec.tile.y - spec.tile.height) * window.whole_height;
    const Camera camera = camera_at(session.view.flight, spec.now_s);
    const auto world_from_unit = lying_matrix(session.view.lying);
    const auto world_eye = eye_of(camera);
    const auto view = view_matrix(camera);
    const auto projection = projection_matrix(camera, window.whole_width / window.whole_height);
    const auto unit_from_world = glm::inverse(world_from_unit);
    const auto view_from_unit = view * world_from_unit;
    const auto clip_from_world = window.from_whole() * projection * view;
    const auto clip_from_unit = clip_from_world * world_from_unit;
    const glm::dvec3 eye(unit_from_world * glm::dvec4(world_eye, 1));
    const double side = session.view.section ? cut_side(session.view.lying) : 0;
    const double mm_per_pixel = 2 * camera.distance / (projection[1][1] * window.whole_height);
    const auto theme = look_of(session.view.theme);
    const Sight sight{glm::mat4(clip_from_unit), glm::vec3(eye), side};

    SceneKey key;
    key.clip_from_unit = clip_from_unit;
    key.figures = {side,
                   static_cast<double>(session.view.theme),
                   double(width),
                   double(height),
                   spec.tile.x,
                   spec.tile.y,
                   spec.tile.width,
                   spec.tile.height,
                   spec.pixels_per_point,
                   0,
                   0,
                   0};
    if (!(key == my.prepass_key)) {
        my.prepass_key = key;
        my.prepass_drawn = my.occlusion_drawn = false;
        my.prepass_scene = {window,         projection,   view_from_unit,       side,
                            glm::vec3(eye), mm_per_pixel, spec.pixels_per_point};
    }
    key.figures[9] = spec.still ? 1 : 0;
    key.styles = my.styles;
    if (!(key == my.scene_key)) {
        my.scene_key = key;
        if (spec.still) {
            my.need_prepass();
            if (!my.occlusion_drawn) my.prepass.occlude();
            my.occlusion_drawn = true;
        }

        Shadow::Scene bench;
        bench.world_from_unit = world_from_unit;
        bench.side = side;
        bench.low = glm::dvec3(1e9);
        bench.high = glm::dvec3(-1e9);
        const auto box = my.geometry->bounds();
        for (int corner = 0; corner < 8; ++corner) {
            const glm::dvec3 p(world_from_unit * glm::dvec4((corner & 1) ? box.high.x : box.low.x,
                                                            (corner & 2) ? box.high.y : box.low.y,
                                                            (corner & 4) ? box.high.z : box.low.z, 1));
            bench.low = glm::min(bench.low, p);
            bench.high = glm::max(bench.high, p);
        }
        bench.ground = bench.low.z - 0.03 * (bench.high.z - bench.low.z);
        my.shadow.update(*my.geometry, bench, my.geometry_is_new);
        my.geometry_is_new = false;
        my.geometry->set_lines(sight);

        FrameBlock block;
        block.clip_from_unit = sight.clip_from_unit;
        block.view_from_unit = glm::mat4(view_from_unit);
        block.eye = four(eye, spec.pixels_per_point);
        const auto unit_from_view = glm::dmat3(glm::inverse(view_from_unit));
        block.up = four(glm::dmat3(unit_from_world) * glm::dvec3(0, 0, 1), 0.34 * spec.pixels_per_point);
        block.key = four(unit_from_view * glm::normalize(glm::dvec3(-0.42, 0.66, 0.8)), spec.still ? 0.9 : 0);
        block.section = glm::vec4(side, hatch_spacing(mm_per_pixel, spec.pixels_per_point), mm_per_pixel,
                                  session.view.theme == Theme::dark ? 1 : 0);
        block.screen = glm::vec4(width, height, 1.0 / width, 1.0 / height);
        block.place = glm::vec4(spec.tile.x, spec.tile.y, spec.tile.width, spec.tile.height);
        block.pixel = glm::vec4(std::round(window.x), std::round(spec.tile.y * window.whole_height), 0, 0);
        block.occlusion_map = my.prepass.map();
        block.ground_top = glm::vec4(plain(theme.ground_top), theme.shadow);
        block.ground_bottom = glm::vec4(plain(theme.ground_bottom), 1);
        block.world_from_clip = glm::mat4(glm::inverse(clip_from_world));
        block.world_eye = four(world_eye, bench.ground);
        block.shadow_map = my.shadow.map();
        my.block_buffer.set(block);

        if (!my.ground) {
            my.ground = gl::Program("ground", shader_text::full_vert, shader_text::ground_frag);
            my.part = gl::Program("part", shader_text::part_vert, shader_text::part_frag);
            my.depth = gl::Program("depth", shader_text::part_vert, shader_text::depth_frag);
            my.line = gl::Program("line", shader_text::line_vert, shader_text::line_frag);
        }
        my.targets.fit(width, height);
        const bool samples = spec.still && !my.on_processor;
        if (samples) my.targets.need_samples();
        glBindFramebuffer(GL_FRAMEBUFFER, samples ? my.targets.samples.name() : my.targets.scene.name());
        glViewport(0, 0, width, height);
        glDisable(GL_BLEND);
        glDisable(GL_CULL_FACE);
        glDisable(GL_DEPTH_TEST);
        glDepthMask(GL_TRUE);
        glClear(GL_DEPTH_BUFFER_BIT | GL_STENCIL_BUFFER_BIT);
        gl::bind(gl::Unit::styles, my.geometry->styles());
        gl::bind(gl::Unit::shadow, my.shadow.texture());
        if (spec.still) gl::bind(gl::Unit::occlusion, my.prepass.occlusion());
        my.ground.use();
        glBindVertexArray(my.empty.name());
        glDrawArrays(GL_TRIANGLES, 0, 3);
        my.draw_solids(sight, session.view.section);
        if (spec.still && my.on_processor) my.smooth_steps();
        my.draw_lines(glm::vec2(spec.pixels_per_point, 0.0022f));
        if (!session.view.section) {
            // Closed, the unit hides what the answer is about; cut open, a ghost would only blur the counting.
            my.draw_hidden(my.geometry->asked_shapes(derived.suspect));
            my.draw_glass(sight);
        }
        my.shown = spec.still && my.on_processor ? my.targets.smoothed.name() : my.targets.scene.name();
        if (samples) {
            glBindFramebuffer(GL_READ_FRAMEBUFFER, my.targets.samples.name());
            glBindFramebuffer(GL_DRAW_FRAMEBUFFER, my.targets.scene.name());
            glBlitFramebuffer(0, 0, width, height, 0, 0, width, height, GL_COLOR_BUFFER_BIT, GL_NEAREST);
        }
    }

    glDepthMask(GL_TRUE);
    glDisable(GL_DEPTH_TEST);
    glDisable(GL_CULL_FACE);
    glDisable(GL_BLEND);
    glBindFramebuffer(GL_FRAMEBUFFER, framebuffer);
    glViewport(0, 0, spec.width, spec.height);
    if (width != spec.width || height != spec.height) {
        glClearColor(static_cast<float>(theme.panel.r), static_cast<float>(theme.panel.g),
                     static_cast<float>(theme.panel.b), 1);
        glClear(GL_COLOR_BUFFER_BIT);
    }
    glBindFramebuffer(GL_READ_FRAMEBUFFER, my.shown);
    glBlitFramebuffer(0, 0, width, height, left, bottom, left + width, bottom + height, GL_COLOR_BUFFER_BIT,
                      GL_NEAREST);
    glBindFramebuffer(GL_FRAMEBUFFER, framebuffer);
    const AirPace pace = air_pace(shown_lpm(session, derived));
    if (derived.air && !derived.air->points.empty() && pace.spacing_points > 0) {
        glViewport(left, bottom, width, height);
        AirView air;
        air.clip_from_unit = clip_from_unit;
        air.eye = eye;
        air.window = window;
        air.mm_per_pixel = mm_per_pixel;
        air.pixels_per_point = spec.pixels_per_point;
        air.spacing_points = pace.spacing_points;
        air.travel_points = spec.air_travel_points;
        air.leaves_by_port = model::find(session.document.map.ports, session.document.came_out) != nullptr;
        // The pixel is one of the whole frame buffer here.
        auto map = spec.still ? my.prepass.map() : glm::vec4(1.0 / width, 1.0 / height, 0, 0);
        map.z -= static_cast<float>(left) * map.x;
        map.w -= static_cast<float>(bottom) * map.y;
        gl::bind(gl::Unit::scene_depth, spec.still ? my.prepass.depth() : my.targets.depth);
        my.air.draw(*derived.air, air, map, session.view.theme == Theme::dark);
    }
    glBindVertexArray(0);
    glUseProgram(0);
    glActiveTexture(GL_TEXTURE0);
    glBindBuffer(GL_ARRAY_BUFFER, 0);
    glViewport(0, 0, spec.width, spec.height);
}

model::Subject Renderer::pick(double x, double y) const {
    auto& my = *impl_;
    if (!my.geometry || my.drawing.z <= 0) return {};
    const double px = x - my.drawing.x, py = my.drawing.w - (y - my.drawing.y);
    if (px < 0 || py < 0 || px >= my.drawing.z || py >= my.drawing.w) return {};
    if (!my.prepass_drawn) {
        GLint before = 0;
        std::array<GLint, 4> viewport{};
        glGetIntegerv(GL_DRAW_FRAMEBUFFER_BINDING, &before);
        glGetIntegerv(GL_VIEWPORT, viewport.data());
        my.need_prepass();
        glDisable(GL_DEPTH_TEST);
        glDisable(GL_CULL_FACE);
        glBindVertexArray(0);
        glUseProgram(0);
        glBindFramebuffer(GL_FRAMEBUFFER, static_cast<GLuint>(before));
        glViewport(viewport[0], viewport[1], viewport[2], viewport[3]);
    }
    const auto& subjects = my.geometry->subjects();
    const auto rank = [&](int id) {
        return static_cast<std::size_t>(id) <= subjects.size()
                   ? welcome(subjects[static_cast<std::size_t>(id) - 1].kind)
                   : -1;
    };
    const int id = my.prepass.pick(px, py, rank);
    if (id == 0 || static_cast<std::size_t>(id) > subjects.size()) return {};
    return subjects[static_cast<std::size_t>(id) - 1];
}

} // namespace ringland::viewer
