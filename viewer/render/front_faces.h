// Which triangles of the solids a moving frame draws: those that face the eye and are not cut away. No OpenGL.
//
// Where the processor does the drawing every corner of a triangle costs as much as many pixels, and half of them face
// away: looking through the list first is much cheaper than handing all of it over.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "edges.h"

namespace ringland::viewer {

/// A corner of the solids as it is drawn.
struct SolidVertex {
    glm::vec3 position;
    std::array<std::int16_t, 3> normal; ///< times 32767
    std::uint16_t shape;
};
static_assert(sizeof(SolidVertex) == 20);
/// Those of shape after shape: every list of indices counts them through.
[[nodiscard]] std::vector<SolidVertex> solid_vertices(const std::vector<model::Shape>& shapes);

/// Indices of triangles, laid out as one buffer, and which part of it is what.
struct FaceLists {
    struct Range {
        std::size_t first = 0, count = 0;
    };
    std::vector<std::uint32_t> indices;
    Range foremost;               ///< of what stays whole, the part in the half that is taken away: before all others
    Range cut, cut_through;       ///< of what is cut: what is kept, and what the plane goes through
    Range inside, inside_through; ///< the insides that are seen through the cut, likewise
    Range whole;                  ///< all else
    Range glass;                  ///< of a view that is not cut
};

class FrontFaces {
public:
    FrontFaces() = default;
    /// Of the corners as `solid_vertices` counts them. Triangles are left out as long as the surface moves by at most
    /// `tolerance_mm`; 0 keeps all.
    FrontFaces(const std::vector<model::Shape>& shapes, double tolerance_mm);

    /// The nearest shape comes first, so that little is painted twice. `boxes` are those of the shapes.
    /// in their poses; without poses every shape stands as its mesh says.
    void collect(FaceLists& lists, const Sight& sight, const std::vector<Edges::Box>& boxes,
                 const std::vector<Pose>& poses = {}) const;

private:
    struct Entry {
        std::size_t first = 0, count = 0; ///< triangles
        bool whole = false, glass = false;
    };
    enum class Half { kept, crossed, taken, not_taken, both };
    template <bool insides>
    void append(FaceLists& lists, const Entry& entry, const Sight& sight, Half half, float along) const;

    std::vector<Entry> entries_;
    // Structure of arrays: the plane of each triangle, its least and greatest y, its corners.
    std::vector<float> x_, y_, z_, d_, low_, high_;
    std::vector<std::uint32_t> corners_;
};

} // namespace ringland::viewer
