// Drums with splines for their plates, and what works in them: pistons and packs.

#include <algorithm>
#include <cmath>
#include <utility>

#include <glm/geometric.hpp>

#include "shape_build.h"

namespace ringland::model::build {
namespace {

constexpr double drum_skin = 6.0;     ///< of the wall of a drum, mm
constexpr double spline_depth = 2.6;  ///< leaves enough of the wall to hold
constexpr double around_tooth = 0.35; ///< gap between the tip of a tooth and the floor of its channel
constexpr double snap_groove = 1.3;   ///< depth of the snap ring's groove in the lands

SectionRect rect(double a, double b, double r0, double r1) { return {std::min(a, b), std::max(a, b), r0, r1}; }

std::vector<const BandPlace*> bands_on(const Workshop& shop, const DrumPlace& drum) {
    std::vector<const BandPlace*> bands;
    for (const auto& band : shop.layout.bands) {
        const bool around = std::abs(band.radius - drum.outer_radius) < 2 && glm::length(band.axis - drum.axis) < 1e-9;
        if (around && band.x0 < drum.x1 && band.x1 > drum.x0) bands.push_back(&band);
    }
    return bands;
}

/// The wall of a drum, thinner where its splines are, with the ground tracks of its bands.
void add_wall(const Workshop& shop, const DrumPlace& drum, Turned& t) {
    const double inner = drum.outer_radius - drum_skin;
    double from = drum.x0;
    std::sort(t.splines.begin(), t.splines.end(), [](const Splines& a, const Splines& b) { return a.x0 < b.x0; });
    for (const auto& s : t.splines) {
        if (s.x0 > from) t.add.push_back({from, s.x0, inner, drum.outer_radius});
        t.add.push_back({s.x0, s.x1, s.root, drum.outer_radius});
        from = s.x1;
    }
    if (drum.x1 > from) t.add.push_back({from, drum.x1, inner, drum.outer_radius});
    for (const auto* band : bands_on(shop, drum)) {
        constexpr double track = 0.7;
        if (band->x0 - 1.5 > drum.x0 + 3 && band->x1 + 1.5 < drum.x1 - 3)
            t.cut.push_back({band->x0 - 1.5, band->x1 + 1.5, drum.outer_radius - track, drum.outer_radius + drum_skin});
    }
}

/// A shallow recess turned into the outside of an end wall, between hub and rim.
void relieve_end(Turned& t, double face, double inwards, double inner, double outer) {
    constexpr double depth = 2.2;
    if (outer - inner > 8) t.cut.push_back(rect(face - inwards, face + inwards * depth, inner, outer));
}

Turned drum_body(const Workshop& shop, const DrumPlace& drum, int index) {
    Turned t;
    t.name = drum.part.empty() ? "drum" : drum.part;
    t.subject = part_subject(drum.part);
    t.material = usual_material(shop.map, drum.part, Material::steel);
    t.hatch = index % 2 == 0 ? 1 : 2;
    t.axis = drum.axis;
    t.chamfer = 1.6;
    std::vector<const ClutchPlace*> inside;
    for (const auto& c : shop.layout.clutches) {
        if (c.drum_index != index) continue;
        inside.push_back(&c);
        if (auto splines = splines_of(shop, c)) t.splines.push_back(*splines);
    }
    t.channels = channels_for(drum.outer_radius);
    add_wall(shop, drum, t);
    if (inside.empty()) {
        t.add.push_back({drum.x0, drum.x1, drum.hub_inner, drum.outer_radius});
        t.add.push_back({drum.x1 - 5, drum.x1, drum.hub_inner * 0.42, drum.outer_radius});
        relieve_end(t, drum.x1, -1, drum.hub_inner * 0.42 + 7, drum.hub_inner - 6);
        return t;
    }
    double wall0 = drum.x0, wall1 = drum.x0 + 7, hub1 = drum.x0 + 26;
    if (drum.back_to_back) {
        for (const auto* c : inside) {
            if (c->towards_tail)
                wall1 = c->chamber_x0;
            else
                wall0 = c->chamber_x1;
        }
        t.add.push_back({wall0 - 18, wall1 + 18, drum.hub_inner, drum.hub_outer});
    } else {
        hub1 = std::min(hub1, drum.x1 - 4);
        t.add.push_back({drum.x0, hub1, drum.hub_inner, drum.hub_outer});
        relieve_end(t, wall0, 1, drum.hub_outer + 4, drum.outer_radius - 12);
    }
    t.add.push_back({wall0, wall1, drum.hub_inner, drum.outer_radius});
    if (drum.stack >= 0) {
        const auto& place = shop.layout.stacks[static_cast<std::size_t>(drum.stack)];
        t.add.push_back({place.x0, place.x1, place.bore_radius, place.outer_radius});
        t.cut.push_back({place.x0 - 1, place.x1 + 1, 0, place.bore_radius});
    }
    return t;
}

std::string piston_part(const Workshop& shop, const ClutchPlace& clutch) {
    // The piston whose words name the clutch's circuit, on the same drum.
    const auto* circuit = find(shop.map.circuits, clutch.circuit);
    std::string any;
    for (const auto& part : shop.map.parts) {
        if (part.kind != PartKind::piston) continue;
        const bool here = part.on == clutch.drum || clutch.drum.empty() || find(shop.map.parts, part.on) != nullptr;
        if (here && circuit != nullptr && part.id.find(circuit->id) != std::string::npos) return part.id;
        if (part.on == clutch.drum || (clutch.drum.empty() && part.on == shop.layout.housing.part)) any = part.id;
    }
    return clutch.drum.empty() ? any : std::string();
}

Turned piston_of(const Workshop& shop, const ClutchPlace& c, const std::string& base) {
    const double direction = c.towards_tail ? 1 : -1;
    const double face = c.towards_tail ? c.chamber_x1 : c.chamber_x0;
    Turned piston;
    piston.name = base + " piston";
    const auto part = piston_part(shop, c);
    piston.subject = part_subject(part.empty() ? c.drum : part);
    piston.material = usual_material(shop.map, part, Material::aluminium);
    piston.axis = c.axis;
    piston.add.push_back(rect(face, c.piston_x1, c.piston_inner + 0.4, c.piston_outer - 0.4));
    piston.add.push_back(rect(c.piston_x1, c.piston_x1 + direction * 2.4, c.plates_inner + 1.5, c.plates_outer - 3));
    piston.cut.push_back(
        rect(c.piston_x1 - direction * 3.2, c.piston_x1 + direction * 3, c.piston_inner - 1, c.plates_inner - 2.5));
    return piston;
}

void add_pack(const Workshop& shop, const ClutchPlace& c, const std::string& base, std::vector<Turned>& list) {
    const double direction = c.towards_tail ? 1 : -1;
    Turned friction;
    friction.name = base + " friction plates";
    friction.subject = part_subject(c.drum.empty() ? shop.layout.housing.part : c.drum);
    friction.axis = c.axis;
    friction.chamfer = 0;
    friction.roundness = 0.75;
    friction.teeth = channels_for(c.plates_outer);
    Turned steel = friction;
    steel.name = base + " steel plates";
    steel.material = Material::steel;
    friction.material = Material::friction;
    friction.teeth_inside = true; // they ride on a hub
    double outer = c.plates_outer + 0.3;
    if (const auto splines = splines_of(shop, c)) {
        steel.teeth = channels_for(shop.layout.drums[static_cast<std::size_t>(c.drum_index)].outer_radius);
        steel.tooth_depth = splines->root - around_tooth - outer;
        outer = splines->root - around_tooth;
    }
    Turned pressure = steel;
    pressure.name = base + " pressure plate";
    const double pitch = (c.plates_x1 - c.plates_x0) / std::max(1, c.plates);
    for (int k = 0; k < c.plates; ++k) {
        const double x = c.plates_x0 + pitch * k;
        if (k % 2 == 0)
            steel.add.push_back({x, x + pitch * 0.62, c.plates_inner + 1.2, outer});
        else
            friction.add.push_back({x, x + pitch * 0.72, c.plates_inner - 2.4, c.plates_outer - 1.6});
    }
    const double end = c.towards_tail ? c.plates_x1 : c.plates_x0;
    pressure.add.push_back(rect(end + direction * 0.3, end + direction * 4.6, c.plates_inner + 1.2, outer));
    for (auto* plates : {&friction, &steel, &pressure})
        list.push_back(std::move(*plates));
}

} // namespace

int channels_for(double radius) { return std::clamp(static_cast<int>(std::lround(radius / 20)) * 4, 8, 24); }

std::pair<double, double> snap_ring_at(const ClutchPlace& c) {
    const double way = c.towards_tail ? 1 : -1, mouth = c.towards_tail ? c.plates_x1 : c.plates_x0;
    const double a = mouth + way * 4.9, b = a + way * 1.8;
    return {std::min(a, b), std::max(a, b)};
}

std::optional<Splines> splines_of(const Workshop& shop, const ClutchPlace& c) {
    if (c.drum_index < 0) return {};
    const auto& drum = shop.layout.drums[static_cast<std::size_t>(c.drum_index)];
    Splines s;
    s.land = drum.outer_radius - drum_skin;
    s.root = s.land + spline_depth;
    // From behind the piston to the mouth; within lies only the pack.
    s.x0 = c.towards_tail ? c.piston_x1 + 1 : drum.x0;
    s.x1 = c.towards_tail ? drum.x1 : c.piston_x1 - 1;
    const bool hangs_in_wall = c.plates_outer < s.land && s.land - c.plates_outer < 1.6;
    if (!hangs_in_wall || s.x1 - s.x0 < 6 || c.plates_x0 < s.x0 || c.plates_x1 > s.x1) return {};
    const auto [ring0, ring1] = snap_ring_at(c);
    if (ring0 > s.x0 + 0.4 && ring1 < s.x1 - 0.4) {
        s.groove_x0 = ring0 - 0.15;
        s.groove_x1 = ring1 + 0.15;
        s.groove_radius = s.land + snap_groove;
    }
    const double slot0 = c.plates_x0 + 0.8, slot1 = c.plates_x1 - 0.8;
    const auto bands = bands_on(shop, drum);
    const bool free = std::none_of(bands.begin(), bands.end(),
                                   [&](const BandPlace* band) { return band->x0 - 3 < slot1 && band->x1 + 3 > slot0; });
    if (free && slot1 - slot0 > 5) s.slot_x0 = slot0, s.slot_x1 = slot1;
    return s;
}

void add_drums(const Workshop& shop, std::vector<Turned>& list) {
    for (std::size_t i = 0; i < shop.layout.drums.size(); ++i)
        list.push_back(drum_body(shop, shop.layout.drums[i], static_cast<int>(i)));
}

void add_clutches(const Workshop& shop, std::vector<Turned>& list) {
    int number = 0;
    for (const auto& c : shop.layout.clutches) {
        const std::string base = c.element.empty() ? "clutch " + std::to_string(number) : c.element;
        list.push_back(piston_of(shop, c, base));
        add_pack(shop, c, base, list);
        ++number;
    }
}

} // namespace ringland::model::build
