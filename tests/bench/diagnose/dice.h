// Chance that is the same on every machine: no standard distributions, since each library may draw them in its own way.
#pragma once

#include <cmath>
#include <cstdint>
#include <random>

namespace ringland::tests {

class Dice {
public:
    explicit Dice(std::uint64_t seed) : engine_(seed) {}
    double uniform() { return static_cast<double>(engine_() >> 11) * 0x1.0p-53; }
    double between(double low, double high) { return low + (high - low) * uniform(); }
    /// Evenly in the logarithm.
    double size(double low, double high) { return low * std::pow(high / low, uniform()); }
    /// A whole number from low to high, both included.
    int number(int low, int high) {
        return low + static_cast<int>(engine_() % static_cast<std::uint64_t>(high - low + 1));
    }
    bool chance(double share) { return uniform() < share; }
    double normal() { return std::sqrt(-2 * std::log(1 - uniform())) * std::cos(2 * M_PI * uniform()); }

private:
    std::mt19937_64 engine_;
};

} // namespace ringland::tests
