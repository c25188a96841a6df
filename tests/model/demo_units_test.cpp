// The demo units are real content: these are the facts that a rebuilder, a lesson and the pictures rely on.
#include <algorithm>
#include <cctype>
#include <cmath>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include <doctest/doctest.h>

#include "../../model-data/map_io.h"
#include "../../model-data/unit_map.h"

using namespace ringland::model;

namespace {

const std::vector<std::string> demo_units{"larch-five", "wren-three", "heron-shift"};

UnitMap demo(const std::string& name) {
    auto result = read_map(std::string(RINGLAND_SOURCE_DIR) + "/assets-demo/" + name + ".toml");
    for (const auto& fault : result.faults) {
        MESSAGE(to_string(fault));
    }
    REQUIRE(result.map.has_value());
    CHECK(result.faults.empty());
    return *std::move(result.map);
}

using Pair = std::pair<std::string, std::string>;

Pair pair_of(std::string a, std::string b) {
    if (b < a) std::swap(a, b);
    return {std::move(a), std::move(b)};
}

Pair pair_of(const Seal& seal) { return pair_of(seal.between[0], seal.between[1]); }

std::vector<const Seal*> seals_between(const UnitMap& map, const std::string& a, const std::string& b) {
    std::vector<const Seal*> found;
    for (const auto& seal : map.seals) {
        if (pair_of(seal) == pair_of(a, b)) found.push_back(&seal);
    }
    return found;
}

template <class List> bool holds(const List& list, const std::string& word) {
    return std::find(list.begin(), list.end(), word) != list.end();
}

/// Circuits that are neighbours along any stack of the map.
std::set<Pair> stack_neighbours(const UnitMap& map) {
    std::set<Pair> pairs;
    for (const auto& stack : map.stacks) {
        for (std::size_t i = 1; i < stack.circuits.size(); ++i) {
            pairs.insert(pair_of(stack.circuits[i - 1], stack.circuits[i]));
        }
    }
    return pairs;
}

/// The circuits of the ports in the order of the file, those of one stack only.
std::vector<std::string> face_order(const UnitMap& map, const Stack& stack) {
    std::vector<std::string> order;
    for (const auto& port : map.ports) {
        if (holds(stack.circuits, port.circuit)) order.push_back(port.circuit);
    }
    return order;
}

std::size_t count_kind(const UnitMap& map, ElementKind kind) {
    return static_cast<std::size_t>(std::count_if(map.elements.begin(), map.elements.end(),
                                                  [kind](const Element& element) { return element.kind == kind; }));
}

double port_distance(const Port& a, const Port& b) {
    return std::hypot((*a.at_mm)[0] - (*b.at_mm)[0], (*a.at_mm)[1] - (*b.at_mm)[1]);
}

const Port& port_of(const UnitMap& map, const std::string& circuit) {
    const auto found = std::find_if(map.ports.begin(), map.ports.end(),
                                    [&circuit](const Port& port) { return port.circuit == circuit; });
    REQUIRE(found != map.ports.end());
    return *found;
}

/// Removes parts whose `after` is satisfied until none is left to remove; the rest is stuck.
std::vector<std::string> stuck_parts(const UnitMap& map) {
    std::set<std::string> off;
    for (bool moved = true; moved;) {
        moved = false;
        for (const auto& part : map.parts) {
            if (off.count(part.id) != 0) continue;
            const bool is_free = std::all_of(part.after.begin(), part.after.end(),
                                             [&off](const std::string& id) { return off.count(id) != 0; });
            if (is_free) moved = off.insert(part.id).second;
        }
    }
    std::vector<std::string> stuck;
    for (const auto& part : map.parts) {
        if (off.count(part.id) == 0) stuck.push_back(part.id);
    }
    return stuck;
}

/// "L3" and "M6" are seal ids; "pump gasket" is words.
bool looks_like_seal_id(const std::string& words) {
    return !words.empty() && words.size() <= 4 && std::isupper(static_cast<unsigned char>(words.front())) != 0 &&
           std::isdigit(static_cast<unsigned char>(words.back())) != 0;
}

} // namespace

TEST_CASE("demo units read without a fault or a warning and say that they are invented") {
    for (const auto& name : demo_units) {
        CAPTURE(name);
        const auto map = demo(name);
        CHECK(map.unit.id == name);
        CHECK(map.unit.invented);
        CHECK(map.unit.note.find("nvented") != std::string::npos);
        CHECK(map.unit.air_pressure.has_value());
    }
}

TEST_CASE("demo units: every stack has one ring more than circuits, and every circuit but the sump a port") {
    for (const auto& name : demo_units) {
        CAPTURE(name);
        const auto map = demo(name);
        for (const auto& stack : map.stacks) {
            CAPTURE(stack.id);
            REQUIRE(stack.seals.size() == stack.circuits.size() + 1);
            for (std::size_t k = 0; k < stack.seals.size(); ++k) {
                const Seal* ring = find(map.seals, stack.seals[k]);
                REQUIRE(ring != nullptr);
                CHECK(ring->relation == Relation::stack);
                CHECK(ring->between[0] == (k == 0 ? stack.outside[0] : stack.circuits[k - 1]));
                CHECK(ring->between[1] == (k == stack.circuits.size() ? stack.outside[1] : stack.circuits[k]));
            }
        }
        for (const auto& circuit : map.circuits) {
            CAPTURE(circuit.id);
            const auto ports = std::count_if(map.ports.begin(), map.ports.end(),
                                             [&circuit](const Port& port) { return port.circuit == circuit.id; });
            CHECK(ports == (circuit.id == sump_id ? 0 : 1));
        }
    }
}

TEST_CASE("demo units: the order of the ports differs from the order of every stack, either way round") {
    for (const auto& name : demo_units) {
        CAPTURE(name);
        const auto map = demo(name);
        for (const auto& stack : map.stacks) {
            CAPTURE(stack.id);
            auto face = face_order(map, stack);
            REQUIRE(face.size() == stack.circuits.size());
            CHECK(face != stack.circuits);
            std::reverse(face.begin(), face.end());
            CHECK(face != stack.circuits);
        }
    }
}

TEST_CASE("demo units: the application chart is complete and two elements hold in every range that drives") {
    for (const auto& name : demo_units) {
        CAPTURE(name);
        const auto map = demo(name);
        std::set<std::string> used;
        std::set<std::set<std::string>> rows;
        std::size_t driving = 0;
        for (const auto& range : map.ranges) {
            CAPTURE(range.id);
            for (const auto& id : range.on) {
                CHECK(find(map.elements, id) != nullptr);
                used.insert(id);
            }
            if (range.on.empty()) continue;
            ++driving;
            CHECK(range.on.size() == 2);
            rows.insert(std::set<std::string>(range.on.begin(), range.on.end()));
        }
        CHECK(rows.size() == driving);
        for (const auto& element : map.elements) {
            CAPTURE(element.id);
            CHECK(used.count(element.id) == 1);
            CHECK_FALSE(element.applied_by.empty());
        }
    }
}

TEST_CASE("demo units: every port leads to an element, or to a circuit that drives none") {
    for (const auto& name : demo_units) {
        CAPTURE(name);
        const auto map = demo(name);
        for (const auto& port : map.ports) {
            CAPTURE(port.circuit);
            const Circuit* circuit = find(map.circuits, port.circuit);
            REQUIRE(circuit != nullptr);
            const bool reaches = std::any_of(map.elements.begin(), map.elements.end(), [&port](const Element& element) {
                return holds(element.applied_by, port.circuit) || holds(element.released_by, port.circuit);
            });
            const bool drives_none = circuit->kind == CircuitKind::lube || circuit->kind == CircuitKind::converter ||
                                     circuit->kind == CircuitKind::balance;
            CHECK(reaches != drives_none);
            // Lube is open to the case anyway; all else is kept from it by something that can fail.
            if (circuit->kind != CircuitKind::lube) {
                CHECK_FALSE(seals_between(map, port.circuit, std::string(sump_id)).empty());
            }
        }
    }
}

TEST_CASE("demo units can be taken apart: nothing waits for itself, times are stated, seals to renew exist") {
    for (const auto& name : demo_units) {
        CAPTURE(name);
        const auto map = demo(name);
        CHECK(stuck_parts(map).empty());
        for (const auto& part : map.parts) {
            CAPTURE(part.id);
            if (part.kind != PartKind::case_) CHECK(part.minutes.value_or(0) > 0);
            for (const auto& words : part.renew) {
                if (looks_like_seal_id(words)) CHECK_MESSAGE(find(map.seals, words) != nullptr, words);
            }
        }
        for (const auto& clearance : map.clearances) {
            CAPTURE(clearance.id);
            REQUIRE(clearance.lower.has_value());
            REQUIRE(clearance.upper.has_value());
            CHECK(clearance.lower->si() < clearance.upper->si());
            CHECK_FALSE(clearance.measure.empty());
            CHECK_FALSE(clearance.correct.empty());
        }
        CHECK_FALSE(map.clearances.empty());
    }
}

TEST_CASE("demo units: a seal with detail says how it is inspected, fitted and lost") {
    for (const auto& name : demo_units) {
        CAPTURE(name);
        const auto map = demo(name);
        for (const auto& seal : map.seals) {
            CAPTURE(seal.id);
            const bool bare_ring = seal.relation == Relation::stack && seal.inspect.empty();
            if (bare_ring) continue; // implied by the row alone
            CHECK_FALSE(seal.inspect.empty());
            CHECK_FALSE(seal.fit.empty());
            CHECK_FALSE(seal.cause.empty());
            if (seal.look_minutes) CHECK_FALSE(seal.look.empty());
            if (seal.kind == SealKind::lip || seal.kind == SealKind::check_ball) {
                CHECK((seal.faces == seal.between[0] || seal.faces == seal.between[1]));
            }
        }
    }
}

TEST_CASE("larch-five: two stacks, five rings about four circuits and four rings about three") {
    const auto map = demo("larch-five");
    CHECK(map.unit.case_style == CaseStyle::closed);
    REQUIRE(map.stacks.size() == 2);
    CHECK(map.stacks[0].seals == std::vector<std::string>{"R1", "R2", "R3", "R4", "R5"});
    CHECK(map.stacks[0].circuits.size() == 4);
    CHECK(map.stacks[1].seals == std::vector<std::string>{"R6", "R7", "R8", "R9"});
    CHECK(map.stacks[1].circuits.size() == 3);
    CHECK(map.stacks[0].first_end == "pump end");
    CHECK(map.stacks[0].second_end == "drum end");
    const Seal* middle = find(map.seals, "R3");
    REQUIRE(middle != nullptr);
    CHECK(middle->nth == 3);
    CHECK(middle->between == std::array<std::string, 2>{"low", "coast"});
    CHECK(middle->material == Material::ptfe);
    CHECK(middle->joint == Joint::scarf);
    CHECK(map.ports.size() == 12);
    CHECK(map.unit.shapes == "larch-five.glb");
}

TEST_CASE("larch-five: seals of all four neighbour relations") {
    const auto map = demo("larch-five");
    std::map<Relation, int> of_relation;
    int bridges = 0;
    for (const auto& seal : map.seals) {
        ++of_relation[seal.relation];
        if (seal.kind == SealKind::gasket_bridge) ++bridges;
    }
    CHECK(of_relation[Relation::stack] == 9);
    CHECK(of_relation[Relation::face] == 5);
    CHECK(of_relation[Relation::shaft] == 4);
    CHECK(of_relation[Relation::drum] == 19);
    CHECK(bridges == 4);
}

TEST_CASE("larch-five: a gasket bridge joins ports that stand side by side on the case face") {
    const auto map = demo("larch-five");
    for (const auto& seal : map.seals) {
        if (seal.kind != SealKind::gasket_bridge) continue;
        CAPTURE(seal.id);
        const Port& a = port_of(map, seal.between[0]);
        const Port& b = port_of(map, seal.between[1]);
        REQUIRE(a.at_mm.has_value());
        REQUIRE(b.at_mm.has_value());
        CHECK(seal.relation == Relation::face);
        CHECK((*a.at_mm)[1] == (*b.at_mm)[1]);
        for (const auto& other : map.ports) {
            const bool between = (*other.at_mm)[1] == (*a.at_mm)[1] &&
                                 ((*other.at_mm)[0] - (*a.at_mm)[0]) * ((*other.at_mm)[0] - (*b.at_mm)[0]) < 0;
            CHECK_FALSE(between);
        }
        CHECK_MESSAGE(stack_neighbours(map).count(pair_of(seal)) == 0, "a ring would explain it as well");
    }
}

TEST_CASE("larch-five: tube and plug inside the shaft join circuits that no ring divides") {
    const auto map = demo("larch-five");
    const auto neighbours = stack_neighbours(map);
    int inside = 0;
    for (const auto& seal : map.seals) {
        if (seal.kind != SealKind::tube && seal.kind != SealKind::plug) continue;
        CAPTURE(seal.id);
        ++inside;
        CHECK(seal.relation == Relation::shaft);
        CHECK(seal.at == "input-shaft");
        CHECK(holds(map.stacks[0].circuits, seal.between[0]));
        CHECK(holds(map.stacks[0].circuits, seal.between[1]));
        CHECK(neighbours.count(pair_of(seal)) == 0);
    }
    CHECK(inside == 2);
}

TEST_CASE("larch-five: two pistons inside one another, divided by a lip as well as by the middle ring") {
    const auto map = demo("larch-five");
    const Element* low = find(map.elements, "low-clutch");
    const Element* coast = find(map.elements, "coast-clutch");
    REQUIRE(low != nullptr);
    REQUIRE(coast != nullptr);
    CHECK(low->at == coast->at);
    CHECK(find(map.parts, "coast-piston")->on == "low-piston");
    std::map<SealKind, int> kinds;
    for (const Seal* seal : seals_between(map, "low", "coast")) {
        ++kinds[seal->kind];
    }
    CHECK(kinds == std::map<SealKind, int>{{SealKind::ring, 1}, {SealKind::lip, 1}, {SealKind::o_ring, 1}});
}

TEST_CASE("larch-five: two band servos, each with an apply and a release side and a seal between") {
    const auto map = demo("larch-five");
    std::set<std::string> servos;
    for (const auto& element : map.elements) {
        if (element.kind != ElementKind::band) continue;
        CAPTURE(element.id);
        servos.insert(element.at);
        REQUIRE(element.applied_by.size() == 1);
        REQUIRE(element.released_by.size() == 1);
        const auto seals = seals_between(map, element.applied_by[0], element.released_by[0]);
        const bool servo_seal = std::any_of(seals.begin(), seals.end(), [&element](const Seal* seal) {
            return seal->relation == Relation::drum && seal->at == element.at && seal->look_minutes.has_value();
        });
        CHECK(servo_seal);
        CHECK(find(map.parts, element.around) != nullptr);
        CHECK(find(map.parts, element.around)->kind == PartKind::drum);
    }
    CHECK(servos.size() == 2);
    CHECK(count_kind(map, ElementKind::clutch) == 4);
    CHECK(count_kind(map, ElementKind::brake) == 1);
}

TEST_CASE("larch-five: one bleed by design, and one shared piston that passes air one way only") {
    const auto map = demo("larch-five");
    std::vector<const DesignFlow*> bleeds;
    std::vector<const DesignFlow*> shared;
    for (const auto& flow : map.by_design) {
        CAPTURE(flow.id);
        CHECK(flow.reason.size() > 40);
        if (flow.kind == DesignFlowKind::bleed) bleeds.push_back(&flow);
        if (flow.kind == DesignFlowKind::shared_piston) shared.push_back(&flow);
    }
    REQUIRE(bleeds.size() == 1);
    CHECK(bleeds[0]->to == sump_id);
    CHECK(bleeds[0]->hole.has_value());
    REQUIRE(shared.size() == 1);
    CHECK(shared[0]->one_way);
    // The other way round it is a fault, and the lip that must hold is in the map and faces the side that it holds.
    const auto back = seals_between(map, shared[0]->from, shared[0]->to);
    REQUIRE(back.size() == 1);
    CHECK(back[0]->kind == SealKind::lip);
    CHECK(back[0]->faces == shared[0]->to);
    const Element* brake = find(map.elements, "low-reverse-brake");
    REQUIRE(brake != nullptr);
    CHECK(holds(brake->applied_by, shared[0]->from));
    CHECK(holds(brake->applied_by, shared[0]->to));
}

TEST_CASE("larch-five: the chart is P R N and five speeds, and each upshift changes one element for another") {
    const auto map = demo("larch-five");
    std::vector<std::string> names;
    for (const auto& range : map.ranges) {
        names.push_back(range.id);
    }
    CHECK(names == std::vector<std::string>{"P", "R", "N", "D1", "D2", "D3", "D4", "D5", "H2", "H1"});
    for (int gear = 1; gear < 5; ++gear) {
        const Range* lower = find(map.ranges, "D" + std::to_string(gear));
        const Range* upper = find(map.ranges, "D" + std::to_string(gear + 1));
        REQUIRE(lower != nullptr);
        REQUIRE(upper != nullptr);
        const auto kept = std::count_if(lower->on.begin(), lower->on.end(),
                                        [upper](const std::string& id) { return holds(upper->on, id); });
        CHECK(kept == 1);
    }
}

TEST_CASE("larch-five: the stacks stand apart along the shaft and every ring lies inside its bore") {
    const auto map = demo("larch-five");
    double last = 0;
    for (const auto& stack : map.stacks) {
        CAPTURE(stack.id);
        REQUIRE(stack.start.has_value());
        REQUIRE(stack.pitch.has_value());
        REQUIRE(stack.ring_width.has_value());
        CHECK(in_mm(*stack.pitch) > 2 * in_mm(*stack.ring_width));
        CHECK(in_mm(*stack.groove_depth) > in_mm(*stack.ring_thickness));
        const double first_edge = in_mm(*stack.start) - in_mm(*stack.ring_width);
        const double last_edge = in_mm(*stack.start) +
                                 in_mm(*stack.pitch) * static_cast<double>(stack.circuits.size()) +
                                 in_mm(*stack.ring_width);
        for (const auto& id : {stack.on, stack.bore}) {
            const Part* part = find(map.parts, id);
            REQUIRE(part != nullptr);
            CHECK(in_mm(*part->from) < first_edge);
            CHECK(in_mm(*part->to) > last_edge);
        }
        const Part* bore = find(map.parts, stack.bore);
        const double gap = in_mm(*bore->inner_diameter) - in_mm(*stack.diameter);
        CHECK(gap > 0.2); // 0.10 to 0.40 mm on the radius is common practice
        CHECK(gap < 0.8);
        CHECK(in_mm(*bore->from) > last);
        last = in_mm(*bore->to);
    }
}

TEST_CASE("larch-five: every port has its place on the face and a passage through parts and stacks") {
    const auto map = demo("larch-five");
    for (std::size_t i = 0; i < map.ports.size(); ++i) {
        const Port& port = map.ports[i];
        CAPTURE(port.id);
        CHECK(port.id == "P" + std::to_string(i + 1));
        REQUIRE(port.at_mm.has_value());
        CHECK((*port.at_mm)[0] > 90);
        CHECK((*port.at_mm)[0] < 400);
        for (std::size_t j = 0; j < i; ++j) {
            CHECK(port_distance(port, map.ports[j]) >= 24);
        }
        std::vector<std::string> crossed;
        int passages = 0;
        for (const auto& passage : map.passages) {
            if (passage.port != port.id) continue;
            ++passages;
            CHECK(passage.circuit == port.circuit);
            CHECK(passage.bore.has_value());
            CHECK(passage.length.has_value());
            crossed.insert(crossed.end(), passage.through.begin(), passage.through.end());
        }
        CHECK(passages >= 1);
        for (const auto& stack : map.stacks) {
            CHECK(holds(stack.circuits, port.circuit) == holds(crossed, stack.id));
        }
    }
}

TEST_CASE("wren-three: small, open, one stack of four hooked rings, ids made by the reader") {
    const auto map = demo("wren-three");
    CHECK(map.unit.case_style == CaseStyle::open);
    REQUIRE(map.stacks.size() == 1);
    CHECK(map.stacks[0].seals == std::vector<std::string>{"R1", "R2", "R3", "R4"});
    CHECK(map.stacks[0].circuits == std::vector<std::string>{"direct", "lube", "forward"});
    for (const auto& id : map.stacks[0].seals) {
        const Seal* ring = find(map.seals, id);
        REQUIRE(ring != nullptr);
        CHECK(ring->material == Material::iron);
        CHECK(ring->joint == Joint::hook);
    }
    CHECK(map.ports.size() == 5);
    CHECK(map.ports.front().id == "P1");
    CHECK(map.ports.back().id == "P5");
    std::size_t driving = 0;
    for (const auto& range : map.ranges) {
        if (!range.on.empty()) ++driving;
    }
    CHECK(driving == 4);
    // Direct strokes its clutch and lets the band go: the shared circuit that learners forget.
    CHECK(holds(find(map.elements, "direct-clutch")->applied_by, "direct"));
    CHECK(holds(find(map.elements, "front-band")->released_by, "direct"));
}

TEST_CASE("heron-shift: six rings about five circuits, three twin clutches on two of three shaft lines") {
    const auto map = demo("heron-shift");
    const Stack* manifold = find(map.stacks, "manifold");
    REQUIRE(manifold != nullptr);
    CHECK(manifold->seals == std::vector<std::string>{"M1", "M2", "M3", "M4", "M5", "M6"});
    CHECK(manifold->circuits.size() == 5);
    CHECK_FALSE(manifold->first_end_to_engine);
    std::map<std::string, int> clutches_of_drum;
    for (const auto& element : map.elements) {
        CHECK(element.kind == ElementKind::clutch);
        ++clutches_of_drum[element.at];
    }
    CHECK(clutches_of_drum == std::map<std::string, int>{{"direction-twin", 2}, {"odd-twin", 2}, {"even-twin", 2}});
    std::set<int> lines;
    for (const auto& part : map.parts) {
        lines.insert(part.line);
    }
    CHECK(lines == std::set<int>{1, 2, 3});
    CHECK(map.unit.air_pressure->value == 70);
}

TEST_CASE("heron-shift: one direction clutch and one speed clutch in every range, fourth not backwards") {
    const auto map = demo("heron-shift");
    const std::set<std::string> direction{"forward-clutch", "reverse-clutch"};
    for (const auto& range : map.ranges) {
        if (range.on.empty()) continue;
        CAPTURE(range.id);
        const auto directions = std::count_if(range.on.begin(), range.on.end(),
                                              [&direction](const std::string& id) { return direction.count(id) == 1; });
        CHECK(directions == 1);
        CHECK(holds(range.on, range.id.front() == 'F' ? "forward-clutch" : "reverse-clutch"));
    }
    for (const std::string id : {"F1", "F2", "F3", "F4", "R1", "R2", "R3"}) {
        CHECK_MESSAGE(find(map.ranges, id) != nullptr, id);
    }
    CHECK(find(map.ranges, "R4") == nullptr);
}

TEST_CASE("heron-shift: end ring and piston seal of second and of third are look-alikes") {
    const auto map = demo("heron-shift");
    for (const auto& alike : std::vector<Pair>{{"M1", "LF2"}, {"M6", "LF3"}}) {
        CAPTURE(alike.first);
        const Seal* a = find(map.seals, alike.first);
        const Seal* b = find(map.seals, alike.second);
        REQUIRE(a != nullptr);
        REQUIRE(b != nullptr);
        CHECK(pair_of(*a) == pair_of(*b));
        CHECK(a->note.find(alike.second) != std::string::npos);
    }
}

TEST_CASE("demo units written in full and read again are the same units") {
    for (const auto& name : demo_units) {
        CAPTURE(name);
        const auto map = demo(name);
        const auto again = read_map_text(write_map_text(map), name + " again");
        REQUIRE(again.map.has_value());
        CHECK(*again.map == map);
    }
}
