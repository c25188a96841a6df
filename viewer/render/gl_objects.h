// OpenGL objects that free themselves. They live and die while their context is current.
#pragma once

#include <cstddef>
#include <initializer_list>
#include <string>
#include <string_view>
#include <utility>

#include <epoxy/gl.h>
#include <glm/mat4x4.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>
#include <glm/vec4.hpp>

namespace ringland::viewer::gl {

void delete_buffer(GLuint name);
void delete_texture(GLuint name);
void delete_vertex_array(GLuint name);
void delete_framebuffer(GLuint name);
void delete_renderbuffer(GLuint name);
void delete_program(GLuint name);

/// Owns one OpenGL name; move only.
template <void (*destroy)(GLuint)> class Object {
public:
    Object() = default;
    explicit Object(GLuint name) : name_(name) {}
    ~Object() {
        if (name_ != 0) destroy(name_);
    }
    Object(Object&& other) noexcept : name_(std::exchange(other.name_, 0)) {}
    Object& operator=(Object&& other) noexcept {
        std::swap(name_, other.name_);
        return *this;
    }
    Object(const Object&) = delete;
    Object& operator=(const Object&) = delete;
    [[nodiscard]] GLuint name() const { return name_; }
    explicit operator bool() const { return name_ != 0; }

private:
    GLuint name_ = 0;
};

using Buffer = Object<delete_buffer>;
using Texture = Object<delete_texture>;
using VertexArray = Object<delete_vertex_array>;
using Framebuffer = Object<delete_framebuffer>;
using Renderbuffer = Object<delete_renderbuffer>;

[[nodiscard]] Buffer make_buffer();
[[nodiscard]] VertexArray make_vertex_array();
[[nodiscard]] Framebuffer make_framebuffer();
/// Fills the bound index buffer: two triangles for every four corners that lie in the order of a strip.
void fill_quad_indices(std::size_t quads);

/// Draws triangles by the bound indices. To a software driver they go in pieces that it is told to begin with: it keeps
/// all that is handed over until then, several hundred bytes a triangle, and its other threads wait meanwhile.
void draw_triangles(std::size_t first_index, std::size_t count, bool in_pieces);

/// A texture with the given storage, clamped at its border.
[[nodiscard]] Texture make_texture(GLenum internal_format, int width, int height, GLenum format, GLenum type,
                                   GLint filter);
[[nodiscard]] Renderbuffer make_renderbuffer(GLenum format, int width, int height, int samples);

/// Throws std::runtime_error that names `what` when the bound framebuffer cannot be drawn to.
void require_complete(std::string_view what);

/// The texture units that every program agrees on.
enum class Unit { styles = 0, occlusion = 1, scene_depth = 2, shadow = 3, source = 4, faces = 5 };
void bind(Unit unit, const Texture& texture);

/// The text of a fragment shader that calls the functions of light.glsl.
[[nodiscard]] std::string with_light(std::string_view fragment_text);

/// A linked program. Samplers named like a unit read from it, and the block `Frame` is at binding 0.
class Program {
public:
    Program() = default;
    /// `defines` are names to define before the text. Throws std::runtime_error with the driver's log.
    Program(std::string_view name, std::string_view vertex_text, std::string_view fragment_text,
            std::initializer_list<std::string_view> defines = {});
    void use() const;
    void set(const char* uniform, float value) const;
    void set(const char* uniform, const glm::vec2& value) const;
    void set(const char* uniform, const glm::vec3& value) const;
    void set(const char* uniform, const glm::vec4& value) const;
    void set(const char* uniform, const glm::mat4& value) const;
    explicit operator bool() const { return static_cast<bool>(program_); }

private:
    Object<delete_program> program_;
};

} // namespace ringland::viewer::gl
