// Where each seal stands, and the way of the air through it.

#include <algorithm>
#include <cmath>
#include <limits>
#include <queue>

#include <glm/geometric.hpp>
#include <glm/vec2.hpp>

#include "layout_plan.h"

namespace ringland::model {
namespace plan {
namespace {

using In = CircuitNet::Edge::In;

const CircuitNet* net_of(const Layout& out, const std::string& circuit) {
    for (const auto& net : out.nets) {
        if (net.circuit == circuit) return &net;
    }
    return nullptr;
}

int nearest_node(const CircuitNet* net, const Vec3& at, std::initializer_list<In> wanted) {
    if (net == nullptr) return -1;
    int best = -1;
    double least = std::numeric_limits<double>::max();
    for (const bool strict : {true, false}) {
        for (std::size_t i = 0; i < net->nodes.size(); ++i) {
            if (strict && std::find(wanted.begin(), wanted.end(), net->node_in[i]) == wanted.end()) continue;
            const double d = glm::length(net->nodes[i] - at);
            if (d < least) least = d, best = static_cast<int>(i);
        }
        if (best >= 0) break;
    }
    return best;
}

/// The two nodes of two nets that lie nearest to each other among those of the wanted kinds.
std::array<int, 2> nearest_pair(const CircuitNet* a, const CircuitNet* b, std::initializer_list<In> wanted) {
    std::array<int, 2> best{-1, -1};
    if (a == nullptr || b == nullptr) return best;
    const auto is = [&](In in) { return std::find(wanted.begin(), wanted.end(), in) != wanted.end(); };
    for (const bool strict : {true, false}) {
        double least = std::numeric_limits<double>::max();
        for (std::size_t i = 0; i < a->nodes.size(); ++i) {
            for (std::size_t j = 0; j < b->nodes.size(); ++j) {
                if (strict && (!is(a->node_in[i]) || !is(b->node_in[j]))) continue;
                const double d = glm::length(a->nodes[i] - b->nodes[j]);
                if (d < least) least = d, best = {static_cast<int>(i), static_cast<int>(j)};
            }
        }
        if (best[0] >= 0) break;
    }
    return best;
}

void place_ring(const Draft& draft, const Seal& seal, SealPlace& place) {
    for (const auto& stack : draft.out.stacks) {
        if (stack.stack != seal.stack) continue;
        for (const auto& ring : stack.rings) {
            if (ring.seal != seal.id) continue;
            place.at = stack.axis + Vec3(ring.x, stack.carrier_radius + 0.4, 0);
            const bool rising = stack.rings.size() < 2 || stack.rings[0].x < stack.rings[1].x;
            place.across = {rising ? 1.0 : -1.0, 0, 0};
        }
        for (int side = 0; side < 2; ++side) {
            const int k = seal.nth - 2 + side; // annulus on that side, by map order
            if (k < 0 || k >= static_cast<int>(stack.annuli.size())) {
                place.node[static_cast<std::size_t>(side)] =
                    nearest_node(net_of(draft.out, seal.between[static_cast<std::size_t>(side)]), place.at,
                                 {In::annulus, In::carrier});
                continue;
            }
            const auto& annulus = stack.annuli[static_cast<std::size_t>(k)];
            const Vec3 front = stack.axis + Vec3((annulus.x0 + annulus.x1) / 2, stack.carrier_radius + 0.4, 0);
            place.node[static_cast<std::size_t>(side)] =
                nearest_node(net_of(draft.out, annulus.circuit), front, {In::annulus});
        }
    }
}

std::initializer_list<In> kinds_for(Relation relation) {
    static constexpr std::initializer_list<In> face{In::face}, shaft{In::carrier}, drum{In::chamber, In::hub},
        stack{In::annulus};
    switch (relation) {
    case Relation::face:
        return face;
    case Relation::shaft:
        return shaft;
    case Relation::drum:
        return drum;
    case Relation::stack:
        return stack;
    }
    return drum;
}

bool strokes(const UnitMap& map, const ClutchPlace& clutch, const std::string& circuit) {
    if (circuit.empty()) return false;
    const auto* element = find(map.elements, clutch.element);
    if (element == nullptr) return clutch.circuit == circuit;
    return std::find(element->applied_by.begin(), element->applied_by.end(), circuit) != element->applied_by.end();
}

/// The clutch is of the part that the seal sits in: its drum, or a piston on that drum, or a piston in the case.
bool of_part(const Draft& draft, const ClutchPlace& clutch, const std::string& part) {
    if (part.empty() || part == clutch.drum) return true;
    const auto* p = find(draft.map.parts, part);
    if (p == nullptr) return false;
    if (clutch.drum.empty()) return p->kind == PartKind::case_ || p->on == draft.out.housing.part;
    const auto* carrier = find(draft.map.parts, p->on);
    return p->on == clutch.drum || (carrier != nullptr && carrier->on == clutch.drum);
}

/// Two seals never lie on one circle: the later one moves along the axis, deeper into the piston.
void step_aside(const Draft& draft, SealPlace& place, double step) {
    for (int tries = 0; tries < 8; ++tries) {
        const bool taken = std::any_of(draft.out.seals.begin(), draft.out.seals.end(), [&](const SealPlace& other) {
            return other.ring_radius > 0 &&
                   glm::length(glm::dvec2(other.ring_centre.y - place.ring_centre.y,
                                          other.ring_centre.z - place.ring_centre.z)) < 1 &&
                   std::abs(other.ring_centre.x - place.ring_centre.x) < 3.9 &&
                   std::abs(other.ring_radius - place.ring_radius) < 3.5;
        });
        if (!taken) return;
        place.ring_centre.x += step;
        place.at.x += step;
    }
}

/// The seal of a servo lies about its bore: on the piston, at the cover or around the pin.
bool place_in_servo(const Draft& draft, const Seal& seal, SealPlace& place) {
    for (const auto& servo : draft.out.servos) {
        if (servo.part != seal.at || servo.part.empty()) continue;
        const Vec3 axis = servo.outer - servo.inner;
        const bool outside = seal.between[0] == sump_id || seal.between[1] == sump_id;
        const bool pin = outside && seal.kind == SealKind::bushing;
        place.ring_centre = servo.inner + axis * (pin ? 0.05 : outside ? 0.93 : 0.55);
        place.ring_axis = glm::normalize(axis);
        place.ring_radius = pin ? 7.0 : servo.radius - (outside ? 1.5 : 2.5);
        place.at = place.ring_centre + Vec3(place.ring_radius, 0, 0);
        return true;
    }
    return false;
}

/// The seal of a clutch lies on a circle about the clutch: at the rim of the piston, at its hub, or between two
/// chambers.
void place_in_clutch(const Draft& draft, const Seal& seal, SealPlace& place) {
    if (seal.kind != SealKind::lip && seal.kind != SealKind::d_ring && seal.kind != SealKind::o_ring) return;
    const ClutchPlace* a = nullptr;
    const ClutchPlace* b = nullptr;
    for (const auto& c : draft.out.clutches) {
        if (!of_part(draft, c, seal.at)) continue;
        if (a == nullptr && strokes(draft.map, c, seal.between[0])) a = &c;
        if (b == nullptr && strokes(draft.map, c, seal.between[1])) b = &c;
    }
    const bool both = a != nullptr && b != nullptr;
    if (a == nullptr) std::swap(a, b);
    if (a == nullptr) return;
    const bool at_hub = seal.kind == SealKind::o_ring || seal.name.find("nner") != std::string::npos;
    double radius = at_hub ? a->piston_inner : a->piston_outer;
    if (both && seal.kind != SealKind::o_ring) {
        radius = a == b
                     ? a->piston_inner + (a->piston_outer - a->piston_inner) * 0.62
                     : std::max(std::min(a->piston_outer, b->piston_outer), std::min(a->piston_inner, b->piston_inner));
    }
    if (both && seal.kind == SealKind::o_ring) radius = std::min(a->piston_inner, b->piston_inner);
    place.ring_centre = a->axis + Vec3((a->piston_x1 + (a->towards_tail ? a->chamber_x1 : a->chamber_x0)) / 2, 0, 0);
    place.ring_axis = {1, 0, 0};
    place.ring_radius = radius;
    place.at = place.ring_centre + Vec3(0, 0, -radius);
    step_aside(draft, place, a->towards_tail ? 4.2 : -4.2);
}

void place_on_circle(const Draft& draft, const Seal& seal, SealPlace& place) {
    if (!place_in_servo(draft, seal, place)) place_in_clutch(draft, seal, place);
}

} // namespace

void place_seals(Draft& draft) {
    for (const auto& seal : draft.map.seals) {
        SealPlace place;
        place.seal = seal.id;
        const auto* a = net_of(draft.out, seal.between[0]);
        const auto* b = net_of(draft.out, seal.between[1]);
        if (seal.relation == Relation::stack) {
            place_ring(draft, seal, place);
        } else {
            const auto kinds = kinds_for(seal.relation);
            place.node = nearest_pair(a, b, kinds);
            if (place.node[0] >= 0) {
                const Vec3 pa = a->nodes[static_cast<std::size_t>(place.node[0])],
                           pb = b->nodes[static_cast<std::size_t>(place.node[1])];
                place.at = (pa + pb) * 0.5;
                if (glm::length(pb - pa) > 1e-6) place.across = glm::normalize(pb - pa);
            } else if (a != nullptr || b != nullptr) { // one side is the sump
                const auto* net = a != nullptr ? a : b;
                const std::size_t side = a != nullptr ? 0 : 1;
                const Vec3 deep = net->nodes.empty() ? Vec3(0) : net->nodes.back();
                place.node[side] = nearest_node(net, deep, kinds);
                if (place.node[side] >= 0)
                    place.at = net->nodes[static_cast<std::size_t>(place.node[side])] + Vec3(6, 0, 0);
            }
            if (seal.relation == Relation::drum) place_on_circle(draft, seal, place);
            for (std::size_t side = 0; side < 2; ++side) {
                if (place.ring_radius > 0) place.node[side] = nearest_node(side == 0 ? a : b, place.at, kinds);
            }
        }
        draft.out.seals.push_back(std::move(place));
    }
}

} // namespace plan

namespace {

/// Nodes of a net from one to another by the fewest edges; empty where there is no way.
std::vector<int> way(const CircuitNet& net, int from, int to) {
    std::vector<int> before(net.nodes.size(), -2);
    std::queue<int> next;
    next.push(from);
    before[static_cast<std::size_t>(from)] = -1;
    while (!next.empty() && before[static_cast<std::size_t>(to)] == -2) {
        const int here = next.front();
        next.pop();
        for (const auto& e : net.edges) {
            const int there = e.a == here ? e.b : e.b == here ? e.a : -1;
            if (there < 0 || before[static_cast<std::size_t>(there)] != -2) continue;
            before[static_cast<std::size_t>(there)] = here;
            next.push(there);
        }
    }
    std::vector<int> nodes;
    if (before[static_cast<std::size_t>(to)] == -2) return nodes;
    for (int at = to; at >= 0; at = before[static_cast<std::size_t>(at)])
        nodes.push_back(at);
    std::reverse(nodes.begin(), nodes.end());
    return nodes;
}

} // namespace

std::optional<AirPath> air_path(const UnitMap& map, const Layout& layout, const std::string& from_port,
                                const std::string& to_port, const std::string& seal_id) {
    const auto* from = find(map.ports, from_port);
    const auto* to = find(map.ports, to_port);
    const auto* seal = find(map.seals, seal_id);
    if (from == nullptr || to == nullptr || seal == nullptr) return std::nullopt;
    std::size_t entry = 0;
    if (seal->between[0] == from->circuit && seal->between[1] == to->circuit)
        entry = 0;
    else if (seal->between[1] == from->circuit && seal->between[0] == to->circuit)
        entry = 1;
    else
        return std::nullopt;
    const SealPlace* place = nullptr;
    for (const auto& p : layout.seals) {
        if (p.seal == seal_id) place = &p;
    }
    const auto* in = plan::net_of(layout, from->circuit);
    const auto* out = plan::net_of(layout, to->circuit);
    if (place == nullptr || in == nullptr || out == nullptr) return std::nullopt;
    if (place->node[entry] < 0 || place->node[1 - entry] < 0) return std::nullopt;
    if (!in->port_node.contains(from_port) || !out->port_node.contains(to_port)) return std::nullopt;

    AirPath path;
    path.seal = seal_id;
    for (const int n : way(*in, in->port_node.at(from_port), place->node[entry]))
        path.points.push_back(in->nodes[static_cast<std::size_t>(n)]);
    path.crossing = path.points.size();
    path.points.push_back(place->at);
    for (const int n : way(*out, place->node[1 - entry], out->port_node.at(to_port)))
        path.points.push_back(out->nodes[static_cast<std::size_t>(n)]);
    if (path.crossing == 0 || path.points.size() < path.crossing + 2) return std::nullopt;
    return path;
}

} // namespace ringland::model
