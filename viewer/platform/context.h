// A place to draw: an OpenGL 3.3 core context in a window, or without any screen.
#pragma once

#include <memory>
#include <string>

namespace ringland::viewer {

/// A current OpenGL 3.3 core context without a window. Tries EGL surfaceless first, then a hidden GLFW window.
class OffscreenContext {
public:
    /// Throws std::runtime_error that says what was tried and found.
    OffscreenContext();
    ~OffscreenContext();
    OffscreenContext(const OffscreenContext&) = delete;
    OffscreenContext& operator=(const OffscreenContext&) = delete;
    [[nodiscard]] const std::string& description() const; ///< "EGL surfaceless, OpenGL 4.5, llvmpipe ..."

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

/// "OpenGL 4.5 (Core Profile) Mesa ..., llvmpipe ..." of the current context.
[[nodiscard]] std::string opengl_description();
/// Whether the current context is desktop OpenGL 3.3 or later.
[[nodiscard]] bool opengl_is_enough();

} // namespace ringland::viewer
