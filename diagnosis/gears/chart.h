// The clutch application chart, circuit by circuit: which circuits are under pressure in which range, and in which
// ranges a path between two of them can be felt at all.
//
// A leak from X to Y shows only where exactly one of the two is on: the ranges of X without those of Y, and the other
// way round. Where both are on it is masked, where neither is on there is nothing to lose. The sump is never on, so a
// leak out of X shows in all ranges of X. (Reasoning; common practice, no source.)
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "../../model-data/enum_names.h"
#include "../../model-data/unit_map.h"

namespace ringland::diagnosis::gears {

/// How two circuits stand to one another in a range.
enum class Exposure { neither, first_alone, second_alone, masked };

class Chart {
public:
    /// The map must be valid.
    explicit Chart(const model::UnitMap& map);

    /// By circuit of the map: under pressure in this range. A circuit is on where every element that it applies is on;
    /// an element that is on and has no such circuit is taken to be applied by all of its own. Circuits that apply
    /// nothing (release, lube, converter, sump) are not on.
    [[nodiscard]] const std::vector<bool>& on(std::size_t range) const { return on_[range]; }
    [[nodiscard]] std::size_t ranges() const { return on_.size(); }
    /// By element of the map: on in this range. One-way clutches always are. An element that the range names and that a
    /// circuit releases which is on as well is held off: its apply circuit stays full behind it.
    [[nodiscard]] const std::vector<bool>& elements_on(std::size_t range) const { return elements_[range]; }

    [[nodiscard]] Exposure exposure(std::size_t range, std::array<std::size_t, 2> circuits) const;
    /// Ranges in which a path between the two can be felt.
    [[nodiscard]] std::vector<std::size_t> affected(std::array<std::size_t, 2> circuits) const;
    /// Ranges in which both are on.
    [[nodiscard]] std::vector<std::size_t> masked(std::array<std::size_t, 2> circuits) const;

private:
    std::vector<std::vector<bool>> on_, elements_;
};

/// Indices in the map of the two circuits that a seal divides.
[[nodiscard]] std::array<std::size_t, 2> circuits_of(const model::UnitMap& map, const model::Seal& seal);

} // namespace ringland::diagnosis::gears

template <> struct ringland::model::EnumNames<ringland::diagnosis::gears::Exposure> {
    static constexpr std::array<std::string_view, 4> words{"neither", "first-alone", "second-alone", "masked"};
};
