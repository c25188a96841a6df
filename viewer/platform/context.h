// A place to draw: an OpenGL 3.3 core context in a window, or without any screen.
#pragma once

#include <future>
#include <memory>
#include <string>

namespace ringland::viewer {

/// Begins to load the driver for a context without a screen on another thread: the software driver is large, and the
/// map can be read meanwhile. To be waited for before anything else of OpenGL is called.
[[nodiscard]] std::future<void> load_driver_early();

/// A current OpenGL 3.3 core context without a window. Tries EGL surfaceless first, then a hidden GLFW window.
class OffscreenContext {
public:
    enum class Prefer {
        as_pictures, ///< what the system gives to a program without a screen
        hardware     ///< a graphics processor that EGL names as a device; else as pictures
    };
    /// Throws std::runtime_error that says what was tried and found.
    explicit OffscreenContext(Prefer prefer = Prefer::as_pictures);
    ~OffscreenContext();
    OffscreenContext(const OffscreenContext&) = delete;
    OffscreenContext& operator=(const OffscreenContext&) = delete;
    [[nodiscard]] const std::string& description() const; ///< "EGL surfaceless, OpenGL 4.5, llvmpipe ..."

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

/// Lets the C library keep the memory that the software driver takes and gives back in every frame; once a process.
void keep_memory_at_hand();
/// "OpenGL 4.5 (Core Profile) Mesa ..., llvmpipe ..." of the current context.
[[nodiscard]] std::string opengl_description();
/// Whether the current context is desktop OpenGL 3.3 or later.
[[nodiscard]] bool opengl_is_enough();

} // namespace ringland::viewer
