// Where labels go: near their anchors, off each other, off the subject, with leader lines that do not cross.
//
// Labels are placed one after the other in order of weight. Each tries places around its anchor; one that would touch
// another label, lie on the subject, or have its leader cross another leader or run through another label is no place
// at all. Where nothing is free the label is left out, unless it must be there: those come first and look farther.
//
// A label that has found its place keeps it while the camera moves, as long as it is allowed and not much worse than
// the best: the memory of the last frame carries that.
#pragma once

#include <map>
#include <string>
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
    bool must = false; ///< it looks for a place farther away before it is left out
    std::string key;   ///< the same from frame to frame; empty: not remembered
};

struct LabelPlace {
    bool shown = false;
    LabelBox box;
    glm::dvec2 joint{}; ///< where the leader line meets the box
};

/// Where each label stood: which way from its anchor on the screen, and how far out.
struct LabelMemory {
    struct Slot {
        double angle = 0; ///< radians
        int ring = 0;
    };
    std::map<std::string, Slot> slots;
};

/// Places every request within bounds, clear of the obstacles. Same order as the requests.
[[nodiscard]] std::vector<LabelPlace> place_labels(const std::vector<LabelRequest>& requests, const LabelBox& bounds,
                                                   const std::vector<LabelBox>& obstacles,
                                                   LabelMemory* memory = nullptr);

[[nodiscard]] bool overlap(const LabelBox& a, const LabelBox& b);
/// Whether two lines cross, and whether a line runs through a box. Ends that touch do not count.
[[nodiscard]] bool lines_cross(const glm::dvec2& a, const glm::dvec2& b, const glm::dvec2& c, const glm::dvec2& d);
[[nodiscard]] bool line_meets(const glm::dvec2& a, const glm::dvec2& b, const LabelBox& box);

/// Something that stands already, and how much it matters that it can be seen.
struct LabelKeep {
    LabelBox box;
    double weight = 1;
};
/// Where a note of that size stands beside the pointer: of eight places around it, near or farther, inside the bounds,
/// the one that hides least of what is to be kept; below to the right where nothing is.
[[nodiscard]] LabelBox beside_pointer(const glm::dvec2& pointer, const glm::dvec2& size, const LabelBox& bounds,
                                      const std::vector<LabelKeep>& keep, double gap);

} // namespace ringland::viewer
