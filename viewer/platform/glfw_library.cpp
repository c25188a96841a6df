#include "glfw_library.h"

#include <epoxy/gl.h>

#include <GLFW/glfw3.h>

#include "context.h"

namespace ringland::viewer {
namespace {

std::string take_error() {
    const char* text = nullptr;
    return glfwGetError(&text) != GLFW_NO_ERROR && text != nullptr ? text : "";
}

} // namespace

GlfwLibrary::GlfwLibrary() : works_(glfwInit() == GLFW_TRUE) {
    if (!works_) start_error_ = take_error();
}

GlfwLibrary::~GlfwLibrary() {
    if (works_) glfwTerminate();
}

std::string GlfwLibrary::last_error() const { return works_ ? take_error() : start_error_; }

GLFWwindow* make_glfw_window(int width, int height, const char* title, bool visible) {
    glfwDefaultWindowHints();
    glfwWindowHint(GLFW_CONTEXT_VERSION_MAJOR, 3);
    glfwWindowHint(GLFW_CONTEXT_VERSION_MINOR, 3);
    glfwWindowHint(GLFW_OPENGL_PROFILE, GLFW_OPENGL_CORE_PROFILE);
    glfwWindowHint(GLFW_OPENGL_FORWARD_COMPAT, GLFW_TRUE);
    glfwWindowHint(GLFW_VISIBLE, visible ? GLFW_TRUE : GLFW_FALSE);
    // The drawing has its own multisampled buffer; the window's needs none, and no depth either.
    glfwWindowHint(GLFW_SAMPLES, 0);
    glfwWindowHint(GLFW_DEPTH_BITS, 0);
    glfwWindowHint(GLFW_STENCIL_BITS, 0);
    return glfwCreateWindow(width, height, title, nullptr, nullptr);
}

std::string found_by_glfw(const GlfwLibrary& library) {
    const std::string said = library.last_error();
    glfwDefaultWindowHints();
    glfwWindowHint(GLFW_VISIBLE, GLFW_FALSE);
    GLFWwindow* any = glfwCreateWindow(64, 64, "Ringland", nullptr, nullptr);
    if (any == nullptr) return "no OpenGL (" + said + ")";
    glfwMakeContextCurrent(any);
    std::string found = "found " + opengl_description();
    glfwMakeContextCurrent(nullptr);
    glfwDestroyWindow(any);
    return found;
}

} // namespace ringland::viewer
