// Equal but for a share of the figure itself. doctest::Approx adds 1 to the figure before it takes the share, so that
// it takes any two flows for equal.
#pragma once

#include <algorithm>
#include <cmath>

namespace ringland::tests {

[[nodiscard]] inline bool nearly(double computed, double expected, double share) {
    return std::abs(computed - expected) <= share * std::max(std::abs(computed), std::abs(expected));
}

} // namespace ringland::tests
