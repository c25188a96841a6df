// Teardown: what comes off to reach seals, in which order, and which seals are renewed because of it.
//
// A seal may be reached by more ways than one (suspects/groups.h, `ways_to`); of all combinations the one with the
// least minutes is taken. Parts that wait for each other come off in that order, and what leads to one seal comes off
// together, the nearest seal first: the order in which work is not left and taken up again.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "../../model-data/texts.h"
#include "../../model-data/unit_map.h"

namespace ringland::diagnosis::plan {

/// One part taken off.
struct Step {
    std::size_t part = 0;                ///< in UnitMap::parts
    std::optional<double> minutes;       ///< of this part; nothing where the map does not time it
    double minutes_so_far = 0;           ///< of all parts up to this one; those without a figure count for none
    std::string tools, caution;          ///< the map's own words; may be empty
    std::vector<std::size_t> uncovers;   ///< seals that were asked for and are reached now, in UnitMap::seals
    std::vector<std::size_t> disturbs;   ///< other seals that this step parts or that are renewed with it
    std::vector<std::size_t> clearances; ///< to be measured before it comes off or while it is out; filled in by plan()
};

/// Why a seal is renewed.
enum class Why {
    asked,     ///< it is what the plan is for
    stack,     ///< its stack is parted: the whole row of rings is renewed (common practice, no source)
    with_part, ///< the map says that it is renewed with a part that comes off
    parted     ///< an O-ring or gasket of a part that comes off: never used twice (common practice, no source)
};
/// "asked", "stack", "with-part", "parted".
[[nodiscard]] std::string_view word(Why why);

struct RenewedSeal {
    std::size_t seal = 0;
    Why why{};
    std::optional<std::size_t> step; ///< in Teardown::steps: after it the seal can be renewed; nothing where no step
                                     ///< reaches it
};

struct Teardown {
    std::vector<std::size_t> seals;    ///< asked for, in map order, without doubles
    std::vector<Step> steps;           ///< in order
    std::vector<RenewedSeal> renews;   ///< in map order
    double minutes = 0;                ///< of all steps that the map times
    std::vector<std::size_t> untimed;  ///< parts that it does not time, in the order of the steps
    std::vector<std::size_t> unplaced; ///< seals of which the map does not say where they sit, or that sit in the case
    bool least = true; ///< proved to have the least minutes; false where there were too many combinations of ways
    std::vector<std::string> missing; ///< what the map does not say, and what that means for this plan
};

/// What a plan is for.
struct Target {
    std::vector<std::size_t> seals; ///< to be reached and renewed, in the order in which they are wanted
    std::vector<std::size_t> parts; ///< to come off as well, with no seal in mind
    bool in_this_order = false;     ///< seals in the order given (a search); false: the nearest first
};

/// The map must be valid and the indices those of its lists (programmer's error otherwise).
[[nodiscard]] Teardown tear_down(const model::UnitMap& map, const Target& target, const model::Translator& tr = {});

/// Name to show for a part: its name, or its id.
[[nodiscard]] std::string part_name(const model::UnitMap& map, std::size_t part);

/// By part: the first of the steps that moves it, because it comes off or because what carries it does; steps.size()
/// where none does.
[[nodiscard]] std::vector<std::size_t> moved_at(const model::UnitMap& map, const std::vector<Step>& steps);

} // namespace ringland::diagnosis::plan
