// Inside of the road: private to diagnosis/road.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "../oil/oil_unit.h"
#include "effects.h"
#include "road.h"

namespace ringland::diagnosis::road {

struct Condition {
    std::size_t range = 0;
    bool hot = true, idle = false;
    oil::DefectShape shape{};
};

/// One condition solved: what every element does.
struct Case {
    oil::OilCase leaking;
    const oil::OilCase* sound = nullptr;
    std::vector<Doing> doing;        ///< by element
    std::vector<double> clamp_share; ///< by element, against the sound unit
};

struct Road::Impl {
    model::UnitMap map;
    Borders borders;
    Chart chart;
    GearTrain gears;
    Effects effects;
    oil::OilUnit oil;
    std::map<std::size_t, oil::OilCase> sound; ///< by range, oil and speed
    std::vector<std::string> missing, assumed, warnings;
    model::Translator tr; ///< of every sentence
    bool converged = true;

    Impl(const model::UnitMap& m, const Borders& b);
    /// Fills missing, assumed and warnings anew.
    void say_basis();
    void warn_of_ratios();

    const oil::OilCase& sound_case(std::size_t range, bool hot, bool idle);
    /// Share of the sound force below which an element that is on slips in this range.
    double needed_share(std::size_t range, std::size_t element);
    Case solve(const Leak& leak, const Condition& condition);
    /// False where no leak of that seal can be felt in the range: both circuits on, or neither fed.
    [[nodiscard]] bool can_show(std::size_t seal, std::size_t range) const;
    /// An effect and a condition in which it is felt: hot, as a hole and driving where that is one.
    struct Placed {
        Effect effect;
        Condition at;
    };
    /// Effects over both shapes, idle and driving, with hot and, if asked, with cold oil; the worst first.
    std::vector<Placed> merged(const Leak& leak, std::size_t range, bool cold_too);
    RangeOnRoad in_range(const Leak& leak, std::size_t range, bool metric);
    Figures figures(const Leak& leak);

    // Sentences (road_words.cpp).

    [[nodiscard]] std::string reason(const Effect& effect, const Case& c, double needed_share, bool metric) const;
    [[nodiscard]] std::string range_words(const std::vector<Effect>& list) const;
    [[nodiscard]] std::string complaint(const std::vector<RangeOnRoad>& ranges) const;
    [[nodiscard]] std::vector<Ground> grounds(const Figures& figures) const;
};

} // namespace ringland::diagnosis::road
