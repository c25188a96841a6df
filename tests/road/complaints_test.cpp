// Backwards: from complaints to the seals that would cause them, and the air that tests them first.
#include <algorithm>
#include <cmath>

#include <doctest/doctest.h>

#include "../../diagnosis/road/complaints.h"
#include "layouts.h"

using namespace ringland;
using namespace ringland::diagnosis::road;
using namespace ringland::tests;
using model::Symptom;

namespace {

model::UnitMap larch() { return *model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml").map; }

model::Complaint says(const model::UnitMap& map, const std::string& in, Symptom symptom, bool absent = false) {
    model::Complaint complaint;
    complaint.range = map.ranges[range(map, in)].id;
    complaint.symptom = symptom;
    complaint.absent = absent;
    return complaint;
}

Effect effect(Symptom symptom, Sure sure = Sure::both_shapes, Oil oil = Oil::hot_and_cold) {
    Effect effect;
    effect.symptom = symptom;
    effect.sure = sure;
    effect.oil = oil;
    return effect;
}

double probability(const ComplaintAnswer& answer, const model::UnitMap& map, const std::string& id) {
    for (const auto& suspect : answer.suspects) {
        if (map.seals[suspect.seal].id == id) return suspect.probability;
    }
    return 0;
}

const std::vector<double> sizes{0.5, 1, 1.5, 2, 3};

} // namespace

TEST_CASE("a complaint is likelier the better it goes with what is felt, and never impossible") {
    const auto map = larch();
    const Softness soft;
    auto slips = says(map, "3rd", Symptom::slips);
    const double none = chance(map, slips, {});
    const double other = chance(map, slips, {effect(Symptom::binds)});
    const double kin = chance(map, slips, {effect(Symptom::late)});
    const double half = chance(map, slips, {effect(Symptom::slips, Sure::hole_only)});
    const double same = chance(map, slips, {effect(Symptom::slips)});
    CHECK(none == soft.anyway);
    CHECK(other == none);
    CHECK(kin == soft.kin);
    CHECK(half == doctest::Approx((soft.same + soft.anyway) / 2));
    CHECK(same == soft.same);
    CHECK((none < kin && kin < half && half < same));
    // Only when hot: an effect that cold oil has as well goes with it less.
    slips.hot_only = true;
    CHECK(chance(map, slips, {effect(Symptom::slips, Sure::both_shapes, Oil::hot)}) == soft.same);
    CHECK(chance(map, slips, {effect(Symptom::slips)}) < soft.same);
    // Called good.
    const auto good = says(map, "3rd", Symptom::slips, true);
    CHECK(chance(map, good, {}) == 1 - soft.anyway);
    CHECK(chance(map, good, {effect(Symptom::slips)}) == doctest::Approx(soft.missed));
    CHECK(chance(map, good, {effect(Symptom::slips, Sure::hole_only)}) > soft.missed);
    CHECK(chance(map, good, {effect(Symptom::slips, Sure::hole_only)}) < 1 - soft.anyway);
    // Another gear than the one that he names is only kin.
    auto gear = says(map, "1st", Symptom::wrong_gear);
    gear.starts_in = map.ranges[range(map, "3rd")].id;
    Effect third = effect(Symptom::wrong_gear), second = third;
    third.feels_like = range(map, "3rd");
    second.feels_like = range(map, "2nd");
    CHECK(chance(map, gear, {third}) == soft.same);
    CHECK(chance(map, gear, {second}) == soft.kin);
}

TEST_CASE("3rd and 5th slip, 2nd is good: the servo of the three-five band, and its port is blown first") {
    const auto map = larch();
    Complaints complaints(map, sizes);
    const std::vector<model::Complaint> told{says(map, "3rd", Symptom::slips), says(map, "5th", Symptom::slips),
                                             says(map, "2nd", Symptom::slips, true)};
    const ComplaintAnswer answer = complaints.rank(told, model::Priors{});
    REQUIRE_FALSE(answer.suspects.empty());
    const auto& first = map.seals[answer.suspects.front().seal];
    CHECK((first.between[0] == "three-five-apply" || first.between[1] == "three-five-apply"));
    CHECK(answer.suspects.front().told.fits.size() == 3);
    CHECK(answer.suspects.front().told.against.empty());
    REQUIRE_FALSE(answer.tests.empty());
    // One pull of the trigger tests the two of the servo; another, into low, all those that lose low.
    REQUIRE(answer.tests.size() >= 2);
    CHECK(std::any_of(answer.tests.begin(), answer.tests.begin() + 2, [&](const AirTest& t) {
        return map.ports[static_cast<std::size_t>(t.into)].circuit == "three-five-apply" && t.seals.size() == 2 &&
               t.watch.size() == 2;
    }));
    double all = answer.no_seal + answer.other_seals;
    for (const auto& suspect : answer.suspects)
        all += suspect.probability;
    CHECK(all == doctest::Approx(1));
    CHECK(answer.no_seal > 0.05); // the valve body and the engine stay possible
    // Low would slip in 2nd as well.
    CHECK(probability(answer, map, "L2") < probability(answer, map, "S3"));
}

TEST_CASE("a complaint raises the seals that cause it, one against them lowers them") {
    const auto map = larch();
    Complaints complaints(map, sizes);
    const std::size_t ring = seal(map, "R3");
    const std::size_t large = 3;
    const auto slips = says(map, "2nd", Symptom::slips), good = says(map, "2nd", Symptom::slips, true);
    CHECK(complaints.log_ratio({slips}, ring, large) > 0.5);
    CHECK(complaints.log_ratio({good}, ring, large) < -0.2);
    CHECK(complaints.log_ratio({}, ring, large) == 0);
    // Where the seal does nothing, the complaint says nothing of it.
    CHECK(complaints.log_ratio({says(map, "5th", Symptom::slips)}, ring, large) == 0);
    CHECK(complaints.log_ratio({slips}, ring, 0) == 0);
    CHECK(complaints.log_ratio({slips, says(map, "3rd", Symptom::slips)}, ring, large) >
          complaints.log_ratio({slips}, ring, large));
}

TEST_CASE("1st starts in 3rd: the ring between the two clutches of layout 1") {
    const auto map = layout_one();
    Complaints complaints(map, {1, 2, 3, 4, 5});
    auto told = says(map, "1", Symptom::wrong_gear);
    told.starts_in = map.ranges[range(map, "3")].id;
    const ComplaintAnswer answer = complaints.rank({told}, model::Priors{});
    REQUIRE_FALSE(answer.suspects.empty());
    CHECK(map.seals[answer.suspects.front().seal].id == "r2");
    REQUIRE_FALSE(answer.tests.empty());
    CHECK(model::circuit_name(map, map.ports[static_cast<std::size_t>(answer.tests.front().into)].circuit) == "F");
    CHECK(model::circuit_name(map, map.ports[static_cast<std::size_t>(answer.tests.front().watch.front())].circuit) ==
          "D");
}
