// Inside of the weigher: private to diagnosis/suspects.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "../road/complaints.h"
#include "likelihood.h"
#include "weigh.h"

namespace ringland::diagnosis::suspects {

inline constexpr std::size_t no_port = ~std::size_t{0};
/// Both faults of a pair are summed over all sizes of the grid.
inline constexpr std::size_t pair_combos = size_count * size_count;

/// One reading, worked out for every single state.
struct Case {
    model::Reading reading;
    std::size_t table = 0;
    std::vector<double> fault; ///< log-likelihood by fault and size
    std::vector<double> rig;   ///< by fault of the rig and size
    double sound = 0, unmapped = 0;
    std::vector<int> pair_at; ///< by first fault × faults + second: place in pair, or -1 where they do not meddle
    std::vector<std::array<double, pair_combos>> pair; ///< by size of both
};

struct Weigher::Impl {
    Tables tables;
    model::Priors priors;
    double usual_pa;
    std::vector<PullGroup> groups;
    std::vector<std::size_t> group_of;
    std::vector<double> odds;                  ///< prior odds of each seal
    std::array<double, size_count> size_log{}; ///< logarithm of the prior of each size
    std::vector<std::size_t> plain;            ///< fault of each seal that is a plain hole
    std::vector<Case> cases;
    Posterior posterior;

    Impl(const model::UnitMap& map, const model::AirBench& bench, const model::Priors& p);

    // Readings worked out (cases.cpp).

    [[nodiscard]] Errors errors_of(const Case& c) const {
        return {priors, tables.bench().heard_from_lpm, tables.setting(c.table).supply_gauge_pa};
    }
    [[nodiscard]] std::size_t port_index(const std::string& id) const;
    /// Kept: the same reading is worked out once.
    const Case& case_of(const model::Reading& reading);
    /// Log-likelihood of one reading for a fault of that size and mechanism.
    [[nodiscard]] double single_log(const Case& c, std::size_t fault, std::size_t size,
                                    model::Mechanism mechanism) const;

    // What the driver told (complaints.cpp).

    std::optional<road::Complaints> road; ///< from the first complaint on
    std::vector<model::Complaint> told;   ///< to which told_log belongs
    std::vector<double> told_log;         ///< by fault and size: how much likelier it makes them; empty: none

    /// Brings told_log to the complaints of the check. Kept: the same complaints are worked out once.
    void hear(const std::vector<model::Complaint>& complaints);
    [[nodiscard]] double told_of(std::size_t fault, std::size_t size) const {
        return told_log.empty() ? 0 : told_log[fault * size_count + size];
    }

    // The posterior (posterior.cpp).

    void fill_posterior(const model::AirCheck& check, const std::vector<const Case*>& of);

    // What is said of it (weigh.cpp).

    Weighing weighing(const model::AirCheck& check, const std::vector<const Case*>& of) const;
    std::vector<Suspect> suspects() const;
    void name_worst(const model::AirCheck& check, const std::vector<const Case*>& of, Weighing& w) const;
};

} // namespace ringland::diagnosis::suspects
