// Thresholds from trials: where they lie, what contradictions do to them, and that none makes more trials wrong than
// need be.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

#include "../../diagnosis/airflow/heard.h"

using namespace ringland::diagnosis::airflow;

namespace {

constexpr Hearing usual{{0.4, 6, 25}};

bool ascending(const Hearing& hearing) {
    const auto& from = hearing.from_lpm;
    return from[0] > 0 && from[0] < from[1] && from[1] < from[2];
}

/// Trials that a threshold contradicts when it lies at `from_lpm`.
int wrong(const std::vector<Trial>& trials, std::size_t level, double from_lpm) {
    return static_cast<int>(std::count_if(trials.begin(), trials.end(), [&](const Trial& trial) {
        return (trial.flow_lpm >= from_lpm) != (static_cast<std::size_t>(trial.word) > level);
    }));
}

/// The fewest that any threshold contradicts: only the places at and just above a trial, and below all, differ.
int fewest_wrong(const std::vector<Trial>& trials, std::size_t level) {
    int fewest = wrong(trials, level, 0);
    for (const auto& trial : trials) {
        fewest = std::min(fewest, wrong(trials, level, trial.flow_lpm));
        fewest = std::min(fewest, wrong(trials, level, std::nextafter(trial.flow_lpm, 1e9)));
    }
    return fewest;
}

} // namespace

TEST_CASE("each threshold is the geometric mean of the loudest trial below it and the softest above it") {
    const std::vector<Trial> trials{
        {64, Heard::strong}, {0.2, Heard::nothing}, {16, Heard::clear}, {0.8, Heard::faint}, {4, Heard::faint}};
    const auto result = calibrate(trials, usual);
    CHECK(result.hearing.from_lpm[0] == doctest::Approx(0.4).epsilon(1e-12));
    CHECK(result.hearing.from_lpm[1] == doctest::Approx(8).epsilon(1e-12));
    CHECK(result.hearing.from_lpm[2] == doctest::Approx(32).epsilon(1e-12));
    REQUIRE(result.between_lpm[1].has_value());
    CHECK(*result.between_lpm[1] == std::array<double, 2>{4, 16});
    CHECK(result.remarks.empty());
}

TEST_CASE("no trials: the thresholds stay") {
    const auto result = calibrate({}, usual);
    CHECK(result.hearing == usual);
    CHECK_FALSE(result.between_lpm[0].has_value());
    CHECK(result.remarks.empty());
}

TEST_CASE("a threshold with trials on one side only stays where it was, unless they contradict it") {
    const std::vector<Trial> faint_only{{2, Heard::faint}, {3, Heard::faint}};
    const auto stays = calibrate(faint_only, usual);
    CHECK(stays.hearing == usual);
    CHECK_FALSE(stays.between_lpm[0].has_value());
    CHECK_FALSE(stays.between_lpm[2].has_value());
    // 40 L/min was still only clear, so strong begins above it; a faint 0.1 pulls the first threshold down to it.
    const std::vector<Trial> outside{{0.1, Heard::faint}, {40, Heard::clear}};
    const auto moved = calibrate(outside, usual);
    CHECK(moved.hearing.from_lpm[0] == 0.1);
    CHECK(moved.hearing.from_lpm[1] == doctest::Approx(2));
    CHECK(moved.hearing.from_lpm[2] > 40);
    CHECK(moved.hearing.from_lpm[2] < 41);
    CHECK(heard(40, moved.hearing) == Heard::clear);
    CHECK(heard(0.1, moved.hearing) == Heard::faint);
    CHECK(moved.remarks.empty());
}

TEST_CASE("thresholds that trials push onto one another keep their order and ratio") {
    const auto loud = calibrate(std::vector<Trial>{{50, Heard::nothing}}, usual);
    CHECK(ascending(loud.hearing));
    CHECK(heard(50, loud.hearing) == Heard::nothing);
    CHECK(loud.hearing.from_lpm[1] / loud.hearing.from_lpm[0] == doctest::Approx(15));
    const auto soft = calibrate(std::vector<Trial>{{0.1, Heard::strong}}, usual);
    CHECK(ascending(soft.hearing));
    CHECK(heard(0.1, soft.hearing) == Heard::strong);
    CHECK(soft.hearing.from_lpm[2] / soft.hearing.from_lpm[1] == doctest::Approx(25.0 / 6));
}

TEST_CASE("a word that no trial used shares the gap in equal ratios") {
    const std::vector<Trial> trials{{1, Heard::nothing}, {8, Heard::clear}, {100, Heard::strong}};
    const auto result = calibrate(trials, usual);
    CHECK(result.hearing.from_lpm[0] == doctest::Approx(2));
    CHECK(result.hearing.from_lpm[1] == doctest::Approx(4));
    CHECK(*result.between_lpm[0] == std::array<double, 2>{1, 8});
    CHECK(*result.between_lpm[1] == std::array<double, 2>{1, 8});
}

TEST_CASE("one contradicting trial moves nothing and is named") {
    std::vector<Trial> trials{{1, Heard::nothing}, {1.1, Heard::nothing}, {2, Heard::faint},
                              {4, Heard::faint},   {16, Heard::clear},    {17, Heard::clear}};
    const auto without = calibrate(trials, usual);
    trials.push_back({3, Heard::nothing});
    const auto with = calibrate(trials, usual);
    CHECK(with.hearing == without.hearing);
    REQUIRE(with.remarks.size() == 1);
    CHECK(with.remarks[0] == "3 L/min was heard as nothing; by the other trials it is faint");
}

TEST_CASE("equally good places: the one nearest to their geometric middle") {
    // Thresholds of "faint" at 1-2, 2-4 and 4-8 contradict one, two and one of these trials.
    const std::vector<Trial> trials{{1, Heard::nothing}, {2, Heard::faint}, {4, Heard::nothing}, {8, Heard::faint}};
    const auto tie = calibrate(trials, usual);
    const double from = tie.hearing.from_lpm[0];
    CHECK(from == doctest::Approx(std::sqrt(2.0)));
    CHECK(tie.remarks.size() == 1);
    // The same flow heard both ways, with certain trials around: either side of it is equally good.
    const std::vector<Trial> same{{1, Heard::nothing}, {3, Heard::nothing}, {3, Heard::faint}, {27, Heard::faint}};
    const auto both = calibrate(same, usual);
    CHECK(wrong(same, 0, both.hearing.from_lpm[0]) == 1);
    CHECK(both.remarks.size() == 1);
}

TEST_CASE("where no air flows nothing is heard: such a trial is left out") {
    const std::vector<Trial> trials{{0, Heard::nothing}, {0, Heard::faint}, {-1, Heard::clear}, {NAN, Heard::strong}};
    const auto result = calibrate(trials, usual);
    CHECK(result.hearing == usual);
    CHECK(result.remarks.size() == 3);
}

TEST_CASE("5000 random sets of trials: ascending, and no threshold contradicts more trials than the best would") {
    std::mt19937_64 engine(11);
    const auto below = [&](int n) { return static_cast<int>(engine() % static_cast<std::uint64_t>(n)); };
    int contradictory = 0, clean = 0;
    for (int round = 0; round < 5000; ++round) {
        std::vector<Trial> trials;
        const bool consistent = below(2) == 0;
        for (int i = below(9); i >= 0; --i) {
            const double flow = 0.05 * std::pow(2.0, below(12)); // few values, so that flows repeat
            trials.push_back({flow, consistent ? heard(flow, usual) : static_cast<Heard>(below(4))});
        }
        CAPTURE(round);
        const auto result = calibrate(trials, usual);
        REQUIRE(ascending(result.hearing));
        bool any = false;
        for (std::size_t level = 0; level < 3; ++level) {
            CAPTURE(level);
            const int here = wrong(trials, level, result.hearing.from_lpm[level]);
            REQUIRE(here == fewest_wrong(trials, level));
            any = any || here > 0;
            if (result.between_lpm[level]) {
                REQUIRE((*result.between_lpm[level])[0] < result.hearing.from_lpm[level]);
                REQUIRE((*result.between_lpm[level])[1] > result.hearing.from_lpm[level]);
            }
        }
        REQUIRE(result.remarks.empty() == !any);
        ++(any ? contradictory : clean);
    }
    CHECK(contradictory > 1000);
    CHECK(clean > 1000);
}
