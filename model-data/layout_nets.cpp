// The spaces of circuits: from each port by tracks of the case face, drillings and annuli to the chambers.

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>
#include <vector>

#include <glm/geometric.hpp>

#include "layout_plan.h"

namespace ringland::model::plan {
namespace {

using In = CircuitNet::Edge::In;
using std::numbers::pi;

/// A point at a radius and an angle about an axis; angle 0 is towards the case face (-z), a quarter turn is +y.
Vec3 about(const Vec3& axis, double x, double radius, double angle) {
    return axis + Vec3(x, radius * std::sin(angle), -radius * std::cos(angle));
}

class NetBuilder {
public:
    explicit NetBuilder(CircuitNet& net) : net_(net) {}
    int node(const Vec3& at, In in) {
        for (std::size_t i = 0; i < net_.nodes.size(); ++i) {
            if (glm::length(net_.nodes[i] - at) < 1e-6) return static_cast<int>(i);
        }
        net_.nodes.push_back(at);
        net_.node_in.push_back(in);
        return static_cast<int>(net_.nodes.size()) - 1;
    }
    void link(int a, int b, double radius, In in) {
        if (a != b) net_.edges.push_back({a, b, radius, in});
    }
    int extend(int from, const Vec3& to, double radius, In in) {
        const int next = node(to, in);
        link(from, next, radius, in);
        return next;
    }

private:
    CircuitNet& net_;
};

struct StackUse {
    const StackPlace* place;
    const AnnulusPlace* annulus;
};

std::vector<StackUse> uses_of(const Layout& out, const std::string& circuit) {
    std::vector<StackUse> uses;
    for (const auto& stack : out.stacks) {
        for (const auto& annulus : stack.annuli) {
            if (annulus.circuit == circuit) uses.push_back({&stack, &annulus});
        }
    }
    return uses;
}

double bore_radius_of(const UnitMap& map, const std::string& circuit) {
    for (const auto& passage : map.passages) {
        if (passage.circuit == circuit && passage.bore) return std::clamp(in_mm(*passage.bore) / 2, 1.0, 6.0);
    }
    return usual::feed_radius;
}

/// Where circuits that enter a stack through its standing carrier come down: one behind the other in the pump.
struct Slots {
    const Draft& draft;
    int taken = 0;
    double next() {
        double x0 = usual::pump_x0, x1 = usual::pump_x0 + usual::pump_thickness;
        for (const auto& part : draft.out.parts) {
            if (part.kind == PartKind::pump) x0 = part.x0, x1 = part.x1;
        }
        const double x = x0 + 8 + 8.5 * taken++;
        return x < x1 - 4 ? x : x0 + 8 + std::fmod(8.5 * (taken - 1), std::max(4.0, x1 - x0 - 12)) + 2.5;
    }
};

class CircuitRun {
public:
    CircuitRun(Draft& draft, Slots& slots, const Circuit& circuit, double lane, CircuitNet& net)
        : draft_(draft), out_(draft.out), slots_(slots), circuit_(circuit), lane_(lane), build_(net), net_(net),
          radius_(bore_radius_of(draft.map, circuit.id)) {}

    void run() {
        const auto uses = uses_of(out_, circuit_.id);
        int head = -1; // where the chambers hang on
        for (const auto& use : uses)
            head = enter(use, head);
        feed_targets(uses, head);
        if (net_.nodes.empty()) { // nothing known of its far end: a blind drilling under each port
            for (const auto& port : out_.ports) {
                if (circuit_of(port.port) == circuit_.id)
                    entry_from_face({port.at.x, port.at.y, out_.face_z + 18}, In::housing);
            }
        }
    }

private:
    [[nodiscard]] std::string circuit_of(const std::string& port) const {
        const auto* p = find(draft_.map.ports, port);
        return p == nullptr ? std::string() : p->circuit;
    }
    static constexpr double shallow = 3.5, deep = 12; ///< depths of the tracks under the case face, mm
    [[nodiscard]] double depth(double z_from_face) const { return out_.face_z + z_from_face; }

    /// From every port of the circuit along the face to a foot point, and straight on to `to`.
    int entry_from_face(const Vec3& to, In in) {
        const int end = build_.node(to, in);
        const double foot_y = to.y;
        for (const auto& port : out_.ports) {
            if (circuit_of(port.port) != circuit_.id) continue;
            const int mouth = build_.node(port.at, In::plate);
            net_.port_node[port.port] = mouth;
            if (const auto* passage = explicit_way(port.port)) {
                int at = mouth;
                for (const auto& p : passage->points_mm)
                    at = build_.extend(at, {p[0], p[1], p[2]}, radius_, In::housing);
                build_.link(at, end, radius_, In::housing);
                continue;
            }
            // Tracks along the axis lie shallow, each in a lane of its own; those across lie deep, so that they pass
            // under.
            int at = build_.extend(mouth, {port.at.x, port.at.y, depth(deep)}, radius_, In::face);
            if (std::hypot(port.at.x - to.x, port.at.y - foot_y) > 2.0) {
                at = build_.extend(at, {port.at.x, lane_, depth(deep)}, radius_, In::face);
                at = build_.extend(at, {port.at.x, lane_, depth(shallow)}, radius_, In::face);
                at = build_.extend(at, {to.x, lane_, depth(shallow)}, radius_, In::face);
                at = build_.extend(at, {to.x, lane_, depth(deep)}, radius_, In::face);
            }
            at = build_.extend(at, {to.x, foot_y, depth(deep)}, radius_, In::housing);
            build_.link(at, end, radius_, in);
        }
        return end;
    }

    [[nodiscard]] const Passage* explicit_way(const std::string& port) const {
        for (const auto& passage : draft_.map.passages) {
            if (passage.circuit == circuit_.id && passage.port == port && !passage.points_mm.empty()) return &passage;
        }
        return nullptr;
    }

    /// Comes from the face to a point of a line; lines behind others are reached round their drums.
    int come_down(const Vec3& axis, double x, double radius) {
        bool covered = false;
        double clear = 0;
        for (const auto& drum : out_.drums) {
            if (drum.axis.z < axis.z - 1) covered = true, clear = std::max(clear, drum.outer_radius + 10);
        }
        if (!covered) return entry_from_face(about(axis, x, radius, 0), In::housing);
        const double y = -clear;
        const int turn = build_.node({axis.x + x, y, axis.z}, In::housing);
        entry_from_face({axis.x + x, y, axis.z}, In::housing);
        return build_.extend(turn, about(axis, x, radius, -pi / 2), radius_, In::housing);
    }

    /// Nodes of an annulus from its back (-y) by the face side (-z) to its front (+y); returns the one at that angle.
    int annulus_node(const StackUse& use, double angle) {
        const double x = (use.annulus->x0 + use.annulus->x1) / 2, r = use.place->carrier_radius + 0.4;
        int before = -1, wanted = -1;
        for (int k = -3; k <= 3; ++k) {
            const double a = k * pi / 6;
            const int here = build_.node(about(use.place->axis, x, r, a), In::annulus);
            if (before >= 0 && !linked(before, here)) build_.link(before, here, 0, In::annulus);
            if (std::abs(a - angle) < 1e-6) wanted = here;
            before = here;
        }
        return wanted;
    }
    [[nodiscard]] bool linked(int a, int b) const {
        return std::any_of(net_.edges.begin(), net_.edges.end(),
                           [&](const CircuitNet::Edge& e) { return (e.a == a && e.b == b) || (e.a == b && e.b == a); });
    }

    [[nodiscard]] double drilling_radius(const StackPlace& place) const {
        double inner = 0;
        for (const auto& stack : draft_.map.stacks) {
            if (stack.id != place.stack) continue;
            for (const auto& part : out_.parts) {
                if (part.part == stack.on) inner = part.inner_radius;
            }
        }
        return inner > 0 ? (inner + place.groove_radius) / 2 : place.groove_radius * 0.55;
    }
    /// Each circuit of a carrier has a drilling at an angle of its own, in the half that the section leaves standing.
    [[nodiscard]] double drilling_angle(const StackUse& use) const {
        const auto n = use.place->annuli.size();
        const auto k = static_cast<std::size_t>(use.annulus - use.place->annuli.data());
        return pi * (1 + (static_cast<double>(k) + 0.5) / static_cast<double>(std::max<std::size_t>(n, 1)));
    }

    /// Into one stack: from the face for the first, along the carrier from the one before. Returns the node that goes
    /// on.
    int enter(const StackUse& use, int head) {
        const auto& place = *use.place;
        const double x = (use.annulus->x0 + use.annulus->x1) / 2;
        const double rho = drilling_radius(place), phi = drilling_angle(use);
        const double feed = std::min(radius_, (use.annulus->x1 - use.annulus->x0) * 0.42);
        if (head >= 0) { // from another stack
            const int near = build_.extend(head, about(place.axis, x, rho, phi), feed, In::carrier);
            const int ring = annulus_node(use, 0);
            build_.link(near, ring, feed, In::carrier);
            return place.carrier_rotates ? near : leave_by_hub(use, ring, feed);
        }
        if (place.carrier_rotates) {
            const int bore = come_down(place.axis, x, place.bore_radius);
            const double angle = net_.nodes[static_cast<std::size_t>(bore)].y < place.axis.y - 1 ? -pi / 2 : 0;
            const int ring = annulus_node(use, angle);
            build_.link(bore, ring, feed, In::housing);
            return build_.extend(annulus_node(use, 0), about(place.axis, x, rho, phi), feed, In::carrier);
        }
        const double root = slots_.next();
        const int down = come_down(place.axis, root, rho);
        const int turned = build_.extend(down, about(place.axis, root, rho, phi), feed, In::carrier);
        const int along = build_.extend(turned, about(place.axis, x, rho, phi), feed, In::carrier);
        const int ring = annulus_node(use, 0);
        build_.link(along, ring, feed, In::carrier);
        return leave_by_hub(use, ring, feed);
    }

    int leave_by_hub(const StackUse& use, int ring, double feed) {
        const double x = (use.annulus->x0 + use.annulus->x1) / 2;
        return build_.extend(ring, about(use.place->axis, x, use.place->outer_radius - 3, 0), feed, In::hub);
    }

    void feed_targets(const std::vector<StackUse>& uses, int head) {
        bool fed = false;
        for (const auto& clutch : out_.clutches) {
            if (clutch.circuit == circuit_.id || applies(clutch.element)) fed |= feed_clutch(clutch, uses, head);
        }
        for (const auto& servo : out_.servos) {
            if (servo.apply == circuit_.id) feed_servo(servo, true), fed = true;
            if (servo.release == circuit_.id) feed_servo(servo, false), fed = true;
        }
        if (fed) return;
        for (const auto& passage : draft_.map.passages) {
            if (passage.circuit == circuit_.id && !passage.to.empty()) feed_part(passage.to, uses, head);
        }
    }
    [[nodiscard]] bool applies(const std::string& element) const {
        const auto* e = find(draft_.map.elements, element);
        return e != nullptr &&
               std::find(e->applied_by.begin(), e->applied_by.end(), circuit_.id) != e->applied_by.end();
    }

    bool feed_clutch(const ClutchPlace& clutch, const std::vector<StackUse>& uses, int head) {
        const double x = (clutch.chamber_x0 + clutch.chamber_x1) / 2;
        // A second circuit on the same piston gets the outer half of the chamber,
        const bool second = clutch.circuit != circuit_.id;
        const double share = second ? 0.8 : 0.45;
        const double r = clutch.piston_inner + (clutch.piston_outer - clutch.piston_inner) * share;
        // and comes in beside the first.
        const Vec3 at = about(clutch.axis, x, r, second && clutch.drum_index < 0 ? -0.14 : 0);
        if (clutch.drum_index < 0) {
            entry_from_face(at, In::chamber);
            return true;
        }
        if (head < 0) { // no ring on its way: the map tells nothing of how it gets into the drum
            entry_from_face(at, In::chamber);
            return true;
        }
        const auto here = net_.nodes[static_cast<std::size_t>(head)];
        const Vec3 axis = uses.back().place->axis;
        const Vec3 offset = here - axis;
        const In in = uses.back().place->carrier_rotates ? In::carrier : In::hub;
        const int along = build_.extend(head, {x, here.y, here.z}, radius_ * 0.8, in);
        const double start = std::hypot(offset.y, offset.z);
        const int turned = build_.extend(along, about(axis, x, start, 0), radius_ * 0.8, in);
        const int chamber = build_.extend(turned, at, radius_ * 0.8, In::hub);
        net_.node_in[static_cast<std::size_t>(chamber)] = In::chamber;
        return true;
    }

    void feed_servo(const ServoPlace& servo, bool apply) {
        const Vec3 at = servo.inner + (servo.outer - servo.inner) * (apply ? 0.76 : 0.25);
        const double side = at.y > 0 ? 1 : -1;
        const double x = at.x + (apply ? 9 : -9);
        const Vec3 turn(x, side * std::min(std::abs(at.y) - servo.radius * 0.5, 62.0), depth(18));
        const int down = entry_from_face(turn, In::housing);
        const int end = build_.extend(down, {x, at.y, at.z}, radius_, In::housing);
        net_.node_in[static_cast<std::size_t>(end)] = In::chamber;
    }

    void feed_part(const std::string& id, const std::vector<StackUse>& uses, int head) {
        double x = 0, r = 0;
        bool known = false;
        for (const auto& part : out_.parts) {
            if (part.part != id) continue;
            const bool own = std::any_of(draft_.map.stacks.begin(), draft_.map.stacks.end(), [&](const Stack& s) {
                return s.on == id && std::find(s.circuits.begin(), s.circuits.end(), circuit_.id) != s.circuits.end();
            });
            x = own ? part.x0 + 6 : (part.x0 + part.x1) / 2;
            r = own ? 0 : part.inner_radius + 2;
            known = true;
        }
        for (const auto& drum : out_.drums) {
            if (drum.part == id) x = (drum.x0 + drum.x1) / 2, r = drum.hub_outer + 5, known = true;
        }
        if (!known) return;
        if (head < 0) {
            come_down(draft_.line_axis[static_cast<std::size_t>(line_of(draft_.map, id) - 1)], x, r);
            return;
        }
        const auto here = net_.nodes[static_cast<std::size_t>(head)];
        const int along = build_.extend(head, {x, here.y, here.z}, radius_ * 0.8, In::carrier);
        build_.extend(along, about(uses.back().place->axis, x, r, 0), radius_ * 0.8, In::hub);
    }

    Draft& draft_;
    Layout& out_;
    Slots& slots_;
    const Circuit& circuit_;
    double lane_;
    NetBuilder build_;
    CircuitNet& net_;
    double radius_;
};

/// Where the tracks run along the face: side by side over its width, but not under a row of ports, whose drillings go
/// straight through.
std::vector<double> lanes_of(const Draft& draft, int count) {
    constexpr double clear_of_port = 6.5;
    const double width = std::min(6.5 * count, 104.0);
    std::vector<double> rows;
    for (const auto& port : draft.out.ports)
        rows.push_back(port.at.y);
    std::sort(rows.rbegin(), rows.rend());
    std::vector<std::pair<double, double>> taken; // from high to low
    double sum = 0;
    for (const double y : rows) {
        if (std::abs(y) > width / 2 + clear_of_port) continue;
        if (taken.empty() || y + clear_of_port < taken.back().second)
            taken.emplace_back(y + clear_of_port, y - clear_of_port);
        taken.back().second = y - clear_of_port;
    }
    for (const auto& [upper, lower] : taken)
        sum += upper - lower;
    if (sum > 0.5 * width) taken.clear(), sum = 0; // ports all over: there is no way between them
    const double high = width / 2 + sum / 4;       // a little wider for it
    std::vector<double> lanes;
    for (int i = 0; i < count; ++i) {
        double y = count > 1 ? high - (width - sum / 2) * i / (count - 1) : 0;
        for (const auto& [upper, lower] : taken) {
            if (y < upper) y -= upper - lower;
        }
        lanes.push_back(std::round(2 * y) / 2);
    }
    return lanes;
}

} // namespace

void run_nets(Draft& draft) {
    Slots slots{draft};
    const auto lanes = lanes_of(draft, static_cast<int>(draft.map.circuits.size()));
    int index = 0;
    for (const auto& circuit : draft.map.circuits) {
        if (circuit.kind == CircuitKind::sump) continue;
        draft.out.nets.push_back({});
        auto& net = draft.out.nets.back();
        net.circuit = circuit.id;
        CircuitRun(draft, slots, circuit, lanes[static_cast<std::size_t>(index)], net).run();
        ++index;
    }
}

} // namespace ringland::model::plan
