#include "renderer.h"

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <future>
#include <optional>
#include <stdexcept>
#include <utility>

#include <fmt/core.h>
#include <glm/gtc/matrix_inverse.hpp>

#include "air.h"
#include "full_scene.h"
#include "materials.h"
#include "quick_scene.h"
#include "styles.h"

namespace ringland::viewer {

namespace {

glm::vec4 four(const glm::dvec3& v, double w) { return {glm::vec3(v), static_cast<float>(w)}; }

/// Hatch spacing in mm for seven points, in steps so that it stands still while the eye moves a little.
double hatch_spacing(double mm_per_pixel, double pixels_per_point) {
    const double wanted = 7 * pixels_per_point * mm_per_pixel;
    return std::exp2(std::round(std::log2(wanted) * 2) / 2);
}

/// Everything that the scene depends on; equal keys mean an equal picture.
struct SceneKey {
    glm::dmat4 clip_from_unit{0};
    std::array<double, 9> figures{};
    Theme theme = Theme::light;
    glm::vec4 ground{0};
    std::vector<ShapeStyle> styles;
    [[nodiscard]] bool same_view(const SceneKey& other) const {
        return clip_from_unit == other.clip_from_unit && figures == other.figures;
    }
    friend bool operator==(const SceneKey& a, const SceneKey& b) {
        return a.same_view(b) && a.theme == b.theme && a.ground == b.ground && a.styles == b.styles;
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

double steady_now_s() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// A picture without depth.
struct ColourTarget {
    int width, height;
    gl::Texture colour;
    gl::Framebuffer framebuffer = gl::make_framebuffer();

    ColourTarget(int w, int h)
        : width(w), height(h), colour(gl::make_texture(GL_RGBA8, w, h, GL_RGBA, GL_UNSIGNED_BYTE, GL_NEAREST)) {
        glBindFramebuffer(GL_FRAMEBUFFER, framebuffer.name());
        glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, colour.name(), 0);
        gl::require_complete("the finished drawing");
    }
};

} // namespace

struct Renderer::Impl {
    bool on_processor = draws_on_processor();
    GLuint shown = 0; ///< framebuffer that holds the scene as it is to be seen now
    bool shown_in_haste = false;
    unsigned long finished = 0; ///< scenes in full quality
    Prepass prepass, small_prepass;
    Shadow shadow;
    Air air;
    FullScene full{on_processor};
    std::optional<QuickScene> quick;
    std::optional<ColourTarget> kept; ///< the last finished picture, while the next one is drawn in slices

    std::optional<GeometryStore> geometry;
    unsigned long shapes_revision = 0;
    const model::Shape* shapes_at = nullptr;
    unsigned long poses_revision = 0;
    bool geometry_is_new = false;
    std::vector<ShapeStyle> styles;
    SceneKey shown_key; ///< of the scene in `shown`
    SceneKey begun_key; ///< of the scene whose steps are under way
    SceneKey view_key;  ///< of the last frame, without what only the look depends on
    Prepass::Scene prepass_scene;
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

    /// `in_haste` says that a moving frame comes next.
    void take_shapes(const Derived& derived, bool in_haste) {
        if (geometry && derived.shapes_revision == shapes_revision && derived.shapes.data() == shapes_at) return;
        const bool quickly = in_haste && on_processor;
        std::future<FrontFaces> faces;
        if (quickly) faces = std::async(std::launch::async, [&derived] { return FrontFaces(derived.shapes, 0); });
        auto vertices = solid_vertices(derived.shapes);
        geometry.emplace(derived.shapes, vertices, on_processor);
        shapes_revision = derived.shapes_revision;
        shapes_at = derived.shapes.data();
        geometry_is_new = true;
        prepass_drawn = occlusion_drawn = false;
        shown_key = begun_key = SceneKey();
        if (quick) quick->forget();
        if (quickly) {
            if (!quick) quick.emplace();
            quick->take(std::move(vertices), faces.get());
        }
        styles.clear();
    }

    void take_styles(std::vector<ShapeStyle> table) {
        if (table == styles) return;
        styles = std::move(table);
        if (geometry->set_styles(styles)) {
            ++poses_revision;
            geometry_is_new = true; // for the shadow
            prepass_drawn = occlusion_drawn = false;
        }
    }

    /// At once, or for about as long as the frame has time. True when the picture is finished.
    bool draw_full(const SceneKey& key, const SceneFrame& frame, const FrameSpec& spec) {
        if (!(begun_key == key)) {
            begun_key = key;
            // The steps draw where the last picture in full quality was drawn.
            if (spec.slice_s > 0 && !shown_in_haste && shown == full.framebuffer()) keep(frame.width, frame.height);
            FullScene::Wish wish;
            wish.still = spec.still;
            wish.prepass_is_drawn = prepass_drawn;
            wish.occlusion_is_drawn = occlusion_drawn;
            wish.geometry_is_new = geometry_is_new;
            if (on_processor && spec.slice_s > 0) {
                wish.parts = static_cast<std::size_t>(std::clamp(frame.width * frame.height / 250'000.0, 3.0, 16.0));
            }
            geometry->clear_counts();
            full.begin(*geometry, prepass, shadow, frame, wish);
        }
        const double begin_s = steady_now_s();
        double longest_s = 0;
        for (double step_s = begin_s; !full.finished();) {
            full.step();
            if (spec.slice_s <= 0) continue;
            glFinish(); // or the time would be spent later
            const double now_s = steady_now_s();
            longest_s = std::max(longest_s, now_s - std::exchange(step_s, now_s));
            if (now_s - begin_s + 0.5 * longest_s > spec.slice_s) break;
        }
        if (!full.finished()) return false;
        if (spec.still) {
            prepass_drawn = occlusion_drawn = true;
            ++finished;
        }
        geometry_is_new = false;
        begun_key = SceneKey();
        shown_key = key;
        shown_in_haste = false;
        shown = full.framebuffer();
        if (spec.slice_s > 0) keep(frame.width, frame.height);
        return true;
    }

    void keep(int width, int height) {
        if (!kept || kept->width != width || kept->height != height) kept.emplace(width, height);
        glBindFramebuffer(GL_READ_FRAMEBUFFER, shown);
        glBindFramebuffer(GL_DRAW_FRAMEBUFFER, kept->framebuffer.name());
        glBlitFramebuffer(0, 0, width, height, 0, 0, width, height, GL_COLOR_BUFFER_BIT, GL_NEAREST);
        shown = kept->framebuffer.name();
    }

    /// Given a place, only there.
    void draw_in_haste(const SceneKey& key, const std::vector<model::Shape>& shapes, const SceneFrame& frame,
                       const FrameSpec& spec, const std::optional<QuickScene::Place>& place = {}) {
        if (!on_processor) {
            FrameSpec all = spec;
            all.still = false;
            all.slice_s = 0;
            begun_key = SceneKey();
            draw_full(key, frame, all);
        } else {
            if (!quick) quick.emplace();
            geometry->clear_counts();
            shadow.update(*geometry, frame.bench, geometry_is_new);
            geometry_is_new = false;
            quick->draw(*geometry, shapes, styles, shadow, frame, place);
            shown = place ? 0 : quick->framebuffer();
            shown_key = place ? SceneKey() : key;
        }
        shown_in_haste = true;
    }

    [[nodiscard]] Shadow::Scene bench_of(const glm::dmat4& world_from_unit, double side) const {
        Shadow::Scene bench;
        bench.world_from_unit = world_from_unit;
        bench.side = side;
        bench.low = glm::dvec3(1e9);
        bench.high = glm::dvec3(-1e9);
        const auto box = geometry->bounds();
        for (int corner = 0; corner < 8; ++corner) {
            const glm::dvec3 p(world_from_unit * glm::dvec4((corner & 1) ? box.high.x : box.low.x,
                                                            (corner & 2) ? box.high.y : box.low.y,
                                                            (corner & 4) ? box.high.z : box.low.z, 1));
            bench.low = glm::min(bench.low, p);
            bench.high = glm::max(bench.high, p);
        }
        bench.ground = bench.low.z - 0.03 * (bench.high.z - bench.low.z);
        return bench;
    }

    /// While the view moves only the surroundings of the pointer are drawn.
    template <class Rank> int pick_around(double x, double y, const Rank& rank) {
        GLint before = 0;
        std::array<GLint, 4> viewport{};
        glGetIntegerv(GL_DRAW_FRAMEBUFFER_BINDING, &before);
        glGetIntegerv(GL_VIEWPORT, viewport.data());
        auto scene = prepass_scene;
        const double reach = 8, left = std::floor(x) - reach, bottom = std::floor(y) - reach;
        scene.window.x += left;
        scene.window.y += bottom;
        scene.window.width = scene.window.height = 2 * reach;
        small_prepass.draw(*geometry, scene);
        glDisable(GL_DEPTH_TEST);
        glDisable(GL_CULL_FACE);
        glBindVertexArray(0);
        glUseProgram(0);
        glBindFramebuffer(GL_FRAMEBUFFER, static_cast<GLuint>(before));
        glViewport(viewport[0], viewport[1], viewport[2], viewport[3]);
        return small_prepass.pick(x - left, y - bottom, rank);
    }

    /// What hides what, for the arrows of the air: its depths, and from pixels of the drawing to its coordinates.
    struct Depths {
        const gl::Texture* texture;
        glm::vec4 map;
    };
    [[nodiscard]] Depths depths(int width, int height) const {
        if (prepass_drawn) return {&prepass.depth(), prepass.map()};
        if (on_processor && quick) return {&quick->depth(), quick->depth_map()};
        return {&full.depth(), glm::vec4(1.0 / width, 1.0 / height, 0, 0)};
    }
};

Renderer::Renderer() : impl_(std::make_unique<Impl>()) {}
Renderer::~Renderer() = default;

bool Renderer::draw(unsigned framebuffer, const Session& session, const Derived& derived, const FrameSpec& spec) {
    auto& my = *impl_;
    const int width = std::max(1, static_cast<int>(std::lround(spec.drawing.width)));
    const int height = std::max(1, static_cast<int>(std::lround(spec.drawing.height)));
    const int left = static_cast<int>(std::lround(spec.drawing.x));
    const int bottom = spec.height - static_cast<int>(std::lround(spec.drawing.y)) - height;
    my.drawing = glm::dvec4(left, std::lround(spec.drawing.y), width, height);
    glDisable(GL_SCISSOR_TEST);
    glDisable(GL_STENCIL_TEST);

    my.take_shapes(derived, !spec.still);
    my.take_styles(style_shapes(session, derived, spec.hover, my.geometry->ranks(), spec.now_s));

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

    SceneFrame frame;
    frame.width = width;
    frame.height = height;
    frame.sight = {glm::mat4(clip_from_unit), glm::vec3(eye), side};
    frame.section = session.view.section;
    frame.pixels_per_point = spec.pixels_per_point;
    frame.distance_mm = camera.distance;
    frame.prepass = {window, projection, view_from_unit, side, glm::vec3(eye), mm_per_pixel, spec.pixels_per_point};
    frame.bench = my.bench_of(world_from_unit, side);
    auto& block = frame.block;
    block.clip_from_unit = frame.sight.clip_from_unit;
    block.view_from_unit = glm::mat4(view_from_unit);
    block.eye = four(eye, spec.pixels_per_point);
    const auto unit_from_view = glm::dmat3(glm::inverse(view_from_unit));
    block.up = four(glm::dmat3(unit_from_world) * glm::dvec3(0, 0, 1), 0.34 * spec.pixels_per_point);
    block.key = four(unit_from_view * glm::normalize(glm::dvec3(-0.42, 0.66, 0.8)), 0);
    block.section = glm::vec4(side, hatch_spacing(mm_per_pixel, spec.pixels_per_point), mm_per_pixel,
                              session.view.theme == Theme::dark ? 1 : 0);
    block.screen = glm::vec4(width, height, 1.0 / width, 1.0 / height);
    block.place = glm::vec4(spec.tile.x, spec.tile.y, spec.tile.width, spec.tile.height);
    const double grain = spec.even_ground ? 0 : 1.0 / 160; // of the paper
    block.pixel = glm::vec4(std::round(window.x), std::round(spec.tile.y * window.whole_height), grain, 0);
    const auto& ground_top = spec.even_ground ? spec.even_ground->colour : theme.ground_top;
    const auto& ground_bottom = spec.even_ground ? spec.even_ground->colour : theme.ground_bottom;
    block.ground_top = glm::vec4(plain(ground_top), spec.even_ground ? spec.even_ground->shadow : theme.shadow);
    block.ground_bottom = glm::vec4(plain(ground_bottom), 1);
    block.world_from_clip = glm::mat4(glm::inverse(clip_from_world));
    block.world_eye = four(world_eye, frame.bench.ground);

    SceneKey key;
    key.clip_from_unit = clip_from_unit;
    key.figures = {side,
                   double(width),
                   double(height),
                   spec.tile.x,
                   spec.tile.y,
                   spec.tile.width,
                   spec.tile.height,
                   spec.pixels_per_point,
                   double(my.poses_revision)};
    if (!(key == my.view_key)) {
        my.view_key = key;
        my.prepass_drawn = my.occlusion_drawn = false;
        my.prepass_scene = frame.prepass;
    }
    key.theme = session.view.theme;
    key.ground = block.ground_top;
    key.styles = my.styles;
    const bool in_haste_will_do = !spec.still;
    bool finished = my.shown_key == key && (in_haste_will_do || !my.shown_in_haste);
    const bool drawn_in_place = !finished && !spec.still && spec.only_once && my.on_processor;
    glBindFramebuffer(GL_FRAMEBUFFER, framebuffer);
    glViewport(0, 0, spec.width, spec.height);
    if (width != spec.width || height != spec.height) {
        glClearColor(static_cast<float>(theme.panel.r), static_cast<float>(theme.panel.g),
                     static_cast<float>(theme.panel.b), 1);
        glClear(GL_COLOR_BUFFER_BIT);
    }
    if (!finished && !spec.still) {
        std::optional<QuickScene::Place> place;
        if (drawn_in_place) place = {framebuffer, left, bottom};
        my.draw_in_haste(key, derived.shapes, frame, spec, place);
        finished = true;
    } else if (!finished) {
        // Of another view nothing can be shown meanwhile.
        if (spec.slice_s > 0 && !my.shown_key.same_view(key)) {
            my.draw_in_haste(key, derived.shapes, frame, spec);
        } else {
            finished = my.draw_full(key, frame, spec);
        }
    }

    glDepthMask(GL_TRUE);
    glDisable(GL_DEPTH_TEST);
    glDisable(GL_CULL_FACE);
    glDisable(GL_BLEND);
    if (!drawn_in_place) {
        glBindFramebuffer(GL_READ_FRAMEBUFFER, my.shown);
        glBindFramebuffer(GL_DRAW_FRAMEBUFFER, framebuffer);
        glBlitFramebuffer(0, 0, width, height, left, bottom, left + width, bottom + height, GL_COLOR_BUFFER_BIT,
                          GL_NEAREST);
    }
    glBindFramebuffer(GL_FRAMEBUFFER, framebuffer);
    const AirPace pace = air_pace(shown_lpm(session, derived));
    // Taken apart there is no way for it.
    if (derived.air && !derived.air->points.empty() && pace.spacing_points > 0 && !apartness(session, derived).any()) {
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
        const auto depths = my.depths(width, height);
        auto map = depths.map;
        map.z -= static_cast<float>(left) * map.x;
        map.w -= static_cast<float>(bottom) * map.y;
        gl::bind(gl::Unit::scene_depth, *depths.texture);
        my.air.draw(*derived.air, air, map, session.view.theme == Theme::dark);
    }
    glBindVertexArray(0);
    glUseProgram(0);
    glActiveTexture(GL_TEXTURE0);
    glBindBuffer(GL_ARRAY_BUFFER, 0);
    glViewport(0, 0, spec.width, spec.height);
    return finished;
}

Renderer::Figures Renderer::figures() const {
    if (!impl_->geometry) return {};
    const auto& counts = impl_->geometry->counts();
    return {counts.triangles, counts.lines, counts.draws, impl_->finished,
            impl_->quick ? impl_->quick->levels_made() : 0};
}

model::Subject Renderer::pick(double x, double y) const {
    auto& my = *impl_;
    if (!my.geometry || my.drawing.z <= 0) return {};
    const double px = x - my.drawing.x, py = my.drawing.w - (y - my.drawing.y);
    if (px < 0 || py < 0 || px >= my.drawing.z || py >= my.drawing.w) return {};
    const auto& subjects = my.geometry->subjects();
    const auto rank = [&](int id) {
        return static_cast<std::size_t>(id) <= subjects.size()
                   ? welcome(subjects[static_cast<std::size_t>(id) - 1].kind)
                   : -1;
    };
    const int id = my.prepass_drawn ? my.prepass.pick(px, py, rank) : my.pick_around(px, py, rank);
    if (id == 0 || static_cast<std::size_t>(id) > subjects.size()) return {};
    return subjects[static_cast<std::size_t>(id) - 1];
}

} // namespace ringland::viewer
