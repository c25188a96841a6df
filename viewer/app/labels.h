// Where labels go: near their anchors, off each other, off the subject, with leader lines that do not cross.
//
// Labels are placed one after the other in order of weight; each tries places around its anchor and takes the first
// free one. The places depend only on the anchor, so a label stays put while its neighbours do.
#pragma once

#include <vector>

#include <glm/vec2.hpp>

namespace ringland::viewer {

struct LabelBox {
    double x0 = 0, y0 = 0, x1 = 0, y1 = 0;
};

struct LabelRequest {
    glm::dvec2 anchor{};        ///< pixel that it names
    glm::dvec2 size{};          ///< of its text block, pixels
    glm::dvec2 prefer{0, -1};   ///< direction in which it would like to stand, y down
    double least_distance = 14; ///< from the anchor, pixels
    double most_distance = 160;
    bool must = false; ///< place it even where it has to overlap; else it is left out
};

struct LabelPlace {
    bool shown = false;
    LabelBox box;
    glm::dvec2 joint{}; ///< where the leader line meets the box
};

/// Places every request within bounds, clear of the obstacles. Same order as the requests.
[[nodiscard]] std::vector<LabelPlace> place_labels(const std::vector<LabelRequest>& requests, const LabelBox& bounds,
                                                   const std::vector<LabelBox>& obstacles);

[[nodiscard]] bool overlap(const LabelBox& a, const LabelBox& b);

} // namespace ringland::viewer
