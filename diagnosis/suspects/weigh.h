// Weighing: an air check in, and out the suspects with their probabilities, the reasons, and what to do next.
//
// Hypotheses are: nothing is wrong; each seal alone, by each mechanism, with each size of the grid; each pair of seals;
// the rig (plate, hose); something that is not on the map. Their posterior is summed exactly over the grid; nothing is
// sampled, so the same readings give the same answer to the last digit. Pairs that do not meddle with one another in a
// setting show there what each shows alone; the others are solved as pairs (pair_grid.h). In pairs both faults are
// plain holes, of any two sizes of the grid.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "../../model-data/priors.h"
#include "../../model-data/readings.h"
#include "../road/complaints.h"
#include "groups.h"
#include "tables.h"

namespace ringland::diagnosis::suspects {

/// One seal, or two together.
struct Suspect {
    std::vector<std::size_t> seals; ///< indices in the map, one or two
    double probability = 0;
    double hole_mm = 0; ///< most probable size of the first, and where 80 % of it lies
    double hole_mm_low = 0, hole_mm_high = 0;
    std::array<double, model::mechanism_count> mechanism{}; ///< shares, of one seal alone
    std::size_t group = 0;                                  ///< in Weigher::groups; of a pair, of its first
};

/// A lip that is likelier worn, hard or folded over than cut through.
[[nodiscard]] bool leaks_one_way(const Suspect& suspect);

/// A group of seals that come out together, with the probability that a fault is among them. A pair counts for the
/// group of each of its seals.
struct GroupChance {
    std::size_t group = 0; ///< in Weigher::groups
    double probability = 0;
};

/// Something that was seen and that the whole of the hypotheses fits worst.
struct WorstFit {
    std::size_t reading = 0, seen = 0; ///< in the air check
    double surprise = 0;               ///< bits: minus the binary logarithm of its chance on this map
};

struct Weighing {
    std::vector<Suspect> suspects; ///< by probability, all of at least 0.1 %
    double nothing_wrong = 1, rig = 0, unmapped = 0;
    std::vector<double> seal_probability; ///< by seal: at fault, alone or with another
    std::vector<GroupChance> groups;      ///< by probability
    bool enough = false;                  ///< the first group is sure enough to pull
    std::optional<WorstFit> worst;        ///< where a surprise is large
    std::string contradiction;            ///< said where the readings fit nothing on the map, or one another, badly
    unsigned long long hash = 0;          ///< of the posterior's figures: the same work gives the same hash
    long solves = 0;                      ///< of the network since the weigher was made
};

/// The sizes, mechanisms and seals of the posterior, for whoever goes on from it (next_step.h).
struct Posterior {
    struct Single {
        std::size_t fault = 0, size = 0; ///< in Tables::faults
        std::size_t mechanism = 0;
        double weight = 0;
    };
    std::vector<Single> singles;
    std::vector<double> rig; ///< by fault of the rig and size
    double sound = 1, unmapped = 0;
    struct Pair {
        std::size_t first = 0, second = 0; ///< in Tables::faults
        double weight = 0;
        std::size_t first_size = 0, second_size = 0; ///< the likeliest
    };
    std::vector<Pair> pairs; ///< all of any weight
};

class Weigher {
public:
    Weigher(const model::UnitMap& map, const model::AirBench& bench, const model::Priors& priors);
    ~Weigher();
    Weigher(Weigher&&) noexcept;
    Weigher& operator=(Weigher&&) noexcept;

    /// Weighs an air check that check_readings found fit. What was worked out for earlier readings is kept, so that one
    /// more reading costs one reading.
    [[nodiscard]] Weighing weigh(const model::AirCheck& check);

    /// What the driver's complaints say for and against a single suspect of the last weighing, those that say least
    /// left out: below `least` nats. Nothing of a pair.
    [[nodiscard]] road::Told told(const std::vector<model::Complaint>& complaints, const Suspect& suspect, bool metric,
                                  double least, const model::Translator& tr = {});

    /// Of the last weighing.
    [[nodiscard]] const Posterior& posterior() const;
    [[nodiscard]] Tables& tables();
    [[nodiscard]] const model::Priors& priors() const;
    [[nodiscard]] const std::vector<PullGroup>& groups() const;
    /// Group of each seal.
    [[nodiscard]] const std::vector<std::size_t>& group_of() const;
    /// Prior of each size of the grid.
    [[nodiscard]] std::array<double, size_count> size_chance() const;
    /// Pressure at the regulator where a reading names none.
    [[nodiscard]] double usual_gauge_pa() const;

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

/// What does not fit, in words; empty where everything does. `check` is the one that was weighed.
[[nodiscard]] std::string contradiction_words(const Weighing& weighing, const model::AirCheck& check,
                                              const model::Translator& tr = {});

/// The setting of a reading.
[[nodiscard]] Setting setting_of(const model::UnitMap& map, const model::Reading& reading, double usual_gauge_pa);

} // namespace ringland::diagnosis::suspects
