// Likelihoods against the story that they stand for, played many thousand times, and as chances that must add up.
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include <doctest/doctest.h>

#include "../../diagnosis/suspects/likelihood.h"
#include "../model/random_map.h"

using namespace ringland;
using namespace ringland::diagnosis::suspects;

namespace {

constexpr double pascal_per_psi = 6894.757293168361, supply_pa = 35 * pascal_per_psi;
constexpr std::array<double, 3> heard_from{0.4, 6.0, 25.0};

double normal(tests::RandomMap& dice) {
    return std::sqrt(-2 * std::log(1 - dice.figure(0, 1))) * std::cos(2 * M_PI * dice.figure(0, 1));
}

model::Seen gauge_at(double pa) {
    model::Seen seen;
    seen.pressure = model::GaugePressure{pa / 1e5, model::PressureDimension::Unit::bar};
    return seen;
}
model::Seen flow_of(double lpm) {
    model::Seen seen;
    seen.flow_lpm = lpm;
    return seen;
}
model::Seen time_of(double s) {
    model::Seen seen;
    seen.applies_after_s = s;
    return seen;
}

} // namespace

TEST_CASE("likelihood: chances of words add up to one, and none of them is nothing") {
    tests::RandomMap dice(1);
    for (int round = 0; round < 2000; ++round) {
        model::Priors priors;
        priors.misheard = dice.figure(0, 0.4);
        priors.flow_error = dice.figure(0.01, 1);
        priors.sound_error = dice.figure(0.01, 2);
        const double flow = std::exp(dice.figure(-12, 7)), sound = dice.chance(30) ? 0 : std::exp(dice.figure(-12, 7));
        const auto chance = word_chances(flow, sound, heard_from, priors);
        double sum = 0;
        for (const double c : chance) {
            REQUIRE(c >= 0.0019);
            REQUIRE(c <= 1);
            sum += c;
        }
        REQUIRE(std::abs(sum - 1) < 1e-12);
        // More air is never softer, where no sound seal has a share in it.
        const auto less = word_chances(flow, 0, heard_from, priors),
                   more = word_chances(1.3 * flow, 0, heard_from, priors);
        double at_most_less = 0, at_most_more = 0;
        for (std::size_t k = 0; k < 3; ++k) {
            at_most_less += less[k];
            at_most_more += more[k];
            REQUIRE(at_most_more <= at_most_less + 1e-12);
        }
    }
}

TEST_CASE("likelihood: words come as often as when the story is played") {
    // The flow is off by a factor, more so where a sound seal has a share; an ear says the word of its thresholds, or a
    // neighbour now and then. 200,000 times each; the floor of 0.002 is taken out of the chances.
    const model::Priors priors;
    tests::RandomMap dice(2);
    const std::vector<std::array<double, 2>> cases{{0.5, 0.5}, {0.5, 0}, {4, 2}, {7, 0.3}, {24, 0}, {60, 6}};
    for (const auto& now : cases) {
        const double flow = now[0], sound = now[1];
        constexpr int plays = 200000;
        const double share = std::min(1.0, sound / flow);
        const double off =
            std::sqrt(priors.flow_error * priors.flow_error + priors.sound_error * priors.sound_error * share * share);
        std::array<double, 4> times{};
        for (int n = 0; n < plays; ++n) {
            const double real = flow * std::exp(off * normal(dice));
            int word = (real >= heard_from[0]) + (real >= heard_from[1]) + (real >= heard_from[2]);
            if (dice.figure(0, 1) < priors.misheard) {
                const bool up = word == 0 || (word != 3 && dice.figure(0, 1) < 0.5);
                word += up ? 1 : -1;
            }
            ++times[static_cast<std::size_t>(word)];
        }
        const auto chance = word_chances(flow, sound, heard_from, priors);
        for (std::size_t k = 0; k < 4; ++k) {
            const double said = 1.008 * chance[k] - 0.002, was = times[k] / plays;
            CAPTURE(flow);
            CAPTURE(k);
            CHECK(std::abs(said - was) < 5 * std::sqrt(std::max(said, 1e-4) / plays));
        }
    }
}

TEST_CASE("likelihood: densities of figures add up to one") {
    const model::Priors priors;
    const Errors errors{priors, heard_from, supply_pa};
    for (const double share : {0.2, 0.5, 0.8}) {
        for (const double sound_share : {share, 0.05}) {
            Predicted p;
            p.gauge_pa = share * supply_pa;
            p.sound_gauge_pa = sound_share * supply_pa;
            double inside = 0, beyond = 0, blunders = 0;
            constexpr int marks = 60000;
            for (int k = 0; k < marks; ++k) {
                // From two supplies below to three above, so that the whole of the bell is in it.
                const double at = (-2 + 5.0 * k / marks) * supply_pa, width = 5 * supply_pa / marks / pascal_per_psi;
                const bool on_the_scale = at >= 0 && at <= supply_pa;
                (on_the_scale ? inside : beyond) += std::exp(log_likelihood(gauge_at(at), p, errors)) * width;
                blunders += 0.02 * width * pascal_per_psi / supply_pa;
            }
            // Blunders are spread at this density wherever one asks; on the scale they are 0.02 together.
            CHECK(inside + beyond - blunders + 0.02 == doctest::Approx(1).epsilon(1e-4));
        }
    }
    for (const double flow : {0.5, 8.0, 90.0}) {
        Predicted p;
        p.flow_lpm = flow;
        double sum = 0;
        constexpr int marks = 20000;
        const double low = std::log(0.1001), width = 8.0 / marks;
        for (int k = 0; k < marks; ++k)
            sum += std::exp(log_likelihood(flow_of(std::exp(low + (k + 0.5) * width)), p, errors)) * width;
        CHECK(sum == doctest::Approx(1).epsilon(2e-3));
    }
    for (const double time : {0.3, 1.5}) {
        Predicted p;
        p.apply_s = time;
        double sum = 0;
        constexpr int marks = 20000;
        const double low = std::log(0.0201), high = std::log(9.9999), width = (high - low) / marks;
        for (int k = 0; k < marks; ++k)
            sum += (std::exp(log_likelihood(time_of(std::exp(low + (k + 0.5) * width)), p, errors)) - 0.02 / 6) * width;
        CHECK(sum == doctest::Approx(0.98).epsilon(2e-3));
    }
}

TEST_CASE("likelihood: an element that never applies, and how one felt") {
    const model::Priors priors;
    const Errors errors{priors, heard_from, supply_pa};
    Predicted never, soon;
    never.apply_s = std::numeric_limits<double>::infinity();
    soon.apply_s = 0.2;
    // Ten seconds and nothing: what never applies foretells it, what applies at once does not; a time the other way.
    CHECK(log_likelihood(time_of(10), never, errors) > log_likelihood(time_of(10), soon, errors) + 5);
    CHECK(log_likelihood(time_of(0.2), never, errors) < log_likelihood(time_of(0.2), soon, errors) - 5);
    CHECK(std::isfinite(log_likelihood(time_of(0.2), never, errors)));
    for (const double apply_s : {0.05, 0.35, 0.9, 3.0, never.apply_s}) {
        double sum = 0;
        for (const auto felt : {model::Applied::thud, model::Applied::soft, model::Applied::none})
            sum += std::exp(log_likelihood(felt, apply_s, errors));
        CHECK(sum == doctest::Approx(1).epsilon(1e-12));
    }
    CHECK(log_likelihood(model::Applied::thud, 0.05, errors) > std::log(0.9));
    CHECK(log_likelihood(model::Applied::none, never.apply_s, errors) > std::log(0.9));
    // What is not sure says nothing; where something unmapped acts, words add up to one as well.
    model::Seen open;
    open.not_sure = true;
    CHECK(log_likelihood(open, never, errors) == 0);
    CHECK(log_likelihood_unmapped(open, errors) == 0);
    double sum = 0;
    for (int k = 0; k < 4; ++k) {
        model::Seen seen;
        seen.word = static_cast<model::Heard>(k);
        sum += std::exp(log_likelihood_unmapped(seen, errors));
    }
    CHECK(sum == doctest::Approx(1).epsilon(1e-12));
}
