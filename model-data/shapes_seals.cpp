// Seals: rings with their joints, lips, gasket bridges, plugs and tubes.

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>
#include <vector>

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

/// Lanes of a ring side by side along its axis, and on each the stretches where it is cut through: from, to, radians.
struct Lane {
    double x0 = 0, x1 = 0;
    std::vector<std::pair<double, double>> gaps;
};

/// A ring of lanes that grow together where both are there: the ends of a lapped joint reach past each other.
void add_lanes(Soup& soup, const Vec3& axis, const std::vector<Lane>& lanes, double inner, double outer, double from,
               int segments) {
    const double to = from + 2 * pi;
    std::vector<double> stops{from, to};
    for (int k = 1; k < segments; ++k)
        stops.push_back(from + 2 * pi * k / segments);
    for (const auto& lane : lanes) {
        for (const auto& [a, b] : lane.gaps)
            stops.insert(stops.end(), {a, b});
    }
    std::sort(stops.begin(), stops.end());
    stops.erase(std::unique(stops.begin(), stops.end(), [](double a, double b) { return b - a < 1e-4; }), stops.end());
    const std::size_t columns = stops.size() - 1;
    const auto there = [&](std::ptrdiff_t lane, std::size_t column) {
        if (lane < 0 || lane >= static_cast<std::ptrdiff_t>(lanes.size())) return false;
        const double middle = (stops[column % columns] + stops[column % columns + 1]) / 2;
        const auto& gaps = lanes[static_cast<std::size_t>(lane)].gaps;
        return std::none_of(gaps.begin(), gaps.end(),
                            [&](const auto& gap) { return middle > gap.first && middle < gap.second; });
    };
    const auto at = [&](double x, double r, std::size_t stop) {
        const double a = stop == columns ? stops[0] : stops[stop]; // the seam closes to the last bit
        return glm::vec3(axis + Vec3(x, r * std::sin(a), -r * std::cos(a)));
    };
    const auto quad = [&](const glm::vec3& a, const glm::vec3& b, const glm::vec3& c, const glm::vec3& d) {
        soup.insert(soup.end(), {a, b, c, a, c, d});
    };
    for (std::size_t k = 0; k < columns; ++k) {
        for (std::size_t i = 0; i < lanes.size(); ++i) {
            const auto lane = static_cast<std::ptrdiff_t>(i);
            if (!there(lane, k)) continue;
            const double x0 = lanes[i].x0, x1 = lanes[i].x1;
            const auto swept = [&](double xa, double ra, double xb, double rb) {
                quad(at(xa, ra, k), at(xb, rb, k), at(xb, rb, k + 1), at(xa, ra, k + 1));
            };
            swept(x1, outer, x0, outer);
            swept(x0, inner, x1, inner);
            if (!there(lane + 1, k)) swept(x1, inner, x1, outer);
            if (!there(lane - 1, k)) swept(x0, outer, x0, inner);
            if (!there(lane, k + 1))
                quad(at(x0, inner, k + 1), at(x1, inner, k + 1), at(x1, outer, k + 1), at(x0, outer, k + 1));
            if (!there(lane, k + columns - 1))
                quad(at(x0, inner, k), at(x0, outer, k), at(x1, outer, k), at(x1, inner, k));
        }
    }
}

/// The two ends of a step joint lie beside each other; those of a hook joint have heads that hold each other as well.
std::vector<Lane> lapped_lanes(Joint joint, const RingPlace& ring, double from, double lap, double gap) {
    const double w = ring.width / 2, slit = std::min(0.16, 0.12 * w), to = from + lap, half = gap / 2;
    const std::pair begins(from - half, from + half), ends(to - half, to + half);
    if (joint == Joint::step) {
        return {{ring.x - w, ring.x - slit, {begins}},
                {ring.x - slit, ring.x + slit, {{from - half, to + half}}},
                {ring.x + slit, ring.x + w, {ends}}};
    }
    const double h = 0.36 * w, middle = from + lap / 2, thin = 0.3 * gap;
    return {{ring.x - w, ring.x - h - slit, {begins}},
            {ring.x - h - slit, ring.x - h + slit, {begins, {middle - thin, to + half}}},
            {ring.x - h + slit, ring.x + h - slit, {begins, {middle - thin, middle + thin}, ends}},
            {ring.x + h - slit, ring.x + h + slit, {{from - half, middle + thin}, ends}},
            {ring.x + h + slit, ring.x + w, {ends}}};
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
    case Joint::hook: {
        const double lap = (seal.joint == Joint::step ? 5.0 : 8.0) / mean;
        add_lanes(soup, stack.axis, lapped_lanes(seal.joint, ring, joint, lap, gap), inner, outer, joint - pi,
                  segments);
        break;
    }
    case Joint::butt:
        piece(ring.x - w, ring.x + w, 0, 0);
        break;
    case Joint::none:
    case Joint::solid:
        turn(soup, axis, {rect_loop(ring.x - w, ring.x + w, inner, outer, 0.22)}, segments);
        break;
    }
    finish(shop, seal_shape(seal, seal.kind == SealKind::bushing ? Material::bronze : Material::ptfe), std::move(soup));
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
    finish(shop, seal_shape(seal, Material::gasket), std::move(soup));
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
    finish(shop, seal_shape(seal, material), std::move(soup));
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
            finish(shop, std::move(shape), std::move(soup));
            continue;
        }
        add_small_seal(shop, *seal, place);
    }
}

} // namespace ringland::model::build
