#include <algorithm>
#include <chrono>
#include <set>

#include <doctest/doctest.h>

#include "../../diagnosis/divide.h"
#include "map_maker.h"

using namespace ringland;
using diagnosis::WayRound;
using model::Relation;
using model::SealKind;
using model::UnitMap;
using tests::Dice;
using tests::MapMaker;

namespace {

using Ids = std::vector<std::string>;
using Sets = std::set<std::set<std::string>>;

bool passes(const model::DesignFlow& flow, const std::string& at, const std::string& next) {
    return (flow.from == at && flow.to == next) || (!flow.one_way && flow.from == next && flow.to == at);
}

/// Can air get from one circuit to the other, not through the sump, when exactly these seals have failed? Plain
/// flooding, nothing in common with the search that is tested. The flow straight from one to the other stands apart.
bool reaches(const UnitMap& map, const std::string& from, const std::string& to, unsigned failed) {
    std::set<std::string> wet{from};
    for (bool grown = true; grown;) {
        grown = false;
        for (const auto& at : std::set<std::string>(wet)) {
            if ((at == "sump" && at != from) || at == to) continue;
            for (const auto& next : map.circuits) {
                if (wet.count(next.id) > 0) continue;
                bool open = false;
                for (std::size_t i = 0; i < map.seals.size(); ++i) {
                    const auto& sides = map.seals[i].between;
                    open = open || ((failed >> i & 1u) != 0 && ((sides[0] == at && sides[1] == next.id) ||
                                                                (sides[1] == at && sides[0] == next.id)));
                }
                for (const auto& flow : map.by_design) {
                    open = open || (passes(flow, at, next.id) && !(at == from && next.id == to));
                }
                if (open) grown = wet.insert(next.id).second || grown;
            }
        }
    }
    return wet.count(to) > 0;
}

/// Every smallest set of seals whose failure explains it, by trying all subsets.
Sets smallest_sets(const UnitMap& map, const std::string& from, const std::string& to) {
    Sets found;
    std::size_t best = map.seals.size() + 1;
    for (unsigned failed = 0; failed < 1u << map.seals.size(); ++failed) {
        std::set<std::string> names;
        for (std::size_t i = 0; i < map.seals.size(); ++i) {
            if ((failed >> i & 1u) != 0) names.insert(map.seals[i].id);
        }
        if (names.size() > best || !reaches(map, from, to, failed)) continue;
        if (names.size() < best) found.clear();
        best = names.size();
        found.insert(names);
    }
    return found;
}

/// A way must be walkable step by step with what it names.
void check_walkable(const UnitMap& map, const WayRound& way, const std::string& from, const std::string& to) {
    REQUIRE(way.circuits.size() >= 3);
    CHECK(way.circuits.front() == from);
    CHECK(way.circuits.back() == to);
    CHECK(way.seals.size() + way.by_design.size() == way.circuits.size() - 1);
    CHECK(std::set<std::string>(way.circuits.begin(), way.circuits.end()).size() == way.circuits.size());
    CHECK(std::find(way.circuits.begin() + 1, way.circuits.end() - 1, "sump") == way.circuits.end() - 1);
    std::size_t seal = 0;
    std::size_t flow = 0;
    for (std::size_t i = 0; i + 1 < way.circuits.size(); ++i) {
        const auto& at = way.circuits[i];
        const auto& next = way.circuits[i + 1];
        if (flow < way.by_design.size() && passes(*model::find(map.by_design, way.by_design[flow]), at, next)) {
            ++flow;
            continue;
        }
        REQUIRE(seal < way.seals.size());
        const auto& sides = model::find(map.seals, way.seals[seal++])->between;
        CHECK(((sides[0] == at && sides[1] == next) || (sides[1] == at && sides[0] == next)));
    }
}

double seconds_for(const UnitMap& map, const std::string& from, const std::string& to) {
    const auto start = std::chrono::steady_clock::now();
    const auto answer = diagnosis::divide_circuits(map, from, to);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    CHECK(answer.seals.empty());
    return took.count();
}

/// All circuits of a middle row between two others, each joined to both by a seal.
MapMaker fan(std::size_t into, std::size_t out_of) {
    MapMaker maker;
    maker.circuit("a");
    maker.circuit("b");
    maker.circuit("mid");
    for (std::size_t i = 0; i < into; ++i) {
        maker.seal("i" + std::to_string(i), SealKind::wall, Relation::shaft, "a", "mid");
    }
    for (std::size_t i = 0; i < out_of; ++i) {
        maker.seal("o" + std::to_string(i), SealKind::wall, Relation::shaft, "mid", "b");
    }
    return maker;
}

} // namespace

TEST_CASE("ways round agree with trying every subset of seals") {
    Dice dice(4);
    int with_ways = 0;
    int with_design = 0;
    int several = 0;
    int none = 0;
    for (int round = 0; round < 400; ++round) {
        const auto map = tests::random_graph(dice, 3 + dice.under(4), 5);
        if (map.seals.size() > 11) continue;
        for (int pair = 0; pair < 4; ++pair) {
            const auto& from = map.circuits[dice.under(map.circuits.size())].id;
            const auto& to = map.circuits[dice.under(map.circuits.size())].id;
            if (from == to) continue;
            const auto answer = diagnosis::divide_circuits(map, from, to);
            if (!answer.seals.empty()) {
                CHECK(answer.ways_round.empty());
                continue;
            }
            Sets got;
            for (const auto& way : answer.ways_round) {
                check_walkable(map, way, from, to);
                got.insert(std::set<std::string>(way.seals.begin(), way.seals.end()));
                with_design += way.by_design.empty() ? 0 : 1;
            }
            CHECK(got.size() == answer.ways_round.size()); // each chain once
            const auto expected = smallest_sets(map, from, to);
            CHECK(got == expected);
            (expected.empty() ? none : with_ways) += 1;
            several += expected.size() > 1 ? 1 : 0;
        }
    }
    CHECK(with_ways > 150); // the maps did hold what this case is about
    CHECK(with_design > 50);
    CHECK(several > 30);
    CHECK(none > 50);
}

TEST_CASE("air that reaches the open case is gone: no way leads through the sump") {
    MapMaker maker;
    maker.circuit("a");
    maker.circuit("b");
    maker.stack("s", {"a"});
    maker.stack("t", {"b"});
    CHECK(diagnosis::divide_circuits(maker.map(), "a", "b").ways_round.empty());
    maker.map().circuits[0].id = "oil-pan"; // a sump under another id is one all the same
    for (auto& seal : maker.map().seals) {
        for (auto& side : seal.between)
            side = side == "sump" ? "oil-pan" : side;
    }
    CHECK(diagnosis::divide_circuits(maker.map(), "a", "b").ways_round.empty());
}

TEST_CASE("a flow by design shortens a way in its own direction only") {
    MapMaker maker;
    for (const char* id : {"a", "b", "c"})
        maker.circuit(id);
    maker.seal("x", SealKind::wall, Relation::shaft, "c", "b");
    maker.flow("ball", "a", "c", true);
    const auto there = diagnosis::divide_circuits(maker.map(), "a", "b").ways_round;
    REQUIRE(there.size() == 1);
    CHECK(there[0].circuits == Ids{"a", "c", "b"});
    CHECK(there[0].seals == Ids{"x"});
    CHECK(there[0].by_design == Ids{"ball"});
    CHECK(diagnosis::divide_circuits(maker.map(), "b", "a").ways_round.empty());
}

TEST_CASE("a flow by design straight across is told as such and not as a way round") {
    MapMaker maker;
    for (const char* id : {"a", "b", "c"})
        maker.circuit(id);
    maker.flow("shared", "a", "b", false);
    maker.seal("x", SealKind::wall, Relation::shaft, "a", "c");
    maker.seal("y", SealKind::wall, Relation::shaft, "c", "b");
    const auto answer = diagnosis::divide_circuits(maker.map(), "a", "b");
    CHECK(answer.by_design.size() == 2);
    REQUIRE(answer.ways_round.size() == 1);
    CHECK(answer.ways_round[0].seals == Ids{"x", "y"});
}

TEST_CASE("the list is cut off at its limit and says so") {
    const auto full = diagnosis::divide_circuits(fan(8, 8).map(), "a", "b");
    CHECK(full.ways_round.size() == diagnosis::most_ways_round);
    CHECK_FALSE(full.ways_round_cut_off);
    CHECK(full.ways_round.front().seals == Ids{"i0", "o0"});
    CHECK(full.ways_round.back().seals == Ids{"i7", "o7"});
    const auto cut = diagnosis::divide_circuits(fan(8, 9).map(), "a", "b");
    CHECK(cut.ways_round.size() == diagnosis::most_ways_round);
    CHECK(cut.ways_round_cut_off);
}

TEST_CASE("sixty circuits and eight stacks answer at once") {
    Dice dice(5);
    MapMaker maker;
    Ids all;
    for (int i = 0; i < 60; ++i)
        all.push_back(maker.circuit("c" + std::to_string(i)));
    for (int s = 0; s < 8; ++s) {
        Ids row;
        while (row.size() < 10) {
            const auto& pick = all[dice.under(all.size())];
            if (std::find(row.begin(), row.end(), pick) == row.end()) row.push_back(pick);
        }
        maker.stack(std::string(1, static_cast<char>('s' + s)), row);
    }
    for (int i = 0; i < 40; ++i) {
        const auto& a = all[dice.under(60)];
        const auto& b = all[dice.under(60)];
        if (a != b) maker.seal("x" + std::to_string(i), SealKind::gasket_bridge, Relation::face, a, b);
    }
    const auto start = std::chrono::steady_clock::now();
    std::size_t ways = 0;
    for (int i = 0; i < 60; ++i) {
        ways += diagnosis::divide_circuits(maker.map(), all[static_cast<std::size_t>(i)], all[dice.under(60)])
                    .ways_round.size();
    }
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    CHECK(ways > 20);
    MESSAGE("one answer takes " << took.count() / 60 * 1e3 << " ms");
    CHECK(took.count() / 60 < 0.050);
}

TEST_CASE("maps made to hurt are answered in bounded time") {
    SUBCASE("a row of fifty thousand circuits") {
        MapMaker maker;
        Ids row;
        for (int i = 0; i < 50'000; ++i)
            row.push_back(maker.circuit("c" + std::to_string(i)));
        maker.stack("s", row);
        CHECK(seconds_for(maker.map(), row.front(), row.back()) < 5.0);
    }
    SUBCASE("doubled seals all along: two to the power of sixty ways") {
        MapMaker maker;
        Ids row;
        for (int i = 0; i < 61; ++i)
            row.push_back(maker.circuit("c" + std::to_string(i)));
        maker.stack("s", row);
        maker.stack("t", row);
        CHECK(seconds_for(maker.map(), row.front(), row.back()) < 1.0);
        CHECK(diagnosis::divide_circuits(maker.map(), row.front(), row.back()).ways_round_cut_off);
    }
    SUBCASE("every circuit flows into every other by design") {
        MapMaker maker;
        Ids all;
        for (int i = 0; i < 45; ++i)
            all.push_back(maker.circuit("c" + std::to_string(i)));
        for (int i = 0; i < 44; ++i) {
            for (int j = 0; j < i; ++j) {
                maker.flow("f" + std::to_string(i) + "-" + std::to_string(j), all[static_cast<std::size_t>(i)],
                           all[static_cast<std::size_t>(j)], false);
            }
        }
        for (int i = 1; i < 44; ++i) {
            maker.seal("x" + std::to_string(i), SealKind::wall, Relation::shaft, all[static_cast<std::size_t>(i)],
                       all[44]);
        }
        CHECK(seconds_for(maker.map(), all[0], all[44]) < 1.0);
        const auto ways = diagnosis::divide_circuits(maker.map(), all[0], all[44]).ways_round;
        CHECK(ways.size() == 43);
        for (const auto& way : ways)
            CHECK(way.circuits.size() == 3); // the shortest lead, no strolling on the plain
    }
}
