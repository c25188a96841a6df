// The pictures of a handout: the unit with the place marked, and the place from near. Drawn without words, so that
// those can be set in the reader's language and at the sharpness of print.
#pragma once

#include <string>
#include <vector>

#include "../handout/content.h"

namespace ringland::viewer {

/// Ports between which the air shows a seal: one on each side of it, in the direction in which the readings were made.
/// Empty where a side has no port.
struct SealPorts {
    std::string from, to;
};
[[nodiscard]] SealPorts ports_beside(const model::UnitMap& map, const model::Job& job, const model::Seal& seal);

/// Draws both for the seal, light and for print, with so many pixels of height. Throws std::runtime_error where there
/// is nothing to draw with. Without a seal the unit alone.
[[nodiscard]] std::vector<HandoutPicture> handout_pictures(const Translator& tr, const model::Job& job,
                                                           const std::string& seal, int height);

} // namespace ringland::viewer
