// The gear train: how fast every member turns in a range, and what happens when an element is on that should not be.
//
// Each planetary set is one linear equation between the speeds of its three members (the train value; Willis), each
// element that is on makes two speeds equal, and the case stands still. Nothing else is told: whether a range drives,
// is free, holds its output or binds follows from the equations alone. One-way clutches are inequalities, and the load
// decides among what they leave open: it holds the output back as far as they let it. That is the same as asking of
// each that holds whether it is pushed in the direction in which it can push (the two are dual), and needs no torques.
//
// A pair of plain gears is a set whose carrier is the case: with one planet they turn against one another, with two
// alike.
#pragma once

#include <array>
#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "../../model-data/enum_names.h"
#include "../../model-data/phrase.h"
#include "../../model-data/unit_map.h"

namespace ringland::diagnosis::gears {

/// What a set of elements makes of the gear train.
enum class Drive {
    free,        ///< the output can stand while the input turns: neutral
    drives,      ///< one speed of the output for each of the input
    output_held, ///< the output cannot turn forward, the input can
    binds        ///< the input cannot turn: too much is on
};

/// One state of the gear train with the input turning once, in the sense of the engine.
struct Turning {
    Drive drive = Drive::free;
    double ratio = 0; ///< turns of the input for one of the output, negative backwards; of Drive::drives
    std::vector<std::optional<double>>
        speed;                               ///< by member, turns; nothing where the member is free to turn as it likes
    std::vector<std::optional<double>> slip; ///< by element: first of its joins less second, turns
    std::vector<bool> overruns;              ///< by element: on, one-way, and not holding
    std::vector<std::optional<double>> torque; ///< by element: from the second of its joins on the first, for one unit
                                               ///< at the input; nothing where elements share it in an unknown way
    double output_torque = 0;                  ///< of the train on the output, for one unit at the input; of drives
};

class GearTrain {
public:
    /// The map must be valid.
    explicit GearTrain(const model::UnitMap& map);
    ~GearTrain();
    GearTrain(GearTrain&&) noexcept;
    GearTrain& operator=(GearTrain&&) noexcept;

    /// True where the map tells all that is needed: gear sets with teeth, and what each element joins.
    [[nodiscard]] bool known() const;
    /// What it does not tell, in words; empty where known.
    [[nodiscard]] const std::vector<model::Phrase>& missing() const;
    /// Names of the members: input, output, case, then those of the sets.
    [[nodiscard]] const std::vector<std::string>& members() const;

    /// Solves for the elements that are on (by element of the map; one-way clutches are on at any rate). Only where
    /// known().
    [[nodiscard]] Turning turn(const std::vector<bool>& on) const;

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

} // namespace ringland::diagnosis::gears

template <> struct ringland::model::EnumNames<ringland::diagnosis::gears::Drive> {
    static constexpr std::array<std::string_view, 4> words{"free", "drives", "output-held", "binds"};
};
