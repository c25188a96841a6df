// Circuits with a seal between them: told apart by every eye, by colour or by the second mark.
#include <algorithm>
#include <cstdint>
#include <set>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "../../model-data/map_io.h"
#include "../../viewer/app/colour_vision.h"
#include "../../viewer/render/styles.h"
#include "demo.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;

namespace {

model::UnitMap map_of(const std::string& unit) {
    auto read = model::read_map(demo_path(unit));
    REQUIRE(read.map);
    return *read.map;
}

struct Neighbours {
    std::size_t first, second;
    double apart; ///< CIEDE2000, the least over all four ways of seeing
};

/// Straight from the seals, beside the program's own list.
std::vector<Neighbours> neighbours_of(const model::UnitMap& map, const std::vector<CircuitColour>& colours) {
    std::set<std::pair<std::size_t, std::size_t>> pairs;
    for (const auto& seal : map.seals) {
        std::vector<std::size_t> sides;
        for (std::size_t i = 0; i < map.circuits.size(); ++i) {
            const auto& circuit = map.circuits[i];
            if (circuit.kind == model::CircuitKind::sump) continue; // the open case is drawn in no colour
            if (circuit.id == seal.between[0] || circuit.id == seal.between[1]) sides.push_back(i);
        }
        if (sides.size() == 2) pairs.insert({sides[0], sides[1]});
    }
    std::vector<Neighbours> neighbours;
    for (const auto& [a, b] : pairs) {
        double least = 1e9;
        for (const Vision vision : all_visions) {
            least = std::min(
                least, delta_e_2000(as_seen_by(vision, colours[a].colour), as_seen_by(vision, colours[b].colour)));
        }
        neighbours.push_back({a, b, least});
    }
    return neighbours;
}

double shared(const std::vector<AlikePair>& pairs, std::uint32_t marks) {
    double sum = 0;
    for (const auto& pair : pairs)
        sum += ((marks >> pair.first ^ marks >> pair.second) & 1U) == 0 ? pair.weight : 0;
    return sum;
}

std::uint32_t bits_of(const std::vector<CircuitColour>& colours) {
    std::uint32_t bits = 0;
    for (std::size_t i = 0; i < colours.size(); ++i)
        bits |= colours[i].dashed ? 1U << i : 0U;
    return bits;
}

} // namespace

TEST_CASE("neighbours in every demo unit are 20 apart for every eye, or differ in the mark; what two marks cannot part "
          "has a tag each") {
    int marked = 0;
    for (const auto& unit : demo_units()) {
        const auto map = map_of(unit);
        const auto colours = circuit_colours(map);
        REQUIRE(colours.size() == map.circuits.size());
        std::vector<std::string> by_tag;
        for (const auto& pair : neighbours_of(map, colours)) {
            const auto& a = map.circuits[pair.first];
            const auto& b = map.circuits[pair.second];
            CAPTURE(a.id);
            CAPTURE(b.id);
            if (pair.apart >= least_circuit_distance) continue;
            if (colours[pair.first].dashed != colours[pair.second].dashed) {
                ++marked;
                continue;
            }
            by_tag.push_back(a.id + "/" + b.id);
            CHECK(model::circuit_tag(map, a.id) != model::circuit_tag(map, b.id));
            CHECK(pair.apart >= 10); // and never the hardest of them
        }
        // Where each of three neighbours could be taken for each, two marks leave one pair.
        CHECK(fmt::format("{}", fmt::join(by_tag, " ")) == (unit == "larch-five"   ? "low/coast"
                                                            : unit == "wren-three" ? "direct/forward"
                                                                                   : ""));
    }
    CHECK(marked > 10);
}

TEST_CASE("no other way of giving two marks to the circuits does better") {
    for (const auto& unit : demo_units()) {
        CAPTURE(unit);
        const auto map = map_of(unit);
        const auto pairs = alike_pairs(map);
        const auto colours = circuit_colours(map);
        REQUIRE(colours.size() <= 16);
        double best = 1e9;
        for (std::uint32_t marks = 0; marks < 1U << colours.size(); ++marks)
            best = std::min(best, shared(pairs, marks));
        CHECK(shared(pairs, bits_of(colours)) == doctest::Approx(best));
        // The program's list of pairs is that of the seals, and of those that share a colour.
        for (const auto& pair : neighbours_of(map, colours)) {
            const bool listed = std::any_of(pairs.begin(), pairs.end(), [&](const AlikePair& p) {
                return p.first == pair.first && p.second == pair.second;
            });
            CHECK(listed == (pair.apart < least_circuit_distance));
        }
        for (std::size_t i = 0; i < colours.size(); ++i)
            CHECK(colours[i].colour == circuit_colour(map, map.circuits[i].id).colour);
    }
}

TEST_CASE("marks of a map with colours of its own") {
    model::UnitMap map = map_of("wren-three");
    for (auto& circuit : map.circuits)
        circuit.colour = "#336699"; // all the same: neighbours must differ where two marks can do it
    const auto colours = circuit_colours(map);
    for (const auto& colour : colours)
        CHECK(colour.colour == rgb(0x336699));
    const auto pairs = alike_pairs(map);
    CHECK(!pairs.empty());
    double best = 1e9;
    for (std::uint32_t marks = 0; marks < 1U << colours.size(); ++marks)
        best = std::min(best, shared(pairs, marks));
    CHECK(shared(pairs, bits_of(colours)) == doctest::Approx(best));
}

TEST_CASE(
    "the drawing gives every space of a circuit, and every port's mouth, the mark that parts it from its neighbours") {
    for (const auto& unit : demo_units()) {
        const auto bench = picture_bench(demo_path(unit), {}, 640, 400);
        const auto& map = bench.session().document.map;
        const auto& shapes = bench.derived().shapes;
        const auto colours = circuit_colours(map);
        const auto styles = style_shapes(bench.session(), bench.derived(), {}, ranks_by_size(shapes));
        int dashed = 0, plain = 0;
        for (std::size_t i = 0; i < shapes.size(); ++i) {
            if (!shapes[i].circuit_space) continue;
            CAPTURE(shapes[i].name);
            auto id = shapes[i].subject.id;
            if (const auto* port = model::find(map.ports, id);
                shapes[i].subject.kind == model::SubjectKind::port && port)
                id = port->circuit;
            const auto circuit = std::find_if(map.circuits.begin(), map.circuits.end(),
                                              [&](const model::Circuit& c) { return c.id == id; });
            REQUIRE(circuit != map.circuits.end());
            const bool wanted = colours[static_cast<std::size_t>(circuit - map.circuits.begin())].dashed;
            CHECK((styles[i].dashed > 0.5f) == wanted);
            (wanted ? dashed : plain) += 1;
        }
        CHECK(dashed > 0);
        CHECK(plain > 0);
    }
}
