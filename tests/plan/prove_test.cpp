// The retest: each reading that is said to prove a seal shows a leak of it.
#include <algorithm>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "../../diagnosis/plan/plan.h"
#include "../../diagnosis/suspects/tables.h"
#include "../../model-data/map_io.h"

using namespace ringland;
using namespace ringland::diagnosis;

namespace {

bool differs(const airflow::ExpectedRow& a, const airflow::ExpectedRow& b) {
    bool other = a.case_word != b.case_word;
    for (std::size_t i = 0; i < a.at.size(); ++i)
        other = other || a.at[i].word != b.at[i].word;
    return other;
}

} // namespace

TEST_CASE("retest: a hole of the reference size in a seal changes a word of the reading that proves it") {
    for (const char* file : {"larch-five", "heron-shift"}) {
        CAPTURE(file);
        const auto read = model::read_map(std::string(RINGLAND_SOURCE_DIR "/assets-demo/") + file + ".toml");
        REQUIRE(read.map);
        const auto& map = *read.map;
        const model::AirBench bench;
        std::vector<std::size_t> seals(map.seals.size());
        for (std::size_t s = 0; s < seals.size(); ++s)
            seals[s] = s;
        const plan::Proof proof = plan::prove(map, bench, seals);
        CHECK(proof.converged);
        airflow::UnitAir unit(map, bench);
        std::vector<int> proved(map.seals.size(), 0);
        for (const auto& reading : proof.readings) {
            const auto sound = airflow::expect_row(map, unit, reading.into, proof.supply_gauge_pa);
            CHECK_FALSE(differs(sound, reading.expected));
            for (const std::size_t s : reading.proves) {
                CAPTURE(map.seals[s].id);
                ++proved[s];
                // Those that only a larger hole shows have the largest of the grid as theirs.
                bool shown = false;
                for (const double hole_mm : {proof.reference_mm, suspects::size_mm(suspects::size_count - 1)}) {
                    unit.clear_defects();
                    unit.set_defect(static_cast<int>(s), hole_mm * 1e-3);
                    shown =
                        shown || differs(sound, airflow::expect_row(map, unit, reading.into, proof.supply_gauge_pa));
                }
                unit.clear_defects();
                CHECK(shown);
            }
        }
        for (const auto& seal : proof.unproved) {
            CHECK(proved[seal.seal] == 0);
            CHECK_FALSE(seal.why.empty());
            proved[seal.seal] = 1;
        }
        CHECK(std::count(proved.begin(), proved.end(), 0) == 0);
    }
}

TEST_CASE("retest: of one ring, a reading on one of its sides is enough") {
    const auto read = model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml");
    REQUIRE(read.map);
    const auto& map = *read.map;
    const auto ring = std::find_if(map.seals.begin(), map.seals.end(), [](const auto& s) { return s.id == "R3"; });
    const plan::Proof proof = plan::prove(map, {}, {static_cast<std::size_t>(ring - map.seals.begin())});
    REQUIRE(proof.readings.size() == 1);
    const auto& circuit = map.ports[static_cast<std::size_t>(proof.readings[0].into)].circuit;
    CHECK((circuit == "low" || circuit == "coast"));
    CHECK(proof.unproved.empty());
}

TEST_CASE("plan: with chances the order of the search is the order of the steps") {
    const auto read = model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml");
    REQUIRE(read.map);
    const auto& map = *read.map;
    const auto at = [&](const std::string& id) {
        return static_cast<std::size_t>(
            std::find_if(map.seals.begin(), map.seals.end(), [&](const auto& s) { return s.id == id; }) -
            map.seals.begin());
    };
    plan::PlanQuestion question;
    question.chance.assign(map.seals.size(), 0);
    question.chance[at("R3")] = 0.80;
    question.chance[at("S1")] = 0.17;
    question.chance[at("L7")] = 0.03;   // less than is planned for, but searched
    question.chance[at("L5")] = 0.0005; // too little to be searched
    question.look_misses = 0;
    const plan::PlanAnswer answer = plan::plan(map, question);
    REQUIRE(answer.search);
    CHECK(answer.search->exact);
    // 0.17 / 8 min = 0.0213, 0.80 / 29 min = 0.0276: the ring first.
    REQUIRE(answer.search->steps.size() == 3);
    CHECK(answer.search->steps[0].seals == std::vector<std::size_t>{at("R3")});
    CHECK(answer.search->steps[1].seals == std::vector<std::size_t>{at("S1")});
    CHECK(answer.search->steps[2].seals == std::vector<std::size_t>{at("L7")});
    CHECK(answer.teardown.seals == std::vector<std::size_t>{at("R3"), at("S1")});
    CHECK(map.parts[answer.teardown.steps.back().part].id == "second-servo");
    CHECK_FALSE(answer.proof);
    std::size_t measured = 0;
    for (const auto& step : answer.teardown.steps)
        measured += step.clearances.size();
    CHECK(measured == answer.measures.size());
    CHECK(measured > 0);
    // Asked for by name, only these are searched for.
    question.seals = {at("S1"), at("L7")};
    const plan::PlanAnswer named = plan::plan(map, question);
    CHECK(named.search->steps.size() == 2);
    CHECK(named.teardown.seals == std::vector<std::size_t>{at("L7"), at("S1")});
}
