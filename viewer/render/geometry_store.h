// The solids on the graphics side, uploaded once per set of shapes.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "../../model-data/shapes.h"
#include "edges.h"
#include "front_faces.h"
#include "gl_objects.h"
#include "styles.h"

namespace ringland::viewer {

/// One of so many parts of a long list, for work that is done in slices.
struct Share {
    std::size_t part = 0, parts = 1;
    [[nodiscard]] std::size_t first(std::size_t count) const { return count * part / parts; }
    [[nodiscard]] std::size_t end(std::size_t count) const { return count * (part + 1) / parts; }
};

class GeometryStore {
public:
    /// `vertices` are those of the shapes; `on_processor` says that the driver has no graphics processor.
    GeometryStore(const std::vector<model::Shape>& shapes, const std::vector<SolidVertex>& vertices, bool on_processor);

    /// Writes the style table for the shaders, and takes the poses from it. True when a pose has changed.
    bool set_styles(const std::vector<ShapeStyle>& styles);
    /// Finds the lines of a frame and sends them over.
    void set_lines(const Sight& sight);

    enum class Group {
        whole,  ///< solids that the section leaves whole
        cut,    ///< solids that it cuts
        capped, ///< those of them that stand in the plane
        glass   ///< glass of an uncut view
    };
    /// Draws one group with the program in use. With no section, `cut` and `whole` are the same to the caller.
    void draw(Group group, const Sight& sight, bool glass_is_solid, const Share& share = {}) const;
    void draw_shape(std::size_t shape) const;
    void draw_lines(const Share& share = {}) const;
    void draw_glass_lines() const;
    /// Shapes drawn as glass, the farthest first: the nearest is picked.
    [[nodiscard]] std::vector<std::size_t> glass_far_to_near(const Sight& sight) const;

    /// Shapes that show through what hides them, with the share at which they do.
    [[nodiscard]] const std::vector<std::pair<std::size_t, float>>& asked_shapes() const { return asked_; }

    [[nodiscard]] const std::vector<Pose>& poses() const { return poses_; }
    // For passes that choose the triangles themselves.
    [[nodiscard]] const std::vector<Edges::Box>& boxes() const { return boxes_; } ///< where they stand now
    /// The vertices with another list of indices, which stays bound.
    [[nodiscard]] gl::VertexArray solid_array(const gl::Buffer& indices) const;
    /// The edges to ink in a frame, whether hidden or not, of the shapes in these poses, and how many come before those
    /// of glass; good until the next call.
    struct LinesInSight {
        const std::vector<LineInstance>& lines;
        std::size_t before_glass = 0;
    };
    [[nodiscard]] LinesInSight lines_in_sight(const Sight& sight, const std::vector<Pose>& poses);

    [[nodiscard]] Edges::Box bounds() const; ///< of all shapes
    [[nodiscard]] const std::vector<int>& ranks() const { return ranks_; }
    [[nodiscard]] const gl::Texture& styles() const { return styles_; }
    [[nodiscard]] const std::vector<model::Subject>& subjects() const { return subjects_; }

    /// What was handed to OpenGL since the last clearing.
    struct Counts {
        unsigned long triangles = 0, lines = 0, draws = 0;
    };
    [[nodiscard]] const Counts& counts() const { return counts_; }
    void count(unsigned long triangles, unsigned long lines, unsigned long draws) {
        counts_ = {counts_.triangles + triangles, counts_.lines + lines, counts_.draws + draws};
    }
    void clear_counts() { counts_ = {}; }

private:
    void send(std::size_t first_index, GLsizei count) const;
    void send_lines(std::size_t first, std::size_t end) const;
    struct Entry {
        std::size_t first_index = 0;
        GLsizei count = 0;
        bool whole = false;
    };
    std::vector<Entry> entries_;
    std::vector<Pose> poses_;
    std::vector<std::pair<std::size_t, float>> asked_;
    std::vector<Edges::Box> boxes_;
    std::vector<model::Subject> subjects_;
    std::vector<int> ranks_;
    Edges edges_;
    std::vector<LineInstance> lines_;
    std::size_t lines_before_glass_ = 0;
    /// An instance a line is the least to send, but to the software driver every instance is a draw of its own.
    bool on_processor_;
    std::size_t corners_made_ = 0; ///< lines for which corners are there
    gl::VertexArray solid_array_, line_array_;
    gl::Buffer vertices_, indices_, line_buffer_, line_corners_;
    gl::Texture styles_;
    std::size_t index_count_ = 0;
    int style_rows_ = 1;
    mutable Counts counts_;
};

} // namespace ringland::viewer
