// One unit on the bench with its engine: a fault goes in, the advice is followed, and what would be pulled is scored.
#pragma once

#include <array>
#include <vector>

#include "../../../diagnosis/suspects/coverage.h"
#include "../../../diagnosis/suspects/next_step.h"
#include "truth.h"

namespace ringland::tests {

struct Score {
    long cases = 0, right_part = 0, top_one = 0, top_three = 0, steps = 0, sure = 0, wrong_sure = 0, thumb = 0;
    double minutes = 0;
    long readings = 0; ///< of the steps: those that take air
    /// Bits that were gained about which part comes off: log2 of its chance at the end over its chance at the start.
    double gained_bits = 0;
    /// The most that any one step told, of all that were ever offered on the units of these cases, weighted by cases.
    double most_bits = 0;
    // Reliability: what the part on top was given, in tenths, and how often the fault was in it.
    std::array<double, 10> said{}, was{};
    std::array<long, 10> times{};
    long pairs = 0, pairs_in_three = 0, pairs_seals_in_three = 0;
    long pairs_drawn = 0; ///< of two faults that air finds, each alone; the pairs are those that it tells apart

    void add(const Score& other);
    /// So many readings or steps over those that would gain as much if each told as much as the most telling one that
    /// was ever offered on the unit. What a step tells is what is expected of it among all units, and on a unit that is
    /// known to be broken more comes of it: so this is a yardstick and no strict bound.
    [[nodiscard]] double over_bound(long made) const;
};

class Trial {
public:
    explicit Trial(const model::UnitMap& map);

    [[nodiscard]] const model::UnitMap& map() const { return map_; }
    [[nodiscard]] const diagnosis::suspects::Coverage& coverage() const { return coverage_; }
    /// A fault that words can tell at all: air says nothing of smaller ones.
    [[nodiscard]] bool findable(const Fault& fault) const;

    /// The same seal or one that no air check can tell from it.
    [[nodiscard]] bool alike(std::size_t a, std::size_t b) const;

    /// Two faults that words can tell from each of them alone, at whatever size and with flows that are off by a
    /// standard error of the priors: somewhere in the whole air check both show. Where they do not, air knows of one
    /// fault only.
    [[nodiscard]] bool tellable(const Fault& first, const Fault& second);

    /// A single fault: follows the advice from nothing to its stop.
    Score single(const Fault& fault, std::uint64_t seed);
    /// A unit as the priors have it: sound, with one fault or two of any size, a leak of the rig, or a crack that is
    /// not on the map, whether or not air can tell. For the reliability only, since a chance of 80 % is right among
    /// such units and no others.
    Score as_they_come(std::uint64_t seed);
    /// Two faults: every port is blown once, then the advice is followed to its end.
    Score pair(const Fault& first, const Fault& second, std::uint64_t seed);

    /// Prints every step of the cases that went wrong.
    bool tell_failures = false;

private:
    struct Course {
        model::AirCheck check;
        diagnosis::suspects::Weighing weighing;
        int steps = 0;
        double minutes = 0;
        std::vector<std::string> told;
    };
    /// What a unit as it comes suffers from, by the priors.
    [[nodiscard]] Trouble drawn(Dice& dice);
    void follow(Truth& truth, Course& course, bool past_enough);
    void judge(const Course& course, const Fault& fault, Score& score) const;
    [[nodiscard]] bool right_part(const Course& course, const Fault& fault) const;
    void calibrate(const Course& course, const std::vector<Fault>& faults, Score& score) const;
    [[nodiscard]] bool thumb(const model::AirCheck& check, const Fault& fault) const;
    void tell(const Course& course, const std::vector<Fault>& faults) const;

    model::UnitMap map_;
    diagnosis::suspects::Weigher weigher_;
    diagnosis::suspects::Coverage coverage_;
    std::vector<double> prior_;             ///< of each group, before anything was done
    diagnosis::suspects::Posterior before_; ///< before anything was done
    double supply_ = 0, most_bits_ = 0;
};

} // namespace ringland::tests
