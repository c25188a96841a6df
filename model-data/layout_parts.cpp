// Drums, clutches, bands, servos and the case.

#include <algorithm>
#include <cmath>
#include <numbers>

#include "layout_plan.h"

namespace ringland::model::plan {
namespace {

constexpr double wall = 7.0, chamber = 5.0, piston = 7.0, gap = 3.0, pressure_plate = 8.0;

double given(const std::optional<Length>& length, double otherwise) { return length ? in_mm(*length) : otherwise; }

struct ClutchWish {
    std::string element, circuit;
    int plates = 6; ///< friction and steel
};

std::vector<ClutchWish> clutches_of(const UnitMap& map, const Part& drum) {
    std::vector<ClutchWish> wishes;
    for (const auto& element : map.elements) {
        if (element.at != drum.id) continue;
        if (element.kind != ElementKind::clutch && element.kind != ElementKind::brake) continue;
        wishes.push_back(
            {element.id, filling_circuit(element), std::clamp(2 * element.friction_plates.value_or(3), 2, 24)});
    }
    return wishes;
}

bool divided_by_lip(const UnitMap& map, const std::string& a, const std::string& b) {
    return std::any_of(map.seals.begin(), map.seals.end(), [&](const Seal& s) {
        return s.kind == SealKind::lip &&
               ((s.between[0] == a && s.between[1] == b) || (s.between[0] == b && s.between[1] == a));
    });
}

double half_length(const std::vector<ClutchWish>& side) {
    int most = 0;
    for (const auto& wish : side)
        most = std::max(most, wish.plates);
    return side.empty() ? 0 : chamber + piston + gap + most * usual::plate_thickness + pressure_plate;
}

/// One side of a drum: its clutches lie inside one another when there are several.
void fill_side(Layout& out, const DrumPlace& drum, int drum_index, const std::vector<ClutchWish>& side, double wall_x,
               double mouth_x) {
    const double direction = mouth_x > wall_x ? 1 : -1;
    const double rim = drum.outer_radius - 6.5;
    const double band = (rim - drum.hub_outer) / static_cast<double>(std::max<std::size_t>(1, side.size()));
    for (std::size_t i = 0; i < side.size(); ++i) { // the first lies outermost
        ClutchPlace c;
        c.element = side[i].element;
        c.circuit = side[i].circuit;
        c.drum = drum.part;
        c.drum_index = drum_index;
        c.axis = drum.axis;
        c.towards_tail = direction > 0;
        c.plates = side[i].plates;
        c.piston_outer = rim - band * static_cast<double>(i);
        c.piston_inner = c.piston_outer - band;
        const double from = wall_x + direction * chamber;
        c.chamber_x0 = std::min(wall_x, from);
        c.chamber_x1 = std::max(wall_x, from);
        c.piston_x1 = from + direction * piston;
        const double room = std::abs(mouth_x - c.piston_x1) - gap - pressure_plate;
        const double pitch = std::clamp(room / c.plates, 0.8, 4.2);
        const double pack0 = c.piston_x1 + direction * gap, pack1 = pack0 + direction * pitch * c.plates;
        c.plates_x0 = std::min(pack0, pack1);
        c.plates_x1 = std::max(pack0, pack1);
        c.plates_outer = c.piston_outer - (i == 0 ? 0.6 : 4.0);
        c.plates_inner = std::max(c.piston_inner + 3.0, c.plates_outer - std::max(10.0, band * 0.62));
        out.clutches.push_back(c);
    }
}

void add_drum(Draft& draft, DrumPlace drum, const std::vector<ClutchWish>& wishes) {
    std::vector<ClutchWish> tail_side, engine_side;
    const bool nested = wishes.size() == 2 && divided_by_lip(draft.map, wishes[0].circuit, wishes[1].circuit);
    for (std::size_t i = 0; i < wishes.size(); ++i) {
        (nested || i % 2 == 0 ? tail_side : engine_side).push_back(wishes[i]);
    }
    drum.back_to_back = !engine_side.empty();
    const auto index = static_cast<int>(draft.out.drums.size());
    draft.out.drums.push_back(drum);
    if (drum.back_to_back) {
        const double share =
            half_length(engine_side) / std::max(1.0, half_length(engine_side) + half_length(tail_side));
        const double middle = drum.x0 + (drum.x1 - drum.x0) * share;
        fill_side(draft.out, drum, index, engine_side, middle - wall / 2, drum.x0);
        fill_side(draft.out, drum, index, tail_side, middle + wall / 2, drum.x1);
    } else {
        fill_side(draft.out, drum, index, tail_side, drum.x0 + wall, drum.x1);
    }
}

double wanted_length(const UnitMap& map, const std::vector<ClutchWish>& wishes) {
    if (wishes.size() == 2 && divided_by_lip(map, wishes[0].circuit, wishes[1].circuit))
        return wall + half_length(wishes);
    std::vector<ClutchWish> a, b;
    for (std::size_t i = 0; i < wishes.size(); ++i)
        (i % 2 == 0 ? a : b).push_back(wishes[i]);
    return wall + half_length(a) + half_length(b) + (wishes.empty() ? 40 : 0);
}

int stack_with_bore(const Draft& draft, const std::string& part) {
    for (std::size_t i = 0; i < draft.map.stacks.size(); ++i) {
        if (!part.empty() && draft.map.stacks[i].bore == part) return static_cast<int>(i);
    }
    return -1;
}

void place_drum(Draft& draft, const Part& part, const std::vector<ClutchWish>& wishes) {
    const auto line = static_cast<std::size_t>(std::max(1, part.line) - 1);
    DrumPlace drum;
    drum.part = part.id;
    drum.axis = draft.line_axis[line];
    drum.stack = stack_with_bore(draft, part.id);
    drum.outer_radius =
        given(part.outer_diameter, 2 * (line == 0 ? usual::drum_radius : usual::other_line_drum_radius)) / 2;
    double x0 = draft.cursor[line] + 6;
    if (drum.stack >= 0) {
        const auto& stack = draft.out.stacks[static_cast<std::size_t>(drum.stack)];
        drum.hub_inner = stack.bore_radius;
        drum.hub_outer = stack.outer_radius;
        x0 = stack.x0;
    } else {
        drum.hub_inner = given(part.inner_diameter, 2 * (draft.shaft_radius[line] + 0.4)) / 2;
        drum.hub_outer = drum.hub_inner + 8;
    }
    drum.hub_outer = std::min(drum.hub_outer, drum.outer_radius - 10);
    drum.x0 = given(part.from, x0);
    drum.x1 = std::max(drum.x0 + 20, given(part.to, drum.x0 + wanted_length(draft.map, wishes)));
    draft.cursor[line] = std::max(draft.cursor[line], drum.x1 + 2);
    if (drum.stack >= 0)
        draft.cursor[line] = std::max(draft.cursor[line], draft.out.stacks[static_cast<std::size_t>(drum.stack)].x1);
    if (wishes.empty() && drum.stack < 0) { // a cup around something else, carried by its far wall
        drum.hub_inner = given(part.inner_diameter, 2 * drum.outer_radius - 12) / 2;
        drum.hub_outer = drum.hub_inner;
        draft.out.drums.push_back(drum);
        return;
    }
    add_drum(draft, drum, wishes);
}

/// A map that names no element at all still has clutches: one for every apply circuit of a stack, two to a drum.
void imply_drums(Draft& draft) {
    if (!draft.map.elements.empty()) return;
    std::vector<ClutchWish> wishes;
    for (const auto& stack : draft.map.stacks) {
        for (const auto& id : stack.circuits) {
            const auto* circuit = find(draft.map.circuits, id);
            const bool seen =
                std::any_of(wishes.begin(), wishes.end(), [&](const ClutchWish& w) { return w.circuit == id; });
            if (circuit != nullptr && circuit->kind == CircuitKind::apply && !seen && wishes.size() < 8)
                wishes.push_back({"", id, 6});
        }
    }
    for (std::size_t i = 0; i < wishes.size(); i += 2) {
        Part drum;
        drum.kind = PartKind::drum;
        place_drum(draft, drum,
                   {wishes.begin() + static_cast<long>(i),
                    wishes.begin() + static_cast<long>(std::min(i + 2, wishes.size()))});
    }
}

double widest_radius(const Draft& draft) {
    double r = 60;
    for (const auto& drum : draft.out.drums)
        r = std::max(r, drum.outer_radius);
    for (const auto& part : draft.out.parts) {
        if (part.kind != PartKind::case_ && part.kind != PartKind::pump) r = std::max(r, part.outer_radius);
    }
    for (const auto& stack : draft.out.stacks)
        r = std::max(r, stack.outer_radius);
    return r;
}

} // namespace

void place_drums(Draft& draft) {
    for (const auto& part : draft.map.parts) {
        if (part.kind == PartKind::drum) place_drum(draft, part, clutches_of(draft.map, part));
    }
    imply_drums(draft);
}

void place_other_parts(Draft& draft) {
    auto& out = draft.out;
    bool pump = false;
    std::vector<char> shaft(draft.line_axis.size(), 0);
    for (const auto& part : draft.map.parts) {
        const auto line = static_cast<std::size_t>(std::max(1, part.line) - 1);
        PartPlace place{part.id, part.kind, draft.line_axis[line], 0, 0, 0, 0};
        double x0 = draft.cursor[line] + 4, x1 = x0 + 30, inner = draft.shaft_radius[line] + 0.4, outer = inner + 12;
        switch (part.kind) {
        case PartKind::pump:
            x0 = usual::pump_x0, x1 = x0 + usual::pump_thickness, outer = 82, pump = true;
            break;
        case PartKind::shaft: {
            x0 = 30, x1 = draft.cursor[line] + 6, inner = 0, outer = std::max(8.0, draft.shaft_radius[line] - 1.5);
            bool carries = false;
            for (std::size_t i = 0; i < out.stacks.size(); ++i)
                carries |= draft.map.stacks[i].on == part.id;
            if (!carries && shaft[line] != 0) x0 = draft.cursor[line] + 2, x1 = x0 + 60; // the next shaft follows
            shaft[line] = 1;
            break;
        }
        case PartKind::planetary:
            x1 = x0 + 34, outer = (line == 0 ? usual::drum_radius : usual::other_line_drum_radius) * 0.8;
            break;
        case PartKind::gear:
            x1 = x0 + 24, outer = (line == 0 ? usual::drum_radius : usual::other_line_drum_radius) * 0.95;
            break;
        case PartKind::support: {
            for (std::size_t i = 0; i < out.stacks.size(); ++i) {
                const auto& stack = draft.map.stacks[i];
                const auto& at = out.stacks[i];
                if (stack.on == part.id)
                    x0 = at.carrier_x0, x1 = at.carrier_x1, inner = at.carrier_radius * 0.74, outer = at.carrier_radius;
                if (stack.bore == part.id) x0 = at.x0, x1 = at.x1, inner = at.bore_radius, outer = at.outer_radius;
            }
            break;
        }
        case PartKind::hub:
            break;
        default: // drawn from other places, or only where the map says where they are
            if (part.kind != PartKind::other || !part.from || !part.to || !part.outer_diameter) continue;
        }
        place.x0 = given(part.from, x0);
        place.x1 = std::max(place.x0 + 1, given(part.to, place.x0 + (x1 - x0)));
        place.outer_radius = given(part.outer_diameter, 2 * outer) / 2;
        place.inner_radius = std::min(given(part.inner_diameter, 2 * inner) / 2, place.outer_radius - 0.5);
        if (part.kind != PartKind::pump && part.kind != PartKind::support && part.kind != PartKind::shaft) {
            draft.cursor[line] = std::max(draft.cursor[line], place.x1);
        }
        out.parts.push_back(place);
    }
    for (std::size_t line = 0; line < draft.line_axis.size(); ++line) {
        const double end = draft.cursor[line] + 8;
        if (shaft[line] == 0) {
            out.parts.push_back({"", PartKind::shaft, draft.line_axis[line], line == 0 ? 26.0 : 84.0, end, 0,
                                 draft.shaft_radius[line] - 1.5});
        }
        if (line == 0 && !pump) {
            out.parts.push_back({"", PartKind::pump, draft.line_axis[0], usual::pump_x0,
                                 usual::pump_x0 + usual::pump_thickness, draft.shaft_radius[0] + 2, 82});
        }
    }
}

void place_case(Draft& draft) {
    auto& out = draft.out;
    auto& c = out.housing;
    double end = 0;
    for (std::size_t line = 0; line < draft.line_axis.size(); ++line)
        end = std::max(end, draft.cursor[line]);
    c.x0 = 0;
    c.x1 = end + 26;
    c.radius = widest_radius(draft) + 20;
    c.lines = draft.line_axis;
    for (const auto& part : draft.map.parts) {
        if (part.kind != PartKind::case_) continue;
        c.part = part.id;
        c.x0 = given(part.from, c.x0);
        c.x1 = std::max(c.x0 + 60, given(part.to, c.x1));
        if (part.outer_diameter) c.radius = std::max(widest_radius(draft) + 8, in_mm(*part.outer_diameter) / 2);
        break;
    }
    c.bell_radius = c.radius * 1.28;
    c.tail_radius = std::min(c.radius * 0.42, draft.shaft_radius[0] + 24);
    double lowest = 0;
    for (const auto& axis : c.lines)
        lowest = std::min(lowest, axis.z);
    out.face_z = lowest - c.radius - 16;
    out.plate_z = out.face_z - 9;
}

void place_case_brakes(Draft& draft) {
    auto& out = draft.out;
    for (const auto& element : draft.map.elements) {
        if (element.kind != ElementKind::brake) continue;
        if (std::any_of(out.clutches.begin(), out.clutches.end(),
                        [&](const ClutchPlace& c) { return c.element == element.id; }))
            continue;
        double x0 = out.housing.x1 - 90, x1 = out.housing.x1 - 50, inside = out.housing.radius * 0.6;
        Vec3 axis = draft.line_axis[0];
        for (const auto& part : out.parts) {
            if (part.part == element.around) x0 = part.x0, x1 = part.x1, inside = part.outer_radius, axis = part.axis;
        }
        for (const auto& drum : out.drums) {
            if (drum.part == element.around) x0 = drum.x0, x1 = drum.x1, inside = drum.outer_radius, axis = drum.axis;
        }
        ClutchPlace c;
        c.element = element.id;
        c.circuit = filling_circuit(element);
        c.axis = axis;
        c.plates = std::clamp(2 * element.friction_plates.value_or(4), 2, 24);
        c.towards_tail = false; // its chamber lies in the wall towards the tail and pushes forwards
        c.plates_inner = inside + 2;
        c.plates_outer =
            std::min(out.housing.radius - 8, std::max(c.plates_inner + 12, given(element.plate_outer_diameter, 0) / 2));
        const double pitch = std::clamp((x1 - x0 - gap - piston - chamber) / c.plates, 1.2, 3.6);
        c.plates_x0 = x0;
        c.plates_x1 = x0 + pitch * c.plates;
        const double back = c.plates_x1 + gap;
        c.piston_x1 = back;
        c.chamber_x0 = back + piston;
        c.chamber_x1 = c.chamber_x0 + chamber;
        c.piston_inner = c.plates_inner;
        c.piston_outer = c.plates_outer;
        out.clutches.push_back(c);
    }
    // The barrel reaches over everything wide; behind it the case draws in.
    double wide_to = out.housing.x0 + 60;
    for (const auto& drum : out.drums)
        wide_to = std::max(wide_to, drum.x1);
    for (const auto& c : out.clutches)
        wide_to = std::max({wide_to, c.chamber_x1, c.plates_x1});
    for (const auto& part : out.parts) {
        if (part.outer_radius > out.housing.tail_radius + 6) wide_to = std::max(wide_to, part.x1);
    }
    out.housing.barrel_x1 = wide_to + 4;
    out.housing.x1 = std::max(out.housing.x1, out.housing.barrel_x1 + 16);
}

void place_bands_and_servos(Draft& draft) {
    auto& out = draft.out;
    int count = 0;
    for (const auto& element : draft.map.elements) {
        if (element.kind != ElementKind::band) continue;
        const auto* servo_part = find(draft.map.parts, element.at);
        double x0 = out.housing.x1 * 0.55, x1 = x0 + 26, radius = out.housing.radius - 24;
        Vec3 axis = draft.line_axis[0];
        for (const auto& drum : out.drums) {
            if (drum.part != element.around) continue;
            const double middle = (drum.x0 + drum.x1) / 2;
            x0 = middle - 13, x1 = middle + 13, radius = drum.outer_radius, axis = drum.axis;
        }
        BandPlace band;
        band.element = element.id;
        for (const auto& part : draft.map.parts) {
            if (part.kind != PartKind::band || part.on != element.around) continue;
            band.part = part.id;
            if (part.from && part.to) x0 = in_mm(*part.from), x1 = in_mm(*part.to);
        }
        // Servos look out of the case half way down its sides, to the left and to the right by turns.
        const double angle = (count % 2 == 0 ? -1.0 : 1.0) * 62.0 * std::numbers::pi / 180.0;
        ++count;
        band.axis = axis;
        band.x0 = x0;
        band.x1 = x1;
        band.radius = radius + 0.8;
        band.end_angle = angle;
        out.bands.push_back(band);

        ServoPlace servo;
        servo.part = element.at;
        servo.element = element.id;
        servo.apply = filling_circuit(element);
        servo.release = element.released_by.empty() ? std::string() : element.released_by.front();
        servo.radius = servo_part != nullptr ? given(servo_part->outer_diameter, 60) / 2 : 30;
        double x = (x0 + x1) / 2;
        if (servo_part != nullptr && servo_part->from && servo_part->to)
            x = (in_mm(*servo_part->from) + in_mm(*servo_part->to)) / 2;
        const Vec3 outwards(0, std::sin(angle), -std::cos(angle));
        // Between it and the band there is room for a strut.
        servo.inner = axis + Vec3(x, 0, 0) + outwards * std::max(out.housing.radius - 16, band.radius + 21);
        servo.outer = servo.inner + outwards * 42.0;
        out.servos.push_back(servo);
    }
}

} // namespace ringland::model::plan
