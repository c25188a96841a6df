// What every law of oil promises, held to by one test over all of them, as tests/airflow/laws_test.cpp does for air:
// nothing without a difference, the same backwards (or nothing backwards), never less for more, and slopes that are the
// derivatives and have no jump.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "../../diagnosis/airflow/air.h"
#include "../../diagnosis/oil/oil_law.h"
#include "../airflow/complaints.h"
#include "../airflow/nearly.h"
#include "../model/random_map.h"

using namespace ringland::diagnosis::oil;
using ringland::diagnosis::airflow::circle_area;
using ringland::tests::Complaints;
using ringland::tests::nearly;
using ringland::tests::RandomMap;

/// Complains with the words of `where` and of the promise itself; a macro for the sake of the latter.
#define HOLDS(promise) complaints.unless(promise, [&] { return where() + ": " #promise; })

namespace {

constexpr double ambient = 101325;

struct Case {
    std::string name;
    OilLaw law;
    OilFactors oil;
    double kink_pa = 0; ///< difference at which the formula changes; 0: it does not
};

double spread(RandomMap& dice, double low, double high) { return low * std::pow(high / low, dice.figure(0, 1)); }

std::vector<Case> laws_of(RandomMap& dice) {
    Oil liquid;
    liquid.density = dice.figure(780, 900);
    liquid.kinematic_m2ps = spread(dice, 3e-6, 5e-3);
    const OilFactors oil(liquid);
    std::vector<Case> cases;
    const auto add = [&](std::string name, const OilLaw& law, double kink) {
        const double share = dice.figure(0.05, 0.95), opens_pa = dice.figure(20, 20000);
        cases.push_back({name, law, oil, kink});
        cases.push_back({fmt::format("{} × {}", name, share), law.scaled(share), oil, kink});
        cases.push_back({fmt::format("{} from {} Pa on", name, opens_pa), law.one_way(opens_pa), oil, kink});
        cases.push_back({fmt::format("{} × {} from {} Pa on", name, share, opens_pa),
                         law.scaled(share).one_way(opens_pa), oil, kink});
    };
    const double area = circle_area(spread(dice, 1e-5, 1e-2));
    const double bore = dice.figure(2e-3, 10e-3), length = spread(dice, 0.01, 1), losses = dice.figure(0, 4);
    const double band = spread(dice, 10, 1e4);
    add("closed", OilLaw::closed(), 0);
    add(fmt::format("sharp hole {}", area), OilLaw::sharp_hole(area), 0);
    add(fmt::format("drilled hole {}", area), OilLaw::drilled_hole(area), 0);
    add("slot", OilLaw::slot(dice.figure(1e-3, 0.2), spread(dice, 1e-6, 1e-4), dice.figure(1e-3, 5e-3)), 0);
    add("annulus", OilLaw::annulus(dice.figure(0.01, 0.1), spread(dice, 1e-6, 1e-4), 5e-3, dice.figure(0, 1)), 0);
    add("discs", OilLaw::disc_gap(spread(dice, 1e-6, 1e-4), dice.figure(0.01, 0.02), dice.figure(0.03, 0.1)), 0);
    add(fmt::format("passage {} × {} K {}", bore, length, losses), OilLaw::passage(bore, length, losses), 0);
    add("passage without losses", OilLaw::passage(bore, length, 0), 0);
    add(fmt::format("supply, band {}", band), OilLaw::supply(spread(dice, 1e-5, 1e-3), band), band);
    return cases;
}

/// Differences where laws go wrong: hardly any, where a ball lifts, where a pipe turns turbulent, and far.
std::vector<double> differences_of(const Case& c, RandomMap& dice) {
    std::vector<double> list;
    for (int power = -9; power <= 6; ++power)
        list.push_back(dice.figure(1, 9) * std::pow(10.0, power));
    for (int k = 0; k < 10; ++k)
        list.push_back(spread(dice, 1, 3e6));
    const auto around = [&](double kink) {
        if (kink <= 0) return;
        for (const double off : {-1e-2, -1e-6, -1e-9, 0.0, 1e-9, 1e-6, 1e-2})
            list.push_back(kink * (1 + off));
    };
    around(c.kink_pa);
    around(c.law.opens_pa());
    around(1.5 * c.law.opens_pa());
    around(2 * c.law.opens_pa());
    return list;
}

Through through(const Case& c, double difference) {
    return c.law.through(c.oil, ambient + std::max(difference, 0.0), ambient + std::max(-difference, 0.0), difference);
}

} // namespace

TEST_CASE("oil laws: no difference, no flow, and a finite slope") {
    RandomMap dice(141);
    Complaints complaints;
    for (int round = 0; round < 30; ++round) {
        for (const Case& c : laws_of(dice)) {
            const Through t = through(c, 0);
            const auto where = [&] { return c.name; };
            HOLDS(t.flow_kgps == 0);
            HOLDS(std::isfinite(t.per_first));
            HOLDS(std::isfinite(t.per_second));
            if (!c.law.is_one_way() && c.law.kind() != OilLaw::Kind::closed) HOLDS(t.per_first > 0);
        }
    }
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
    CHECK(complaints.looked_at() > 1000);
}

TEST_CASE("oil laws: from the higher pressure to the lower, and backwards the same or not at all") {
    RandomMap dice(142);
    Complaints complaints;
    for (int round = 0; round < 30; ++round) {
        for (const Case& c : laws_of(dice)) {
            for (const double difference : differences_of(c, dice)) {
                const auto where = [&] { return fmt::format("{} at {} Pa", c.name, difference); };
                const Through there = through(c, difference), back = through(c, -difference);
                HOLDS(there.flow_kgps >= 0);
                HOLDS(std::isfinite(there.flow_kgps));
                // Oil does not give way: the level of pressure does not count.
                HOLDS(there.per_first == -there.per_second);
                if (c.law.is_one_way()) {
                    HOLDS(back.flow_kgps == 0);
                    HOLDS(back.per_first == 0);
                    if (difference <= c.law.opens_pa())
                        HOLDS(there.flow_kgps == 0);
                    else if (c.law.kind() != OilLaw::Kind::closed)
                        HOLDS(there.flow_kgps > 0);
                } else {
                    HOLDS(there.flow_kgps == -back.flow_kgps);
                    HOLDS(there.per_first == back.per_first);
                    if (c.law.kind() != OilLaw::Kind::closed) HOLDS(there.flow_kgps > 0);
                }
            }
        }
    }
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
    CHECK(complaints.looked_at() > 1000);
}

TEST_CASE("oil laws: one way is the same restriction once it is free, and half of it half way") {
    RandomMap dice(143);
    Complaints complaints;
    for (int round = 0; round < 30; ++round) {
        for (const Case& c : laws_of(dice)) {
            if (c.law.is_one_way()) continue;
            const double opens_pa = dice.figure(20, 20000);
            Case ball = c;
            ball.law = c.law.one_way(opens_pa);
            const auto where = [&] { return fmt::format("{} opening at {} Pa", c.name, opens_pa); };
            for (const double difference : {2 * opens_pa + 1e-3, 3 * opens_pa, 1e6}) {
                HOLDS(through(ball, difference).flow_kgps == through(c, difference).flow_kgps);
                HOLDS(through(ball, difference).per_first == through(c, difference).per_first);
            }
            HOLDS(nearly(through(ball, 1.5 * opens_pa).flow_kgps, 0.5 * through(c, 1.5 * opens_pa).flow_kgps, 1e-12));
        }
    }
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
    CHECK(complaints.looked_at() > 1000);
}

TEST_CASE("oil laws: a share of a law is that share of its flow and slopes") {
    RandomMap dice(144);
    Complaints complaints;
    for (int round = 0; round < 30; ++round) {
        for (const Case& c : laws_of(dice)) {
            const double share = dice.figure(0.01, 3);
            Case part = c;
            part.law = c.law.scaled(share);
            const auto where = [&] { return fmt::format("{} × {}", c.name, share); };
            for (const double difference : differences_of(c, dice)) {
                const Through whole = through(c, difference), some = through(part, difference);
                HOLDS(std::abs(some.flow_kgps - share * whole.flow_kgps) <= 1e-14 * std::abs(some.flow_kgps));
                HOLDS(std::abs(some.per_first - share * whole.per_first) <= 1e-13 * std::abs(some.per_first));
            }
            part.law = c.law.scaled(0);
            HOLDS(through(part, 1e5).flow_kgps == 0);
        }
    }
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
    CHECK(complaints.looked_at() > 1000);
}

TEST_CASE("oil laws: more difference never means less flow, thinner oil never less, a larger hole always more") {
    RandomMap dice(145);
    Complaints complaints;
    for (int round = 0; round < 10; ++round) {
        for (const Case& c : laws_of(dice)) {
            std::vector<double> differences = differences_of(c, dice);
            for (double d = 1e-8; d < 1e7; d *= 1.05)
                differences.push_back(d);
            std::sort(differences.begin(), differences.end());
            Case thin = c;
            thin.oil.viscosity *= 0.8;
            for (std::size_t k = 1; k < differences.size(); ++k) {
                const auto where = [&] { return fmt::format("{} at {} Pa", c.name, differences[k]); };
                const double before = through(c, differences[k - 1]).flow_kgps,
                             now = through(c, differences[k]).flow_kgps;
                HOLDS(now >= before * (1 - 4e-15));
                HOLDS(through(c, differences[k]).per_first >= 0);
                // A pipe that turns turbulent may pass less of a thinner oil.
                if (c.law.kind() != OilLaw::Kind::passage)
                    HOLDS(through(thin, differences[k]).flow_kgps >= now * (1 - 4e-15));
            }
        }
        const double small = spread(dice, 1e-5, 9e-3);
        const OilFactors oil{Oil{}};
        const auto where = [&] { return fmt::format("hole {}", small); };
        for (const double d : {1e-6, 1.0, 1e3, 1e6})
            HOLDS(OilLaw::sharp_hole(circle_area(small * 1.001)).through(oil, ambient + d, ambient, d).flow_kgps >
                  OilLaw::sharp_hole(circle_area(small)).through(oil, ambient + d, ambient, d).flow_kgps);
    }
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
    CHECK(complaints.looked_at() > 1000);
}

TEST_CASE("oil laws: slopes are the derivatives of the flow") {
    RandomMap dice(146);
    Complaints complaints;
    for (int round = 0; round < 30; ++round) {
        for (const Case& c : laws_of(dice)) {
            for (const double difference : differences_of(c, dice)) {
                const auto where = [&] { return fmt::format("{} at {} Pa", c.name, difference); };
                double bend = difference;
                if (c.law.is_one_way() && difference < 2.5 * c.law.opens_pa()) bend = std::min(bend, c.law.opens_pa());
                if (c.kink_pa > 0) bend = std::min(bend, c.kink_pa);
                const double step = 1e-5 * bend;
                const Through t = through(c, difference);
                const double by = (through(c, difference + step).flow_kgps - through(c, difference - step).flow_kgps) /
                                  ((difference + step) - (difference - step));
                const double scale = std::max(t.per_first, t.flow_kgps / bend);
                // Where a ball just lifts, slope and flow are nearly nothing: what counts is the slope when free.
                Case free = c;
                if (c.law.is_one_way()) free.law = c.law.one_way(1);
                const double when_free =
                    c.law.is_one_way() ? through(free, 3 * c.law.opens_pa()).flow_kgps / c.law.opens_pa() : 0;
                const double digits = 2e-14 * t.flow_kgps / step;
                HOLDS(std::abs(by - t.per_first) <= 4e-5 * std::max(scale, when_free) + digits);
            }
        }
    }
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
    CHECK(complaints.looked_at() > 1000);
}

TEST_CASE("oil laws: slopes have no jump, at no difference, where a pipe turns turbulent, where a ball lifts") {
    RandomMap dice(147);
    Complaints complaints;
    for (int round = 0; round < 10; ++round) {
        for (const Case& c : laws_of(dice)) {
            std::vector<double> differences{0};
            for (double d = 1e-9; d < 3e6; d *= 1.005)
                differences.push_back(d);
            const double opens = c.law.opens_pa();
            if (c.law.is_one_way()) {
                for (int k = 90; k <= 220; ++k)
                    differences.push_back(0.01 * k * opens);
            }
            for (int k = 0; c.kink_pa > 0 && k <= 200; ++k)
                differences.push_back(0.01 * k * c.kink_pa);
            std::sort(differences.begin(), differences.end());
            const double steepest = [&] {
                double most = 0;
                for (const double d : differences)
                    most = std::max(most, through(c, d).per_first);
                return most;
            }();
            for (std::size_t k = 1; k < differences.size(); ++k) {
                const double a = through(c, differences[k - 1]).per_first, b = through(c, differences[k]).per_first;
                const auto where = [&] {
                    return fmt::format("{} about {} Pa: {} then {}", c.name, differences[k], a, b);
                };
                // Over half a per cent of the difference, or a hundredth of a kink, no slope changes by more than a
                // twentieth of itself or of the steepest.
                HOLDS(std::abs(a - b) <= 0.05 * std::max({a, b, c.law.is_one_way() || c.kink_pa > 0 ? steepest : 0.0}));
            }
        }
    }
    INFO(complaints.count(), " complaints", complaints.first());
    CHECK(complaints.count() == 0);
    CHECK(complaints.looked_at() > 1000);
}

TEST_CASE("oil laws: a supply gives what is asked, up to its limit") {
    const OilFactors oil{Oil{}};
    const OilLaw supply = OilLaw::supply(2e-4, 700);
    const auto at = [&](double d) { return supply.through(oil, 8e5, 8e5 - d, d).flow_kgps / oil.density; };
    CHECK(at(700) == 2e-4);
    CHECK(at(7e5) == 2e-4);
    CHECK(nearly(at(350), 1.5e-4, 1e-12)); // u (2 − u) at one half
    CHECK(OilLaw::supply(0, 700).kind() == OilLaw::Kind::closed);
}
