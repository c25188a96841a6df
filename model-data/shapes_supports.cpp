// What stands around shafts: the pump, supports with their flange, hubs.

#include <algorithm>
#include <cmath>

#include <glm/geometric.hpp>

#include "shape_build.h"

namespace ringland::model::build {
namespace {

/// The front pump: a cover behind a body with a pair of gears, bolts, and the splined end of the stator support.
void add_pump(Turned& t, const PartPlace& part) {
    const double r = part.outer_radius, length = part.x1 - part.x0, inner = part.inner_radius;
    const double middle = part.x0 + length * 0.55, body = r - 9;
    t.cut.push_back({part.x0 - 1, middle, body, r + 1});
    t.cut.push_back({middle - 0.6, middle + 0.6, body - 2, r}); // the parting line
    const double room = body - inner;
    if (room < 40 || length < 24) return;
    // Bolts in a shallow track, and a raised seat for the seal of the converter's hub.
    const double circle = body - 11, seat = inner + 18;
    t.cut.push_back({part.x0 - 1, part.x0 + 1.6, circle - 8, circle + 7});
    bolt_circle(t.extra, {t.axis + Vec3(part.x0 + 1.6, 0, 0), {-1, 0, 0}, {0, 0, -1}}, circle, 8, 4.4);
    t.add.push_back({part.x0 - 7, part.x0, seat - 7, seat});
    const double pocket0 = middle - length * 0.34, pocket1 = middle - 0.8;
    t.cut.push_back({part.x0 - 8, pocket0, inner + 5.5, inner + 11}); // where the hub reaches in
    // Drive gear within the driven one, both in a pocket of the body.
    const double drive = inner + room * 0.36, driven = inner + room * 0.62;
    t.cut.push_back({pocket0, pocket1, inner + 2, driven + 0.4});
    extrude_outline(t.extra, along_x(t.axis), pocket0 + 0.4, pocket1 - 0.4, toothed(17, drive - 4.5, drive),
                    inner + 2.4);
    extrude_outline(t.extra, along_x(t.axis), pocket0 + 0.4, pocket1 - 0.4, std::vector<double>(64, driven),
                    drive + 2.2);
    const double reach = 20;
    t.add.push_back({part.x0 - reach, pocket0, inner, inner + 3});
    extrude_outline(t.extra, along_x(t.axis), part.x0 - reach + 1, part.x0 - 5,
                    toothed(static_cast<int>(inner * 1.1), inner + 3.05, inner + 4.8), inner + 3.02);
}

/// The flange by which a support is bolted to the pump before it, with a neck where it stands off.
void add_flange(const Workshop& shop, Turned& t, const PartPlace& part) {
    constexpr double reach = 45, thick = 8, bolt = 4.0;
    for (const auto& pump : shop.layout.parts) {
        const bool before = pump.kind == PartKind::pump && pump.x1 < part.x0 + 1 && part.x0 - pump.x1 < reach;
        if (!before || glm::length(pump.axis - part.axis) > 1e-9) continue;
        const double x = pump.x1 + 0.4, outer = std::min(part.outer_radius + 13, pump.outer_radius - 8);
        if (outer < part.outer_radius + 10 || part.x1 - x < 3 * thick) return;
        if (part.x0 - x > thick) t.add.push_back({x, part.x0, part.inner_radius, part.outer_radius - 4});
        t.add.push_back({x, x + thick, part.inner_radius, outer});
        bolt_circle(t.extra, {t.axis + Vec3(x + thick, 0, 0), {1, 0, 0}, {0, 0, -1}}, outer - 5.6, 6, bolt);
        return;
    }
}

/// A support that other parts run on: a spigot at its free end.
void add_spigot(Turned& t, const PartPlace& part, double bore) {
    constexpr double step = 4, wall = 9;
    if (part.outer_radius - std::max(bore, part.inner_radius) < wall || part.x1 - part.x0 < 40) return;
    t.cut.push_back({part.x1 - 9, part.x1 + 1, part.outer_radius - step, part.outer_radius + 1});
}

/// The housing of a stack as a support of its own.
PartPlace sleeve_of(const StackPlace& place) {
    return {"", PartKind::support, place.axis, place.x0, place.x1, place.bore_radius, place.outer_radius};
}

} // namespace

void add_supports(const Workshop& shop, std::vector<Turned>& list) {
    for (const auto& part : shop.layout.parts) {
        if (part.kind != PartKind::support && part.kind != PartKind::pump && part.kind != PartKind::hub &&
            part.kind != PartKind::other)
            continue;
        const bool carrier = std::any_of(shop.map.stacks.begin(), shop.map.stacks.end(),
                                         [&](const Stack& s) { return s.on == part.part; });
        if (carrier && !part.part.empty()) continue;
        Turned t;
        t.name = part.part.empty() ? "pump" : part.part;
        t.subject = part_subject(part.part);
        t.material =
            usual_material(shop.map, part.part, part.kind == PartKind::pump ? Material::aluminium : Material::iron);
        t.hatch = part.kind == PartKind::pump ? 1 : 0;
        t.axis = part.axis;
        t.chamfer = 1.2;
        t.fillet = 1.5;
        t.add.push_back({part.x0, part.x1, part.inner_radius, part.outer_radius});
        if (part.kind == PartKind::pump) add_pump(t, part);
        for (const auto& place : shop.layout.stacks) {
            const auto* stack = stack_of(shop, place);
            if (stack == nullptr || stack->bore != part.part || part.part.empty()) continue;
            t.add.push_back({place.x0, place.x1, place.bore_radius, place.outer_radius});
            t.cut.push_back({place.x0 - 0.1, place.x1 + 0.1, 0, place.bore_radius});
            t.cut.push_back({place.x0 - 3, place.x0 + 1.2, 0, place.bore_radius + 1.2}); // lead-in
            if (part.kind != PartKind::support && part.kind != PartKind::pump) continue;
            const auto sleeve = part.kind == PartKind::support ? part : sleeve_of(place);
            add_flange(shop, t, sleeve);
            add_spigot(t, sleeve, place.bore_radius);
        }
        list.push_back(std::move(t));
    }
    for (const auto& place : shop.layout.stacks) { // a bore that the map does not name
        const auto* stack = stack_of(shop, place);
        if (stack == nullptr || find(shop.map.parts, stack->bore) != nullptr) continue;
        Turned t;
        t.name = "bore of " + place.stack;
        t.material = Material::aluminium;
        t.axis = place.axis;
        t.chamfer = 1.2;
        t.fillet = 1.5;
        t.add.push_back({place.x0, place.x1, place.bore_radius, place.outer_radius});
        const auto sleeve = sleeve_of(place);
        add_flange(shop, t, sleeve);
        add_spigot(t, sleeve, place.bore_radius);
        list.push_back(std::move(t));
    }
}

} // namespace ringland::model::build
