// The order in which several suspects are looked for: compared with everything that could be done instead.
#include <algorithm>
#include <numeric>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "../../diagnosis/plan/search_order.h"
#include "../../diagnosis/suspects/groups.h"
#include "small_units.h"

using namespace ringland;
using namespace ringland::diagnosis;
using test::Dice;

namespace {

/// Every way to go on, one part or one look after another, to the end. Knows nothing of pulls: a part comes off alone.
class Everything {
public:
    Everything(const model::UnitMap& map, std::vector<double> chance, double misses)
        : map_(map), chance_(std::move(chance)), misses_(misses) {}

    [[nodiscard]] double least(unsigned off = 0, unsigned looked = 0) const {
        double left = 0;
        for (std::size_t s = 0; s < chance_.size(); ++s)
            if (!test::is_reached(map_, map_.seals[s], off))
                left += chance_[s] * ((looked >> s & 1U) != 0 ? misses_ : 1);
        if (left < 1e-12) return 0;
        double best = 1e300;
        for (std::size_t p = 0; p < map_.parts.size(); ++p) {
            if ((off >> p & 1U) != 0 || !test::free_to_go(map_, p, off)) continue;
            const double minutes = map_.parts[p].minutes.value_or(suspects::untimed_minutes);
            best = std::min(best, left * minutes + least(off | 1U << p, looked));
        }
        for (std::size_t s = 0; s < chance_.size(); ++s) {
            if (!map_.seals[s].look_minutes || (looked >> s & 1U) != 0 || chance_[s] <= 0) continue;
            best = std::min(best, left * *map_.seals[s].look_minutes + least(off, looked | 1U << s));
        }
        return best;
    }

private:
    const model::UnitMap& map_;
    std::vector<double> chance_;
    double misses_;
};

std::vector<double> chances(Dice& dice, std::size_t seals) {
    std::vector<double> list(seals);
    double sum = 0;
    for (double& c : list)
        sum += c = 1 + dice.below(30);
    for (double& c : list)
        c /= sum;
    return list;
}

/// Parts that wait for nothing, each with one seal.
model::UnitMap independent(const std::vector<double>& minutes) {
    model::UnitMap map;
    for (std::size_t i = 0; i < minutes.size(); ++i) {
        model::Part part;
        part.id = "p" + std::to_string(i);
        part.minutes = minutes[i];
        map.parts.push_back(part);
        model::Seal seal;
        seal.id = "s" + std::to_string(i);
        seal.at = part.id;
        map.seals.push_back(seal);
    }
    return map;
}

/// Expected minutes of independent jobs in the order of chance over minutes.
double smith(const std::vector<double>& chance, const std::vector<double>& minutes, std::vector<std::size_t>& order) {
    order.resize(chance.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return chance[a] * minutes[b] > chance[b] * minutes[a]; });
    double time = 0, expected = 0;
    for (const std::size_t i : order)
        expected += chance[i] * (time += minutes[i]);
    return expected;
}

} // namespace

TEST_CASE("search order: no order of taking off and looking finds sooner") {
    int with_look = 0, not_by_chance = 0;
    for (std::uint32_t seed = 1; seed <= 150; ++seed) {
        CAPTURE(seed);
        Dice dice(seed);
        model::UnitMap map = test::invented_unit(dice, 2 + dice.below(4), 2 + dice.below(4));
        int looks = 0; // keeps the enumeration small
        for (auto& seal : map.seals)
            if (seal.look_minutes && ++looks > 2) seal.look_minutes.reset();
        const auto chance = chances(dice, map.seals.size());
        const double misses = dice.one_in(2) ? 0.1 : 0.0;
        const plan::SearchOrder order = plan::search_order(map, chance, misses);
        CHECK(order.exact);
        CHECK(order.unplaced.empty());
        CHECK(order.expected_minutes == doctest::Approx(Everything(map, chance, misses).least()));
        CHECK(order.at_least_minutes == order.expected_minutes);

        // What it tells of its steps holds together.
        double expected = 0, found = 0, minutes = 0;
        std::vector<bool> off(map.parts.size(), false);
        bool by_chance = true;
        double last = 1;
        for (const auto& step : order.steps) {
            double own = step.kind == plan::SearchStep::Kind::look ? *map.seals[step.seals[0]].look_minutes : 0;
            for (const std::size_t p : step.parts) {
                CHECK_FALSE(off[p]);
                off[p] = true;
                own += map.parts[p].minutes.value_or(suspects::untimed_minutes);
            }
            CHECK(step.minutes == doctest::Approx(own));
            expected += (1 - found) * own;
            minutes += own;
            found += step.finds;
            CHECK(step.minutes_so_far == doctest::Approx(minutes));
            CHECK(step.found_so_far == doctest::Approx(found));
            with_look += step.kind == plan::SearchStep::Kind::look ? 1 : 0;
            by_chance = by_chance && step.finds <= last + 1e-12;
            last = step.finds;
        }
        CHECK(order.expected_minutes == doctest::Approx(expected));
        CHECK(order.worst_minutes == doctest::Approx(minutes));
        CHECK(found == doctest::Approx(1));
        not_by_chance += by_chance ? 0 : 1;
    }
    // The dice made looks worth while, and orders that are not merely the likeliest first.
    CHECK(with_look > 20);
    CHECK(not_by_chance > 20);
}

TEST_CASE(
    "search order: independent parts by chance over minutes (Smith, Naval Research Logistics Quarterly 3, 1956)") {
    // Exact up to most_exact_steps, and beyond: there the bound meets the order.
    for (const std::size_t count : {std::size_t{6}, plan::most_exact_steps, std::size_t{30}}) {
        CAPTURE(count);
        Dice dice(static_cast<std::uint32_t>(count));
        std::vector<double> minutes(count);
        for (double& m : minutes)
            m = 1 + dice.below(40);
        const auto chance = chances(dice, count);
        std::vector<std::size_t> expected_order;
        const double expected = smith(chance, minutes, expected_order);
        const plan::SearchOrder order = plan::search_order(independent(minutes), chance, 0.1);
        CHECK(order.exact == (count <= plan::most_exact_steps));
        CHECK(order.expected_minutes == doctest::Approx(expected));
        CHECK(order.at_least_minutes == doctest::Approx(expected));
        REQUIRE(order.steps.size() == count);
        for (std::size_t i = 0; i + 1 < count; ++i) {
            const std::size_t a = order.steps[i].seals[0], b = order.steps[i + 1].seals[0];
            CHECK(chance[a] * minutes[b] >= chance[b] * minutes[a] - 1e-12);
        }
    }
}

TEST_CASE("search order: two jobs by hand") {
    // 8 min for 30 %, 29 min for 70 %: 0.0375 against 0.0241 a minute, so the servo first although the ring is
    // likelier. 0.3 * 8 + 0.7 * (8 + 29) = 28.3; the other way round 0.7 * 29 + 0.3 * 37 = 31.4.
    const plan::SearchOrder order = plan::search_order(independent({29, 8}), {0.7, 0.3}, 0.1);
    REQUIRE(order.steps.size() == 2);
    CHECK(order.steps[0].seals == std::vector<std::size_t>{1});
    CHECK(order.expected_minutes == doctest::Approx(28.3));
    CHECK(order.worst_minutes == doctest::Approx(37));
    // Chances of any scale: what counts is one against the other.
    CHECK(plan::search_order(independent({29, 8}), {7, 3}, 0.1).expected_minutes == doctest::Approx(28.3));
}

TEST_CASE("search order: parts that are shared count once, and a look before a pull") {
    // Two drums behind one pump of 20 min: 2 min for the second once the first is out.
    model::UnitMap map = independent({20, 3, 2});
    map.parts[1].after = map.parts[2].after = {"p0"};
    const plan::SearchOrder order = plan::search_order(map, {0, 0.5, 0.5}, 0.1);
    REQUIRE(order.steps.size() == 2);
    CHECK(order.steps[0].minutes == doctest::Approx(22));
    CHECK(order.steps[1].minutes == doctest::Approx(3));
    CHECK(order.worst_minutes == doctest::Approx(25));
    CHECK(order.expected_minutes == doctest::Approx(0.5 * 22 + 0.5 * 25));
    // A look of 4 min at the one: 4 + (1 - 0.45) * 22 + (1 - 0.95 + 0) * ... against 23.5.
    map.seals[1].look_minutes = 4;
    const plan::SearchOrder looked = plan::search_order(map, {0, 0.5, 0.5}, 0.1);
    REQUIRE(looked.steps.size() == 3);
    CHECK(looked.steps[0].kind == plan::SearchStep::Kind::look);
    CHECK(looked.steps[0].finds == doctest::Approx(0.45));
    // 4, then p0 and p2 (22 min) with 0.55 left, then p1 (3 min) with the 0.05 that the look missed.
    CHECK(looked.expected_minutes == doctest::Approx(4 + 0.55 * 22 + 0.05 * 3));
    // A look that takes longer than the pull is no step.
    map.seals[1].look_minutes = 24;
    CHECK(plan::search_order(map, {0, 0.5, 0.5}, 0.1).steps.size() == 2);
}

TEST_CASE("search order: beyond the exact size the bound holds") {
    // Each part waits for the one before: there is one order only, and its expectation is known.
    constexpr std::size_t count = 25;
    std::vector<double> minutes(count);
    Dice dice(7);
    for (double& m : minutes)
        m = 1 + dice.below(9);
    model::UnitMap map = independent(minutes);
    for (std::size_t p = 1; p < count; ++p)
        map.parts[p].after = {map.parts[p - 1].id};
    const auto chance = chances(dice, count);
    double expected = 0, time = 0;
    for (std::size_t p = 0; p < count; ++p)
        expected += chance[p] * (time += minutes[p]);
    const plan::SearchOrder chain = plan::search_order(map, chance, 0.1);
    CHECK_FALSE(chain.exact);
    CHECK(chain.expected_minutes == doctest::Approx(expected));
    CHECK(chain.at_least_minutes <= expected);
    CHECK(chain.at_least_minutes > 0);

    // Two seals behind each of 20 parts that wait for nothing: the rule of Smith on the parts, with what is behind
    // them.
    std::vector<double> each(20);
    for (double& m : each)
        m = 1 + dice.below(30);
    model::UnitMap twos = independent(each);
    std::vector<double> one = chances(dice, each.size()), both;
    for (std::size_t i = 0; i < each.size(); ++i) {
        model::Seal second = twos.seals[i];
        second.id = "t" + std::to_string(i);
        twos.seals.push_back(second);
    }
    both = one;
    both.insert(both.end(), one.begin(), one.end());
    std::vector<std::size_t> by_rate;
    const plan::SearchOrder pairs = plan::search_order(twos, both, 0.1);
    CHECK_FALSE(pairs.exact);
    CHECK(pairs.expected_minutes == doctest::Approx(smith(one, each, by_rate)));
    CHECK(pairs.at_least_minutes <= pairs.expected_minutes);

    for (std::uint32_t seed = 1; seed <= 20; ++seed) {
        CAPTURE(seed);
        Dice more(seed);
        const model::UnitMap large = test::invented_unit(more, 40, 30);
        const plan::SearchOrder order = plan::search_order(large, chances(more, 30), 0.1);
        CHECK(order.at_least_minutes <= order.expected_minutes + 1e-9);
        CHECK(order.steps.back().found_so_far == doctest::Approx(1));
    }
}

TEST_CASE("search order: what cannot be reached or timed is told") {
    model::UnitMap map = independent({5, 6, 7});
    map.seals[1].at.clear();
    map.parts[2].minutes.reset();
    const plan::SearchOrder order = plan::search_order(map, {0.2, 0.5, 0.3}, 0.1);
    CHECK(order.unplaced == std::vector<std::size_t>{1});
    CHECK(order.untimed == std::vector<std::size_t>{2});
    CHECK(order.steps.size() == 2);
    CHECK(order.steps.back().found_so_far == doctest::Approx(1));
    CHECK(plan::search_order(map, {0, 0, 0}, 0.1).steps.empty());
    CHECK(plan::search_order(map, {0, 1, 0}, 0.1).steps.empty());
}
