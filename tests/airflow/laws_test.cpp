// What every law of a restriction promises, held to by one test over all of them: nothing without a difference, the
// same backwards (or nothing backwards), never less for more, and slopes that are the derivatives and have no jump.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "../../diagnosis/airflow/law.h"
#include "../model/random_map.h"
#include "complaints.h"
#include "nearly.h"

using namespace ringland::diagnosis::airflow;
using ringland::tests::Complaints;
using ringland::tests::nearly;
using ringland::tests::RandomMap;

/// Complains with the words of `where` and of the promise itself; a macro for the sake of the latter.
#define HOLDS(promise) complaints.unless(promise, [&] { return where() + ": " #promise; })

namespace {

struct Case {
    std::string name;
    Law law;
    Air air;
    double kink = 0; ///< pressure ratio at which the formula changes; 0: it does not
};

/// (2/(γ+1))^(γ/(γ−1)), reckoned here and not taken from the code.
const double critical_ratio = std::pow(1 / 1.2, 3.5);

std::vector<Case> laws_of(RandomMap& dice) {
    std::vector<Case> cases;
    const Air air{dice.figure(263, 323), dice.figure(60e3, 105e3)};
    const auto add = [&](std::string name, const Law& law, double kink) {
        const double share = dice.figure(0.05, 0.95);
        const double opens_pa = dice.figure(20, 20000);
        cases.push_back({name, law, air, kink});
        cases.push_back({fmt::format("{} × {}", name, share), law.scaled(share), air, kink});
        cases.push_back({fmt::format("{} from {} Pa on", name, opens_pa), law.one_way(opens_pa), air, kink});
        cases.push_back({fmt::format("{} one way", name), law.one_way(0), air, kink});
        cases.push_back({fmt::format("{} × {} from {} Pa on", name, share, opens_pa),
                         law.scaled(share).one_way(opens_pa), air, kink});
    };
    // Areas and conductances over as many powers of ten as holes of 10 µm to 10 mm have.
    const double area = circle_area(1e-5 * std::pow(1000.0, dice.figure(0, 1)));
    const double contraction = dice.figure(0.52, 0.72), cd = dice.figure(0.5, 1);
    const double c = 1e-12 * std::pow(1e6, dice.figure(0, 1)), b = dice.figure(0, 0.9);
    const double width = dice.figure(1e-3, 0.2), height = 1e-6 * std::pow(100.0, dice.figure(0, 1));
    add("closed", Law::closed(), 0);
    add(fmt::format("sharp hole {} Ci {}", area, contraction), Law::sharp_hole(area, contraction), critical_ratio);
    add(fmt::format("sharp hole {}", area), Law::sharp_hole(area), critical_ratio);
    add(fmt::format("round hole {} cd {}", area, cd), Law::round_hole(area, cd), critical_ratio);
    add(fmt::format("conductance {} b {}", c, b), Law::conductance(c, b), b);
    add(fmt::format("conductance {} b 0", c), Law::conductance(c, 0), 0);
    add("passage", Law::passage(dice.figure(2e-3, 8e-3), dice.figure(0.02, 0.5), 0.03, 1.5, air), 0);
    add("slot", Law::slot(width, height, dice.figure(1e-3, 5e-3)), 0);
    return cases;
}

/// Pairs of pressures where laws go wrong: hardly any difference, around the change of formula, nearly a vacuum.
std::vector<std::array<double, 2>> pairs_of(const Case& c, RandomMap& dice) {
    std::vector<std::array<double, 2>> pairs;
    const auto add = [&](double high, double ratio) {
        pairs.push_back({high, high * ratio});
        pairs.push_back({high * ratio, high});
    };
    for (int n = 0; n < 3; ++n) {
        const double high = c.air.ambient_pa + dice.figure(0, 1e6);
        for (int power = 14; power >= 1; --power)
            add(high, 1 - dice.figure(1, 9) * std::pow(10.0, -power));
        for (int k = 0; k < 8; ++k)
            add(high, dice.figure(0.01, 1));
        for (const double ratio : {1e-2, 1e-4, 1e-6})
            add(high, ratio);
        if (c.kink > 0) {
            add(high, c.kink);
            for (const double off : {1e-12, 1e-9, 1e-6, 1e-4, 1e-2}) {
                add(high, c.kink * (1 - off));
                add(high, std::min(1.0, c.kink * (1 + off)));
            }
        }
        if (c.law.is_one_way()) {
            for (const double times : {0.5, 0.999, 1.001, 1.2, 1.5, 1.999, 2.001, 3.0}) {
                pairs.push_back({high, high - times * c.law.opens_pa()});
                pairs.push_back({high - times * c.law.opens_pa(), high});
            }
        }
    }
    return pairs;
}

/// The pressure over which the law bends at these pressures: the difference itself, but not less than what a hole is
/// softened by near zero, the lift of a ball, and what is left of the range to vacuum.
double bend_pa(const Case& c, double first, double second) {
    const double high = std::max(first, second), low = std::min(first, second);
    double bend = std::max(high - low, 1e-5 * high);
    // A ball that is far open bends nothing any more.
    if (c.law.is_one_way() && first - second < 2.5 * c.law.opens_pa()) bend = std::min(bend, c.law.opens_pa());
    if (c.law.kind() == Law::Kind::conductance) bend = std::min(bend, (1 - c.law.shape()) * high);
    return std::min(bend, low);
}

} // namespace

TEST_CASE("laws: no difference, no flow") {
    RandomMap dice(41);
    Complaints complaints;
    for (int round = 0; round < 20; ++round) {
        for (const Case& c : laws_of(dice)) {
            const AirFactors air(c.air);
            for (const double p : {1.0, 1e3, c.air.ambient_pa, 3.7e5, 1.1e6}) {
                const Through t = c.law.through(air, p, p);
                const auto where = [&] { return fmt::format("{} at {} Pa", c.name, p); };
                HOLDS(t.flow_kgps == 0);
                HOLDS(std::isfinite(t.per_first));
                HOLDS(std::isfinite(t.per_second));
            }
        }
    }
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
    CHECK(complaints.looked_at() > 1000);
}

TEST_CASE("laws: air goes from the higher pressure to the lower, and backwards the same or not at all") {
    RandomMap dice(42);
    Complaints complaints;
    for (int round = 0; round < 20; ++round) {
        for (const Case& c : laws_of(dice)) {
            const AirFactors air(c.air);
            for (const auto& pair : pairs_of(c, dice)) {
                const double first = pair[0], second = pair[1];
                const auto where = [&] { return fmt::format("{} from {} to {} Pa", c.name, first, second); };
                const Through there = c.law.through(air, first, second), back = c.law.through(air, second, first);
                HOLDS(there.flow_kgps * (first - second) >= 0);
                if (c.law.is_one_way()) {
                    if (first - second <= c.law.opens_pa()) {
                        HOLDS(there.flow_kgps == 0);
                        HOLDS(there.per_first == 0);
                        HOLDS(there.per_second == 0);
                    } else if (c.law.kind() != Law::Kind::closed) {
                        HOLDS(there.flow_kgps > 0);
                    }
                } else {
                    HOLDS(there.flow_kgps == -back.flow_kgps);
                    HOLDS(there.per_first == -back.per_second);
                    HOLDS(there.per_second == -back.per_first);
                    if (c.law.kind() != Law::Kind::closed && first != second) HOLDS(there.flow_kgps != 0);
                }
            }
        }
    }
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
    CHECK(complaints.looked_at() > 1000);
}

TEST_CASE("laws: one way is the same restriction once it is free") {
    RandomMap dice(43);
    Complaints complaints;
    for (int round = 0; round < 20; ++round) {
        for (const Case& c : laws_of(dice)) {
            if (c.law.is_one_way()) continue;
            const AirFactors air(c.air);
            const double opens_pa = dice.figure(20, 20000), second = dice.figure(60e3, 5e5);
            const auto where = [&] { return fmt::format("{} opening at {} Pa above {} Pa", c.name, opens_pa, second); };
            for (const double difference : {2 * opens_pa + 1e-3, 3 * opens_pa, 1e6}) {
                const Through free = c.law.through(air, second + difference, second);
                const Through ball = c.law.one_way(opens_pa).through(air, second + difference, second);
                HOLDS(ball.flow_kgps == free.flow_kgps);
                HOLDS(ball.per_first == free.per_first);
                HOLDS(ball.per_second == free.per_second);
            }
            const Through lifting = c.law.one_way(opens_pa).through(air, second + 1.5 * opens_pa, second);
            // Half of the lift is half of the flow, whatever smooth curve is taken.
            HOLDS(
                nearly(lifting.flow_kgps, 0.5 * c.law.through(air, second + 1.5 * opens_pa, second).flow_kgps, 1e-12));
        }
    }
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
    CHECK(complaints.looked_at() > 1000);
}

TEST_CASE("laws: a share of a law is that share of its flow and slopes") {
    RandomMap dice(44);
    Complaints complaints;
    for (int round = 0; round < 20; ++round) {
        for (const Case& c : laws_of(dice)) {
            const AirFactors air(c.air);
            const double share = dice.figure(0.01, 3);
            const auto where = [&] { return fmt::format("{} × {}", c.name, share); };
            for (const auto& pair : pairs_of(c, dice)) {
                const Through whole = c.law.through(air, pair[0], pair[1]);
                const Through part = c.law.scaled(share).through(air, pair[0], pair[1]);
                // A few roundings apart.
                HOLDS(std::abs(part.flow_kgps - share * whole.flow_kgps) <= 1e-14 * std::abs(part.flow_kgps));
                HOLDS(std::abs(part.per_first - share * whole.per_first) <= 1e-13 * std::abs(part.per_first));
                HOLDS(std::abs(part.per_second - share * whole.per_second) <= 1e-13 * std::abs(part.per_second));
            }
            HOLDS(c.law.scaled(0).through(air, 5e5, 1e5).flow_kgps == 0);
        }
    }
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
    CHECK(complaints.looked_at() > 1000);
}

TEST_CASE("laws: more pressure in front never means less flow, more behind never more") {
    RandomMap dice(45);
    Complaints complaints;
    for (int round = 0; round < 8; ++round) {
        for (const Case& c : laws_of(dice)) {
            const AirFactors air(c.air);
            const double fixed = c.air.ambient_pa + dice.figure(0, 4e5);
            std::vector<double> moving;
            for (int k = 1; k <= 400; ++k)
                moving.push_back(fixed * k / 100.0);
            for (int power = 12; power >= 3; --power) {
                for (const double side : {-1.0, 1.0}) {
                    const double off = side * std::pow(10.0, -power);
                    moving.push_back(fixed * (1 + off));
                    if (c.kink <= 0) continue;
                    moving.push_back(fixed * c.kink * (1 + off));
                    moving.push_back(fixed / c.kink * (1 + off));
                }
            }
            std::sort(moving.begin(), moving.end());
            for (std::size_t k = 1; k < moving.size(); ++k) {
                const double from = moving[k - 1], to = moving[k];
                const auto where = [&] {
                    return fmt::format("{} against {} Pa, from {} to {} Pa", c.name, fixed, from, to);
                };
                const Through in_front = c.law.through(air, to, fixed), behind = c.law.through(air, fixed, to);
                // Steps of 1e-12 of the pressure change a flow by less than its last digits: those may waver.
                const double more = in_front.flow_kgps - c.law.through(air, from, fixed).flow_kgps;
                const double less = c.law.through(air, fixed, from).flow_kgps - behind.flow_kgps;
                HOLDS(more >= -2e-15 * std::abs(in_front.flow_kgps));
                HOLDS(less >= -2e-15 * std::abs(behind.flow_kgps));
                HOLDS(in_front.per_first >= 0);
                HOLDS(in_front.per_second <= 0);
                HOLDS(behind.per_first >= 0);
                HOLDS(behind.per_second <= 0);
            }
        }
    }
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
    CHECK(complaints.looked_at() > 1000);
}

TEST_CASE("laws: slopes are the derivatives of the flow") {
    RandomMap dice(46);
    Complaints complaints;
    for (int round = 0; round < 20; ++round) {
        for (const Case& c : laws_of(dice)) {
            const AirFactors air(c.air);
            for (const auto& pair : pairs_of(c, dice)) {
                const double first = pair[0], second = pair[1];
                const auto where = [&] { return fmt::format("{} from {} to {} Pa", c.name, first, second); };
                const Through t = c.law.through(air, first, second);
                // A step of 1e-5 of the bend: the curve itself errs by 1e-10 of the slope, or by 1e-5 across a place
                // where the formula changes; the last digits of pressures and flow by 1e-16/1e-5 of p/bend.
                const double step = 1e-5 * bend_pa(c, first, second);
                const double high = std::max(first, second);
                const auto flow = [&](double a, double b) { return c.law.through(air, a, b).flow_kgps; };
                const double by_first =
                    (flow(first + step, second) - flow(first - step, second)) / ((first + step) - (first - step));
                const double by_second =
                    (flow(first, second + step) - flow(first, second - step)) / ((second + step) - (second - step));
                const double scale =
                    std::max({t.per_first, -t.per_second, std::abs(t.flow_kgps) / bend_pa(c, first, second)});
                // Where a ball just lifts, slope and flow are nearly nothing: what counts there is the slope when free.
                const double free =
                    c.law.is_one_way()
                        ? c.law.one_way(1).through(air, high, high - 3 * c.law.opens_pa()).flow_kgps / c.law.opens_pa()
                        : 0;
                const double digits = 4e-15 * std::abs(t.flow_kgps) / step + 1e-15 * high / step * scale;
                HOLDS(std::abs(by_first - t.per_first) <= 4e-5 * std::max(scale, 1e-3 * free) + digits);
                HOLDS(std::abs(by_second - t.per_second) <= 4e-5 * std::max(scale, 1e-3 * free) + digits);
            }
        }
    }
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
    CHECK(complaints.looked_at() > 1000);
}

TEST_CASE("laws: slopes have no jump, at no difference, where flow chokes, where a ball lifts and where it is free") {
    RandomMap dice(47);
    Complaints complaints;
    for (int round = 0; round < 20; ++round) {
        for (const Case& c : laws_of(dice)) {
            const AirFactors air(c.air);
            const double high = c.air.ambient_pa + dice.figure(1e4, 1e6);
            std::vector<double> lows{high};
            if (c.kink > 0) lows.push_back(high * c.kink);
            if (c.law.is_one_way()) {
                lows.push_back(high - c.law.opens_pa());
                lows.push_back(high - 2 * c.law.opens_pa());
            }
            for (const double low : lows) {
                const auto where = [&] { return fmt::format("{} from {} to {} Pa", c.name, high, low); };
                const double bend = bend_pa(c, high, low);
                // What the slopes are measured by: the slope on either side, and that of the law when it is free.
                const auto slope_of = [](const Through& t) { return std::max(t.per_first, -t.per_second); };
                const Through free =
                    c.law.is_one_way() ? c.law.one_way(1).through(air, high, high - 3 * c.law.opens_pa()) : Through{};
                const double lift = c.law.is_one_way() ? free.flow_kgps / c.law.opens_pa() : 0;
                // A slope changes by about its own size over the bend, so over 1e-6 of it by a few millionths.
                const double off = 1e-6 * bend;
                const Through before = c.law.through(air, high, low - off), after = c.law.through(air, high, low + off);
                const double scale = std::max({slope_of(before), slope_of(after), lift});
                const double allowed = 2e-5 * scale + 1e-15 * high / bend * scale;
                HOLDS(std::abs(after.per_first - before.per_first) <= allowed);
                HOLDS(std::abs(after.per_second - before.per_second) <= allowed);
                // The flow itself: nothing beyond slope times distance and its last digits, however near.
                for (const double near : {1e-6, 1e-9, 1e-12}) {
                    const double below = c.law.through(air, high, low - near * bend).flow_kgps;
                    const double above = c.law.through(air, high, low + near * bend).flow_kgps;
                    HOLDS(std::abs(above - below) <=
                          2.1 * near * bend * scale + 1e-15 * high * scale + 4e-15 * std::abs(above));
                }
            }
        }
    }
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
    CHECK(complaints.looked_at() > 1000);
}

TEST_CASE("laws: the softening near no difference changes no flow that a bench can see") {
    // Against √ of the difference as the formulas have it, from 1/1000 of the pressure on (100 Pa on a gauge).
    const AirFactors air{Air{}};
    const double p = 2e5;
    for (const double x : {1e-3, 3e-3, 1e-2}) {
        const double r = 1 - x;
        const double ideal = 1e-6 * p / air.root_rt * std::sqrt(7 * (std::pow(r, 2 / 1.4) - std::pow(r, 2.4 / 1.4)));
        CHECK(nearly(Law::round_hole(1e-6, 1).through(air, p, p * r).flow_kgps, ideal, 3e-5));
        const double iso = 1e-8 * p * 1.185 * std::sqrt(1 - std::pow((r - 0.3) / 0.7, 2));
        CHECK(nearly(Law::conductance(1e-8, 0.3).through(air, p, p * r).flow_kgps, iso, 3e-5));
    }
}
