// Probabilities and what a test would tell of them, in the strict sense and apart from any air: the part of the
// reasoning that the textbook cases of diagnosis go through as well.
//
// Candidates are sets of things at fault. Each has a weight, and belongs to a class: what it would make the hands do.
// A test has outcomes, and each candidate says how likely it makes each. The information is the entropy of the class
// before, less what is expected of it afterwards (Shannon, A Mathematical Theory of Communication, 1948, section 6;
// as a guide to the next measurement: de Kleer and Williams, Diagnosing Multiple Faults, Artificial Intelligence 32,
// 1987, section 4).
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace ringland::diagnosis::suspects {

/// Logarithm of a sum of exponentials; minus infinity for none. Nothing runs over or under.
[[nodiscard]] double log_sum(std::span<const double> logs);

/// Weights in proportion to exp(log), adding up to 1. All of minus infinity: all alike.
[[nodiscard]] std::vector<double> normalised(std::span<const double> logs);

/// Entropy in bits of weights that need not add up to 1. 0 for none.
[[nodiscard]] double entropy_bits(std::span<const double> weights);

/// The candidates of a diagnosis.
struct Candidates {
    std::vector<double> weight;        ///< adding up to 1
    std::vector<std::size_t> class_of; ///< of each
    std::size_t classes = 0;
};

/// Chance of each outcome of a test under each candidate: row after row, `outcomes` to the row.
struct Outlook {
    std::size_t outcomes = 0;
    std::vector<double> chance;
};

/// Weight of each class.
[[nodiscard]] std::vector<double> class_weights(const Candidates& candidates);

/// What the outcome of a test tells of the class, bits: between 0 and the entropy of the class.
[[nodiscard]] double information_bits(const Candidates& candidates, const Outlook& outlook);

/// Two tests that are heard together, each by itself for a given candidate.
[[nodiscard]] Outlook together(const Outlook& a, const Outlook& b);

} // namespace ringland::diagnosis::suspects
