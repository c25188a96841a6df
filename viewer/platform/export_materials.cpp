#include "export_materials.h"

#include "../app/colours.h"
#include "../render/materials.h"

namespace ringland::viewer {
namespace {

bool is_metal(model::Material material) {
    using model::Material;
    return material == Material::aluminium || material == Material::steel || material == Material::iron ||
           material == Material::spring_steel || material == Material::bronze;
}

} // namespace

model::ExportMaterial export_material(const model::UnitMap& map, const model::Shape& shape) {
    model::ExportMaterial material;
    Rgb colour;
    if (shape.circuit_space) {
        colour = circuit_colour(map, shape.subject.id).colour;
        material.name = "circuit " + shape.subject.id;
        material.roughness = 0.5;
    } else {
        const MaterialLook look = look_of(shape.material);
        colour = look.colour;
        material.name = std::string(model::word(shape.material)) + (shape.glass ? " glass" : "");
        material.roughness = look.roughness;
        // Not fully metal: viewers without surroundings to mirror would show it black.
        material.metallic = is_metal(shape.material) ? 0.4 : 0.0;
    }
    material.base_colour = {linear(colour.r), linear(colour.g), linear(colour.b), shape.glass ? 0.15 : 1.0};
    return material;
}

} // namespace ringland::viewer
