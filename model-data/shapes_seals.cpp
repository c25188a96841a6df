// Seals: rings with their joints, lips, gasket bridges, plugs and tubes.

#include <algorithm>
#include <cmath>
#include <numbers>

#include <glm/geometric.hpp>

#include "shape_build.h"

namespace ringland::model::build {
namespace {

using std::numbers::pi;

Shape seal_shape(const Seal& seal, Material otherwise) {
    Shape s;
    s.name = seal.id;
    s.subject = {SubjectKind::seal, seal.id};
    s.material = seal.material.value_or(otherwise);
    s.section = SectionRule::whole;
    return s;
}

ProfileLoop rect_loop(double x0, double x1, double r0, double r1, double chamfer) {
    return chamfered(trace_region({{x0, x1, r0, r1}}, {})[0], chamfer);
}

/// A ring lies with its joint turned a little on from that of its neighbour, towards the side that the section shows.
void add_ring(Workshop& shop, const Seal& seal, const StackPlace& stack, const RingPlace& ring) {
    const auto axis = along_x(stack.axis);
    const double inner = stack.groove_radius + 0.3, outer = stack.bore_radius - 0.05;
    const double w = ring.width / 2, mean = (inner + outer) / 2;
    const double joint = (96 + 9 * ((ring.nth * 2) % 5)) * pi / 180;
    const double gap = 1.1 / mean; // drawn wider than true
    const int segments = segments_for(outer);
    Soup soup;
    const auto piece = [&](double x0, double x1, double shift, double slant) {
        turn_part(soup, axis, rect_loop(x0, x1, inner, outer, 0.22), joint + gap / 2 + shift,
                  joint + 2 * pi - gap / 2 + shift, slant, segments);
    };
    switch (seal.joint) {
    case Joint::scarf:
        piece(ring.x - w, ring.x + w, 0, 1.6 / mean);
        break;
    case Joint::step:
    case Joint::hook:
        piece(ring.x - w, ring.x, 0, 0);
        piece(ring.x, ring.x + w, 4.5 / mean, 0);
        break;
    case Joint::butt:
        piece(ring.x - w, ring.x + w, 0, 0);
        break;
    case Joint::none:
    case Joint::solid:
        turn(soup, axis, {rect_loop(ring.x - w, ring.x + w, inner, outer, 0.22)}, segments);
        break;
    }
    finish(shop, seal_shape(seal, seal.kind == SealKind::bushing ? Material::bronze : Material::ptfe), soup);
}

/// Strip of the plate gasket that stands between two tracks.
void add_gasket_bridge(Workshop& shop, const Seal& seal, const SealPlace& place) {
    const glm::dvec2 across = std::abs(place.across.x) + std::abs(place.across.y) > 0.2
                                  ? glm::normalize(glm::dvec2(place.across.x, place.across.y))
                                  : glm::dvec2(1, 0);
    const glm::dvec2 along(-across.y, across.x), middle(place.at.x, place.at.y);
    const double half_width = 2.6, half_length = 13;
    Soup soup;
    slab(soup,
         {middle - along * half_length - across * half_width, middle - along * half_length + across * half_width,
          middle + along * half_length + across * half_width, middle + along * half_length - across * half_width},
         shop.layout.face_z - 0.95, shop.layout.face_z - 0.05);
    finish(shop, seal_shape(seal, Material::gasket), soup);
}

void add_small_seal(Workshop& shop, const Seal& seal, const SealPlace& place) {
    Soup soup;
    Material material = Material::steel;
    switch (seal.kind) {
    case SealKind::gasket_bridge:
        add_gasket_bridge(shop, seal, place);
        return;
    case SealKind::plug:
        rod(soup, place.at - Vec3(4, 0, 0), place.at + Vec3(4, 0, 0), 3.2, 20);
        break;
    case SealKind::tube:
        rod(soup, place.at - Vec3(20, 0, 0), place.at + Vec3(20, 0, 0), 2.9, 20);
        break;
    case SealKind::check_ball:
        rod(soup, place.at - Vec3(0.01, 0, 0), place.at + Vec3(0.01, 0, 0), 3.4, 20);
        break;
    case SealKind::wall: {
        material = Material::aluminium;
        box(soup, place.at - Vec3(2, 6, 6), place.at + Vec3(2, 6, 6));
        break;
    }
    case SealKind::bushing:
        material = Material::bronze;
        turn(soup, along_x(place.at), trace_region({{-6, 6, 4, 6}}, {}), 24);
        break;
    default:
        material = Material::rubber;
        turn(soup, along_x(place.at), trace_region({{-1.4, 1.4, 3, 5.5}}, {}), 24);
        break;
    }
    finish(shop, seal_shape(seal, material), soup);
}

bool turned_with_parts(const SealPlace& place) { return place.ring_radius > 0 && std::abs(place.ring_axis.x) > 0.99; }

} // namespace

std::vector<Turned> piston_seals(const Workshop& shop) {
    std::vector<Turned> list;
    for (const auto& place : shop.layout.seals) {
        const auto* seal = find(shop.map.seals, place.seal);
        if (seal == nullptr || seal->relation == Relation::stack || !turned_with_parts(place)) continue;
        Turned t;
        t.name = seal->id;
        t.subject = {SubjectKind::seal, seal->id};
        t.material = seal->material.value_or(Material::rubber);
        t.axis = {0, place.ring_centre.y, place.ring_centre.z};
        t.hatch = 5;
        t.chamfer = 0;
        const double x = place.ring_centre.x, r = place.ring_radius;
        t.add.push_back({x - 1.7, x + 1.7, std::max(0.5, r - 1.5), r + 1.5});
        list.push_back(std::move(t));
    }
    return list;
}

void add_seals(Workshop& shop) {
    for (const auto& place : shop.layout.seals) {
        const auto* seal = find(shop.map.seals, place.seal);
        if (seal == nullptr) continue;
        if (seal->relation == Relation::stack) {
            for (const auto& stack : shop.layout.stacks) {
                for (const auto& ring : stack.rings) {
                    if (ring.seal == seal->id) add_ring(shop, *seal, stack, ring);
                }
            }
            continue;
        }
        if (turned_with_parts(place)) continue; // made with the turned parts
        if (place.ring_radius > 0) {
            Soup soup;
            const Vec3 zero = std::abs(place.ring_axis.x) < 0.9 ? Vec3(1, 0, 0) : Vec3(0, 0, 1);
            turn(soup, {place.ring_centre, place.ring_axis, zero},
                 {rect_loop(-1.8, 1.8, std::max(0.5, place.ring_radius - 1.8), place.ring_radius + 1.2, 0.5)},
                 segments_for(place.ring_radius));
            auto shape = seal_shape(*seal, Material::rubber);
            shape.section = SectionRule::cut;
            finish(shop, std::move(shape), soup);
            continue;
        }
        add_small_seal(shop, *seal, place);
    }
}

} // namespace ringland::model::build
