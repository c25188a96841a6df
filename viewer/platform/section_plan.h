// The half section of one stack laid out on a page: where each profile, label and leader line goes. No file format.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <glm/vec2.hpp>

#include "../app/colours.h"
#include "../app/derived.h"
#include "../app/labels.h"
#include "../app/session.h"
#include "picture.h"

namespace ringland::viewer {

using Outline = std::vector<glm::dvec2>; ///< closed; page units, y down

enum class SectionFill {
    carrier, ///< hatched one way
    bore,    ///< hatched the other way
    ring,    ///< hatched close and crosswise
    circuit  ///< the circuit's colour
};

/// One filled outline of the drawing.
struct SectionPiece {
    SectionFill fill = SectionFill::carrier;
    std::string id;    ///< unique on the page
    std::string title; ///< what a pointer that rests on it is told
    Outline outline;
    Rgb colour;
    bool dashed = false;  ///< the circuit's second mark
    bool faded = false;   ///< no part of the question
    bool suspect = false; ///< heavy outline
};

/// One line of words.
struct SectionLine {
    std::string text;
    double size = 15;
    bool strong = false, quiet = false;
};

/// A block of words and, where it names something, the leader line to it.
struct SectionLabel {
    std::string id;
    std::vector<SectionLine> lines;
    LabelBox box; ///< with room for a face that runs wide
    bool centred = false;
    std::vector<glm::dvec2> leader; ///< from the thing to the box; empty without one
    bool suspect = false;
    std::optional<Rgb> on; ///< printed on that colour; else on the page
    bool plate = false;    ///< of that colour behind it, since a second mark would run through it
};

struct LegendCell {
    std::string id, name;
    glm::dvec2 at{};
    CircuitColour look;
};

struct SectionPlan {
    double width = 0, height = 0; ///< of the page
    std::string title, description;
    LabelBox drawing; ///< where the profiles stand
    std::vector<SectionPiece> pieces;
    std::vector<SectionLabel> labels;
    std::vector<LegendCell> legend;
    Outline axis;            ///< the chain line, two points
    double radial_times = 1; ///< radial sizes are drawn so many times larger than lengths
};

/// The stack of the suspect, of the selected seal, or the first; nothing where the unit has none.
[[nodiscard]] std::optional<SectionPlan> plan_section(const Session& session, const Derived& derived,
                                                      const PictureSpec& spec, const Translator& tr = {});

/// Width of UTF-8 text in a sans-serif face of that size, rather too wide than too narrow.
[[nodiscard]] double wide_text_width(std::string_view text, double size);

} // namespace ringland::viewer
