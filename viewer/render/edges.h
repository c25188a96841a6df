// Which edges of the solids are inked in one frame. No OpenGL.
#pragma once

#include <cstdint>
#include <vector>

#include <glm/mat4x4.hpp>
#include <glm/vec3.hpp>

#include "../../model-data/shapes.h"

namespace ringland::viewer {

/// How one frame sees the solids.
struct Sight {
    glm::mat4 clip_from_unit{1};
    glm::vec3 eye{0}; ///< unit space
    double side = 0;  ///< the half y * side > 0 is taken away; 0: nothing is
};

/// How a shape stands in one frame, beside what its mesh says.
struct Pose {
    float along = 0;     ///< moved along x, mm
    bool hidden = false; ///< not there at all
    bool glass = false;
    friend bool operator==(const Pose&, const Pose&) = default;
};

/// One line as the line shader takes it.
struct LineInstance {
    glm::vec3 from, to;
    std::uint16_t shape = 0;
    std::uint16_t kind = 0; ///< 0 crease, 1 silhouette, 2 contour of a cut face
};
static_assert(sizeof(LineInstance) == 28);

/// All edges of a set of shapes, laid out for one quick pass per frame: first which faces are turned to the eye, then
/// the edges between them.
class Edges {
public:
    Edges() = default;
    explicit Edges(const std::vector<model::Shape>& shapes);

    /// The edges to ink, seen from `eye` (unit space) with the half y * side > 0 taken away (side 0: nothing is), of
    /// shapes whose box touches the view. Creases count when a face beside them is turned to the eye, smooth edges when
    /// exactly one is. Those of glass come last: returns how many come before them. Without poses every shape stands as
    /// its mesh says.
    std::size_t collect(std::vector<LineInstance>& lines, const glm::vec3& eye, double side,
                        const glm::mat4& clip_from_unit, const std::vector<Pose>& poses = {}) const;

    struct Box {
        glm::vec3 low{0}, high{0};
        [[nodiscard]] bool empty() const { return low.x > high.x; }
        [[nodiscard]] Box moved(float along) const {
            return {{low.x + along, low.y, low.z}, {high.x + along, high.y, high.z}};
        }
    };
    [[nodiscard]] const std::vector<Box>& boxes() const { return boxes_; }

private:
    /// Of one shape: creases come before smooth edges. Corners and faces are counted from the shape's first ones.
    struct Range {
        std::size_t first = 0, smooth = 0, end = 0;
        std::size_t first_corner = 0, first_face = 0, faces = 0;
        bool cut = true, glass = false;
    };
    struct ContourRange {
        std::size_t first = 0, count = 0;
    };
    void collect_shape(std::vector<LineInstance>& lines, std::size_t shape, const glm::vec3& eye, double side,
                       float along) const;
    void add_shape(const model::Shape& shape);
    // Structure of arrays: the plane of each face.
    std::vector<float> x_, y_, z_, d_;
    std::vector<model::Mesh::Edge> edges_;
    std::vector<glm::vec3> corners_;
    std::vector<Range> ranges_;
    std::vector<LineInstance> contours_; ///< where the section plane y = 0 meets the surfaces
    std::vector<ContourRange> contour_ranges_;
    std::vector<Box> boxes_;
};

/// Whether a box can be seen: not wholly outside one side of the view.
[[nodiscard]] bool in_view(const Edges::Box& box, const glm::mat4& clip_from_unit);

} // namespace ringland::viewer
