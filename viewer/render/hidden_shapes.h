// Which shapes need not be drawn, since others hid them a moment ago and the eye has hardly moved. No OpenGL.
//
// Half of a unit lies inside the other half. A moving frame reads its depths back anyway, to find the lines that are
// seen; the next frame asks of each shape whether all of its box lay behind them. Between two frames a point of the
// scene moves over the picture by no more than its outermost corners do, so two points at one place part by at most
// twice that: as far around the box is looked as well. What comes to light is thus drawn before it does.
#pragma once

#include <vector>

#include "edges.h"
#include "visible_lines.h"

namespace ringland::viewer {

class HiddenShapes {
public:
    /// The depths of the solids of a frame, how it saw them, and how they stood.
    void saw(const DepthPicture& picture, const Sight& sight, const std::vector<Pose>& poses);
    /// Nothing is known any more.
    void forget() { levels_.clear(); }

    /// The poses with every shape hidden that cannot be seen now. `boxes` are where they stand, `scene` holds all of
    /// them. Where anything else than the eye has changed, or the eye went far, the poses come back as they are.
    [[nodiscard]] const std::vector<Pose>& without_hidden(const Sight& now, const std::vector<Pose>& poses,
                                                          const std::vector<Edges::Box>& boxes,
                                                          const Edges::Box& scene);
    /// Of the last call.
    [[nodiscard]] std::size_t left_out() const { return left_out_; }

    /// The eye went far where the corners of the scene moved by more of the picture's width.
    static constexpr float far_share = 0.08f;

private:
    struct Level {
        int width = 0, height = 0;
        std::vector<float> farthest; ///< of each block
    };
    [[nodiscard]] float moved_pixels(const Sight& now, const Edges::Box& scene) const;
    [[nodiscard]] bool behind(const Edges::Box& box, float around) const;

    std::vector<Level> levels_; ///< the picture, then blocks of 2x2, 4x4 and so on
    Sight seen_;
    std::vector<Pose> poses_, result_;
    std::size_t left_out_ = 0;
};

} // namespace ringland::viewer
