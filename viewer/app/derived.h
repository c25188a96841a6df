// What follows from a document: layout, shapes, answer, the air's way. Recomputed when the document changes, never
// edited.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "../../diagnosis/divide.h"
#include "../../model-data/layout.h"
#include "../../model-data/shapes.h"
#include "session.h"

namespace ringland::viewer {

struct Derived {
    model::Layout layout;
    std::vector<model::Shape> shapes;
    std::vector<model::Fault> shape_faults;
    std::optional<diagnosis::DivideAnswer> answer; ///< where both ports are given
    std::string suspect;                           ///< seal shown as the suspect, empty without one
    std::optional<model::AirPath> air;             ///< through the suspect
    unsigned long shapes_revision = 0;             ///< changes when shapes do: the renderer uploads anew
};

/// Everything from nothing: for a new map.
[[nodiscard]] Derived derive(const Session& session);
/// Answer, suspect and air path only: the map is the same.
void derive_answer(Derived& derived, const Session& session);

} // namespace ringland::viewer
