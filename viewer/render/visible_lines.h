// The parts of the inked edges that are seen, found against a small picture of the depth. No OpenGL.
//
// A moving frame has some fifty thousand edges and shows a third of them. Where the processor does the drawing it is
// cheaper to ask which, and to send only those, than to let every one be set up and thrown away.
#pragma once

#include <cstdint>
#include <vector>

#include <glm/vec2.hpp>

#include "edges.h"
#include "styles.h"

namespace ringland::viewer {

/// Depths of a scene as OpenGL keeps them, 0 to 1, rows from the bottom. It may be smaller than the frame.
struct DepthPicture {
    int width = 0, height = 0;
    std::vector<float> depth;
};

/// A part of a line that is seen: pixels of the frame from the bottom left.
struct SeenLine {
    glm::vec2 from, to;
    float half_width = 0;
    std::array<std::uint8_t, 4> ink{};
};

/// What the width and the place of lines depend on beside the eye.
struct LineRule {
    double width = 1, height = 1; ///< of the frame, pixels
    double pixels_per_point = 1;
    float before_surface = 0.0022f; ///< share of the distance by which lines stand before their surface
};

/// Finds them in two strides, so that the first can be done while the picture of the depth is still being made.
class VisibleLines {
public:
    /// Where each of the lines is on the screen, hidden or not.
    /// `before_glass`: how many of them come before those of glass.
    void place(const std::vector<LineInstance>& lines, const std::vector<ShapeStyle>& styles, const Sight& sight,
               const LineRule& rule, std::size_t before_glass = ~std::size_t{0});
    /// The parts that are seen.
    [[nodiscard]] const std::vector<SeenLine>& seen(const DepthPicture& picture);
    /// Likewise where there is glass: its edges once with a share of their ink as far as no solid hides them, and then,
    /// from `nearest_from` on, in full as far as no other glass does either.
    struct ThroughGlass {
        const std::vector<SeenLine>& lines;
        std::size_t nearest_from = 0;
    };
    [[nodiscard]] ThroughGlass seen(const DepthPicture& solids, const DepthPicture& with_glass, float far_share);

private:
    /// A line on the screen: pixels from the bottom left, and depths.
    struct Placed {
        glm::vec2 from, to;
        float from_depth, to_depth, half_width;
        std::array<std::uint8_t, 4> ink;
    };
    void append(const Placed& line, const DepthPicture& picture);
    LineRule rule_;
    std::vector<Placed> placed_;
    std::size_t placed_before_glass_ = 0;
    std::vector<SeenLine> seen_;
};

} // namespace ringland::viewer
