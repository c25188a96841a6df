// What is likely before anything was heard, and how far a reading can be trusted: the figures that a shop may edit.
//
// Every one of them is common practice, no source: there are no published failure rates of transmission seals. They
// stand in one file (docs/priors.toml is the one that the program starts with), and a shop replaces them by its own.
#pragma once

#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "enum_names.h"
#include "fault.h"
#include "unit_map.h"

namespace ringland::model {

/// How a seal lets air by. They sound alike; they differ in what a small change of the test does to them (trade.md's
/// table of barriers, common practice, no source).
enum class Mechanism {
    hole,        ///< cut, crack, missing piece: the same wet or dry, at any angle
    one_way_lip, ///< a lip or ball that leaks in the direction that it holds back
    joint,       ///< joint gap, worn bore, bushing: changes with the angle of the shaft
    groove_wall, ///< step in the groove wall: changes when the shaft is pushed through its end play
    dry_film,    ///< within tolerance but dry: oil seals it
    joint_face   ///< gasket, plate, warp: changes with the bolts
};
template <> struct EnumNames<Mechanism> {
    static constexpr std::array<std::string_view, 6> words{"hole",        "one-way-lip", "joint",
                                                           "groove-wall", "dry-film",    "joint-face"};
};
inline constexpr std::size_t mechanism_count = 6;

/// Figures of one kind of seal.
struct KindPrior {
    double fails = 0.02; ///< probability that one of them is at fault in a unit that is air checked
    std::array<double, mechanism_count> mechanism{1, 0, 0, 0, 0, 0}; ///< shares, by Mechanism; their sum is 1
    friend bool operator==(const KindPrior&, const KindPrior&) = default;
};

struct Priors {
    std::string note;
    /// By SealKind.
    std::array<KindPrior, 10> kind{{
        {0.040, {0.45, 0, 0.25, 0.15, 0.15, 0}}, // ring
        {0.030, {0.60, 0.40, 0, 0, 0, 0}},       // lip
        {0.015, {1, 0, 0, 0, 0, 0}},             // d-ring
        {0.015, {1, 0, 0, 0, 0, 0}},             // o-ring
        {0.020, {0.35, 0, 0, 0, 0, 0.65}},       // gasket-bridge
        {0.008, {1, 0, 0, 0, 0, 0}},             // plug
        {0.010, {1, 0, 0, 0, 0, 0}},             // tube
        {0.015, {0.30, 0, 0.70, 0, 0, 0}},       // bushing
        {0.004, {1, 0, 0, 0, 0, 0}},             // wall
        {0.015, {0.40, 0.60, 0, 0, 0, 0}},       // check-ball
    }};
    double plate_fails = 0.03;   ///< the gasket under the test plate leaks somewhere, or the plate is not snug
    double hose_fails = 0.01;    ///< hose or nozzle leaks, or the regulator starves
    double unmapped = 0.02;      ///< something that is not on the map
    double size_median_mm = 1.2; ///< of a defect, as an equivalent hole
    double size_spread = 0.8;    ///< standard deviation of its logarithm
    double misheard = 0.05;      ///< probability that a word is one of its neighbours, mistaken
    double flow_error = 0.30;    ///< standard deviation of the logarithm of a computed flow through a defect
    double sound_error = 0.80;   ///< and of the leak of a sound seal
    double gauge_error = 0.04;   ///< of a gauge's reading, share; never taken as below gauge_least_psi
    double gauge_least_psi = 0.5;
    double time_error = 0.40;  ///< standard deviation of the logarithm of a time
    double look_misses = 0.10; ///< a damaged seal looks sound
    double look_alarms = 0.03; ///< a sound seal looks damaged
    // Minutes that the steps of a test take.
    double minutes_reading = 1.5, minutes_plug = 1, minutes_gauge = 1, minutes_wet = 4, minutes_turn = 1,
           minutes_push = 1, minutes_resnug = 4, minutes_rig = 2;
    double enough = 0.95; ///< probability that the right part is pulled, at which testing stops
    friend bool operator==(const Priors&, const Priors&) = default;
};

struct ReadPriorsResult {
    std::optional<Priors> priors;
    std::vector<Fault> faults;
};

/// Reads a priors file. Never throws for what a file holds; what it leaves out keeps the figure of Priors{}.
[[nodiscard]] ReadPriorsResult read_priors(const std::filesystem::path& path);
[[nodiscard]] ReadPriorsResult read_priors_text(std::string_view toml, std::string file);

/// True where the file reads as a priors file and not as a map; what is wrong with it is for read_priors to say.
[[nodiscard]] bool holds_priors(const std::filesystem::path& path);

/// All figures as TOML with a comment on each; reading it gives equal priors.
[[nodiscard]] std::string write_priors_text(const Priors& priors);

} // namespace ringland::model
