#include "camera.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <glm/geometric.hpp>
#include <glm/gtc/matrix_transform.hpp>
#include <glm/trigonometric.hpp>

#include <fmt/format.h>

#include "framing.h"
#include "space_box.h"

namespace ringland::viewer {

namespace {

using model::Lying;

bool stands_upright(Lying lying) { return lying == Lying::bell_down || lying == Lying::tail_down; }

SpaceBox unit_box(const model::Layout& layout) {
    SpaceBox box;
    box.add(layout.low);
    box.add(layout.high);
    return box;
}

/// What stands where when the unit is taken apart: a ring of points around both ends of every body.
void add_taken_apart(std::vector<glm::dvec3>& points, const Explosion& explosion, const Apartness& apart, bool cut) {
    for (const auto& hull : explosion.hulls) {
        const double by = apart.moved_mm(hull.move);
        for (const double x : {hull.x0 + by, hull.x1 + by}) {
            for (int k = 0; k < 16; ++k) {
                const double a = k * glm::radians(22.5), y = hull.radius * std::sin(a);
                points.push_back({x, hull.y + (cut ? std::min(y, 0.0) : y), hull.z - hull.radius * std::cos(a)});
            }
        }
    }
}

/// Points on the outside of the unit, closer to its shape than a box: circles of the bell, the barrel and the shafts,
/// and the corners of the plate. With `cut`, the half towards +y is gone.
std::vector<glm::dvec3> outline(const model::Layout& layout, bool cut, bool with_shafts) {
    std::vector<glm::dvec3> points;
    const auto circle = [&](double x, const glm::dvec3& axis, double radius, bool half) {
        for (int k = 0; k < 16; ++k) {
            const double a = k * glm::radians(22.5);
            const double y = radius * std::sin(a);
            points.push_back(axis + glm::dvec3(x, half ? std::min(y, 0.0) : y, -radius * std::cos(a)));
        }
    };
    const auto& c = layout.housing;
    for (const auto& line : c.lines) {
        const bool belled = c.lines.size() == 1;
        circle(c.x0, line, belled ? c.bell_radius : c.radius, cut);
        circle(belled ? c.barrel_x1 : c.x1, line, c.radius, cut);
    }
    for (const auto& part : layout.parts) {
        if (part.kind != model::PartKind::shaft || !with_shafts) continue;
        circle(part.x0, part.axis, part.outer_radius, false); // the section leaves shafts whole
        circle(part.x1, part.axis, part.outer_radius, false);
    }
    for (const auto& port : layout.ports) {
        for (const double dx : {-22.0, 22.0})
            points.push_back(port.at + glm::dvec3(dx, port.at.y > 0 ? 16 : -16, -8));
    }
    return points;
}

std::vector<glm::dvec3> unit_outline(const model::Layout& layout, bool cut) { return outline(layout, cut, true); }
/// The case and the plate with its ports, which stay where they are.
std::vector<glm::dvec3> case_outline(const model::Layout& layout, bool cut) { return outline(layout, cut, false); }

const model::StackPlace* stack_of(const model::Layout& layout, const std::string& seal, std::size_t& index) {
    for (const auto& stack : layout.stacks) {
        for (std::size_t i = 0; i < stack.rings.size(); ++i) {
            if (stack.rings[i].seal == seal) {
                index = i;
                return &stack;
            }
        }
    }
    return nullptr;
}

/// The rings of a stack from `first` to `last` with the bore around them.
SpaceBox rings_box(const Derived& derived, const Apartness& apart, const model::StackPlace& stack, std::size_t first,
                   std::size_t last) {
    SpaceBox box;
    double low = 1e9, high = -1e9;
    for (std::size_t i = first; i <= last; ++i) {
        const double x = stack.rings[i].x + apart.shift_mm(derived.explosion.seals, stack.rings[i].seal);
        low = std::min(low, x);
        high = std::max(high, x);
    }
    const double pitch = stack.rings.size() > 1
                             ? std::abs(stack.rings.back().x - stack.rings.front().x) / double(stack.rings.size() - 1)
                             : 3 * stack.rings[first].groove_width;
    // A thick housing is shown in part only: the rings are the subject.
    const double radius = std::clamp(stack.outer_radius, stack.bore_radius, 1.45 * stack.bore_radius);
    box.add(low - pitch, high + pitch, stack.axis, radius);
    return box;
}

SpaceBox seal_box(const Derived& derived, const Apartness& apart, const std::string& seal, std::size_t rings_beside) {
    const model::Layout& layout = derived.layout;
    std::size_t index = 0;
    if (const auto* stack = stack_of(layout, seal, index)) {
        const std::size_t first = index > rings_beside ? index - rings_beside : 0;
        return rings_box(derived, apart, *stack, first, std::min(index + rings_beside, stack->rings.size() - 1));
    }
    SpaceBox box;
    const double around = 0.09 * glm::distance(layout.low, layout.high);
    for (const auto& place : layout.seals) {
        if (place.seal == seal)
            box.add(place.at + glm::dvec3(apart.shift_mm(derived.explosion.seals, seal), 0, 0), around);
    }
    return box;
}

SpaceBox subject_box(const Derived& derived, const model::Subject& subject, const Apartness& apart) {
    const model::Layout& layout = derived.layout;
    SpaceBox box;
    switch (subject.kind) {
    case model::SubjectKind::seal:
        box = seal_box(derived, apart, subject.id, 1);
        break;
    case model::SubjectKind::port:
        for (const auto& port : layout.ports) {
            if (port.port == subject.id) box.add(port.at, std::max(6 * port.radius, 25.0));
        }
        break;
    case model::SubjectKind::circuit:
        for (const auto& net : layout.nets) {
            if (net.circuit != subject.id) continue;
            for (const auto& node : net.nodes)
                box.add(node, 15);
        }
        break;
    case model::SubjectKind::part:
        for (const auto& part : layout.parts) {
            const double by = apart.shift_mm(derived.explosion.parts, part.part);
            if (part.part == subject.id) box.add(part.x0 + by, part.x1 + by, part.axis, part.outer_radius);
        }
        break;
    case model::SubjectKind::none:
        return unit_box(layout);
    }
    if (!box.empty()) return box;
    for (std::size_t i = 0; i < derived.shapes.size(); ++i) {
        const auto& shape = derived.shapes[i];
        if (!(shape.subject == subject)) continue;
        const glm::dvec3 by(i < derived.explosion.shapes.size() ? apart.moved_mm(derived.explosion.shapes[i]) : 0, 0,
                            0);
        for (const auto& p : shape.mesh.positions)
            box.add(glm::dvec3(p) + by);
    }
    return box.empty() ? unit_box(layout) : box;
}

/// What the stack close-up shows: the suspect, else the selected seal, else the first stack whole.
SpaceBox stack_view_box(const Session& session, const Derived& derived) {
    const Apartness apart = apartness(session, derived);
    if (!derived.suspect.empty()) return seal_box(derived, apart, derived.suspect, 2);
    if (session.view.selected.kind == model::SubjectKind::seal) {
        const SpaceBox box = seal_box(derived, apart, session.view.selected.id, 2);
        if (!box.empty()) return box;
    }
    if (derived.layout.stacks.empty() || derived.layout.stacks.front().rings.empty()) return unit_box(derived.layout);
    const auto& stack = derived.layout.stacks.front();
    return rings_box(derived, apart, stack, 0, stack.rings.size() - 1);
}

/// Azimuth and elevation of a named view in a level position, seen from the engine end's left.
struct Direction {
    double azimuth_deg, elevation_deg;
};
Direction direction_of(Viewpoint viewpoint, Lying lying) {
    Direction direction{-35, 30};
    switch (viewpoint) {
    case Viewpoint::bench:
        break;
    case Viewpoint::section:
        direction = {-16, 12};
        break;
    case Viewpoint::stack:
        direction = {-28, 17};
        break;
    case Viewpoint::follow:
        direction = {-24, 20};
        break;
    }
    // The section always takes away the half towards +y of the unit, so the eye stands on that side. Of its two
    // quarters it takes the one that the case face with the ports looks into; in the vehicle that face looks down,
    // where a mechanic too looks from below.
    if (lying != Lying::belly_up) direction.azimuth_deg = 180 - direction.azimuth_deg;
    if (lying == Lying::bell_down) direction.azimuth_deg = 360 - direction.azimuth_deg;
    if (lying == Lying::in_vehicle && viewpoint == Viewpoint::bench) direction.elevation_deg = -16;
    if (stands_upright(lying)) direction.elevation_deg = std::min(direction.elevation_deg, 16.0);
    return direction;
}

} // namespace

glm::dmat4 lying_matrix(Lying lying) {
    const double quarter = glm::radians(90.0);
    switch (lying) {
    case Lying::in_vehicle:
        break;
    case Lying::belly_up:
        return glm::rotate(glm::dmat4(1), 2 * quarter, glm::dvec3(1, 0, 0));
    case Lying::bell_down:
        return glm::rotate(glm::dmat4(1), -quarter, glm::dvec3(0, 1, 0));
    case Lying::tail_down:
        return glm::rotate(glm::dmat4(1), quarter, glm::dvec3(0, 1, 0));
    }
    return glm::dmat4(1);
}

double cut_side(Lying) { return 1.0; }

std::string end_with_lie(const Translator& tr, const std::string& end, Lying lying, bool towards_engine) {
    const std::string name = tr.map_word(end);
    if (!stands_upright(lying)) return name;
    return filled((lying == Lying::bell_down) == towards_engine ? tr("{0} (down)") : tr("{0} (up)"), name);
}

glm::dvec3 eye_of(const Camera& camera) {
    return camera.target + camera.distance * towards_eye(camera.azimuth_deg, camera.elevation_deg);
}

glm::dmat4 view_matrix(const Camera& camera) { return glm::lookAt(eye_of(camera), camera.target, glm::dvec3(0, 0, 1)); }

glm::dmat4 projection_matrix(const Camera& camera, double aspect) {
    // Near and far keep a ratio that a 24-bit depth buffer bears, from a ring's close-up to the whole unit.
    return glm::perspective(glm::radians(field_of_view_deg), aspect, 0.04 * camera.distance,
                            8 * camera.distance + 4000);
}

namespace {

/// Long after it began a turntable counts as one that stands: pictures are taken at the end of all time.
constexpr double turntable_ends_s = 1e6;

bool turns(const Flight& flight, double now_s) {
    return flight.turn_deg_per_s != 0 && now_s - flight.start_s < turntable_ends_s;
}

double eased(double t) {
    t = std::clamp(t, 0.0, 1.0);
    return t * t * (3 - 2 * t);
}

Camera between(const Camera& from, const Camera& to, double share) {
    Camera camera;
    camera.target = glm::mix(from.target, to.target, share);
    // Equal factors in equal times look like an even move; equal millimetres do not.
    camera.distance = from.distance * std::pow(to.distance / from.distance, share);
    const double turn = std::remainder(to.azimuth_deg - from.azimuth_deg, 360.0);
    camera.azimuth_deg = from.azimuth_deg + turn * share;
    camera.elevation_deg = glm::mix(from.elevation_deg, to.elevation_deg, share);
    return camera;
}

/// To the first stop and from the last one it eases, as every flight; along the stops it goes as they say.
Camera ride_at(const Flight& flight, double since_s) {
    const auto& stops = *flight.ride;
    if (since_s <= stops.front().at_s)
        return between(flight.from, stops.front().camera, eased(since_s / std::max(1e-9, stops.front().at_s)));
    if (since_s >= stops.back().at_s) {
        const double left_s = std::max(1e-9, flight.duration_s - stops.back().at_s);
        return between(stops.back().camera, flight.to, eased((since_s - stops.back().at_s) / left_s));
    }
    const auto next = std::upper_bound(stops.begin(), stops.end(), since_s,
                                       [](double at_s, const RideStop& stop) { return at_s < stop.at_s; });
    const auto& before = *(next - 1);
    return between(before.camera, next->camera, (since_s - before.at_s) / std::max(1e-9, next->at_s - before.at_s));
}

} // namespace

Camera camera_at(const Flight& flight, double now_s) {
    const double there_s = flight.start_s + flight.duration_s;
    if (now_s >= there_s || flight.duration_s <= 0) {
        Camera camera = flight.to;
        if (turns(flight, now_s) && now_s > there_s)
            camera.azimuth_deg = std::remainder(camera.azimuth_deg + flight.turn_deg_per_s * (now_s - there_s), 360.0);
        return camera;
    }
    if (flight.ride && !flight.ride->empty()) return ride_at(flight, now_s - flight.start_s);
    return between(flight.from, flight.to, eased((now_s - flight.start_s) / flight.duration_s));
}

bool in_flight(const Flight& flight, double now_s) {
    return (flight.duration_s > 0 && now_s < flight.start_s + flight.duration_s) || turns(flight, now_s);
}

bool goes_by_itself(const Flight& flight, double now_s) {
    return in_flight(flight, now_s) && (flight.ride || turns(flight, now_s));
}

void fly_to(Flight& flight, const Camera& to, double now_s, double duration_s) {
    const Camera from = camera_at(flight, now_s);
    flight = {from, to, now_s, from == to ? 0 : duration_s, nullptr, 0};
}

bool looks_into_section(const Session& session, const Derived& derived, Viewpoint viewpoint) {
    if (viewpoint == Viewpoint::bench) return false;
    const auto* seal = model::find(session.document.map.seals, derived.suspect);
    if (viewpoint == Viewpoint::section || seal == nullptr || seal->relation == model::Relation::stack) return true;
    for (const auto& place : derived.layout.seals) {
        if (place.seal == derived.suspect) return place.ring_radius > 0 && std::abs(place.ring_axis.x) > 0.99;
    }
    return false;
}

namespace {

/// How far the label of a port, and the arrows of the air at a port of the question, stand out beyond its mouth:
/// points.
constexpr double port_label_out = 44, port_label_side = 30, asked_out = 112, asked_side = 64;

/// The mouths of the ports with their labels and arrows.
void add_ports(std::vector<FramePoint>& points, const Session& session, const Derived& derived,
               const glm::dmat4& to_world, const SightAxes& axes) {
    const glm::dvec3 outwards(to_world * glm::dvec4(0, 0, -1, 0));
    const glm::dvec2 seen(glm::dot(outwards, axes.right), glm::dot(outwards, axes.up));
    for (const auto& port : derived.layout.ports) {
        const auto& document = session.document;
        const bool asked = derived.answer && (port.port == document.air_into || port.port == document.came_out);
        const glm::dvec3 at(to_world * glm::dvec4(port.at - glm::dvec3(0, 0, 9), 1)); // the brim of its boss
        const double out = asked ? asked_out : port_label_out, side = asked ? asked_side : port_label_side;
        for (const double way : {-1.0, 1.0})
            points.push_back({at, seen * out + way * side * glm::normalize(glm::dvec2(seen.y, -seen.x) + 1e-9)});
    }
}

/// The shell of the unit as it is modelled, with ears and bolts, where the outline holds plain circles only.
void add_shell(std::vector<glm::dvec3>& points, const Derived& derived, bool cut) {
    for (const auto& shape : derived.shapes) {
        if (!shape.glass) continue;
        for (const auto& p : shape.mesh.positions)
            points.emplace_back(p.x, cut && shape.section == model::SectionRule::cut ? std::min(p.y, 0.0F) : p.y, p.z);
    }
}

/// Of many points those that can lie on the border of what is seen, found in a fan of directions.
std::vector<FramePoint> border_of(const std::vector<glm::dvec3>& points, const SightAxes& axes) {
    constexpr std::size_t fan = 40;
    std::array<double, fan> most{};
    std::array<std::size_t, fan> which{};
    std::array<glm::dvec2, fan> ways{};
    for (std::size_t k = 0; k < fan; ++k) {
        const double angle = glm::radians(360.0 * double(k) / double(fan));
        ways[k] = {std::cos(angle), std::sin(angle)};
        most[k] = std::numeric_limits<double>::lowest();
    }
    glm::dvec3 low(std::numeric_limits<double>::max()), high(std::numeric_limits<double>::lowest());
    for (const auto& p : points)
        low = glm::min(low, p), high = glm::max(high, p);
    // Seen from about where the camera will be: what is nearer counts for more.
    const glm::dvec3 middle = 0.5 * (low + high);
    const double away = 2.6 * glm::distance(low, high);
    for (std::size_t i = 0; i < points.size(); ++i) {
        const glm::dvec3 q = points[i] - middle;
        const glm::dvec2 seen =
            glm::dvec2(glm::dot(q, axes.right), glm::dot(q, axes.up)) / (away + glm::dot(q, axes.forward));
        for (std::size_t k = 0; k < fan; ++k) {
            const double d = glm::dot(seen, ways[k]);
            if (d > most[k]) most[k] = d, which[k] = i;
        }
    }
    std::vector<FramePoint> border;
    for (std::size_t k = 0; k < fan && !points.empty(); ++k)
        border.push_back({points[which[k]], {}});
    return border;
}

/// The air's way with a little room around it, unit space.
SpaceBox air_box(const model::AirPath& air) {
    SpaceBox box;
    for (const auto& p : air.points)
        box.add(p, 12);
    return box;
}

} // namespace

Camera named_camera(const Session& session, const Derived& derived, Viewpoint viewpoint, double aspect) {
    const Lying lying = session.view.lying;
    const glm::dmat4 to_world = lying_matrix(lying);
    Direction direction = direction_of(viewpoint, lying);
    const Apartness apart = apartness(session, derived);
    if (viewpoint == Viewpoint::stack) {
        const auto* suspect = model::find(session.document.map.seals, derived.suspect);
        if (suspect != nullptr && suspect->relation == model::Relation::face)
            direction.elevation_deg = lying == Lying::in_vehicle ? -38 : 38; // onto the plate
        return frame_points(stack_view_box(session, derived).corners(to_world), direction.azimuth_deg,
                            direction.elevation_deg, aspect);
    }
    if (viewpoint == Viewpoint::bench && apart.any()) {
        // A row of parts is long: seen more from its end it is shorter, and the parts are larger.
        if (stands_upright(lying))
            direction.elevation_deg += 26 * apart.share();
        else
            direction.azimuth_deg += (direction.azimuth_deg > 90 ? 11 : -11) * apart.share();
    }
    const SightAxes axes = sight_axes(direction.azimuth_deg, direction.elevation_deg);
    std::vector<glm::dvec3> points;
    if (viewpoint == Viewpoint::follow && derived.air) {
        points = air_box(*derived.air).corners(to_world);
    } else {
        const bool cut = viewpoint == Viewpoint::section;
        if (apart.any()) add_taken_apart(points, derived.explosion, apart, cut);
        const auto assembled = apart.any() ? case_outline(derived.layout, cut) : unit_outline(derived.layout, cut);
        points.insert(points.end(), assembled.begin(), assembled.end());
        add_shell(points, derived, cut);
        for (auto& p : points)
            p = glm::dvec3(to_world * glm::dvec4(p, 1));
    }
    auto border = border_of(points, axes);
    add_ports(border, session, derived, to_world, axes);
    return frame_in_room(border, direction.azimuth_deg, direction.elevation_deg, aspect, session.view.room);
}

Camera focus_camera(const Session& session, const Derived& derived, const model::Subject& subject, const Camera& now,
                    double aspect) {
    const auto points =
        subject_box(derived, subject, apartness(session, derived)).corners(lying_matrix(session.view.lying));
    return frame_points(points, now.azimuth_deg, now.elevation_deg, aspect);
}

glm::dvec3 project(const glm::dvec3& unit_point, const Camera& camera, Lying lying, const Viewport& viewport) {
    const glm::dvec4 seen = view_matrix(camera) * lying_matrix(lying) * glm::dvec4(unit_point, 1);
    const double depth = -seen.z;
    const double scale = 1 / std::tan(glm::radians(field_of_view_deg / 2));
    const double away = std::abs(depth) > 1e-9 ? depth : 1e-9;
    const double x = seen.x * scale / (away * viewport.width / viewport.height), y = seen.y * scale / away;
    return {viewport.x + (0.5 + 0.5 * x) * viewport.width, viewport.y + (0.5 - 0.5 * y) * viewport.height, depth};
}

} // namespace ringland::viewer
