// The main job on the demo unit, as the README and viewer/start show it.
#include <doctest/doctest.h>

#include "../../diagnosis/divide.h"
#include "../../model-data/map_io.h"

using namespace ringland;

TEST_CASE("demo unit: air into LOW that comes out of COAST has passed ring 3 of 5") {
    const auto result = model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml");
    REQUIRE(result.map.has_value());
    const auto& map = *result.map;
    const auto answer = diagnosis::divide(map, "P3", "P4");
    REQUIRE_FALSE(answer.seals.empty());
    CHECK(diagnosis::headline(map, answer.seals[0]) == "Ring 3 of 5 on the input shaft");
    CHECK(diagnosis::both_ends(*answer.seals[0].position) == "3rd from the pump end · 3rd from the drum end");
    CHECK(answer.seals[0].seal == "R3");
}

TEST_CASE("demo unit: every pair of ports has an answer, and what is said of seals holds from both sides") {
    const auto result = model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml");
    REQUIRE(result.map.has_value());
    const auto& map = *result.map;
    int divided = 0;
    int round = 0;
    int one_sided = 0;
    for (const auto& from : map.ports) {
        for (const auto& to : map.ports) {
            if (from.id == to.id) continue;
            const auto answer = diagnosis::divide(map, from.id, to.id);
            const auto back = diagnosis::divide(map, to.id, from.id);
            REQUIRE(answer.seals.size() == back.seals.size());
            for (std::size_t i = 0; i < answer.seals.size(); ++i)
                CHECK(answer.seals[i].seal == back.seals[i].seal);
            CHECK((answer.seals.empty() || answer.ways_round.empty()));
            divided += answer.seals.empty() ? 0 : 1;
            round += answer.ways_round.empty() ? 0 : 1;
            one_sided += answer.by_design.size() == 1 ? 1 : 0;
        }
    }
    CHECK(divided >= 16); // the rings alone divide four and three circuits in a row, and there is more than rings
    CHECK(round > 0);
    CHECK(one_sided > 0); // a shared piston passes air one way only
}
