// All that is said about an air check at once: suspects with their reasons, what comes off, what to do next, and
// whether to stop.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "../../model-data/texts.h"
#include "next_step.h"
#include "reasons.h"
#include "weigh.h"

namespace ringland::diagnosis::suspects {

/// A suspect with what speaks for it and against it.
struct SaidSuspect {
    Suspect suspect;
    std::optional<double> second_hole_mm; ///< of a pair: likeliest size of the second
    Reasons reasons;                      ///< empty below `least_for_reasons`
};

/// A part to pull, with all that comes off for it.
struct Pull {
    PullGroup group;
    double probability = 0;        ///< that a fault is among its seals
    std::string words;             ///< what comes off
    bool minutes_complete = false; ///< the map gives minutes for every part; else there are at least so many
};

enum class Stop {
    enough,  ///< sure enough: a part to pull, the rig, or nothing wrong
    no_more, ///< nothing left to do tells more than a trifle
    go_on
};
/// "enough", "no more", "go on".
[[nodiscard]] std::string_view word(Stop stop);

struct Answer {
    std::size_t readings = 0, looks = 0; ///< of the air check
    Weighing weighing;
    std::vector<SaidSuspect> suspects;                 ///< as weighing.suspects, in its order
    std::vector<Pull> pulls;                           ///< by probability, all of at least 0.1 %
    Advice advice;                                     ///< what to do next
    std::vector<std::vector<std::size_t>> look_alikes; ///< groups of which a seal of a likely suspect is one
    Stop stop = Stop::go_on;
    std::string stop_words; ///< the same as a sentence, with its probability
    double enough_at = 0;   ///< probability at which testing stops
    bool converged = true;  ///< every solve behind it came to a balance
};

/// Reasons are made for suspects from this probability on, and look-alikes named from the second on.
inline constexpr double least_for_reasons = 0.01, likely = 0.03;

/// Ports whose circuits got no air in any reading: nothing can be called sound before there are none.
[[nodiscard]] std::vector<std::string> ports_without_air(const model::UnitMap& map, const model::AirCheck& check);

/// Weighs an air check that check_readings found fit. `metric`: reasons in bar and mm, else psi and in.
[[nodiscard]] Answer answer(Weigher& weigher, const model::AirCheck& check, bool metric);

/// True where the bench thinks in bar and mm: by the first pressure of the readings, else by the unit's figure, else by
/// the bench's.
[[nodiscard]] bool thinks_metric(const model::AirCheck& check, const model::UnitMap& map, const model::AirBench& bench);

/// "64 %", "3.2 %", "<0.1 %", ">99 %": as many figures as are worth saying.
[[nodiscard]] std::string percent_words(double probability, const model::Translator& tr = {});

/// "R3", "R3 and L1".
[[nodiscard]] std::string suspect_ids(const model::UnitMap& map, const Suspect& suspect);

} // namespace ringland::diagnosis::suspects
