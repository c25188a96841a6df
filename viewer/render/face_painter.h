// The solids of a moving frame, painted without OpenGL: how far, how inclined and whose surface is seen at each pixel.
//
// Most of their triangles cover a pixel or two. On each of them the software driver spends its setup and the whole
// shading of sixteen pixels. Here a triangle costs about as much as its pixels do, all threads share the work, and
// what is seen is shaded once, afterwards, over the whole picture. The depths need not be read back for the lines.
#pragma once

#include <array>
#include <cstdint>
#include <utility>
#include <vector>

#include "front_faces.h"
#include "visible_lines.h"

namespace ringland::viewer {

/// What is seen at a pixel.
struct FacePixel {
    std::array<std::int16_t, 3> normal{}; ///< times 32767, as the vertices have it
    std::int16_t shape = 0;               ///< 1 + index; negative on a cut face; 0: nothing
};
static_assert(sizeof(FacePixel) == 8);

class FacePainter {
public:
    /// Those of new shapes.
    void take(std::vector<SolidVertex> vertices) { vertices_ = std::move(vertices); }

    /// Paints what the lists name. Of what is cut the half y * side > 0 is not there, and where its inside is seen the
    /// pixel belongs to the cut face, in the depth of the plane.
    void paint(const FaceLists& lists, const Sight& sight, const std::vector<Pose>& poses,
               const std::vector<ShapeStyle>& styles, int width, int height);

    /// For a picture that is the only one. Lets go of the shapes and of all but what was found,
    void forget_shapes() {
        vertices_ = std::vector<SolidVertex>();
        pieces_ = std::vector<Piece>();
    }
    /// and of that but for the depths.
    void forget_surfaces() {
        solids_ = std::vector<FacePixel>();
        glass_ = std::vector<FacePixel>();
        clearness_ = std::vector<float>();
    }

    /// Rows from the bottom, as OpenGL has them.
    [[nodiscard]] const std::vector<FacePixel>& solids() const { return solids_; }
    [[nodiscard]] const DepthPicture& depths() const { return depths_; } ///< of the solids
    /// The nearest wall of glass before the solids; good where the lists have glass.
    [[nodiscard]] const std::vector<FacePixel>& glass() const { return glass_; }
    [[nodiscard]] const DepthPicture& depths_with_glass() const { return depths_with_glass_; }
    /// Share of what lies behind all walls of glass that their tint leaves, by the rule of glass.frag.glsl.
    [[nodiscard]] const std::vector<float>& clearness() const { return clearness_; }

    /// What there is to be shaded, tile by tile, row by row from the bottom.
    struct Tile {
        bool ground = false, solid = false, glass = false;
    };
    static constexpr int tile_pixels = 16;
    [[nodiscard]] const std::vector<Tile>& tiles() const { return tiles_; }
    [[nodiscard]] int tile_columns() const { return (width_ + tile_pixels - 1) / tile_pixels; }

private:
    enum class Role { solid, cut_face, solid_over_cut, glass };
    /// A corner before the division by w: pixels, depth from 0 to 1.
    struct Placed {
        glm::vec4 at;
        std::array<float, 3> normal;
        float y;      ///< unit space
        float facing; ///< cosine between its normal and the way to the eye
    };
    struct Corner {
        float x, y, depth, facing;
        std::array<float, 3> normal;
    };
    struct Face {
        std::array<Corner, 3> corners;
        std::int16_t shape;
    };
    /// A piece of the lists, placed by one thread; each band of rows knows which of its faces it has to paint.
    struct Piece {
        Role role = Role::solid;
        bool through = false; ///< the section plane goes through its triangles
        const std::uint32_t* first = nullptr;
        std::size_t triangles = 0;
        std::vector<Face> faces;
        std::vector<std::vector<std::uint32_t>> bands;
    };
    class FarthestSeen;
    void divide(const FaceLists& lists);
    void add_pieces(const FaceLists& lists, const FaceLists::Range& range, Role role, bool through = false);
    void place(Piece& piece) const;
    [[nodiscard]] Placed placed(const SolidVertex& vertex, Role role) const;
    void add_clipped(Piece& piece, const std::array<Placed, 3>& corners, std::int16_t shape) const;
    void add(Piece& piece, const std::array<Placed, 3>& corners, std::int16_t shape) const;
    void paint_band(int band);
    template <Role role> void paint_face(const Face& face, int first_row, int end_row);
    void lower_cut_faces(int first_row, int end_row);
    void look_at_tiles(int first_row, int end_row, bool glass);

    std::vector<SolidVertex> vertices_;
    std::vector<Piece> pieces_;
    std::size_t pieces_used_ = 0;
    int width_ = 0, height_ = 0;
    // Of this frame.
    glm::mat4 pixels_from_unit_{1};
    glm::vec3 eye_{0};
    float side_ = 0;
    const std::vector<Pose>* poses_ = nullptr;
    const std::vector<ShapeStyle>* styles_ = nullptr;

    std::vector<FacePixel> solids_, glass_;
    DepthPicture depths_, depths_with_glass_;
    std::vector<float> clearness_;
    std::vector<Tile> tiles_;
};

} // namespace ringland::viewer
