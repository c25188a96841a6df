// Colours and surfaces of an exported unit.
#pragma once

#include "../../model-data/gltf_io.h"

namespace ringland::viewer {

/// The material of a shape: its circuit's colour for a filled space, else that of what it is made of; glass where it is
/// glass.
[[nodiscard]] model::ExportMaterial export_material(const model::UnitMap& map, const model::Shape& shape);

} // namespace ringland::viewer
