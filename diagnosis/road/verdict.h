// What to do about a leak: leave it, watch it, renew the seal while the unit is open, or take the unit down for it.
//
// The borders are figures of this file and nowhere else. Each is common practice, no source: no published limit for air
// or oil that crosses between the circuits of a transmission was found. The maker's information decides.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "../../model-data/enum_names.h"
#include "../../model-data/texts.h"

namespace ringland::diagnosis::road {

enum class Advice { leave, watch, renew_while_open, must_come_out };

/// Where a figure goes from one advice to the next; a figure on the border takes the heavier one. All of them common
/// practice, no source.
struct Borders {
    /// Shares of the clamping force of the sound unit. A clutch is laid out with about half as much again as it must
    /// carry, so in its hardest gear it slips below two thirds.
    double slips_below = 0.65, soft_below = 0.85;
    double harsh_above = 1.25; ///< takes hold with a bang
    /// Share of the sound force from which an element that should be off holds; between its spring and this it drags.
    double applies_from = 0.30;
    // From one advice to the next, by the worst range with hot oil and the defect as a sharp hole.
    double watch_pump_share = 0.05, renew_pump_share = 0.15; ///< of the pump's flow at idle, lost through the leak
    double watch_spring_share = 0.50,
           renew_spring_share = 0.85; ///< pressure in an element that is off against its spring
    double watch_clamp_share = 0.95;  ///< renew from soft_below down
};

/// One figure that speaks for the advice.
struct Ground {
    std::string words;
    Advice speaks_for{};
};

/// The largest figures over all ranges, hot, as a sharp hole.
struct Figures {
    double pump_share = 0;   ///< of the pump's flow at idle that the leak takes, 0 to 1
    double spring_share = 0; ///< largest pressure in an element that is off, against its return spring; 1: it moves
    double clamp_share = 1;  ///< smallest clamping force of an element that is on, against the sound unit
    std::optional<std::size_t> pump_range, spring_range, clamp_range;
    std::optional<std::size_t> spring_element, clamp_element;
    std::size_t ranges_affected = 0; ///< with something that a driver would feel
    std::size_t ranges_serious = 0;  ///< of them with more than a late or a harsh shift
};

struct Verdict {
    Advice advice{};
    Figures figures;
    std::vector<Ground> grounds; ///< the heaviest first
    bool known = false;          ///< false: the map has no chart to judge by, and advice means nothing
};

[[nodiscard]] Advice advice_for(const Figures& figures, const Borders& borders = {});

/// The hole at which the advice changes, for one seal.
struct BorderStep {
    Advice from{}, to{};
    double hole_mm = 0; ///< the advice is `to` from here up; to 0.01 mm
};

/// "must come out".
[[nodiscard]] std::string_view advice_words(Advice advice);
/// Said beside every verdict.
inline constexpr std::string_view maker_decides =
    model::marked("The borders are common practice, no source; the maker's information for the unit decides.");

} // namespace ringland::diagnosis::road

template <> struct ringland::model::EnumNames<ringland::diagnosis::road::Advice> {
    static constexpr std::array<std::string_view, 4> words{"leave", "watch", "renew-while-open", "must-come-out"};
};
