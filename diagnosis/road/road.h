// What a leak does on the road: range by range, with hot and with cold oil, at idle and driving.
//
// The oil network (oil/oil_unit.h) says what pressure and force is left on every element and what builds up behind
// those that should be off; the chart (gears/chart.h) says what should be on; the gear train (gears/gear_train.h) says
// what comes of it: with one element too many it binds, or is in another gear where a one-way clutch lets go; with one
// too few it does not drive. The clutch that burns need not be the one that leaks, and is named. A defect is reckoned
// as a sharp hole and as a slot that passed the same air; the truth lies between.
#pragma once

#include <array>
#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "../../model-data/enum_names.h"
#include "../../model-data/readings.h"
#include "../../model-data/texts.h"
#include "../../model-data/unit_map.h"
#include "../gears/chart.h"
#include "../gears/gear_train.h"
#include "verdict.h"

namespace ringland::diagnosis::oil {
class OilUnit;
}

namespace ringland::diagnosis::road {

using gears::Chart;
using gears::circuits_of;
using gears::Drive;
using gears::Exposure;
using gears::GearTrain;
using gears::Turning;

/// What an element does in a range.
enum class Doing {
    off,     ///< should be off, and is
    holds,   ///< should be on, and holds
    soft,    ///< on, and clamps with less than it should: takes hold late
    slips,   ///< on, and cannot carry the engine
    no_hold, ///< should be on, and its piston does not move
    harsh,   ///< on, and clamps with more than it should
    drags,   ///< should be off, and rubs: its piston has moved, with little force
    applies  ///< should be off, and holds
};

/// How far the shape of the defect decides.
enum class Sure {
    both_shapes, ///< as a hole and as a slot alike
    hole_only,   ///< only if it is open like a hole
    slot_only,   ///< only if it is a thin slot
    by_rule      ///< the map has no gear sets: by the rule of the chart alone
};
/// Which oil brings it.
enum class Oil { hot_and_cold, hot, cold };

/// One element in one range. Figures are those of the worst case with hot oil, the defect as a sharp hole.
struct ElementOnRoad {
    std::size_t element = 0; ///< in the map
    bool commanded = false;  ///< should be on
    Doing doing = Doing::off;
    double clamp_share = 0;             ///< force against the sound unit, as a sharp hole
    double clamp_share_slot = 0;        ///< and as a slot
    double needed_share = 0;            ///< of the sound force, below which it slips here; of a commanded one
    double apply_pa = 0, spring_pa = 0; ///< gauge
    bool turns_across = true;           ///< its two sides turn apart while it is off, so that it burns when it drags
};

/// What a driver would feel in a range.
struct Effect {
    model::Symptom symptom{};
    std::vector<std::size_t> elements;     ///< in the map: those that slip, drag or hold too much
    std::vector<std::size_t> burns;        ///< of them and of those that fight them: what the heat goes into
    std::optional<double> ratio;           ///< that the range makes now; of wrong_gear
    std::optional<std::size_t> feels_like; ///< range of that ratio; of wrong_gear
    Sure sure{};
    Oil oil{};
    bool idle_only = false;
    std::string reason; ///< a sentence with the figures it rests on
};

struct RangeOnRoad {
    std::size_t range = 0;                  ///< in the map
    Exposure exposure{};                    ///< of the two circuits that the seal divides
    std::optional<double> ratio;            ///< of the sound gear train
    std::vector<ElementOnRoad> elements;    ///< those that are on, and those that do not stay off
    std::vector<Effect> effects;            ///< the worst first; empty: good
    double leak_lpm = 0, leak_lpm_slot = 0; ///< through the defect, hot, driving, as a hole and as a slot
    double pump_share = 0;                  ///< the first of them at idle, against what the pump delivers
    double line_pa = 0;                     ///< at the regulator, hot, at idle, gauge
    bool line_held = true;                  ///< there
    std::string words;                      ///< "slips when hot", "good"
};

/// A seal that lets oil by.
struct Leak {
    std::size_t seal = 0;   ///< in the map
    double hole_mm = 0;     ///< as its air showed it
    bool both_ways = false; ///< a lip that is cut through; else a lip leaks only out of the circuit that it faces
    friend bool operator==(const Leak&, const Leak&) = default;
};

struct RoadAnswer {
    Leak leak;
    std::array<std::size_t, 2> circuits{}; ///< that it divides
    std::vector<std::size_t> affected;     ///< ranges by the chart alone: exactly one of the two is on
    std::vector<std::size_t> masked;       ///< both are on
    std::vector<RangeOnRoad> ranges;       ///< as asked: all, or one
    std::string oil;                       ///< the oil that was reckoned with, in words
    std::string complaint;                 ///< of the driver, in one sentence for each kind of range
    Verdict verdict;                       ///< over all ranges, also where one was asked
    std::vector<std::string> missing;      ///< what the map does not tell, and what that costs
    std::vector<std::string> assumed;      ///< figures taken instead of the map's
    std::vector<std::string> warnings;     ///< the map's ratio is not that of its gears
    bool converged = true;
};

/// Holds one map with its oil and gears. What was solved of the sound unit is kept.
class Road {
public:
    /// The map must be valid.
    explicit Road(const model::UnitMap& map, const Borders& borders = {});
    ~Road();
    Road(Road&&) noexcept;
    Road& operator=(Road&&) noexcept;

    /// What a leak does, in all ranges or in one. `metric`: sentences in bar, else in psi.
    [[nodiscard]] RoadAnswer ask(const Leak& leak, std::optional<std::size_t> range = std::nullopt,
                                 bool metric = false);
    /// Verdict alone.
    [[nodiscard]] Verdict verdict(const Leak& leak);
    /// The holes at which the verdict on that seal changes, from 0 to `most_border_mm`, found by bisection; the size of
    /// the leak does not matter.
    [[nodiscard]] std::vector<BorderStep> borders(Leak leak);
    /// What a driver would feel in one range, with hot oil and, if asked, with cold oil too; without sentences: for
    /// weighing complaints.
    [[nodiscard]] std::vector<Effect> felt(const Leak& leak, std::size_t range, bool cold_too = false);

    /// The language of its sentences from now on.
    void speak(const model::Translator& tr);

    [[nodiscard]] const model::UnitMap& map() const;
    [[nodiscard]] const Chart& chart() const;
    [[nodiscard]] const GearTrain& gears() const;
    [[nodiscard]] const std::vector<std::string>& missing() const;
    [[nodiscard]] const std::vector<std::string>& assumed() const;
    [[nodiscard]] const std::vector<std::string>& warnings() const;
    /// The oil that is reckoned with: "hot 95 °C, 8.1 mm²/s; cold 20 °C, 80 mm²/s".
    [[nodiscard]] std::string oil_words() const;

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

inline constexpr double most_border_mm = 5;

/// "wrong gear": the symptom in words.
[[nodiscard]] std::string_view symptom_words(model::Symptom symptom);

} // namespace ringland::diagnosis::road

template <> struct ringland::model::EnumNames<ringland::diagnosis::road::Doing> {
    static constexpr std::array<std::string_view, 8> words{"off",     "holds", "soft",  "slips",
                                                           "no-hold", "harsh", "drags", "applies"};
};
template <> struct ringland::model::EnumNames<ringland::diagnosis::road::Sure> {
    static constexpr std::array<std::string_view, 4> words{"both-shapes", "hole-only", "slot-only", "by-rule"};
};
template <> struct ringland::model::EnumNames<ringland::diagnosis::road::Oil> {
    static constexpr std::array<std::string_view, 3> words{"hot-and-cold", "hot", "cold"};
};
