#include "information.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace ringland::diagnosis::suspects {

double log_sum(std::span<const double> logs) {
    if (logs.empty()) return -std::numeric_limits<double>::infinity();
    const double most = *std::max_element(logs.begin(), logs.end());
    if (!std::isfinite(most)) return most;
    double sum = 0;
    for (const double l : logs)
        sum += std::exp(l - most);
    return most + std::log(sum);
}

std::vector<double> normalised(std::span<const double> logs) {
    std::vector<double> weights(logs.size(), logs.empty() ? 0 : 1 / static_cast<double>(logs.size()));
    const double all = log_sum(logs);
    if (!std::isfinite(all)) return weights;
    for (std::size_t k = 0; k < logs.size(); ++k)
        weights[k] = std::exp(logs[k] - all);
    return weights;
}

double entropy_bits(std::span<const double> weights) {
    // H = log2 W − Σ w log2 w / W, in one pass.
    double sum = 0, parts = 0;
    for (const double w : weights) {
        if (!(w > 0)) continue;
        sum += w;
        parts += w * std::log2(w);
    }
    return sum > 0 ? std::max(0.0, std::log2(sum) - parts / sum) : 0;
}

std::vector<double> class_weights(const Candidates& candidates) {
    std::vector<double> weights(candidates.classes, 0);
    for (std::size_t c = 0; c < candidates.weight.size(); ++c)
        weights[candidates.class_of[c]] += candidates.weight[c];
    return weights;
}

double information_bits(const Candidates& candidates, const Outlook& outlook) {
    if (candidates.weight.empty() || outlook.outcomes == 0) return 0;
    // The outcomes of a class stand one after another, so that the inner loop runs straight through both lists.
    std::vector<double> joint(candidates.classes * outlook.outcomes, 0);
    for (std::size_t c = 0; c < candidates.weight.size(); ++c) {
        double* into = joint.data() + candidates.class_of[c] * outlook.outcomes;
        const double* chance = outlook.chance.data() + c * outlook.outcomes;
        const double weight = candidates.weight[c];
        for (std::size_t o = 0; o < outlook.outcomes; ++o)
            into[o] += weight * chance[o];
    }
    // I(class; outcome) = H(class) + H(outcome) − H(both).
    std::vector<double> of_outcome(outlook.outcomes, 0), of_class(candidates.classes, 0);
    for (std::size_t k = 0; k < candidates.classes; ++k) {
        for (std::size_t o = 0; o < outlook.outcomes; ++o) {
            of_outcome[o] += joint[k * outlook.outcomes + o];
            of_class[k] += joint[k * outlook.outcomes + o];
        }
    }
    const double bits = entropy_bits(of_class) + entropy_bits(of_outcome) - entropy_bits(joint);
    return std::clamp(bits, 0.0, entropy_bits(of_class));
}

Outlook together(const Outlook& a, const Outlook& b) {
    Outlook both;
    both.outcomes = a.outcomes * b.outcomes;
    if (both.outcomes == 0) return both;
    const std::size_t candidates = a.chance.size() / a.outcomes;
    both.chance.reserve(candidates * both.outcomes);
    for (std::size_t c = 0; c < candidates; ++c) {
        for (std::size_t i = 0; i < a.outcomes; ++i) {
            for (std::size_t k = 0; k < b.outcomes; ++k)
                both.chance.push_back(a.chance[c * a.outcomes + i] * b.chance[c * b.outcomes + k]);
        }
    }
    return both;
}

} // namespace ringland::diagnosis::suspects
