// Why a suspect is one: what it predicts at each place, beside what was seen there.
#pragma once

#include <string>
#include <vector>

#include "weigh.h"

namespace ringland::diagnosis::suspects {

struct Reasons {
    std::vector<std::string> for_it, against_it; ///< the weightiest first
};

/// Reasons from the predictions themselves: what was seen is held against the suspect at its likeliest size, against
/// the sound unit, and against the rival that it rules out best. `metric`: bar, else psi. Of the weigher's last
/// weighing. Sentences in the language of the translator.
[[nodiscard]] Reasons reasons_for(Weigher& weigher, const model::AirCheck& check, const Suspect& suspect, bool metric,
                                  const model::Translator& tr = {}, std::size_t most = 4);

/// What a suspect shows at one place of a reading, beside what was seen: for what-if on hover.
struct Comparison {
    std::size_t reading = 0, seen = 0;
    double flow_lpm = 0, gauge_pa = 0;
    double sound_lpm = 0, sound_gauge_pa = 0;
    double log_weight = 0; ///< natural logarithm of likelihood here over that of all other hypotheses together
};
[[nodiscard]] std::vector<Comparison> compare(Weigher& weigher, const model::AirCheck& check, const Suspect& suspect);

} // namespace ringland::diagnosis::suspects
