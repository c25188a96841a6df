// The shop's findings in the priors, against a calculation by hand.
#include <doctest/doctest.h>

#include "../../diagnosis/records/shop_priors.h"
#include "../../diagnosis/suspects/weigh.h"
#include "../../model-data/map_io.h"

using namespace ringland;
using diagnosis::records::SealStatistics;

namespace {

/// Three rings of one kind, the second with twice the weight: default shares 1/4, 1/2, 1/4.
model::UnitMap three_rings() {
    model::UnitMap map;
    for (const char* id : {"A", "B", "C"}) {
        model::Seal seal;
        seal.id = id;
        seal.kind = model::SealKind::ring;
        map.seals.push_back(seal);
    }
    map.seals[1].prior = 2;
    return map;
}

} // namespace

TEST_CASE("shop priors: (20 s + c) / (20 + N), by hand") {
    const auto map = three_rings();
    const model::Priors priors;
    // Eleven findings, seven of them at C: A (5 + 1)/31, B (10 + 3)/31, C (5 + 7)/31.
    const std::vector<SealStatistics> seen{{"U", "C", "", 7, 11}, {"U", "B", "", 3, 11}, {"U", "A", "", 1, 11}};
    const auto shares = diagnosis::records::shop_shares(map, priors, seen);
    REQUIRE(shares.size() == 3);
    CHECK(shares[0].by_default == doctest::Approx(0.25));
    CHECK(shares[1].by_default == doctest::Approx(0.5));
    CHECK(shares[0].now == doctest::Approx(6.0 / 31));
    CHECK(shares[1].now == doctest::Approx(13.0 / 31));
    CHECK(shares[2].now == doctest::Approx(12.0 / 31));
    CHECK(shares[2].failed == 7);
    const auto changed = diagnosis::records::with_shares(map, shares);
    CHECK(*changed.seals[0].prior == doctest::Approx(24.0 / 31));
    CHECK(*changed.seals[1].prior == doctest::Approx(2 * 26.0 / 31));
    CHECK(*changed.seals[2].prior == doctest::Approx(48.0 / 31));
}

TEST_CASE("shop priors: a shop that has seen nothing changes nothing, and a seal that is not on the map is left out") {
    const auto map = three_rings();
    for (const auto& seen : {std::vector<SealStatistics>{}, std::vector<SealStatistics>{{"U", "X9", "", 5, 5}}}) {
        const auto shares = diagnosis::records::shop_shares(map, {}, seen);
        for (const auto& share : shares)
            CHECK(share.now == doctest::Approx(share.by_default));
    }
}

TEST_CASE("shop priors: weighing starts from the shop's shares") {
    const auto read = model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/wren-three.toml");
    REQUIRE(read.map);
    const model::UnitMap& map = *read.map;
    REQUIRE(map.seals.size() > 2);
    const std::vector<SealStatistics> seen{{map.unit.name, map.seals[1].id, "", 40, 40}};
    const auto shop = diagnosis::records::with_shares(map, diagnosis::records::shop_shares(map, {}, seen));
    diagnosis::suspects::Weigher before(map, {}, {}), after(shop, {}, {});
    const double p = before.weigh({}).seal_probability[1], q = after.weigh({}).seal_probability[1];
    CHECK(q > 2 * p);
    CHECK(after.weigh({}).seal_probability[0] < before.weigh({}).seal_probability[0]);
}
