// The way of the air as arrows that move along it, flat towards the eye.
#pragma once

#include <vector>

#include "../../model-data/layout.h"
#include "frame_block.h"

namespace ringland::viewer {

/// One arrow's quad corner as the shader takes it.
struct AirVertex {
    glm::vec3 device;
    glm::vec2 within;
};

/// What the arrows are placed by.
struct AirView {
    glm::dmat4 clip_from_unit{1}; ///< of the window
    glm::dvec3 eye{0};            ///< unit space
    PixelWindow window;
    double mm_per_pixel = 1;
    double pixels_per_point = 1;
    double spacing_points = 40; ///< from arrow to arrow
    double travel_points = 0;   ///< how far they have moved along the way
    bool leaves_by_port = true; ///< else it ends in the open case
};

/// The quads of all arrows, two triangles each. Before they move one arrow stands exactly at the crossing. No OpenGL.
[[nodiscard]] std::vector<AirVertex> place_arrows(const model::AirPath& path, const AirView& view);

class Air {
public:
    Air();
    /// Draws over the bound framebuffer, by the depth texture at unit `scene_depth`.
    void draw(const model::AirPath& path, const AirView& view, const glm::vec4& depth_map, bool dark);

private:
    gl::Program program_;
    gl::VertexArray array_;
    gl::Buffer buffer_;
};

} // namespace ringland::viewer
