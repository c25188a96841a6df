// How well what was seen agrees with what a state of the unit would show.
//
// Everything is a probability (of a word) or a density (of a figure) under stated errors: the computed flow is wrong by
// a factor, more so where it is the leak of a sound seal; a word is mistaken for its neighbour now and then; a gauge
// and a watch have their own errors. No seen thing is impossible, so that one mistake cannot rule the truth out.
#pragma once

#include <array>

#include "../../model-data/priors.h"
#include "../../model-data/readings.h"
#include "tables.h"

namespace ringland::diagnosis::suspects {

/// Probability of each word for a predicted flow. `sound_lpm` is what the sound unit shows there: the share of the flow
/// that comes from sound seals is known less well.
[[nodiscard]] std::array<double, 4> word_chances(double flow_lpm, double sound_lpm,
                                                 const std::array<double, 3>& heard_from_lpm,
                                                 const model::Priors& priors);

/// The figures that one seen thing is held against.
struct Predicted {
    double flow_lpm = 0, sound_lpm = 0;
    double gauge_pa = 0, sound_gauge_pa = 0;
    double apply_s = 0; ///< infinity: never
};

/// What errors are reckoned with.
struct Errors {
    const model::Priors& priors;
    std::array<double, 3> heard_from_lpm;
    double supply_gauge_pa;
};

/// Natural logarithm of the likelihood of one seen thing.
[[nodiscard]] double log_likelihood(const model::Seen& seen, const Predicted& predicted, const Errors& errors);
/// Of how the element of the port under air felt.
[[nodiscard]] double log_likelihood(model::Applied felt, double apply_s, const Errors& errors);
/// Of the same where something acts that is not on the map: anything may show, mostly nothing.
[[nodiscard]] double log_likelihood_unmapped(const model::Seen& seen, const Errors& errors);

/// A defect that a change of the test draws anew is tight with this probability, else any size. Common practice, no
/// source.
inline constexpr double redrawn_tight = 0.3;

/// How an element feels that takes so long, without any error: a thud within 0.35 s, soft within 2 s, else none.
/// Common practice, no source.
inline constexpr double thud_within_s = 0.35, soft_within_s = 2;
/// Nobody waits longer for a blocked neighbour: a time of this or more says that it did not apply. Common practice, no
/// source.
inline constexpr double longest_wait_s = 10;

} // namespace ringland::diagnosis::suspects
