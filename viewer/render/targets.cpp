#include "targets.h"

#include <algorithm>

namespace ringland::viewer {

void Targets::fit(int w, int h) {
    if (w == width && h == height) return;
    width = w;
    height = h;
    colour = gl::make_texture(GL_RGBA8, w, h, GL_RGBA, GL_UNSIGNED_BYTE, GL_LINEAR);
    depth = gl::make_texture(GL_DEPTH24_STENCIL8, w, h, GL_DEPTH_STENCIL, GL_UNSIGNED_INT_24_8, GL_NEAREST);
    scene = over_depth(colour, "the drawing");
    samples = gl::Framebuffer();
    smoothed = gl::Framebuffer();
}

void Targets::drop_unsmoothed() {
    scene = gl::Framebuffer();
    colour = gl::Texture();
    width = height = 0;
}

void Targets::need_smoothed() {
    if (smoothed) return;
    smooth_colour = gl::make_texture(GL_RGBA8, width, height, GL_RGBA, GL_UNSIGNED_BYTE, GL_NEAREST);
    smoothed = over_depth(smooth_colour, "the smoothed drawing");
}

gl::Framebuffer Targets::over_depth(const gl::Texture& picture, const char* what) const {
    auto framebuffer = gl::make_framebuffer();
    glBindFramebuffer(GL_FRAMEBUFFER, framebuffer.name());
    glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, picture.name(), 0);
    glFramebufferTexture2D(GL_FRAMEBUFFER, GL_DEPTH_STENCIL_ATTACHMENT, GL_TEXTURE_2D, depth.name(), 0);
    gl::require_complete(what);
    return framebuffer;
}

void Targets::need_samples() {
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

} // namespace ringland::viewer
