// Complaints of the driver in the weighing: they move the chances before a reading is weighed, and only then.
#include <cmath>

#include <doctest/doctest.h>

#include "../../diagnosis/suspects/weigh.h"
#include "../../model-data/map_io.h"

using namespace ringland;
using namespace ringland::diagnosis::suspects;

namespace {

model::UnitMap larch() { return *model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml").map; }

model::AirCheck blown(const char* toml, const model::UnitMap& map) {
    auto read = model::read_readings_text(toml, "check.toml", map);
    for (const auto& fault : read.faults)
        FAIL_CHECK(model::to_string(fault));
    REQUIRE(read.check.has_value());
    return *read.check;
}

constexpr const char* reading_toml = R"(
[[reading]]
into = "P3"
[[reading.seen]]
at = "P4"
word = "clear"
)";
constexpr const char* second_slips = R"(
[[complaint]]
range = "2nd"
symptom = "slips"
)";
constexpr const char* second_good = R"(
[[complaint]]
range = "2nd"
symptom = "slips"
absent = true
)";
constexpr const char* fifth_slips = R"(
[[complaint]]
range = "5th"
symptom = "slips"
)";

double chance(const Weighing& w, const model::UnitMap& map, const std::string& id) {
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        if (map.seals[s].id == id) return w.seal_probability[s];
    }
    FAIL("no seal ", id);
    return 0;
}

} // namespace

TEST_CASE("without complaints the answer is the same to the last bit, before and after one was heard") {
    const auto map = larch();
    Weigher weigher(map, {}, {});
    const auto plain = blown(reading_toml, map);
    const auto before = weigher.weigh(plain);
    const auto with = weigher.weigh(blown((std::string(reading_toml) + second_slips).c_str(), map));
    const auto after = weigher.weigh(plain);
    CHECK(before.hash == after.hash);
    CHECK(before.hash != with.hash);
    CHECK(Weigher(map, {}, {}).weigh(plain).hash == before.hash);
}

TEST_CASE("a complaint raises the seals that cause it, and its contrary lowers them") {
    const auto map = larch();
    Weigher weigher(map, {}, {});
    const auto none = weigher.weigh({});
    const auto slips = weigher.weigh(blown(second_slips, map));
    const auto good = weigher.weigh(blown(second_good, map));
    const auto fifth = weigher.weigh(blown(fifth_slips, map));
    for (const char* id : {"R3", "O1", "L2", "S1"}) {
        CAPTURE(id);
        CHECK(chance(slips, map, id) > 1.3 * chance(none, map, id));
        CHECK(chance(good, map, id) < 0.98 * chance(none, map, id));
    }
    // A leak that 2nd never meets is pushed back by those that it does.
    CHECK(chance(slips, map, "S3") < chance(none, map, "S3"));
    CHECK(chance(fifth, map, "S3") > 1.3 * chance(none, map, "S3"));
    CHECK(slips.nothing_wrong < none.nothing_wrong);
    double all = slips.nothing_wrong + slips.rig + slips.unmapped;
    static_cast<void>(weigher.weigh(blown(second_slips, map)));
    for (const auto& single : weigher.posterior().singles)
        all += single.weight;
    for (const auto& pair : weigher.posterior().pairs)
        all += pair.weight;
    CHECK(all == doctest::Approx(1).epsilon(1e-6));
}

TEST_CASE("air decides against the road: what is heard at the ports outweighs a complaint") {
    const auto map = larch();
    Weigher weigher(map, {}, {});
    const std::string air = R"(
[[reading]]
into = "P3"
[[reading.seen]]
at = "P4"
word = "strong"
[[reading]]
into = "P4"
[[reading.seen]]
at = "P3"
word = "strong"
)";
    const auto with = weigher.weigh(blown((air + fifth_slips).c_str(), map));
    CHECK(chance(with, map, "R3") > 0.2);
    CHECK(chance(with, map, "S3") < 0.2);
}

TEST_CASE("the same complaints are worked out once") {
    const auto map = larch();
    Weigher weigher(map, {}, {});
    const auto check = blown((std::string(reading_toml) + second_slips + fifth_slips).c_str(), map);
    CHECK(weigher.weigh(check).hash == weigher.weigh(check).hash);
    // A map without a chart hears nothing.
    auto bare = map;
    bare.ranges.clear();
    auto told = check;
    told.readings.clear();
    CHECK(Weigher(bare, {}, {}).weigh({}).hash == Weigher(bare, {}, {}).weigh({}).hash);
}
