// glTF 2.0 in and out: part shapes from a .glb beside a map, and the whole scene for other 3D programs.
//
// Files are in metres with y up, as the standard asks; unit space is in millimetres with z up. The turn and the scale
// stand here and nowhere else.
#pragma once

#include <array>
#include <filesystem>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "fault.h"
#include "shapes.h"

namespace ringland::model {

/// Triangle corners (three per triangle, unit space, millimetres) of every node that has a mesh, by node name, with the
/// transforms of the node's ancestors applied. Faults are named; an unreadable file gives an empty result and a fault.
[[nodiscard]] std::map<std::string, std::vector<glm::vec3>> read_glb_nodes(const std::filesystem::path& file,
                                                                           std::vector<Fault>& faults);

/// Base colour (linear RGBA), metalness and roughness of an exported shape.
struct ExportMaterial {
    std::string name;
    std::array<double, 4> base_colour{1, 1, 1, 1};
    double metallic = 0;
    double roughness = 0.6;
};

/// Writes shapes as one binary glTF: a node per shape under one root named after the unit, materials shared by name.
/// Returns an error text, empty on success. The file is complete or absent, never half written.
[[nodiscard]] std::string write_glb(const std::filesystem::path& file, const UnitMap& map,
                                    const std::vector<Shape>& shapes,
                                    const std::function<ExportMaterial(const Shape&)>& material_of);

/// The same scene as the bytes of such a file; empty where it could not be put together.
[[nodiscard]] std::string glb_bytes(const UnitMap& map, const std::vector<Shape>& shapes,
                                    const std::function<ExportMaterial(const Shape&)>& material_of);

} // namespace ringland::model
