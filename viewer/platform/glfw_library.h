// GLFW's own start and end, and what it said when something failed.
#pragma once

#include <string>

struct GLFWwindow;

namespace ringland::viewer {

/// GLFW while this lives. One at a time.
class GlfwLibrary {
public:
    GlfwLibrary();
    ~GlfwLibrary();
    GlfwLibrary(const GlfwLibrary&) = delete;
    GlfwLibrary& operator=(const GlfwLibrary&) = delete;
    [[nodiscard]] bool works() const { return works_; }
    /// In GLFW's words; empty where nothing failed since the last call.
    [[nodiscard]] std::string last_error() const;

private:
    bool works_ = false;
    std::string start_error_;
};

/// A window with an OpenGL 3.3 core context, or nullptr.
[[nodiscard]] GLFWwindow* make_glfw_window(int width, int height, const char* title, bool visible);

/// After make_glfw_window failed: which OpenGL is there instead, in words.
[[nodiscard]] std::string found_by_glfw(const GlfwLibrary& library);

} // namespace ringland::viewer
