// Where a scene is drawn: colour and depth of the drawing, with one sample a pixel and, where asked for, with several.
#pragma once

#include "gl_objects.h"

namespace ringland::viewer {

/// Single-sample colour and depth of the drawing, and the many-sample buffers that are resolved into it.
struct Targets {
    int width = 0, height = 0;
    gl::Framebuffer scene, samples, smoothed;
    gl::Texture colour, depth, smooth_colour;
    gl::Renderbuffer sample_colour, sample_depth;

    void fit(int w, int h);
    /// A second picture with the same depth, for what is drawn over the smoothed solids.
    void need_smoothed();
    void need_samples();
    /// Gives back the picture that has been smoothed; `fit` makes all anew.
    void drop_unsmoothed();

private:
    /// A framebuffer of a colour texture with the depth that all share.
    [[nodiscard]] gl::Framebuffer over_depth(const gl::Texture& picture, const char* what) const;
};

} // namespace ringland::viewer
