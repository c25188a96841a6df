// What the materials of parts look like, and the grounds they stand on. sRGB, 0 to 1.
#pragma once

#include <cmath>

#include <glm/vec3.hpp>

#include "../../model-data/unit_map.h"
#include "../app/colours.h"
#include "../app/session.h"

namespace ringland::viewer {

struct MaterialLook {
    Rgb colour;
    double roughness;
};

/// Our own table, chosen by eye so that neighbours in a unit can be told apart in grey as well.
[[nodiscard]] constexpr MaterialLook look_of(model::Material material) {
    switch (material) {
    case model::Material::aluminium:
        return {rgb(0xC8CBCC), .60};
    case model::Material::steel:
        return {rgb(0xB7BDC3), .35};
    case model::Material::iron:
        return {rgb(0x8F9496), .70};
    case model::Material::ptfe:
        return {rgb(0xF1EEE5), .50};
    case model::Material::peek:
        return {rgb(0xCBB38A), .50};
    case model::Material::pai:
        return {rgb(0xA8925F), .50};
    case model::Material::rubber:
        return {rgb(0x3B3E42), .80};
    case model::Material::friction:
        return {rgb(0x8B6C50), .90};
    case model::Material::spring_steel:
        return {rgb(0x9AA1A8), .40};
    case model::Material::gasket:
        return {rgb(0x7E8B7A), .90};
    case model::Material::bronze:
        return {rgb(0xB59A63), .45};
    }
    return {rgb(0xB7BDC3), .35};
}

/// Ground of the drawing (top, bottom), the panel around it and the ink on it.
struct ThemeLook {
    Rgb ground_top, ground_bottom, panel, ink;
    double shadow; ///< strength on the ground
};

[[nodiscard]] constexpr ThemeLook look_of(Theme theme) {
    return theme == Theme::light ? ThemeLook{rgb(0xF6F3EC), rgb(0xE8E3D8), rgb(0xFCFBF8), rgb(0x1D2228), 1.0}
                                 : ThemeLook{rgb(0x171A1E), rgb(0x1F242A), rgb(0x22272E), rgb(0xECEAE4), 1.3};
}

/// sRGB to linear light.
[[nodiscard]] inline double linear(double c) { return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4); }
[[nodiscard]] inline glm::vec3 linear(const Rgb& c) {
    return {static_cast<float>(linear(c.r)), static_cast<float>(linear(c.g)), static_cast<float>(linear(c.b))};
}
[[nodiscard]] inline glm::vec3 plain(const Rgb& c) {
    return {static_cast<float>(c.r), static_cast<float>(c.g), static_cast<float>(c.b)};
}

} // namespace ringland::viewer
