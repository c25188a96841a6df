// Solid shapes of a laid-out unit: closed triangle meshes with crisp edges, named after the things of the map.
//
// Every solid is closed and solids do not overlap, because the renderer shows the inside of a cut solid as its cut
// face.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include <glm/mat4x4.hpp>
#include <glm/vec3.hpp>

#include "fault.h"
#include "layout.h"

namespace ringland::model {

enum class SubjectKind : std::uint8_t { none, part, seal, circuit, port };
template <> struct EnumNames<SubjectKind> {
    static constexpr std::array<std::string_view, 5> words{"none", "part", "seal", "circuit", "port"};
};

/// What a shape stands for, and what a click on it means.
struct Subject {
    SubjectKind kind = SubjectKind::none;
    std::string id;
    friend bool operator==(const Subject&, const Subject&) = default;
};

/// Triangles with normals per vertex. `crease` lists the edges that a draughtsman would ink; `smooth` lists the other
/// edges, from which silhouettes are found.
struct Mesh {
    /// Between two corners, with the triangles beside it: the same one twice at an open border.
    struct Edge {
        std::uint32_t a = 0, b = 0, left = 0, right = 0;
    };
    std::vector<glm::vec3> positions; ///< mm, unit space
    std::vector<glm::vec3> normals;
    std::vector<std::uint32_t> triangles; ///< three indices each, counter-clockwise from outside
    std::vector<Edge> crease, smooth;     ///< a flat edge is neither
};

/// How the half section treats a shape: by drawing practice shafts, rings and bolts stay whole.
enum class SectionRule : std::uint8_t { cut, whole };

/// A cut face too thin for hatch lines.
inline constexpr int solid_ink = -2;

struct Shape {
    std::string name; ///< unique; name of its node in an exported file
    Subject subject;
    Material material = Material::steel;
    SectionRule section = SectionRule::cut;
    bool circuit_space = false; ///< a filled space, drawn in its circuit's colour
    bool glass = false;         ///< encloses the rest: drawn as glass in the bench view
    int hatch = 0;              ///< of its cut face: even rising, odd falling, each pair with a spacing of its own
    bool from_file = false;     ///< came from the .glb beside the map
    Mesh mesh;
};

/// All shapes of a unit. Where the map names a .glb in `folder` and it holds a node for a part, that node's mesh
/// replaces the automatic one; a missing or broken file is a warning in `faults` and the automatic shapes stand in.
[[nodiscard]] std::vector<Shape> make_shapes(const UnitMap& map, const Layout& layout,
                                             const std::filesystem::path& folder, std::vector<Fault>& faults);

/// Welds, finds creases (angle between faces above `crease_degrees`) and smooth edges of a triangle soup.
[[nodiscard]] Mesh finish_mesh(const std::vector<glm::vec3>& corners, double crease_degrees);

} // namespace ringland::model
