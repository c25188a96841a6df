// The drawing, by OpenGL 3.3 core: a picture is a function of the session, what follows from it, and the time.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "../app/camera.h"
#include "../app/colours.h"
#include "../app/derived.h"
#include "../app/session.h"

namespace ringland::viewer {

/// What one frame needs beside the session.
struct FrameSpec {
    int width = 1280, height = 720; ///< of the whole frame buffer, pixels
    Viewport drawing;               ///< where in it the drawing goes
    double pixels_per_point = 1;    ///< line widths and hatches scale with it
    double now_s = 0;
    double air_travel_points = 0; ///< how far the arrows of the air have moved
    bool still = true;            ///< full quality; false while something moves
    bool only_once = false;       ///< of what moves: no frame follows that could be the same
    model::Subject hover;
    double slice_s = 0; ///< a still picture may stop after about so long and be gone on with; 0: all at once
    /// One colour behind everything in place of the paper: for print, and for pictures that are laid over something.
    struct EvenGround {
        Rgb colour;
        double shadow = 1; ///< strength of the unit's shadow on it
    };
    std::optional<EvenGround> even_ground;
    // For pictures larger than the driver allows: this frame is a window of a larger picture.
    struct Tile {
        double x = 0, y = 0, width = 1, height = 1;
    } tile; ///< in fractions of the picture, from the top left
};

class Renderer {
public:
    /// Needs a current OpenGL 3.3 core context with epoxy. Throws std::runtime_error with a message for the user.
    Renderer();
    ~Renderer();
    Renderer(const Renderer&) = delete;
    Renderer& operator=(const Renderer&) = delete;

    /// Draws into the framebuffer object (0 is the window). Leaves the state as an interface toolkit expects it.
    /// True when that is the picture that was asked for; false while a slice of it was all there was time for: then
    /// the picture before stands, and the same call again goes on.
    bool draw(unsigned framebuffer, const Session& session, const Derived& derived, const FrameSpec& spec);

    /// What the drawing of the scene of the last frame took, since that scene was begun.
    struct Figures {
        unsigned long triangles = 0, lines = 0, draws = 0;
        unsigned long finished = 0;    ///< scenes in full quality so far
        unsigned long levels_made = 0; ///< levels of detail for moving frames so far
    };
    [[nodiscard]] Figures figures() const;

    /// What is at a pixel of the last drawn frame, from the id buffer.
    [[nodiscard]] model::Subject pick(double x, double y) const;

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

} // namespace ringland::viewer
