// What comes of the elements as they are in a range: inside of the road, private to diagnosis/road.
#pragma once

#include <map>
#include <optional>
#include <vector>

#include "road.h"

namespace ringland::diagnosis::road {

/// An effect before it is known for which oil and which shape of the defect it holds.
struct Felt {
    model::Symptom symptom{};
    std::vector<std::size_t> elements, burns;
    std::optional<double> ratio;
    std::optional<std::size_t> feels_like;
    bool by_rule = false;
    /// The same to a driver.
    friend bool operator==(const Felt& a, const Felt& b) {
        return a.symptom == b.symptom && a.elements == b.elements && a.feels_like == b.feels_like;
    }
};

/// Worse first: what a driver minds more.
[[nodiscard]] int weight(model::Symptom symptom);
/// More than a late or a harsh shift.
[[nodiscard]] bool serious(model::Symptom symptom);

/// The gear train of a map with every range as it should be, and what it makes of elements that are not.
class Effects {
public:
    Effects(const model::UnitMap& map, const Chart& chart, const GearTrain& gears);

    /// What a driver feels in a range where the elements do this; the worst first.
    [[nodiscard]] std::vector<Felt> felt(std::size_t range, const std::vector<Doing>& doing,
                                         const std::vector<double>& clamp_share);
    /// The sound gear train in a range; nothing where the gears are not known.
    [[nodiscard]] const Turning* sound(std::size_t range) const;
    /// True where the two sides of an element that should be off turn apart in this range, or where that is not known.
    [[nodiscard]] bool turns_across(std::size_t range, std::size_t element);
    /// Torque that the element carries in a range against the most that it carries in any; 1 where not known.
    [[nodiscard]] double load_share(std::size_t range, std::size_t element) const;

private:
    const Turning& turn(const std::vector<bool>& on);
    [[nodiscard]] std::optional<std::size_t> range_of(double ratio) const;
    /// The gear train turns alike with both.
    [[nodiscard]] static bool alike(const Turning& a, const Turning& b);
    void by_gears(std::size_t range, const std::vector<Doing>& doing, const std::vector<double>& clamp_share,
                  std::vector<Felt>& list);
    void by_rule(std::size_t range, const std::vector<Doing>& doing, std::vector<Felt>& list) const;

    const model::UnitMap& map_;
    const Chart& chart_;
    const GearTrain& gears_;
    std::vector<Turning> sound_;
    std::map<std::vector<bool>, Turning> turnings_;
};

} // namespace ringland::diagnosis::road
