// Where the words of a picture stand: beside what they name, off each other.
#pragma once

#include <vector>

#include "content.h"
#include "paper.h"

namespace ringland::viewer {

inline constexpr double mark_pad_x = 4.5, mark_pad_y = 2.2;
[[nodiscard]] Type mark_type(const PictureMark& mark);

/// The words of a picture that is so large, points; those that find no place are left out. Never the main one.
[[nodiscard]] std::vector<MarkBox> placed_marks(const Setter& setter, const HandoutPicture& picture, double width,
                                                double height);

} // namespace ringland::viewer
