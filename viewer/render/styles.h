// How each shape looks in one frame: a table that the shaders read, row by row. No OpenGL.
#pragma once

#include <array>
#include <vector>

#include "../app/derived.h"
#include "../app/session.h"

namespace ringland::viewer {

/// One row, in the order in which part.vert.glsl and line.vert.glsl read it.
struct ShapeStyle {
    std::array<float, 3> colour{}; ///< linear
    float kind = 0;                ///< 0 matter, 1 circuit, 2 glass
    float shine = 0;
    float hatch = 0;            ///< -1: no hatch on its cut face
    float alpha = 1;            ///< of glass; of the hatch otherwise
    float cut = 1;              ///< 1 where the section takes its half away
    std::array<float, 4> ink{}; ///< sRGB and alpha of its lines
    float line_width = 1;
    float raise_mm = 0; ///< its cut face stands so much before its neighbours', where shapes run through each other
    float dashed = 0;
    float id = 0;      ///< 1 + index of the shape
    float along = 0;   ///< moved along x, mm
    float hidden = 0;  ///< 1: not there at all
    float through = 0; ///< share at which it shows through what hides it
    float room = 0;
    friend bool operator==(const ShapeStyle&, const ShapeStyle&) = default;
};
static_assert(sizeof(ShapeStyle) == 20 * sizeof(float));

/// Rank of each shape from the largest to the smallest box: where cut faces would coincide the smaller one shows.
[[nodiscard]] std::vector<int> ranks_by_size(const std::vector<model::Shape>& shapes);

/// One style per shape, in the order of derived.shapes; `ranks` from ranks_by_size.
[[nodiscard]] std::vector<ShapeStyle> style_shapes(const Session& session, const Derived& derived,
                                                   const model::Subject& hover, const std::vector<int>& ranks,
                                                   double now_s = 0);

} // namespace ringland::viewer
