// Backwards: from what a driver complains of to the leaks that would cause it, and the air checks that test them first.
//
// A complaint is softer than a reading: the valve body, the converter and the engine make a unit slip as well, and a
// driver calls one thing by the name of another. So it moves the chances of the seals, and never decides.
#pragma once

#include <cstddef>
#include <map>
#include <string>
#include <tuple>
#include <vector>

#include "../../model-data/priors.h"
#include "../../model-data/readings.h"
#include "../../model-data/texts.h"
#include "road.h"

namespace ringland::diagnosis::road {

/// How far a complaint is trusted. All of them common practice, no source.
struct Softness {
    double same = 0.65;   ///< chance that a driver who feels this complains of just this
    double kin = 0.30;    ///< or of something of the same sort: slipping for late, binding for dragging
    double anyway = 0.05; ///< that he complains of it though no seal is at fault: valve body, converter, engine
    double missed = 0.25; ///< that he calls a range good in which he should feel it
};

/// Chance of a complaint where the leak makes a driver feel this in its range. An effect that only one shape of the
/// defect has counts half; one that cold oil has too counts half where he says that it shows only hot.
[[nodiscard]] double chance(const model::UnitMap& map, const model::Complaint& complaint,
                            const std::vector<Effect>& felt, const Softness& softness = {});

/// Air into one port, and where to listen.
struct AirTest {
    int into = -1;                  ///< port
    std::vector<int> watch;         ///< ports; -1: the open case
    std::vector<std::size_t> seals; ///< of the ranking, that it tests
    double probability = 0;         ///< that one of them is at fault, by the complaints alone
};

/// What complaints say of one leak, a sentence for each.
struct Told {
    std::vector<std::string> fits, against;
};

struct ComplaintSuspect {
    std::size_t seal = 0;
    double probability = 0; ///< that it is the one, by the complaints and what is likely beforehand
    double hole_mm = 0;     ///< likeliest size
    Told told;
};

struct ComplaintAnswer {
    std::vector<ComplaintSuspect> suspects; ///< that the complaints speak for, by probability, all of at least 0.5 %
    double other_seals = 0;                 ///< that it is any other seal
    double no_seal = 1;                     ///< that another cause than a seal is behind it
    std::vector<AirTest> tests;             ///< by probability
    std::vector<std::string> missing, assumed;
};

/// Keeps what leaks make a driver feel, so that a further complaint costs only its own range.
class Complaints {
public:
    /// The map must be valid; sizes are holes in mm, rising.
    Complaints(const model::UnitMap& map, std::vector<double> sizes_mm);

    /// The language of its sentences from now on.
    void speak(const model::Translator& tr);

    /// Natural logarithm of how much likelier the complaints are with this leak than with every seal sound.
    /// `both_ways`: as Leak has it.
    [[nodiscard]] double log_ratio(const std::vector<model::Complaint>& complaints, std::size_t seal, std::size_t size,
                                   bool both_ways = false);

    /// What each of these complaints says of a leak. `metric`: bar, else psi.
    [[nodiscard]] Told told(const std::vector<model::Complaint>& complaints, const Leak& leak, bool metric);

    /// Single seals ranked. `metric`: sentences in bar, else psi.
    [[nodiscard]] ComplaintAnswer rank(const std::vector<model::Complaint>& complaints, const model::Priors& priors,
                                       bool metric = false);

private:
    struct Key {
        std::size_t range = 0, seal = 0;
        bool both_ways = false, cold = false;
        friend bool operator<(const Key& a, const Key& b) {
            return std::tie(a.range, a.seal, a.both_ways, a.cold) < std::tie(b.range, b.seal, b.both_ways, b.cold);
        }
    };
    const std::vector<Effect>& felt(const Key& key, std::size_t size);
    [[nodiscard]] std::vector<AirTest> tests_of(const std::vector<model::Complaint>& complaints,
                                                const std::vector<ComplaintSuspect>& suspects) const;

    Road road_;
    model::Translator tr_;
    std::vector<double> sizes_mm_;
    std::map<Key, std::vector<std::vector<Effect>>> felt_; ///< by size
};

/// Index of a range by its id; the map must have it.
[[nodiscard]] std::size_t range_index(const model::UnitMap& map, const std::string& id);

/// "2nd slips when hot", "Reverse is good (no slips)".
[[nodiscard]] std::string complaint_words(const model::UnitMap& map, const model::Complaint& complaint,
                                          const model::Translator& tr = {});

} // namespace ringland::diagnosis::road
