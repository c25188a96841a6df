// What an air check of this unit can find at all, what it cannot tell apart, and the shortest one that finds
// everything.
//
// A full air check blows into each port in turn with all others open and listens everywhere, the open case included. A
// seal is findable where a defect of it changes a word somewhere. Look-alikes are seals that no reading tells apart:
// those that divide the same two circuits and fail in the same directions, as far as air can be put on both sides, and
// those whose defects change the same words in the same way at every size.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "../../model-data/texts.h"
#include "tables.h"

namespace ringland::diagnosis::suspects {

struct SealCover {
    bool findable = false;
    double smallest_mm = 0; ///< of the grid: the smallest hole that changes a word somewhere
    int into = -1, at = -1; ///< where it shows first: ports; at == number of ports: the open case
    std::string why_not;    ///< where it is not findable
};

struct Coverage {
    std::vector<SealCover> seals;                      ///< by seal of the map
    std::vector<std::vector<std::size_t>> look_alikes; ///< groups of two and more, in map order
    double reference_mm = 0;                           ///< hole for which the shortest check is reckoned
    std::vector<int> shortest;                         ///< ports to blow into, in map order
    std::size_t lower_bound = 0;                       ///< no check with fewer readings finds them all
    bool exact = false;                                ///< shortest.size() == lower_bound was proved
    /// By seal: the ports to blow into of which each shows a hole of the reference size in it, in map order.
    std::vector<std::vector<int>> shown_by;
    std::vector<std::size_t> beyond; ///< findable, but only by a hole larger than the reference
};

/// Works from the tables of every port at the usual pressure, which it makes where they are not there.
[[nodiscard]] Coverage cover(Tables& tables, double supply_gauge_pa, const model::Translator& tr = {});

/// Fewest sets that cover all things: for each thing the sets (by number) that hold it. Exact by branch and bound up to
/// a count of steps, otherwise the best found; `lower_bound` is a number of things no two of which share a set, or the
/// proven minimum. Things that no set holds are left out.
struct Cover {
    std::vector<int> sets;
    std::size_t lower_bound = 0;
    bool exact = false;
};
[[nodiscard]] Cover fewest_sets(const std::vector<std::vector<int>>& holders, int sets);

} // namespace ringland::diagnosis::suspects
