// The solids on the graphics side, uploaded once per set of shapes.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "../../model-data/shapes.h"
#include "edges.h"
#include "gl_objects.h"
#include "styles.h"

namespace ringland::viewer {

/// How one frame sees the solids.
struct Sight {
    glm::mat4 clip_from_unit{1};
    glm::vec3 eye{0}; ///< unit space
    double side = 0;  ///< the half y * side > 0 is taken away; 0: nothing is
};

class GeometryStore {
public:
    explicit GeometryStore(const std::vector<model::Shape>& shapes);

    /// Writes the style table for the shaders.
    void set_styles(const std::vector<ShapeStyle>& styles);
    /// Finds the lines of a frame and sends them over.
    void set_lines(const Sight& sight);

    enum class Group {
        whole,  ///< solids that the section leaves whole
        cut,    ///< solids that it cuts
        capped, ///< those of them that stand in the plane
        glass   ///< glass of an uncut view
    };
    /// Draws one group with the program in use. With no section, `cut` and `whole` are the same to the caller.
    void draw(Group group, const Sight& sight, bool glass_is_solid) const;
    void draw_shape(std::size_t shape) const;
    void draw_lines() const;
    /// Shapes drawn as glass, the farthest first.
    [[nodiscard]] std::vector<std::size_t> glass_far_to_near(const Sight& sight) const;

    /// Shapes of one seal with the share at which they show through what hides them.
    [[nodiscard]] std::vector<std::pair<std::size_t, float>> asked_shapes(const std::string& seal) const;

    [[nodiscard]] Edges::Box bounds() const; ///< of all shapes
    [[nodiscard]] const std::vector<int>& ranks() const { return ranks_; }
    [[nodiscard]] const gl::Texture& styles() const { return styles_; }
    [[nodiscard]] const std::vector<model::Subject>& subjects() const { return subjects_; }

private:
    struct Entry {
        std::size_t first_index = 0;
        GLsizei count = 0;
        bool whole = false, glass = false;
    };
    std::vector<Entry> entries_;
    std::vector<model::Subject> subjects_;
    std::vector<int> ranks_;
    Edges edges_;
    std::vector<LineInstance> lines_;
    gl::VertexArray solid_array_, line_array_;
    gl::Buffer vertices_, indices_, line_buffer_;
    gl::Texture styles_;
    int style_rows_ = 1;
};

} // namespace ringland::viewer
