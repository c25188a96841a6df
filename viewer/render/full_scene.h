// The scene in full quality, as a list of steps: at rest they are carried out a few at a time, so that the program
// answers meanwhile, and a still picture takes them all at once. The picture is the same either way.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "scene_frame.h"
#include "targets.h"

namespace ringland::viewer {

class FullScene {
public:
    explicit FullScene(bool on_processor) : on_processor_(on_processor), empty_(gl::make_vertex_array()) {}

    struct Wish {
        bool still = true; ///< false: without occlusion and with one sample a pixel
        bool prepass_is_drawn = false, occlusion_is_drawn = false;
        bool geometry_is_new = false;
        std::size_t parts = 1; ///< into which long steps are divided
    };
    /// What the steps refer to has to stay until the last of them.
    void begin(GeometryStore& geometry, Prepass& prepass, Shadow& shadow, const SceneFrame& frame, const Wish& wish);
    /// Carries out one step; true when that was the last.
    bool step();
    [[nodiscard]] bool finished() const { return next_ >= steps_.size(); }
    [[nodiscard]] GLuint framebuffer() const { return shown_; } ///< of the finished picture
    [[nodiscard]] const gl::Texture& depth() const { return targets_.depth; }

private:
    void need_programs(bool section);
    void plan_prepass(const Wish& wish);
    void plan_solids(const Wish& wish);
    void add(std::function<void()> step) { steps_.push_back(std::move(step)); }
    /// A step of the picture itself, with what all of these share bound.
    void add_drawing(std::function<void()> step);
    void enter() const;
    void depth_only(const gl::Program& program, GeometryStore::Group group, const Share& share) const;
    void draw_cut_depth(const Share& share) const;
    void draw_caps(const Share& share) const;
    void lower_caps() const;
    void shade(GeometryStore::Group group, const Share& share) const;
    void smooth_steps();
    void draw_lines(const Share& share) const;
    void draw_hidden() const;
    /// In three goes: the tint of every wall, the depth of the nearest, the light on that one. The order of the shapes
    /// does not show.
    enum class Glass { tint, nearest_depth, nearest };
    void draw_glass(Glass go, const Share& share) const;
    void draw_glass_lines() const;
    void begin_lines(float glass_share) const;

    bool on_processor_;
    gl::Program ground_, part_, glass_, depth_, depth_cut_, cap_, cap_depth_, plane_, line_, smooth_;
    Targets targets_;
    gl::VertexArray empty_;
    FrameBuffer block_buffer_;
    GeometryStore* geometry_ = nullptr;
    Prepass* prepass_ = nullptr;
    Shadow* shadow_ = nullptr;
    SceneFrame frame_;
    bool still_ = true, samples_ = false;
    GLuint target_ = 0, shown_ = 0;
    std::vector<std::function<void()>> steps_;
    std::size_t next_ = 0;
};

} // namespace ringland::viewer
