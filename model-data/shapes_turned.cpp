// Turned parts: shafts, supports, pump, drums with their pistons and packs.

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

#include <glm/geometric.hpp>

#include "shape_build.h"

namespace ringland::model::build {
namespace {

void cut_grooves(Turned& turned, const StackPlace& place) {
    for (const auto& ring : place.rings) {
        turned.cut.push_back(
            {ring.x - ring.groove_width / 2, ring.x + ring.groove_width / 2, place.groove_radius, place.bore_radius});
    }
    for (const auto& annulus : place.annuli)
        turned.cut.push_back({annulus.x0, annulus.x1, place.recess_radius, place.bore_radius});
}

void carry_stack(Turned& turned, const StackPlace& place, double inner) {
    turned.add.push_back({place.x0 - 3, place.x1 + 3, inner, place.carrier_radius});
    turned.cut.push_back({place.x0 - 3, place.x1 + 3, place.carrier_radius, place.outer_radius});
    cut_grooves(turned, place);
}

/// Grooves in the corners beside the land of a stack, where the grinding wheel runs out.
void add_relief(Turned& turned, const StackPlace& place, double radius) {
    constexpr double width = 1.6, depth = 0.8;
    const double step = place.carrier_radius - radius, low = std::min(place.carrier_radius, radius) - depth;
    if (std::abs(step) < 0.6) return;
    const double out = step > 0 ? width : 0, in = width - out; // beside the land where it is thicker, else on it
    turned.cut.push_back({place.x0 - 3 - out, place.x0 - 3 + in, low, place.carrier_radius + radius});
    turned.cut.push_back({place.x1 + 3 - in, place.x1 + 3 + out, low, place.carrier_radius + radius});
}

/// Splines at both ends of a shaft, each with a groove where they run out.
void add_splines(Turned& turned, const PartPlace& part) {
    const double length = part.x1 - part.x0;
    if (length < 50 || part.outer_radius < 8) return;
    const double reach = std::min(24.0, length * 0.2);
    const auto splines = [&](double end, double inwards, double tip) {
        const auto at = [&](double a, double b, double r0, double r1) {
            const double x = end + inwards * a, y = end + inwards * b;
            return SectionRect{std::min(x, y), std::max(x, y), r0, r1};
        };
        turned.cut.push_back(at(0, reach, tip * 0.9 - 0.01, part.outer_radius + 1));
        turned.cut.push_back(at(reach - 1.8, reach, tip * 0.9 - 0.9, part.outer_radius + 1));
        const auto bar = at(2, reach - 3, 0, 0);
        extrude_outline(turned.extra, along_x(part.axis), bar.x0, bar.x1,
                        toothed(static_cast<int>(std::lround(part.outer_radius * 1.1)), tip * 0.9, tip),
                        tip * 0.9 - 0.4);
    };
    splines(part.x0, 1, part.outer_radius * 0.94);
    splines(part.x1, -1, part.outer_radius * 0.88); // one more diameter before the tail
}

/// Where the points of the lathe held it.
void add_centre_holes(Turned& turned, const PartPlace& part) {
    constexpr double radius = 2.6, depth = 5;
    if (part.inner_radius > 0 || part.outer_radius < 8 || part.x1 - part.x0 < 4 * depth) return;
    turned.cut.push_back({part.x0 - 1, part.x0 + depth, 0, radius});
    turned.cut.push_back({part.x1 - depth, part.x1 + 1, 0, radius});
}

void add_shafts(const Workshop& shop, std::vector<Turned>& list) {
    for (const auto& part : shop.layout.parts) {
        if (part.kind != PartKind::shaft) continue;
        Turned t;
        t.name = part.part.empty() ? "shaft" : part.part;
        t.subject = part_subject(part.part);
        t.material = usual_material(shop.map, part.part, Material::steel);
        t.section = SectionRule::whole;
        t.axis = part.axis;
        t.chamfer = 1.4;
        t.yields = true;
        t.add.push_back({part.x0, part.x1, part.inner_radius, part.outer_radius});
        add_splines(t, part);
        add_centre_holes(t, part);
        for (const auto& place : shop.layout.stacks) {
            const auto* stack = stack_of(shop, place);
            const bool mine =
                stack != nullptr && (stack->on == part.part || (part.part.empty() && place.carrier_rotates));
            if (!mine || place.axis != part.axis) continue;
            carry_stack(t, place, part.inner_radius);
            add_relief(t, place, part.outer_radius);
        }
        list.push_back(std::move(t));
    }
}

/// Carriers that are no shafts: a standing support, or one that the map does not name.
void add_standing_carriers(const Workshop& shop, std::vector<Turned>& list) {
    for (const auto& place : shop.layout.stacks) {
        const auto* stack = stack_of(shop, place);
        const auto* part = stack == nullptr ? nullptr : find(shop.map.parts, stack->on);
        if (part != nullptr && part->kind == PartKind::shaft) continue;
        if (part == nullptr && place.carrier_rotates) continue; // the implied shaft has it
        Turned t;
        t.name = part == nullptr ? "support" : part->id;
        t.subject = part_subject(part == nullptr ? "" : part->id);
        t.material = usual_material(shop.map, part == nullptr ? "" : part->id, Material::steel);
        t.section = SectionRule::whole;
        t.axis = place.axis;
        double inner = place.carrier_radius * 0.74;
        for (const auto& p : shop.layout.parts) {
            if (part != nullptr && p.part == part->id) inner = std::min(p.inner_radius, place.recess_radius - 1.5);
        }
        t.add.push_back({place.carrier_x0, place.carrier_x1, inner, place.carrier_radius});
        carry_stack(t, place, inner);
        list.push_back(std::move(t));
    }
}

/// A plate of a pack: teeth around its outer or inner edge, one of them in the plane of the section.
void toothed_plate(Soup& soup, const Turned& plate, const ProfileLoop& loop) {
    const bool inside = plate.teeth_inside;
    const int teeth = plate.teeth;
    double x0 = 1e9, x1 = -1e9, r0 = 1e9, r1 = -1e9;
    for (const auto& p : loop)
        x0 = std::min(x0, p.x), x1 = std::max(x1, p.x), r0 = std::min(r0, p.y), r1 = std::max(r1, p.y);
    const double depth = std::min(plate.tooth_depth, (r1 - r0) / 4), step = 2 * std::numbers::pi / teeth;
    std::vector<std::array<double, 3>> stops; // angle, inner and outer radius
    for (int k = 0; k < teeth; ++k) {
        for (const auto& [share, tip] : {std::pair(-0.27, true), {0.27, true}, {0.35, false}, {0.65, false}}) {
            const double back = tip ? 0 : depth;
            stops.push_back({(k + share) * step, inside ? r0 + back : r0, inside ? r1 : r1 - back});
        }
    }
    const auto at = [&](double x, std::size_t stop, std::size_t which) {
        const auto& s = stops[stop % stops.size()];
        return glm::vec3(plate.axis + Vec3(x, s[which] * std::sin(s[0]), -s[which] * std::cos(s[0])));
    };
    const auto quad = [&](const glm::vec3& a, const glm::vec3& b, const glm::vec3& c, const glm::vec3& d) {
        soup.insert(soup.end(), {a, b, c, a, c, d});
    };
    constexpr std::size_t in = 1, out = 2;
    for (std::size_t i = 0; i < stops.size(); ++i) {
        quad(at(x1, i, out), at(x0, i, out), at(x0, i + 1, out), at(x1, i + 1, out));
        quad(at(x0, i, in), at(x1, i, in), at(x1, i + 1, in), at(x0, i + 1, in));
        quad(at(x1, i, in), at(x1, i, out), at(x1, i + 1, out), at(x1, i + 1, in));
        quad(at(x0, i, out), at(x0, i, in), at(x0, i + 1, in), at(x0, i + 1, out));
    }
}

void without_teeth(ProfileLoop& loop, const Turned& plate) {
    double inner = 1e9, outer = 0;
    for (const auto& r : plate.add)
        inner = std::min(inner, r.r0), outer = std::max(outer, r.r1);
    for (auto& p : loop)
        p.y = plate.teeth_inside ? std::max(p.y, inner + plate.tooth_depth) : std::min(p.y, outer - plate.tooth_depth);
}

std::vector<SectionRect> widened(const std::vector<SectionRect>& rects, double by) {
    auto result = rects;
    for (auto& r : result)
        r = {r.x0 - by, r.x1 + by, r.r0 - by, r.r1 + by};
    return result;
}

} // namespace

void add_turned_parts(Workshop& shop) {
    std::vector<Turned> list = piston_seals(shop);
    add_shafts(shop, list);
    add_standing_carriers(shop, list);
    add_supports(shop, list);
    add_drums(shop, list);
    add_clutches(shop, list);
    add_return_springs(shop, list);
    add_gear_trains(shop, list);

    for (std::size_t i = 0; i < list.size(); ++i) {
        auto cut = list[i].cut;
        const auto own = list[i].add;
        for (std::size_t j = 0; list[i].yields && j < i; ++j) { // whoever comes first keeps its place
            if (glm::length(list[j].axis - list[i].axis) > 1e-9) continue;
            const auto taken = widened(list[j].add, 0.35);
            cut.insert(cut.end(), taken.begin(), taken.end());
        }
        Shape shape;
        shape.name = list[i].name;
        shape.subject = list[i].subject;
        shape.material = list[i].material;
        shape.section = list[i].section;
        shape.hatch = list[i].hatch;
        auto soup = list[i].extra;
        double largest = 10;
        for (const auto& r : own)
            largest = std::max(largest, r.r1);
        auto loops = trace_region(own, cut);
        for (auto& loop : loops)
            loop = chamfered(filleted(loop, list[i].fillet), list[i].chamfer);
        const int segments = static_cast<int>(std::lround(segments_for(largest) * list[i].roundness / 4)) * 4;
        if (list[i].teeth > 0) {
            const auto cut_out = std::stable_partition(loops.begin(), loops.end(),
                                                       [](const ProfileLoop& loop) { return loop.size() != 4; });
            for (auto it = cut_out; it != loops.end(); ++it)
                toothed_plate(soup, list[i], *it);
            loops.erase(cut_out, loops.end());
            for (auto& loop : loops) // what another part has cut into stays round, without the teeth
                without_teeth(loop, list[i]);
        }
        if (list[i].splines.empty())
            turn(soup, along_x(list[i].axis), loops, segments);
        else
            turn_splined(soup, along_x(list[i].axis), loops, list[i].splines, list[i].channels);
        finish(shop, std::move(shape), std::move(soup));
    }
}

void add_gear_trains(Workshop& shop, std::vector<Turned>& list) {
    for (const auto& part : shop.layout.parts) {
        if (part.kind != PartKind::planetary && part.kind != PartKind::gear) continue;
        Turned t;
        t.name = part.part;
        t.subject = part_subject(part.part);
        t.material = usual_material(shop.map, part.part, Material::steel);
        t.axis = part.axis;
        t.hatch = 0;
        const double r = part.outer_radius, middle = (part.x0 + part.x1) / 2, half = (part.x1 - part.x0) / 2;
        if (part.kind == PartKind::gear) {
            t.add.push_back({part.x0, part.x1, part.inner_radius, r * 0.9});
            t.cut.push_back({part.x0 - 1, part.x0 + half * 0.5, r * 0.5, r * 0.8});
            t.cut.push_back({part.x1 - half * 0.5, part.x1 + 1, r * 0.5, r * 0.8});
            extrude_outline(t.extra, along_x(part.axis), part.x0 + 0.5, part.x1 - 0.5,
                            toothed(static_cast<int>(r * 0.62), r * 0.92, r), r * 0.9 + 0.05);
            list.push_back(std::move(t));
            continue;
        }
        t.add.push_back({part.x0 + 4, part.x1 - 4, r * 0.9, r}); // internal gear
        Turned carrier = t;
        carrier.add = {{part.x0, part.x0 + 3.6, part.inner_radius, r * 0.86},
                       {part.x1 - 3.6, part.x1, part.inner_radius, r * 0.86}};
        carrier.name += " carrier";
        carrier.hatch = 2;
        // Planets and sun: extruded, whole by drawing practice.
        const double sun = r * 0.36, planet = (r * 0.88 - sun) / 2 - 0.6, centre = sun + planet + 0.4;
        Soup gears;
        if (planet > 2 && half > 5) {
            extrude_outline(gears, along_x(part.axis), middle - half + 5, middle + half - 5,
                            toothed(static_cast<int>(sun * 0.8) + 5, sun * 0.88, sun * 0.99),
                            std::min(part.inner_radius + 0.6, sun * 0.8));
            for (int k = 0; k < 4; ++k) {
                const double a = 0.35 + k * 1.5707963267948966;
                const Vec3 at = part.axis + Vec3(0, centre * std::sin(a), -centre * std::cos(a));
                extrude_outline(gears, along_x(at), middle - half + 5, middle + half - 5,
                                toothed(static_cast<int>(planet * 0.9) + 5, planet * 0.86, planet * 0.98),
                                planet * 0.3);
            }
        }
        Shape shape;
        shape.name = part.part + " gears";
        shape.subject = t.subject;
        shape.material = Material::steel;
        shape.section = SectionRule::whole;
        finish(shop, std::move(shape), std::move(gears));
        list.push_back(std::move(t));
        list.push_back(std::move(carrier));
    }
}

} // namespace ringland::model::build
