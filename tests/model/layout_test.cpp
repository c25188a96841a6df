// Laws of the layout: on the demo units and on random maps nothing overlaps that cannot, and every way is there.
#include <algorithm>
#include <cmath>
#include <string>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <glm/geometric.hpp>

#include "../../model-data/layout.h"
#include "../../model-data/map_io.h"
#include "random_map.h"

using namespace ringland::model;

namespace {

UnitMap demo_file(const std::string& name) {
    auto result = read_map(std::string(RINGLAND_SOURCE_DIR "/assets-demo/") + name);
    REQUIRE(result.map.has_value());
    return *result.map;
}

UnitMap from_text(const std::string& text) {
    auto result = read_map_text(text, "text");
    for (const auto& fault : result.faults)
        INFO(to_string(fault));
    REQUIRE(result.map.has_value());
    return *result.map;
}

constexpr const char* shortest = R"(
[unit]
name = "Bench three"
[[stack]]
row = "pump end | Low | Coast | Top | drum end"
[[port]]
circuit = "Low"
[[port]]
circuit = "Coast"
[[port]]
circuit = "Top"
)";

void check_stack(const StackPlace& stack) {
    INFO("stack " << stack.stack);
    REQUIRE(stack.rings.size() == stack.annuli.size() + 1);
    auto rings = stack.rings;
    std::sort(rings.begin(), rings.end(), [](const RingPlace& a, const RingPlace& b) { return a.x < b.x; });
    for (std::size_t i = 0; i < rings.size(); ++i) {
        CHECK(rings[i].width < rings[i].groove_width);
        CHECK(rings[i].x - rings[i].groove_width / 2 > stack.x0);
        CHECK(rings[i].x + rings[i].groove_width / 2 < stack.x1);
        if (i > 0) CHECK(rings[i].x - rings[i].groove_width / 2 > rings[i - 1].x + rings[i - 1].groove_width / 2);
    }
    CHECK(stack.carrier_x0 < stack.x0);
    CHECK(stack.carrier_x1 > stack.x1);
    CHECK(stack.groove_radius > 0);
    CHECK(stack.groove_radius < stack.recess_radius);
    CHECK(stack.recess_radius < stack.carrier_radius);
    CHECK(stack.carrier_radius < stack.bore_radius);
    CHECK(stack.bore_radius < stack.outer_radius);
    // Annulus k lies between seals k and k+1, whichever way the row runs.
    for (std::size_t k = 0; k < stack.annuli.size(); ++k) {
        const auto& annulus = stack.annuli[k];
        const auto [low, high] = std::minmax(stack.rings[k].x, stack.rings[k + 1].x);
        CHECK(annulus.x0 < annulus.x1);
        CHECK(annulus.x0 > low + stack.rings[k].groove_width / 2);
        CHECK(annulus.x1 < high - stack.rings[k + 1].groove_width / 2);
    }
}

void check_layout(const UnitMap& map, const Layout& layout) {
    REQUIRE(layout.stacks.size() == map.stacks.size());
    for (std::size_t i = 0; i < layout.stacks.size(); ++i) {
        check_stack(layout.stacks[i]);
        CHECK(layout.stacks[i].rings.size() == map.stacks[i].seals.size());
        for (std::size_t j = 0; j < i; ++j) {
            const auto &a = layout.stacks[i], &b = layout.stacks[j];
            if (glm::length(a.axis - b.axis) > 1e-9) continue;
            const bool apart =
                a.x1 <= b.x0 || b.x1 <= a.x0 || a.outer_radius <= b.groove_radius || b.outer_radius <= a.groove_radius;
            INFO("stacks " << a.stack << " and " << b.stack);
            CHECK(apart);
        }
    }
    REQUIRE(layout.ports.size() == map.ports.size());
    REQUIRE(layout.seals.size() == map.seals.size());
    for (const auto& net : layout.nets) {
        for (const auto& node : net.nodes) {
            CHECK(std::isfinite(node.x));
            CHECK(std::isfinite(node.y));
            CHECK(std::isfinite(node.z));
        }
        CHECK(net.node_in.size() == net.nodes.size());
        for (const auto& edge : net.edges) {
            CHECK(edge.a != edge.b);
            CHECK(edge.a < static_cast<int>(net.nodes.size()));
            CHECK(edge.b < static_cast<int>(net.nodes.size()));
        }
    }
}

} // namespace

TEST_CASE("the demo units are laid out without overlap") {
    for (const char* name : {"larch-five.toml", "wren-three.toml", "heron-shift.toml"}) {
        INFO(name);
        const auto map = demo_file(name);
        check_layout(map, lay_out(map));
    }
}

TEST_CASE("the shortest legal map has a whole drawing") {
    const auto map = from_text(shortest);
    const auto layout = lay_out(map);
    check_layout(map, layout);
    CHECK(layout.clutches.size() == 3); // one implied for each apply circuit
    CHECK(layout.drums.size() == 2);
    CHECK(std::any_of(layout.parts.begin(), layout.parts.end(),
                      [](const PartPlace& p) { return p.kind == PartKind::shaft; }));
    CHECK(std::any_of(layout.parts.begin(), layout.parts.end(),
                      [](const PartPlace& p) { return p.kind == PartKind::pump; }));
    for (const auto& drum : layout.drums)
        CHECK(drum.x0 >= layout.stacks[0].x1);
}

TEST_CASE("random maps are laid out without overlap, and the same map always alike") {
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        INFO("seed " << seed);
        const auto map = ringland::tests::RandomMap(seed).make(1 + static_cast<int>(seed % 4), 6);
        const auto layout = lay_out(map);
        check_layout(map, layout);
        const auto again = lay_out(map);
        REQUIRE(again.nets.size() == layout.nets.size());
        for (std::size_t i = 0; i < layout.nets.size(); ++i)
            CHECK(again.nets[i].nodes == layout.nets[i].nodes);
    }
}

TEST_CASE("figures of the map win over the automatic ones") {
    auto map = from_text(shortest);
    map.stacks[0].start = mm(150);
    map.stacks[0].pitch = mm(17);
    map.stacks[0].diameter = mm(60);
    map.stacks[0].ring_width = mm(2.5);
    const auto layout = lay_out(map);
    const auto& stack = layout.stacks[0];
    CHECK(stack.rings[0].x == doctest::Approx(150));
    CHECK(stack.rings[3].x == doctest::Approx(150 + 3 * 17));
    CHECK(stack.carrier_radius == doctest::Approx(30));
    CHECK(stack.rings[0].width == doctest::Approx(2.5));

    map.stacks[0].first_end_to_engine = false; // the same places, counted from the other end
    const auto turned = lay_out(map);
    CHECK(turned.stacks[0].rings[0].x == doctest::Approx(150 + 3 * 17));
    CHECK(turned.stacks[0].rings[3].x == doctest::Approx(150));
}

TEST_CASE("air goes from port through the ring to port in one line") {
    const auto map = demo_file("larch-five.toml");
    const auto layout = lay_out(map);
    int ways = 0;
    for (const auto& a : map.ports) {
        for (const auto& b : map.ports) {
            for (const auto& seal : map.seals) {
                const bool divides = (seal.between[0] == a.circuit && seal.between[1] == b.circuit) ||
                                     (seal.between[1] == a.circuit && seal.between[0] == b.circuit);
                const auto path = air_path(map, layout, a.id, b.id, seal.id);
                INFO(a.id << " to " << b.id << " by " << seal.id);
                if (!divides || a.id == b.id) {
                    CHECK_FALSE(path.has_value());
                    continue;
                }
                REQUIRE(path.has_value());
                ++ways;
                const auto mouth = [&](const std::string& id) {
                    return std::find_if(layout.ports.begin(), layout.ports.end(),
                                        [&](const PortPlace& p) { return p.port == id; })
                        ->at;
                };
                CHECK(glm::length(path->points.front() - mouth(a.id)) < 1e-9);
                CHECK(glm::length(path->points.back() - mouth(b.id)) < 1e-9);
                const auto back = air_path(map, layout, b.id, a.id, seal.id);
                REQUIRE(back.has_value());
                auto reversed = back->points;
                std::reverse(reversed.begin(), reversed.end());
                CHECK(reversed.size() == path->points.size());
                if (seal.relation != Relation::stack) continue;
                // At a ring the line crosses along the axis, from the annulus on one side to that on the other.
                const auto before = path->points[path->crossing - 1], at = path->points[path->crossing],
                           after = path->points[path->crossing + 1];
                CHECK((at.x - before.x) * (after.x - at.x) > 0);
                CHECK(std::abs(at.x - before.x) < 20);
            }
        }
    }
    CHECK(ways > 10);
}

TEST_CASE("a map of sixty circuits on eight stacks is laid out") {
    std::string text = "[unit]\nname = \"Many\"\n";
    int circuit = 0;
    for (int stack = 0; stack < 8; ++stack) {
        text += "[[stack]]\nrow = \"near end";
        for (int k = 0; k < (stack < 4 ? 8 : 7); ++k)
            text += fmt::format(" | C{:02}", circuit++);
        text += " | far end\"\n";
    }
    for (int c = 0; c < circuit; ++c)
        text += fmt::format("[[port]]\ncircuit = \"C{:02}\"\n", c);
    REQUIRE(circuit == 60);
    const auto map = from_text(text);
    check_layout(map, lay_out(map));
}

TEST_CASE("as many shaft lines as a map may have are laid out apart") {
    std::string text = shortest;
    for (int line = 2; line <= limits::shaft_lines; ++line) {
        text += fmt::format("[[part]]\nid = \"shaft-{0}\"\nkind = \"shaft\"\nline = {0}\n", line);
    }
    const auto map = from_text(text);
    const auto layout = lay_out(map);
    check_layout(map, layout);
    REQUIRE(layout.housing.lines.size() == limits::shaft_lines);
    for (std::size_t i = 0; i < layout.housing.lines.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            CHECK(glm::length(layout.housing.lines[i] - layout.housing.lines[j]) > 100);
        }
    }
}
