#include "gl_objects.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <stdexcept>
#include <vector>

#include <fmt/core.h>
#include <glm/gtc/type_ptr.hpp>

#include "shader_texts.h"

namespace ringland::viewer::gl {

void delete_buffer(GLuint name) { glDeleteBuffers(1, &name); }
void delete_texture(GLuint name) { glDeleteTextures(1, &name); }
void delete_vertex_array(GLuint name) { glDeleteVertexArrays(1, &name); }
void delete_framebuffer(GLuint name) { glDeleteFramebuffers(1, &name); }
void delete_renderbuffer(GLuint name) { glDeleteRenderbuffers(1, &name); }
void delete_program(GLuint name) { glDeleteProgram(name); }

Buffer make_buffer() {
    GLuint name = 0;
    glGenBuffers(1, &name);
    return Buffer(name);
}

VertexArray make_vertex_array() {
    GLuint name = 0;
    glGenVertexArrays(1, &name);
    return VertexArray(name);
}

Framebuffer make_framebuffer() {
    GLuint name = 0;
    glGenFramebuffers(1, &name);
    return Framebuffer(name);
}

Texture make_texture(GLenum internal_format, int width, int height, GLenum format, GLenum type, GLint filter) {
    GLuint name = 0;
    glGenTextures(1, &name);
    Texture texture(name);
    glBindTexture(GL_TEXTURE_2D, name);
    glTexImage2D(GL_TEXTURE_2D, 0, static_cast<GLint>(internal_format), width, height, 0, format, type, nullptr);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, filter);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, filter);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
    return texture;
}

Renderbuffer make_renderbuffer(GLenum format, int width, int height, int samples) {
    GLuint name = 0;
    glGenRenderbuffers(1, &name);
    Renderbuffer buffer(name);
    glBindRenderbuffer(GL_RENDERBUFFER, name);
    glRenderbufferStorageMultisample(GL_RENDERBUFFER, samples, format, width, height);
    return buffer;
}

void fill_quad_indices(std::size_t quads) {
    const auto bytes = static_cast<GLsizeiptr>(6 * quads * sizeof(std::uint32_t));
    if (bytes == 0) return;
    // Written where the driver keeps it.
    glBufferData(GL_ELEMENT_ARRAY_BUFFER, bytes, nullptr, GL_STATIC_DRAW);
    auto* to = static_cast<std::uint32_t*>(
        glMapBufferRange(GL_ELEMENT_ARRAY_BUFFER, 0, bytes, GL_MAP_WRITE_BIT | GL_MAP_INVALIDATE_BUFFER_BIT));
    if (to == nullptr) throw std::runtime_error("OpenGL gives no memory for the corners of the drawing's lines");
    for (std::uint32_t first = 0; first < 4 * quads; first += 4) {
        for (const std::uint32_t corner : {0u, 1u, 2u, 2u, 1u, 3u})
            *to++ = first + corner;
    }
    glUnmapBuffer(GL_ELEMENT_ARRAY_BUFFER);
}

void draw_triangles(std::size_t first_index, std::size_t count, bool in_pieces) {
    constexpr std::size_t piece = 3 * 4'000;
    constexpr GLuint64 long_enough_ns = 1'000'000'000;
    GLsync before = nullptr;
    const auto wait = [&before] {
        if (before == nullptr) return;
        glClientWaitSync(before, 0, long_enough_ns);
        glDeleteSync(before);
        before = nullptr;
    };
    for (std::size_t from = 0; from < count;) {
        const std::size_t now = in_pieces ? std::min(piece, count - from) : count;
        glDrawElements(GL_TRIANGLES, static_cast<GLsizei>(now), GL_UNSIGNED_INT,
                       reinterpret_cast<const void*>((first_index + from) * sizeof(std::uint32_t)));
        from += now;
        if (!in_pieces || from >= count) continue;
        const GLsync begun = glFenceSync(GL_SYNC_GPU_COMMANDS_COMPLETE, 0);
        glFlush();
        wait();
        before = begun;
    }
    wait();
}

void require_complete(std::string_view what) {
    const GLenum status = glCheckFramebufferStatus(GL_FRAMEBUFFER);
    if (status != GL_FRAMEBUFFER_COMPLETE) {
        throw std::runtime_error(fmt::format("OpenGL cannot draw to {} (framebuffer status 0x{:04X})", what, status));
    }
}

void bind(Unit unit, const Texture& texture) {
    glActiveTexture(GL_TEXTURE0 + static_cast<GLenum>(unit));
    glBindTexture(GL_TEXTURE_2D, texture.name());
}

namespace {

Object<delete_program> compile(GLenum stage, std::string_view name, const std::string& text) {
    const GLuint shader = glCreateShader(stage);
    const char* start = text.c_str();
    glShaderSource(shader, 1, &start, nullptr);
    glCompileShader(shader);
    GLint good = 0;
    glGetShaderiv(shader, GL_COMPILE_STATUS, &good);
    if (good == 0) {
        GLint length = 0;
        glGetShaderiv(shader, GL_INFO_LOG_LENGTH, &length);
        std::vector<char> log(static_cast<std::size_t>(length) + 1, '\0');
        glGetShaderInfoLog(shader, length, nullptr, log.data());
        glDeleteShader(shader);
        throw std::runtime_error(fmt::format("OpenGL refuses the {} shader of '{}':\n{}",
                                             stage == GL_VERTEX_SHADER ? "vertex" : "fragment", name, log.data()));
    }
    // A program object holds the shader from here on; the shader's own name can go.
    const GLuint holder = glCreateProgram();
    glAttachShader(holder, shader);
    glDeleteShader(shader);
    return Object<delete_program>(holder);
}

GLuint shader_of(const Object<delete_program>& holder) {
    GLuint shader = 0;
    glGetAttachedShaders(holder.name(), 1, nullptr, &shader);
    return shader;
}

} // namespace

std::string with_light(std::string_view fragment_text) { return shader_text::light + std::string(fragment_text); }

Program::Program(std::string_view name, std::string_view vertex_text, std::string_view fragment_text,
                 std::initializer_list<std::string_view> defines) {
    std::string head = epoxy_is_desktop_gl() ? "#version 330 core\n"
                                             : "#version 300 es\nprecision highp float;\nprecision highp int;\n";
    for (const auto define : defines)
        head += fmt::format("#define {}\n", define);
    head += shader_text::frame;
    const auto vertex = compile(GL_VERTEX_SHADER, name, head + std::string(vertex_text));
    const auto fragment = compile(GL_FRAGMENT_SHADER, name, head + std::string(fragment_text));
    program_ = Object<delete_program>(glCreateProgram());
    glAttachShader(program_.name(), shader_of(vertex));
    glAttachShader(program_.name(), shader_of(fragment));
    glLinkProgram(program_.name());
    GLint good = 0;
    glGetProgramiv(program_.name(), GL_LINK_STATUS, &good);
    if (good == 0) {
        GLint length = 0;
        glGetProgramiv(program_.name(), GL_INFO_LOG_LENGTH, &length);
        std::vector<char> log(static_cast<std::size_t>(length) + 1, '\0');
        glGetProgramInfoLog(program_.name(), length, nullptr, log.data());
        throw std::runtime_error(fmt::format("OpenGL cannot link the program '{}':\n{}", name, log.data()));
    }
    const GLuint block = glGetUniformBlockIndex(program_.name(), "Frame");
    if (block != GL_INVALID_INDEX) glUniformBlockBinding(program_.name(), block, 0);
    static constexpr std::array<const char*, 6> samplers{"styles", "occlusion", "scene_depth",
                                                         "shadow", "source",    "faces"};
    use();
    for (std::size_t i = 0; i < samplers.size(); ++i) {
        const GLint at = glGetUniformLocation(program_.name(), samplers[i]);
        if (at >= 0) glUniform1i(at, static_cast<GLint>(i));
    }
}

void Program::use() const { glUseProgram(program_.name()); }
void Program::set(const char* uniform, float value) const {
    glUniform1f(glGetUniformLocation(program_.name(), uniform), value);
}
void Program::set(const char* uniform, const glm::vec2& value) const {
    glUniform2f(glGetUniformLocation(program_.name(), uniform), value.x, value.y);
}
void Program::set(const char* uniform, const glm::vec3& value) const {
    glUniform3f(glGetUniformLocation(program_.name(), uniform), value.x, value.y, value.z);
}
void Program::set(const char* uniform, const glm::vec4& value) const {
    glUniform4f(glGetUniformLocation(program_.name(), uniform), value.x, value.y, value.z, value.w);
}
void Program::set(const char* uniform, const glm::mat4& value) const {
    glUniformMatrix4fv(glGetUniformLocation(program_.name(), uniform), 1, GL_FALSE, glm::value_ptr(value));
}

} // namespace ringland::viewer::gl
