// Circuits as volumes in their real spaces, and the ports.

#include <algorithm>
#include <cmath>
#include <numbers>

#include <glm/geometric.hpp>

#include "shape_build.h"

namespace ringland::model::build {
namespace {

using std::numbers::pi;
using In = CircuitNet::Edge::In;

Shape circuit_shape(const std::string& circuit, const std::string& what, SectionRule section) {
    Shape s;
    s.name = circuit + " " + what;
    s.subject = {SubjectKind::circuit, circuit};
    s.circuit_space = true;
    s.section = section;
    return s;
}

void add_annuli(Workshop& shop) {
    for (const auto& stack : shop.layout.stacks) {
        for (const auto& annulus : stack.annuli) {
            const auto axis = along_x(stack.axis);
            const double middle = (annulus.x0 + annulus.x1) / 2, skin = stack.carrier_radius + 0.25;
            Soup band;
            turn(band, axis,
                 {chamfered(
                     trace_region({{annulus.x0 + 0.05, annulus.x1 - 0.05, stack.recess_radius + 0.05, skin}}, {})[0],
                     0.3)},
                 segments_for(stack.carrier_radius));
            finish(shop, circuit_shape(annulus.circuit, "annulus", SectionRule::whole), std::move(band));

            // Feed holes: dark mouths on the band, as many as a real annulus has.
            const double hole = std::min(2.6, (annulus.x1 - annulus.x0) * 0.3);
            Soup holes;
            for (int k = 0; k < 6; ++k) {
                const double a = pi / 6 + k * pi / 3;
                const Vec3 out(0, std::sin(a), -std::cos(a));
                const TurningAxis radial{stack.axis + Vec3(middle, 0, 0), out, {1, 0, 0}};
                turn(holes, radial, trace_region({{skin - 1, skin + 0.18, 0, hole}}, {}), 14);
            }
            Shape s;
            s.name = annulus.circuit + " feed holes";
            s.subject = {SubjectKind::circuit, annulus.circuit};
            s.material = Material::rubber;
            s.section = SectionRule::whole;
            finish(shop, std::move(s), std::move(holes));
        }
    }
}

void add_tubes(Workshop& shop) {
    const auto channels = face_channels(shop.layout);
    for (const auto& net : shop.layout.nets) {
        Soup tracks, drillings;
        for (const auto& channel : channels) {
            if (channel.circuit != net.circuit) continue;
            const double z = shop.layout.face_z;
            slab(tracks, channel_outline(channel, 0.12), z + 0.1, z + channel_depth - 0.12);
        }
        const auto has_channel = [&](const CircuitNet::Edge& edge) {
            const auto& a = net.nodes[static_cast<std::size_t>(edge.a)];
            return in_channel(shop.layout, net, edge) &&
                   std::any_of(channels.begin(), channels.end(), [&](const Channel& c) {
                       return c.circuit == net.circuit && std::abs(c.y - a.y) < 1e-6 && a.x >= c.x0 - 1e-6 &&
                              a.x <= c.x1 + 1e-6;
                   });
        };
        for (const auto& edge : net.edges) {
            if (edge.radius <= 0 || has_channel(edge)) continue;
            const auto& a = net.nodes[static_cast<std::size_t>(edge.a)];
            const auto& b = net.nodes[static_cast<std::size_t>(edge.b)];
            rod(edge.in == In::face || edge.in == In::plate ? tracks : drillings, a, b, std::min(edge.radius, 4.0), 12);
        }
        finish(shop, circuit_shape(net.circuit, "tracks", SectionRule::whole), std::move(tracks));
        // What leads to a servo on the near side goes with that side when the unit is cut open.
        const bool to_stack = std::find(net.node_in.begin(), net.node_in.end(), In::annulus) != net.node_in.end();
        finish(shop, circuit_shape(net.circuit, "drillings", to_stack ? SectionRule::whole : SectionRule::cut),
               drillings);
    }
}

void add_chambers(Workshop& shop) {
    for (const auto& c : shop.layout.clutches) {
        const auto axis = along_x(c.axis);
        const auto* element = find(shop.map.elements, c.element);
        std::vector<std::string> circuits{c.circuit};
        if (element != nullptr) {
            for (const auto& id : element->applied_by) {
                if (id != c.circuit) circuits.push_back(id);
            }
        }
        double r0 = c.piston_inner + 0.5;
        const double step = (c.piston_outer - 0.5 - r0) / static_cast<double>(circuits.size());
        for (const auto& id : circuits) {
            Soup soup;
            turn(soup, axis, trace_region({{c.chamber_x0 + 0.15, c.chamber_x1 - 0.15, r0 + 0.2, r0 + step - 0.2}}, {}),
                 segments_for(c.piston_outer));
            finish(shop, circuit_shape(id, "chamber", SectionRule::cut), std::move(soup));
            r0 += step;
        }
    }
    for (const auto& servo : shop.layout.servos) {
        const Vec3 direction = servo.outer - servo.inner;
        const double length = glm::length(direction);
        const TurningAxis axis{servo.inner, direction, {1, 0, 0}};
        const auto disc = [&](const std::string& id, double a, double b, double inner) {
            if (id.empty()) return;
            Soup soup;
            turn(soup, axis, trace_region({{length * a, length * b, inner, servo.radius - 0.6}}, {}),
                 segments_for(servo.radius));
            finish(shop, circuit_shape(id, "servo chamber", SectionRule::cut), std::move(soup));
        };
        disc(servo.apply, 0.68, 0.87, 0);
        disc(servo.release, 0.1, 0.44, 6.2);
    }
}

} // namespace

void add_circuits(Workshop& shop) {
    add_annuli(shop);
    add_tubes(shop);
    add_chambers(shop);
}

void add_ports(Workshop& shop) {
    for (const auto& place : shop.layout.ports) {
        const auto* port = find(shop.map.ports, place.port);
        if (port == nullptr) continue;
        const TurningAxis axis{place.at, {0, 0, -1}, {1, 0, 0}};
        Shape boss;
        boss.name = place.port + " boss";
        boss.subject = {SubjectKind::port, place.port};
        boss.material = Material::steel;
        boss.section = SectionRule::whole;
        Soup soup;
        turn(soup, axis, {chamfered(trace_region({{-1, 9, place.radius, place.radius + 3.4}}, {})[0], 1.0)}, 28);
        finish(shop, std::move(boss), std::move(soup));

        Shape mouth;
        mouth.name = place.port + " mouth";
        mouth.subject = {SubjectKind::port, place.port};
        mouth.circuit_space = true;
        mouth.section = SectionRule::whole;
        Soup plug;
        turn(plug, axis, trace_region({{0, 8.7, 0, place.radius - 0.05}}, {}), 28);
        finish(shop, std::move(mouth), std::move(plug));
    }
}

} // namespace ringland::model::build
