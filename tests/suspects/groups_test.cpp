// What comes off for a seal.
#include <algorithm>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "../../diagnosis/suspects/groups.h"
#include "../../model-data/map_io.h"

using namespace ringland;
using namespace ringland::diagnosis;

namespace {

/// Pump, shaft and drum behind one another, a piston in the drum, a servo that stands by itself. Invented.
const char* const small_unit = R"(
[unit]
name = "Groups"
invented = true
[[part]]
id = "pump"
kind = "pump"
minutes = 18
[[part]]
id = "shaft"
kind = "shaft"
after = ["pump"]
minutes = 3
[[part]]
id = "drum"
kind = "drum"
after = ["shaft"]
[[part]]
id = "piston"
kind = "piston"
after = ["drum"]
minutes = 20
renew = ["L1"]
[[part]]
id = "servo"
kind = "servo"
minutes = 8
renew = ["S1", "B1"]
[[stack]]
id = "rings"
row = "pump end | A | B | drum end"
on = "shaft"
[[seal]]
id = "L1"
kind = "lip"
relation = "drum"
between = ["B", "sump"]
at = "drum"
faces = "B"
[[seal]]
id = "O1"
kind = "o-ring"
relation = "drum"
between = ["A", "B"]
at = "drum"
[[seal]]
id = "S1"
kind = "o-ring"
relation = "face"
between = ["A", "sump"]
[[seal]]
id = "B1"
kind = "gasket-bridge"
relation = "face"
between = ["A", "B"]
at = "pump"
[[seal]]
id = "W1"
kind = "wall"
relation = "face"
between = ["A", "B"]
[[seal]]
id = "W2"
kind = "wall"
relation = "face"
between = ["A", "B"]
[[port]]
circuit = "A"
[[port]]
circuit = "B"
)";

} // namespace

TEST_CASE("groups: seals that take the same parts off are one, and those without a part each their own") {
    const auto read = model::read_map_text(small_unit, "test");
    REQUIRE(read.map);
    const auto& map = *read.map;
    std::vector<std::string> found;
    std::size_t seals = 0;
    for (const auto& group : suspects::pull_groups(map)) {
        std::string text;
        for (const std::size_t s : group.seals)
            text += map.seals[s].id + " ";
        text += ":";
        for (const std::size_t p : group.parts)
            text += " " + map.parts[p].id;
        text += ", " + std::to_string(static_cast<int>(group.minutes));
        found.push_back(text);
        seals += group.seals.size();
    }
    CHECK(seals == map.seals.size());
    // Rings sit on the shaft, for which the pump comes off first. L1 is renewed with the piston and not with the drum
    // on which it sits; B1 with the servo, which takes less than the pump. Walls are in no part that the map knows.
    std::sort(found.begin(), found.end());
    const std::vector<std::string> expected{"L1 : pump shaft drum piston, 41",
                                            "O1 : pump shaft drum, 21",
                                            "R1 R2 R3 : pump shaft, 21",
                                            "S1 B1 : servo, 8",
                                            "W1 :, 0",
                                            "W2 :, 0"};
    CHECK(found == expected);
}
