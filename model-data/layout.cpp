#include "layout.h"

#include <algorithm>
#include <cmath>

#include "layout_plan.h"
#include "map_io.h"

namespace ringland::model {
namespace plan {

bool turns(const UnitMap& map, const std::string& part, bool if_unknown) {
    const auto* p = find(map.parts, part);
    if (p == nullptr) return if_unknown;
    switch (p->kind) {
    case PartKind::shaft:
    case PartKind::drum:
    case PartKind::hub:
    case PartKind::planetary:
    case PartKind::gear:
        return true;
    default:
        return false;
    }
}

int line_of(const UnitMap& map, const std::string& part) {
    const auto* p = find(map.parts, part);
    return p == nullptr ? 1 : std::max(1, p->line);
}

std::string filling_circuit(const Element& element) {
    return element.applied_by.empty() ? std::string() : element.applied_by.front();
}

void place_lines(Draft& draft) {
    int lines = 1;
    double widest = 0;
    for (const auto& part : draft.map.parts) {
        lines = std::max(lines, part.line);
        if (part.kind == PartKind::drum && part.outer_diameter) widest = std::max(widest, in_mm(*part.outer_diameter));
    }
    lines = std::min(lines, limits::shaft_lines);
    if (widest <= 0) widest = 2 * usual::other_line_drum_radius;
    const double apart = widest + 14;
    for (int line = 0; line < lines; ++line) { // 0, above, below, above that...
        const int steps = (line + 1) / 2;
        draft.line_axis.emplace_back(0, 0, (line % 2 == 1 ? steps : -steps) * apart);
    }
    draft.cursor.assign(draft.line_axis.size(), usual::pump_x0 + usual::pump_thickness);
    draft.shaft_radius.assign(draft.line_axis.size(), usual::shaft_radius);
    for (const auto& part : draft.map.parts) {
        if (part.kind == PartKind::pump && part.to) draft.cursor[0] = std::max(draft.cursor[0], in_mm(*part.to));
    }
}

namespace {

struct RadialSpan {
    double x0, x1, r0, r1;
};

bool overlap(const RadialSpan& a, const RadialSpan& b) {
    return a.x0 < b.x1 && b.x0 < a.x1 && a.r0 < b.r1 && b.r0 < a.r1;
}

RadialSpan span_of(const StackPlace& s) { return {s.x0, s.x1, s.groove_radius, s.outer_radius}; }

double carrier_radius(const Draft& draft, const Stack& stack, bool rotates) {
    if (stack.diameter) return in_mm(*stack.diameter) / 2;
    const auto* part = find(draft.map.parts, stack.on);
    if (part != nullptr && part->outer_diameter) return in_mm(*part->outer_diameter) / 2;
    return rotates ? usual::shaft_radius : usual::support_radius;
}

void set_radii(StackPlace& place, const Stack& stack, bool bore_rotates) {
    const double thickness = std::min(stack.ring_thickness ? in_mm(*stack.ring_thickness) : usual::ring_thickness,
                                      place.carrier_radius * 0.35);
    const double depth =
        std::min(stack.groove_depth ? in_mm(*stack.groove_depth) : thickness + 0.4, place.carrier_radius * 0.45);
    place.groove_radius = place.carrier_radius - depth;
    place.recess_radius = place.carrier_radius - std::min(usual::recess_depth, depth * 0.8);
    place.bore_radius = place.carrier_radius + usual::clearance_drawn;
    place.outer_radius = place.bore_radius + (bore_rotates ? 8.0 : 13.0);
}

void set_rings(StackPlace& place, const Stack& stack, double first_x, double pitch, double ring_width) {
    const auto n = stack.seals.size();
    const double groove = ring_width + usual::groove_margin;
    const double last_x = first_x + pitch * static_cast<double>(n - 1);
    for (std::size_t k = 0; k < n; ++k) {
        const double along = pitch * static_cast<double>(k);
        const double x = stack.first_end_to_engine ? first_x + along : last_x - along;
        place.rings.push_back({stack.seals[k], static_cast<int>(k) + 1, x, ring_width, groove});
    }
    for (std::size_t k = 0; k + 1 < n; ++k) {
        const double a = place.rings[k].x, b = place.rings[k + 1].x;
        const double land = std::min(1.8, (pitch - groove) * 0.25);
        place.annuli.push_back(
            {stack.circuits[k], std::min(a, b) + groove / 2 + land, std::max(a, b) - groove / 2 - land});
    }
    const double margin = std::max(usual::end_margin, groove / 2 + 4);
    place.x0 = first_x - margin;
    place.x1 = last_x + margin;
}

} // namespace

void place_stacks(Draft& draft) {
    for (const auto& stack : draft.map.stacks) {
        const auto line = static_cast<std::size_t>(line_of(draft.map, stack.on.empty() ? stack.bore : stack.on) - 1);
        StackPlace place;
        place.stack = stack.id;
        place.axis = draft.line_axis[line];
        const bool bore_rotates = turns(draft.map, stack.bore, false);
        place.carrier_rotates = turns(draft.map, stack.on, !bore_rotates);
        place.carrier_radius = std::max(4.0, carrier_radius(draft, stack, place.carrier_rotates));
        set_radii(place, stack, bore_rotates);

        const double ring_width =
            std::clamp(stack.ring_width ? in_mm(*stack.ring_width) : usual::ring_width, 0.4, 60.0);
        const double least_pitch = ring_width + usual::groove_margin + 2.0;
        const double pitch =
            std::max(stack.pitch ? in_mm(*stack.pitch) : std::max(usual::pitch, least_pitch + 4), least_pitch);
        double first_x = stack.start ? in_mm(*stack.start)
                                     : draft.cursor[line] + std::max(usual::end_margin, ring_width / 2 + 5) + 8;
        const double margin = std::max(usual::end_margin, (ring_width + usual::groove_margin) / 2 + 4);
        first_x = std::max(first_x, margin);
        auto trial = place;
        set_rings(trial, stack, first_x, pitch, ring_width);
        for (const auto& other : draft.out.stacks) { // two stacks never share a place
            if (other.axis == place.axis && overlap(span_of(trial), span_of(other))) {
                first_x = std::max(first_x, other.x1 + margin + 4);
                trial = place;
                set_rings(trial, stack, first_x, pitch, ring_width);
            }
        }
        place = trial;
        const auto* carrier = find(draft.map.parts, stack.on);
        const double reach0 = carrier != nullptr && carrier->from ? in_mm(*carrier->from) : place.x0 - 3;
        const double reach1 = carrier != nullptr && carrier->to ? in_mm(*carrier->to) : place.x1 + 3;
        place.carrier_x0 = std::min(reach0, place.x0 - 3);
        place.carrier_x1 = std::max(reach1, place.x1 + 3);
        draft.cursor[line] = std::max(draft.cursor[line], place.x1 + (bore_rotates ? 0.0 : 8.0));
        if (place.carrier_rotates) draft.shaft_radius[line] = place.carrier_radius;
        draft.out.stacks.push_back(std::move(place));
    }
    draft.out.clearance_scale = usual::clearance_drawn / usual::clearance_true;
}

void place_ports(Draft& draft) {
    const auto& ports = draft.map.ports;
    auto& out = draft.out;
    if (ports.empty()) return;
    const double x0 = out.housing.x0 + (out.housing.x1 - out.housing.x0) * 0.2;
    const double x1 = out.housing.x1 - 26;
    const double pitch = std::min(34.0, (x1 - x0) / static_cast<double>(std::max<std::size_t>(1, ports.size() - 1)));
    const bool two_rows = pitch < 22;
    for (std::size_t i = 0; i < ports.size(); ++i) {
        PortPlace place;
        place.port = ports[i].id;
        place.radius = 5.5;
        if (ports[i].at_mm) {
            place.at = {(*ports[i].at_mm)[0], (*ports[i].at_mm)[1], out.plate_z};
        } else {
            const double y = two_rows && i % 2 == 1 ? -30 : 26;
            place.at = {x0 + pitch * static_cast<double>(i), y, out.plate_z};
        }
        out.ports.push_back(std::move(place));
    }
}

void bound(Draft& draft) {
    auto& out = draft.out;
    const auto& c = out.housing;
    const double r = std::max(c.bell_radius, c.radius);
    double z_low = out.plate_z - 10, z_high = r;
    for (const auto& axis : c.lines) {
        z_low = std::min(z_low, axis.z - c.radius);
        z_high = std::max(z_high, axis.z + c.radius);
    }
    out.low = {c.x0, -r, z_low};
    out.high = {c.x1, r, z_high};
    for (const auto& part : out.parts) {
        out.low.x = std::min(out.low.x, part.x0);
        out.high.x = std::max(out.high.x, part.x1);
    }
    for (const auto& stack : out.stacks) {
        out.low.x = std::min(out.low.x, stack.carrier_x0);
        out.high.x = std::max(out.high.x, stack.carrier_x1);
    }
}

} // namespace plan

Layout lay_out(const UnitMap& map) {
    Layout layout;
    plan::Draft draft{map, layout, {}, {}, {}};
    plan::place_lines(draft);
    plan::place_stacks(draft);
    plan::place_drums(draft);
    plan::place_other_parts(draft);
    plan::place_case(draft);
    plan::place_case_brakes(draft);
    plan::place_bands_and_servos(draft);
    plan::place_ports(draft);
    plan::run_nets(draft);
    plan::place_seals(draft);
    plan::bound(draft);
    return layout;
}

} // namespace ringland::model
