#include "context.h"

#include <cstdlib>
#include <stdexcept>
#include <vector>
#ifdef __GLIBC__
#include <malloc.h>
#endif

// epoxy must come before GLFW, which would otherwise bring the system's own GL header.
#include <epoxy/egl.h>
#include <epoxy/gl.h>

#include <GLFW/glfw3.h>
#include <fmt/format.h>

#include "glfw_library.h"

namespace ringland::viewer {
namespace {

const char* gl_text(GLenum name) {
    const auto* text = reinterpret_cast<const char*>(glGetString(name));
    return text != nullptr ? text : "unknown";
}

/// Mesa's drivers without a graphics processor name themselves.
bool draws_on_processor() {
    const std::string name = gl_text(GL_RENDERER);
    return name.find("llvmpipe") != std::string::npos || name.find("softpipe") != std::string::npos;
}

/// What was found instead, or an empty text.
std::string open_surfaceless(EGLDisplay& display) {
    // Without the library a call through epoxy would end the program.
    if (!epoxy_has_egl()) return "no EGL library";
    const char* client = eglQueryString(EGL_NO_DISPLAY, EGL_EXTENSIONS);
    if (client == nullptr || std::string(client).find("EGL_MESA_platform_surfaceless") == std::string::npos)
        return "this EGL draws only on a screen";
    display = eglGetPlatformDisplayEXT(EGL_PLATFORM_SURFACELESS_MESA, EGL_DEFAULT_DISPLAY, nullptr);
    EGLint major = 0;
    EGLint minor = 0;
    if (display != EGL_NO_DISPLAY && eglInitialize(display, &major, &minor) == EGL_TRUE) return {};
    display = EGL_NO_DISPLAY;
    return "no EGL display";
}

} // namespace

std::string opengl_description() { return fmt::format("OpenGL {}, {}", gl_text(GL_VERSION), gl_text(GL_RENDERER)); }

// A few megabytes a frame would go back to the system and be cleared by it when they come again: with some room above
// the heap they stay. With more room, whole pictures would be put there, and these are to go back.
void keep_memory_at_hand() {
#ifdef __GLIBC__
    constexpr int room_bytes = 4 << 20;
    mallopt(M_TOP_PAD, room_bytes);
#endif
}

std::future<void> load_driver_early() {
    return std::async(std::launch::async, [] {
        EGLDisplay display = EGL_NO_DISPLAY; // stays open: the context takes the same one
        static_cast<void>(open_surfaceless(display));
    });
}

bool opengl_is_enough() { return epoxy_is_desktop_gl() && epoxy_gl_version() >= 33; }

/// Either of the two ways, whichever worked; what is held is given back in the destructor.
struct OffscreenContext::Impl {
    EGLDisplay display = EGL_NO_DISPLAY;
    EGLContext context = EGL_NO_CONTEXT;
    std::unique_ptr<GlfwLibrary> glfw;
    GLFWwindow* window = nullptr;
    std::string description;

    Impl() = default;
    Impl(const Impl&) = delete;
    Impl& operator=(const Impl&) = delete;
    ~Impl() { release(); }

    void release() {
        if (display != EGL_NO_DISPLAY) {
            eglMakeCurrent(display, EGL_NO_SURFACE, EGL_NO_SURFACE, EGL_NO_CONTEXT);
            if (context != EGL_NO_CONTEXT) eglDestroyContext(display, context);
            eglTerminate(display);
        }
        if (window != nullptr) glfwDestroyWindow(window);
        display = EGL_NO_DISPLAY;
        context = EGL_NO_CONTEXT;
        window = nullptr;
        glfw.reset();
    }

    EGLContext make_egl_context(const std::vector<EGLint>& attributes) {
        const EGLint wanted[] = {EGL_SURFACE_TYPE, EGL_DONT_CARE, EGL_RENDERABLE_TYPE, EGL_OPENGL_BIT, EGL_NONE};
        EGLConfig config = nullptr;
        EGLint count = 0;
        if (eglChooseConfig(display, wanted, &config, 1, &count) == EGL_FALSE || count == 0) config = nullptr;
        return eglCreateContext(display, config, EGL_NO_CONTEXT, attributes.data());
    }

    /// What was found instead, or an empty text where the context is current.
    std::string try_egl() {
        const std::string why = open_surfaceless(display);
        if (!why.empty()) return why;
        return make_current("EGL surfaceless");
    }

    /// The first device of EGL that draws by itself, not by the processor; else what was found instead.
    std::string try_devices() {
        if (!epoxy_has_egl()) return "no EGL library";
        const char* client = eglQueryString(EGL_NO_DISPLAY, EGL_EXTENSIONS);
        const std::string extensions = client != nullptr ? client : "";
        if (extensions.find("EGL_EXT_platform_device") == std::string::npos ||
            (extensions.find("EGL_EXT_device_enumeration") == std::string::npos &&
             extensions.find("EGL_EXT_device_base") == std::string::npos))
            return "this EGL names no devices";
        std::vector<EGLDeviceEXT> devices(32);
        EGLint count = 0;
        if (eglQueryDevicesEXT(static_cast<EGLint>(devices.size()), devices.data(), &count) == EGL_FALSE) count = 0;
        devices.resize(static_cast<std::size_t>(count));
        std::string found = "no device";
        for (const auto device : devices) {
            display = eglGetPlatformDisplayEXT(EGL_PLATFORM_DEVICE_EXT, device, nullptr);
            EGLint major = 0;
            EGLint minor = 0;
            if (display != EGL_NO_DISPLAY && eglInitialize(display, &major, &minor) == EGL_TRUE) {
                found = make_current("EGL device");
                if (found.empty() && !draws_on_processor()) return {};
                if (found.empty()) found = "only " + opengl_description();
                release();
            }
            display = EGL_NO_DISPLAY;
        }
        return found;
    }

    /// An OpenGL context on the display that is open.
    std::string make_current(const char* way) {
        if (eglBindAPI(EGL_OPENGL_API) == EGL_FALSE) return "EGL without desktop OpenGL";
        context = make_egl_context({EGL_CONTEXT_MAJOR_VERSION, 3, EGL_CONTEXT_MINOR_VERSION, 3,
                                    EGL_CONTEXT_OPENGL_PROFILE_MASK, EGL_CONTEXT_OPENGL_CORE_PROFILE_BIT, EGL_NONE});
        const bool wanted = context != EGL_NO_CONTEXT;
        // Not to be had: take any, only to say what is there.
        if (!wanted) context = make_egl_context({EGL_NONE});
        if (context == EGL_NO_CONTEXT || eglMakeCurrent(display, EGL_NO_SURFACE, EGL_NO_SURFACE, context) == EGL_FALSE)
            return "no OpenGL context";
        description = fmt::format("{}, {}", way, opengl_description());
        return wanted && opengl_is_enough() ? std::string() : "found " + opengl_description();
    }

    std::string try_glfw() {
        if (std::getenv("DISPLAY") == nullptr && std::getenv("WAYLAND_DISPLAY") == nullptr) return "no display";
        glfw = std::make_unique<GlfwLibrary>();
        if (!glfw->works()) return glfw->last_error();
        window = make_glfw_window(64, 64, "Ringland", false);
        if (window == nullptr) return found_by_glfw(*glfw);
        glfwMakeContextCurrent(window);
        description = "hidden window, " + opengl_description();
        return opengl_is_enough() ? std::string() : "found " + opengl_description();
    }
};

OffscreenContext::OffscreenContext(Prefer prefer) : impl_(std::make_unique<Impl>()) {
    keep_memory_at_hand();
    if (prefer == Prefer::hardware) {
        if (impl_->try_devices().empty()) return;
        impl_->release();
    }
    const std::string egl = impl_->try_egl();
    if (egl.empty()) return;
    impl_->release();
    const std::string glfw = impl_->try_glfw();
    if (glfw.empty()) return;
    impl_->release();
    throw std::runtime_error(
        fmt::format("there is no OpenGL 3.3 to draw with\n"
                    "  without a screen (EGL): {}\n"
                    "  hidden window (GLFW): {}\n"
                    "Ringland needs OpenGL 3.3. The software driver of Mesa has it: package "
                    "libgl1-mesa-dri, or LIBGL_ALWAYS_SOFTWARE=1 where another driver is in the way.",
                    egl, glfw));
}

OffscreenContext::~OffscreenContext() = default;

const std::string& OffscreenContext::description() const { return impl_->description; }

} // namespace ringland::viewer
