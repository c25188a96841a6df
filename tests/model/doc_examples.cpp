// The examples of the map reference are maps: the first by itself, the others laid around it.
#include <doctest/doctest.h>

#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "../../model-data/map_io.h"
#include "faults_said.h"

using namespace ringland::model;
using ringland::tests::all_of;

namespace {

/// The TOML blocks of a page, in order.
std::vector<std::string> blocks(const std::string& page) {
    std::vector<std::string> found;
    const std::string open = "```toml\n", close = "```";
    for (auto at = page.find(open); at != std::string::npos; at = page.find(open, at)) {
        at += open.size();
        const auto end = page.find(close, at);
        found.push_back(page.substr(at, end - at));
        at = end;
    }
    return found;
}

} // namespace

TEST_CASE("the examples of the map reference are read without a fault") {
    std::ifstream in(RINGLAND_SOURCE_DIR "/docs/map-reference.md", std::ios::binary);
    std::stringstream page;
    page << in.rdbuf();
    const auto examples = blocks(page.str());
    REQUIRE(examples.size() == 4);
    const auto shortest = read_map_text(examples[0], "shortest");
    REQUIRE_MESSAGE(shortest.faults.empty(), all_of(shortest.faults));
    CHECK(shortest.map->circuits.size() == 4);
    REQUIRE(shortest.map->stacks[0].seals == std::vector<std::string>{"R1", "R2", "R3", "R4"});
    CHECK(find(shortest.map->seals, "R2")->between == std::array<std::string, 2>{"low", "coast"});

    const std::string around =
        "[unit]\nname = \"Example\"\n[[port]]\ncircuit = \"Low\"\n[[port]]\ncircuit = \"Coast\"\n"
        "[[port]]\ncircuit = \"Top\"\n[[circuit]]\nname = \"Lube\"\nkind = \"lube\"\nno-port = true\n"
        "[[part]]\nid = \"input-shaft\"\nkind = \"shaft\"\n[[part]]\nid = \"input-drum\"\nkind = \"drum\"\n"
        "[[part]]\nid = \"low-piston\"\nkind = \"piston\"\n";
    const auto rest = read_map_text(around + examples[1] + examples[2] + examples[3], "rest");
    REQUIRE_MESSAGE(rest.faults.empty(), all_of(rest.faults));
    CHECK(rest.map->gear_sets.at(0).planets == Planets::double_);
    CHECK(find(rest.map->elements, "low-clutch")->joins == std::vector<std::string>{"front-sun", "input"});
    const Seal* third = find(rest.map->seals, "R3");
    REQUIRE(third != nullptr);
    CHECK(third->between == std::array<std::string, 2>{"coast", "top"});
    CHECK(third->nth == 3);
    CHECK(third->joint == Joint::scarf);
    CHECK(third->material == Material::ptfe);
    CHECK(find(rest.map->seals, "R1")->between[0] == "lube");
    CHECK(find(rest.map->seals, "G1")->relation == Relation::face);
    CHECK(find(rest.map->seals, "L1")->relation == Relation::drum);
}

TEST_CASE("names, tags and labels stand in for what an author left out") {
    const auto map =
        *read_map_text("[unit]\nname = \"x\"\n[[stack]]\nrow = \"a | Low | Low reverse | Long | b\"\n[[port]]\ncircuit "
                       "= \"low\"\n"
                       "[[port]]\ncircuit = \"low reverse\"\nlabel = \"LR\"\n[[port]]\ncircuit = \"Long\"\n",
                       "t")
             .map;
    CHECK(circuit_name(map, "low-reverse") == "Low reverse");
    CHECK(circuit_name(map, "nowhere") == "nowhere");
    CHECK(circuit_tag(map, "low") == "LO");
    CHECK(circuit_tag(map, "low-reverse") == "LR");
    CHECK(circuit_tag(map, "long") == "LN"); // LO is taken
    CHECK(port_label(map, map.ports[0]) == "Low");
    CHECK(port_label(map, map.ports[1]) == "LR");
    CHECK(seal_name(map, map.seals[1]) == "R2 ring");
}
