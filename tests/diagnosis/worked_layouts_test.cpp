// Five small invented layouts, each with the seal that a rebuilder would name for the air that he found.
#include <doctest/doctest.h>

#include "../../diagnosis/divide.h"
#include "../../model-data/map_io.h"

using namespace ringland;
using Names = std::vector<std::string>;

namespace {

model::UnitMap load(const std::string& toml) {
    auto result = model::read_map_text(toml, "layout.toml");
    for (const auto& fault : result.faults)
        FAIL_CHECK(model::to_string(fault));
    REQUIRE(result.map.has_value());
    return *result.map;
}

/// Ports are named after their circuits here.
std::string ports(const Names& circuits) {
    std::string toml;
    for (const auto& circuit : circuits)
        toml += "[[port]]\nid = \"at-" + circuit + "\"\ncircuit = \"" + circuit + "\"\n";
    return toml;
}

diagnosis::DivideAnswer ask(const model::UnitMap& map, const std::string& from, const std::string& to) {
    return diagnosis::divide(map, "at-" + from, "at-" + to);
}

Names seals(const diagnosis::DivideAnswer& answer) {
    Names ids;
    for (const auto& divider : answer.seals)
        ids.push_back(divider.seal);
    return ids;
}

} // namespace

TEST_CASE("N circuits in a row of a map file give N+1 rings, ring k between circuits k-1 and k") {
    std::string row = "\"pump end";
    Names circuits;
    for (int n = 1; n <= 12; ++n) {
        circuits.push_back("C" + std::to_string(n));
        row += " | " + circuits.back();
        const auto map = load("[unit]\nname = \"Row\"\n[[stack]]\nid = \"shaft\"\nrow = " + row + " | drum end\"\n" +
                              ports(circuits));
        REQUIRE(map.seals.size() == circuits.size() + 1);
        for (std::size_t k = 1; k <= map.seals.size(); ++k) {
            const auto& seal = map.seals[k - 1];
            CHECK(model::circuit_name(map, seal.between[0]) ==
                  (k == 1 ? model::circuit_name(map, "sump") : circuits[k - 2]));
            if (k <= circuits.size()) CHECK(model::circuit_name(map, seal.between[1]) == circuits[k - 1]);
            CHECK(seal.nth == static_cast<int>(k));
        }
        for (std::size_t i = 0; i + 1 < circuits.size(); ++i) {
            const auto answer = ask(map, circuits[i + 1], circuits[i]);
            REQUIRE(answer.seals.size() == 1);
            CHECK(answer.seals[0].position->nth_from_first_end == static_cast<int>(i) + 2);
        }
    }
}

TEST_CASE("adjacent ring: the middle ring of two circuits") {
    const auto map = load(R"(
[unit]
name = "Layout one"
[[stack]]
id = "shaft"
name = "Input shaft"
row = "pump end | Direct | Forward | drum end"
)" + ports({"Direct", "Forward"}));
    const auto answer = ask(map, "Forward", "Direct");
    REQUIRE(answer.seals.size() == 1);
    CHECK(diagnosis::headline(map, answer.seals[0]) == "Ring 2 of 3 on the input shaft");
    CHECK(diagnosis::both_ends(*answer.seals[0].position) == "2nd from the pump end · 2nd from the drum end");
    CHECK(seals(ask(map, "Direct", "Forward")) == seals(answer));
}

TEST_CASE("end ring to lube: the row ends at another circuit than the sump") {
    const auto map = load(R"(
[unit]
name = "Layout two"
[[circuit]]
name = "Lube"
kind = "lube"
[[stack]]
id = "shaft"
name = "Input shaft"
row = "pump end | P | Q | drum end"
outside = ["Lube", "sump"]
[[seal]]
id = "L1"
kind = "lip"
between = ["P", "sump"]
faces = "P"
)" + ports({"Lube", "P", "Q"}));
    const auto answer = ask(map, "P", "Lube");
    REQUIRE(answer.seals.size() == 1);
    CHECK(diagnosis::both_ends(*answer.seals[0].position) == "1st from the pump end · 3rd from the drum end");
    // P to lube is the end ring and only that; the piston seal leaks into the drum.
    CHECK(seals(diagnosis::divide_circuits(map, answer.from.circuit, "sump")) == Names{"L1"});
    CHECK(ask(map, "Q", "P").seals.size() == 1);
}

TEST_CASE("servo and not ring: apply and release of one servo are divided by its piston seal alone") {
    const auto map = load(R"(
[unit]
name = "Layout three"
[[stack]]
id = "shaft"
row = "pump end | Direct | Forward | drum end"
[[circuit]]
name = "Band"
[[seal]]
id = "S1"
name = "servo piston seal"
kind = "o-ring"
between = ["Band", "Direct"]
look-minutes = 10
look = "take off the servo cover"
)" + ports({"Direct", "Forward", "Band"}));
    for (const auto& answer : {ask(map, "Band", "Direct"), ask(map, "Direct", "Band")}) {
        REQUIRE(seals(answer) == Names{"S1"});
        CHECK(answer.seals[0].relation == model::Relation::drum);
        CHECK_FALSE(answer.seals[0].position.has_value());
    }
    // From the band to the forward clutch no single seal leads: the servo seal and a ring would both have to fail.
    const auto round = ask(map, "Band", "Forward");
    CHECK(round.seals.empty());
    REQUIRE(round.ways_round.size() == 1);
    CHECK(round.ways_round[0].seals == Names{"S1", map.stacks[0].seals[1]});
}

TEST_CASE("non-neighbours on the stack: the tube in the shaft, or two rings with the circuit between them loud") {
    const std::string shaft = R"(
[unit]
name = "Layout five"
[[stack]]
id = "shaft"
name = "Input shaft"
row = "pump end | K1 | K3 | K2 | drum end"
)" + ports({"K1", "K2", "K3"});
    const auto bare = load(shaft);
    const auto without = ask(bare, "K1", "K2");
    CHECK(without.seals.empty());
    REQUIRE(without.ways_round.size() == 1);
    CHECK(without.ways_round[0].seals == Names{bare.stacks[0].seals[1], bare.stacks[0].seals[2]});
    CHECK(model::circuit_name(bare, without.ways_round[0].circuits.at(1)) == "K3");

    const auto map = load(shaft + "[[seal]]\nid = \"T1\"\nkind = \"tube\"\nbetween = [\"K1\", \"K2\"]\n");
    const auto with = ask(map, "K1", "K2");
    REQUIRE(seals(with) == Names{"T1"});
    CHECK(with.seals[0].relation == model::Relation::shaft);
    CHECK(with.ways_round.empty());
    CHECK(seals(ask(map, "K1", "K3")) == Names{map.stacks[0].seals[1]});
}

TEST_CASE("dual area: the centre lip holds back one direction, the shared piston is by design") {
    const auto map = load(R"(
[unit]
name = "Layout six"
[[stack]]
id = "shaft"
row = "pump end | Small | Other | Large | drum end"
[[seal]]
id = "L1"
name = "centre lip"
kind = "lip"
between = ["Small", "Large"]
faces = "Small"
[[by-design]]
id = "shared"
from = "Large"
to = "Small"
one-way = true
kind = "shared-piston"
reason = "the piston that the large chamber moves opens the small one"
)" + ports({"Small", "Large", "Other"}));
    const auto there = ask(map, "Small", "Large");
    REQUIRE(seals(there) == Names{"L1"});
    CHECK(there.seals[0].against_it);
    REQUIRE(there.by_design.size() == 1);
    CHECK(there.by_design[0].direction == diagnosis::Direction::reverse);
    const auto back = ask(map, "Large", "Small");
    REQUIRE(seals(back) == Names{"L1"});
    CHECK_FALSE(back.seals[0].against_it);
    CHECK(back.by_design[0].direction == diagnosis::Direction::asked);
}
