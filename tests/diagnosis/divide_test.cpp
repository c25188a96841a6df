#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "../../diagnosis/divide.h"
#include "map_maker.h"

using namespace ringland;
using diagnosis::Direction;
using diagnosis::Divider;
using model::Relation;
using model::SealKind;
using tests::Dice;
using tests::MapMaker;

namespace {

std::vector<std::string> ids(const std::vector<Divider>& dividers) {
    std::vector<std::string> result;
    for (const auto& divider : dividers)
        result.push_back(divider.seal);
    return result;
}

/// Three circuits in a row, a second seal of another relation between the first two, and flows of both sorts.
MapMaker small_unit() {
    MapMaker maker;
    maker.circuit("low");
    maker.circuit("coast");
    maker.circuit("top");
    maker.seal("L1", SealKind::lip, Relation::drum, "coast", "low").faces = "low";
    maker.seal("G1", SealKind::gasket_bridge, Relation::face, "low", "coast");
    maker.seal("T1", SealKind::tube, Relation::shaft, "low", "coast");
    maker.stack("in", {"low", "coast", "top"});
    maker.flow("ball", "low", "coast", true);
    maker.flow("bleed", "top", "coast", false);
    return maker;
}

} // namespace

TEST_CASE("a ring divides the circuits on its two sides, and no others") {
    Dice dice(1);
    for (int round = 0; round < 200; ++round) {
        MapMaker maker;
        const std::size_t count = 1 + dice.under(12);
        std::vector<std::string> row;
        for (std::size_t i = 0; i < count; ++i)
            row.push_back(maker.circuit("c" + std::to_string(i)));
        maker.stack("s", row);
        const auto& map = maker.map();
        REQUIRE(map.seals.size() == count + 1);
        for (std::size_t i = 0; i < count; ++i) {
            for (std::size_t j = 0; j < count; ++j) {
                const auto answer = diagnosis::divide_circuits(map, row[i], row[j]);
                const bool neighbours = i + 1 == j || j + 1 == i;
                REQUIRE(answer.seals.size() == (neighbours ? 1 : 0));
                if (!neighbours) continue;
                const auto& position = answer.seals[0].position;
                REQUIRE(position.has_value());
                CHECK(answer.seals[0].seal == "s" + std::to_string(std::max(i, j) + 1));
                CHECK(position->nth_from_first_end == static_cast<int>(std::max(i, j)) + 1);
            }
        }
        CHECK(ids(diagnosis::divide_circuits(map, "sump", row.front()).seals).front() == "s1");
        CHECK(ids(diagnosis::divide_circuits(map, row.back(), "sump").seals).back() == "s" + std::to_string(count + 1));
    }
}

TEST_CASE("counting from both ends always adds up") {
    Dice dice(2);
    for (int round = 0; round < 300; ++round) {
        const auto map = tests::random_graph(dice, 4 + dice.under(4), 6);
        for (const auto& seal : map.seals) {
            const auto position = diagnosis::stack_position(map, seal);
            REQUIRE(position.has_value() == (seal.relation == Relation::stack));
            if (!position) continue;
            CHECK(position->nth_from_first_end + position->nth_from_second_end == position->count + 1);
            CHECK(position->nth_from_first_end >= 1);
            CHECK(position->nth_from_second_end >= 1);
            CHECK(position->count == static_cast<int>(model::find(map.stacks, seal.stack)->seals.size()));
            const auto& seals = model::find(map.stacks, seal.stack)->seals;
            CHECK(seals[seals.size() - static_cast<std::size_t>(position->nth_from_second_end)] == seal.id);
        }
    }
}

TEST_CASE("the seals are the same in both directions, the flows by design change sides") {
    Dice dice(3);
    int one_sided = 0;
    for (int round = 0; round < 300; ++round) {
        const auto map = tests::random_graph(dice, 5, 8);
        for (const auto& a : map.circuits) {
            for (const auto& b : map.circuits) {
                const auto there = diagnosis::divide_circuits(map, a.id, b.id);
                const auto back = diagnosis::divide_circuits(map, b.id, a.id);
                CHECK(ids(there.seals) == ids(back.seals));
                CHECK(there.same_circuit == (a.id == b.id));
                if (a.id == b.id) continue;
                REQUIRE(there.by_design.size() == back.by_design.size());
                for (const auto& passage : there.by_design) {
                    const auto other = passage.direction == Direction::asked ? Direction::reverse : Direction::asked;
                    CHECK(std::count_if(back.by_design.begin(), back.by_design.end(), [&](const auto& p) {
                              return p.id == passage.id && p.direction == other;
                          }) == 1);
                    const auto* flow = model::find(map.by_design, passage.id);
                    if (!flow->one_way) continue;
                    ++one_sided;
                    CHECK((passage.direction == Direction::asked) == (flow->from == a.id));
                }
            }
        }
    }
    CHECK(one_sided > 100); // the maps did hold what this case is about
}

TEST_CASE("stack first, then face, shaft and drum, whatever their order in the map") {
    const auto answer = diagnosis::divide(small_unit().map(), "P1", "P2");
    CHECK(ids(answer.seals) == std::vector<std::string>{"in2", "G1", "T1", "L1"});
    CHECK(answer.from.port == "P1");
    CHECK(answer.from.circuit == "low");
    CHECK(answer.to.circuit == "coast");
    CHECK(answer.ways_round.empty());
}

TEST_CASE("a lip is against one direction only; without a stated side it may leak in both") {
    auto maker = small_unit();
    const auto lip = [&](const char* from, const char* to) {
        return diagnosis::divide(maker.map(), from, to).seals.back();
    };
    CHECK(lip("P1", "P2").one_way);
    CHECK(lip("P1", "P2").against_it);
    CHECK(lip("P2", "P1").one_way);
    CHECK_FALSE(lip("P2", "P1").against_it);
    maker.map().seals.front().faces.clear();
    CHECK_FALSE(lip("P1", "P2").one_way);
    CHECK(lip("P2", "P1").against_it);
}

TEST_CASE("flows by design are told for each direction") {
    const auto map = small_unit().map();
    const auto there = diagnosis::divide(map, "P1", "P2").by_design;
    REQUIRE(there.size() == 1);
    CHECK(there[0].direction == Direction::asked);
    CHECK(there[0].reason == "reason of ball");
    const auto back = diagnosis::divide(map, "P2", "P1").by_design;
    REQUIRE(back.size() == 1);
    CHECK(back[0].direction == Direction::reverse);
    CHECK(diagnosis::divide(map, "P2", "P3").by_design.size() == 2); // both ways: once in each direction
}

TEST_CASE("one circuit against itself has no answer to give") {
    const auto answer = diagnosis::divide(small_unit().map(), "P1", "P1");
    CHECK(answer.same_circuit);
    CHECK(answer.seals.empty());
    CHECK(answer.by_design.empty());
    CHECK(answer.ways_round.empty());
}

TEST_CASE("words of the bench") {
    auto maker = small_unit();
    maker.map().stacks[0].name = "Input shaft";
    const auto answer = diagnosis::divide(maker.map(), "P1", "P2");
    CHECK(diagnosis::headline(maker.map(), answer.seals[0]) == "Ring 2 of 4 on the input shaft");
    CHECK(diagnosis::both_ends(*answer.seals[0].position) == "2nd from the pump end · 3rd from the drum end");
    CHECK(diagnosis::headline(maker.map(), answer.seals[1]) == "Gasket bridge G1");
    maker.map().seals[0].name = "centre lip of the low drum";
    CHECK(diagnosis::headline(maker.map(), answer.seals[3]) == "Centre lip of the low drum (lip seal)");
    maker.map().stacks[0].name = "the PTO shaft";
    CHECK(diagnosis::headline(maker.map(), diagnosis::divide(maker.map(), "P1", "P2").seals[0]) ==
          "Ring 2 of 4 on the PTO shaft");
}

TEST_CASE("ordinals") {
    const std::vector<std::pair<int, std::string>> known{
        {0, "0th"},   {1, "1st"},   {2, "2nd"},     {3, "3rd"},     {4, "4th"},     {9, "9th"},     {10, "10th"},
        {11, "11th"}, {12, "12th"}, {13, "13th"},   {14, "14th"},   {20, "20th"},   {21, "21st"},   {22, "22nd"},
        {23, "23rd"}, {24, "24th"}, {101, "101st"}, {111, "111th"}, {112, "112th"}, {113, "113th"}, {121, "121st"}};
    for (const auto& [n, words] : known)
        CHECK(diagnosis::ordinal(n) == words);
}

TEST_CASE("the answer as JSON has the documented fields") {
    const auto map = small_unit().map();
    const auto json = nlohmann::json::parse(diagnosis::to_json(map, diagnosis::divide(map, "P1", "P2")));
    CHECK(json["from"]["port"] == "P1");
    CHECK(json["from"]["circuit"] == "low");
    CHECK(json["to"]["circuit"] == "coast");
    REQUIRE(json["seals"].size() == 4);
    const auto& ring = json["seals"][0];
    CHECK(ring["id"] == "in2");
    CHECK(ring["kind"] == "ring");
    CHECK(ring["relation"] == "stack");
    CHECK(ring["stack"] == "in");
    CHECK(ring["nth_from_first_end"] == 2);
    CHECK(ring["first_end"] == "pump end");
    CHECK(ring["nth_from_second_end"] == 3);
    CHECK(ring["second_end"] == "drum end");
    CHECK_FALSE(json["seals"][1].contains("stack"));
    CHECK(json["seals"][3]["holds_back_this_direction"] == true);
    REQUIRE(json["by_design"].size() == 1);
    CHECK(json["by_design"][0]["direction"] == "asked");
    CHECK(json["by_design"][0]["reason"] == "reason of ball");
    CHECK(json["ways_round"].empty());

    const auto round = nlohmann::json::parse(diagnosis::to_json(map, diagnosis::divide(map, "P3", "P1")));
    CHECK(round["seals"].empty());
    CHECK(round["ways_round"] == nlohmann::json{{"L1"}, {"G1"}, {"T1"}, {"in2"}});
    CHECK(round["ways_round_circuits"][0] == nlohmann::json{"top", "coast", "low"});
    CHECK(round["ways_round_cut_off"] == false);
}
