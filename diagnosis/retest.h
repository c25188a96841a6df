// The retest beside the first test: port by port, which suspects are cleared, and how likely it is that the fault is
// gone.
//
// The chance is derived from the two air checks and from what was renewed between them, in three steps.
//
// 1. After the first check (readings, looks, and what was found when the unit lay open) every hypothesis X has its
//    probability P1(X): sound, seal s alone with mechanism and size, seals s and t together, the rig, not on the map.
// 2. The repair. A renewed seal is a new seal: its old fault is gone, and like any seal it has its prior odds o of
// being
//    at fault anew (a ring cut while it was fitted). The rig was taken off and put on again, so its fault is drawn anew
//    too. What is not on the map stays as it was. With R the renewed seals this gives, before any retest,
//        Q(sound)   = M w0            M = P1(sound) + P1(rig) + sum of P1(s), s in R + sum of P1(s,t), both in R
//        Q(r)       = M w0 o_r        r in R          w0 = 1 / (1 + sum of o_r + sum of o_r o_r' + odds of the rig)
//        Q(r,r')    = M w0 o_r o_r'   both in R
//        Q(rig)     = M w0 odds(rig)
//        Q(s)       = m_s w1          s not in R      m_s = P1(s) + sum over t in R of P1(s,t), w1 = 1 / (1 + sum of
//        o_r) Q(s,r)     = m_s w1 o_r      r in R Q(s,t)     = P1(s,t)         neither in R Q(not on the map) = P1(not
//        on the map)
//    Mechanism and size of a new fault are those of the prior; of a remaining one those of P1(s).
// 3. The retest's readings D give each hypothesis its likelihood L(Y), and P2(Y) is Q(Y) L(Y) over the sum of all. The
//    weigher gives L up to a factor as posterior over prior of the retest alone. Of a pair, L is its mean over both
//    sizes as the prior has them.
//
// The fault is gone where none of the seals that it is about is at fault and nothing unmapped acts. It is about the
// seals that the first check made suspects and about those that were renewed: a seal that nothing was ever heard of
// keeps the chance that it has in any unit, and says nothing about this repair.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "../model-data/job.h"
#include "suspects/weigh.h"

namespace ringland::diagnosis {

/// What was seen at a place against what a healthy unit shows there.
enum class Against { unknown, as_expected, more, less };

/// One place of one reading, in both checks.
struct RetestRow {
    int into = 0;             ///< port
    std::vector<int> plugged; ///< ports
    int at = 0;               ///< port; the number of ports: the open case
    model::Seen expected;     ///< the same sort of figure as was seen; a word wherever a word was
    std::optional<model::Seen> before, after;
    Against before_is = Against::unknown, after_is = Against::unknown;
};

/// A seal before and after.
struct SealChance {
    std::size_t seal = 0;
    double before = 0, now = 0; ///< at fault, alone or with another
    bool renewed = false;
    bool cleared = false; ///< suspected before, and now less than `clear_below`
    // Of the seal alone, as the first check showed it; nothing where it is no suspect alone.
    std::optional<double> hole_mm{}; ///< likeliest size
    bool both_ways = true;           ///< not a lip that is likelier worn or folded than cut through
};

struct Retest {
    std::vector<RetestRow> rows;                ///< in the order of the first check, then what only the retest has
    bool has_before = false, has_after = false; ///< there are readings
    std::vector<SealChance> seals;              ///< suspected before or now, or renewed; likeliest before first
    double gone = 0;                            ///< the fault, as the head of this file says
    double gone_by_parts = 0;                   ///< the same before the retest: by the parts that were renewed alone
    double rig = 0, unmapped = 0;
    bool converged = true;
};

/// A seal is suspected from the first on, where the readings made it likelier than it was by the third, and cleared
/// below the second.
inline constexpr double suspected_from = 0.03, clear_below = 0.01, raised_by = 1.5;

/// Compares and weighs. Readings must be fit for the map. The weigher's own last weighing is another one afterwards.
[[nodiscard]] Retest retest(suspects::Weigher& weigher, const model::Job& job);

/// The first check with all that was found since as looks: what the retest goes out from.
[[nodiscard]] model::AirCheck first_check_with_findings(const model::Job& job);
/// By seal of the map: renewed by its own id, or with its part.
[[nodiscard]] std::vector<bool> renewed_seals(const model::UnitMap& map, const model::Job& job);

/// The probabilities of steps 2 and 3, for tests: priors, first and second are the posteriors of no reading, of the
/// first check and of the retest alone, by one weigher. `seal_now` is by seal of the map.
struct AfterRepair {
    double sound = 0, rig = 0, unmapped = 0;
    double gone = 0; ///< no seal that it is about, and nothing unmapped
    std::vector<double> seal_now;
};
[[nodiscard]] AfterRepair after_repair(const suspects::Posterior& prior, const suspects::Posterior& first,
                                       const suspects::Posterior& second, const std::vector<std::size_t>& seal_of_fault,
                                       const std::vector<bool>& renewed, const std::vector<bool>& about);

} // namespace ringland::diagnosis
