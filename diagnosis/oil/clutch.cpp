#include "clutch.h"

#include <cmath>

namespace ringland::diagnosis::oil {

std::optional<Chamber> chamber_of(const model::Element& element) {
    const auto radius = [](const std::optional<model::Length>& diameter) {
        return diameter ? std::optional<double>(0.5 * diameter->si()) : std::nullopt;
    };
    const auto inner = radius(element.chamber_inner_diameter), outer = radius(element.chamber_outer_diameter);
    Chamber chamber;
    if (inner && outer) {
        chamber = {*inner, *outer};
    } else {
        if (!element.apply_area) return std::nullopt;
        const double squares = element.apply_area->si() / M_PI; // r₂² − r₁²
        const auto plate_inner = radius(element.plate_inner_diameter),
                   plate_outer = radius(element.plate_outer_diameter);
        if (inner) {
            chamber = {*inner, std::sqrt(*inner * *inner + squares)};
        } else if (outer) {
            if (*outer * *outer < squares) return std::nullopt;
            chamber = {std::sqrt(*outer * *outer - squares), *outer};
        } else if (plate_inner && plate_outer) {
            const double middle = 0.5 * (*plate_inner + *plate_outer), half = squares / (4 * middle);
            chamber = {middle - half, middle + half};
        } else {
            return std::nullopt;
        }
    }
    if (!(chamber.inner_radius_m >= 0 && chamber.outer_radius_m > chamber.inner_radius_m)) return std::nullopt;
    return chamber;
}

std::optional<double> capacity_nm(const model::Element& element, double force_n) {
    if (element.kind == model::ElementKind::band || !element.friction_plates || !element.plate_inner_diameter ||
        !element.plate_outer_diameter || !element.friction_coefficient)
        return std::nullopt;
    const double radius =
        uniform_wear_radius_m(0.5 * element.plate_inner_diameter->si(), 0.5 * element.plate_outer_diameter->si());
    return clutch_torque_nm(2 * *element.friction_plates, *element.friction_coefficient, force_n, radius);
}

} // namespace ringland::diagnosis::oil
