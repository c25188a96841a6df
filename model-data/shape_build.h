// Steps of make_shapes. Private to the shapes.
#pragma once

#include <string>
#include <vector>

#include "shapes.h"
#include "solids.h"

namespace ringland::model::build {

/// A turned part before its outline is traced: what is added and what is cut away, about one line.
struct Turned {
    std::string name;
    Subject subject;
    Material material = Material::steel;
    SectionRule section = SectionRule::cut;
    int hatch = 0;
    Vec3 axis{};
    std::vector<SectionRect> add, cut;
    double chamfer = 0.8;
    bool yields = true; ///< gives way to the parts that come before it in the list
    Soup extra;         ///< teeth and the like that belong to the same piece
};

struct Workshop {
    const UnitMap& map;
    const Layout& layout;
    std::vector<Shape>& shapes;
};

inline constexpr double crease_degrees = 31;

[[nodiscard]] TurningAxis along_x(const Vec3& axis);
void finish(Workshop& shop, Shape shape, const Soup& soup);

void add_turned_parts(Workshop& shop); ///< shafts, supports, pump, drums, pistons, plates, gears
void add_gear_trains(Workshop& shop, std::vector<Turned>& list);
void add_bands_and_servos(Workshop& shop);
void add_case(Workshop& shop);
void add_seals(Workshop& shop);
void add_circuits(Workshop& shop);
void add_ports(Workshop& shop);
/// The seals of pistons as turned rings, to be cut out of everything else.
[[nodiscard]] std::vector<Turned> piston_seals(const Workshop& shop);

[[nodiscard]] Material usual_material(const UnitMap& map, const std::string& part, Material otherwise);

} // namespace ringland::model::build
