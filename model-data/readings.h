// An air check as it was made: what was blown, what was plugged, and what came out where.
//
// One TOML file, the same content as in a job. A reading is one pull of the trigger; what was seen at a port is a word
// or a number, and a port that is left out was not tested: that says nothing, and is not the same as "nothing".
#pragma once

#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "enum_names.h"
#include "fault.h"
#include "quantity.h"
#include "unit_map.h"

namespace ringland::model {

/// What an ear makes of air that comes out.
enum class Heard { nothing, faint, clear, strong };
template <> struct EnumNames<Heard> {
    static constexpr std::array<std::string_view, 4> words{"nothing", "faint", "clear", "strong"};
};

/// What came out at one port, or what its gauge read. Exactly one of word, pressure, flow and applies_after_s is given,
/// or `not_sure`. At the port under air only a pressure can be seen: its own gauge.
struct Seen {
    std::string at; ///< port id; "case" for the open case
    std::optional<Heard> word;
    bool not_sure = false;                 ///< listened, and no word is right: says nothing
    std::optional<GaugePressure> pressure; ///< on a gauge that closes the port
    std::optional<double> flow_lpm;        ///< normal litres a minute, out of the open port
    std::optional<double> applies_after_s; ///< the element of this plugged port applied so long after the trigger
    SourceSpot where;
    friend bool operator==(const Seen&, const Seen&) = default;
};

/// How the element of the port under air felt.
enum class Applied { thud, soft, none };
template <> struct EnumNames<Applied> {
    static constexpr std::array<std::string_view, 3> words{"thud", "soft", "none"};
};

/// The shaft pushed or pulled through its end play while the air was on.
enum class Pushed { in, out };
template <> struct EnumNames<Pushed> { static constexpr std::array<std::string_view, 2> words{"in", "out"}; };

struct Reading {
    std::string into;                      ///< port id
    std::optional<GaugePressure> pressure; ///< at the regulator; absent: the usual figure of unit or bench
    std::vector<std::string> plugged;      ///< port ids; all others were open
    std::optional<Applied> applied;
    // Small changes of the test, by which mechanisms differ.
    bool wet = false;
    std::optional<double> shaft_turned_deg;
    std::optional<Pushed> pushed;
    bool plate_resnugged = false;
    std::string note;
    std::vector<Seen> seen;
    SourceSpot where;
    friend bool operator==(const Reading&, const Reading&) = default;
};

/// What was found where a seal could be looked at without full teardown.
enum class Found { sound, damaged };
template <> struct EnumNames<Found> { static constexpr std::array<std::string_view, 2> words{"sound", "damaged"}; };

struct Look {
    std::string seal; ///< id, or the_rig: hose, nozzle, plate and its gasket
    Found found{};
    std::string note;
    SourceSpot where;
    friend bool operator==(const Look&, const Look&) = default;
};

/// What the driver complains of, in the trade's words.
enum class Symptom {
    slips,      ///< the engine runs up and the car does not follow
    late,       ///< takes hold late
    drags,      ///< pulls, creeps or brakes though nothing should be on
    binds,      ///< two gears at once: it stands against itself
    wrong_gear, ///< moves, but in another gear
    no_drive,   ///< does not take hold at all
    harsh       ///< takes hold with a bang
};
template <> struct EnumNames<Symptom> {
    static constexpr std::array<std::string_view, 7> words{"slips",      "late",     "drags", "binds",
                                                           "wrong-gear", "no-drive", "harsh"};
};

struct Complaint {
    std::string range; ///< id of the range in which it shows
    Symptom symptom{};
    bool absent = false;   ///< asked, and the driver says that this range is good in this respect
    bool hot_only = false; ///< shows only when the oil is hot
    std::string starts_in; ///< of wrong_gear: id of the range that it feels like; empty: not said
    std::string note;
    SourceSpot where;
    friend bool operator==(const Complaint&, const Complaint&) = default;
};

struct AirCheck {
    std::vector<Reading> readings; ///< in time order
    std::vector<Look> looks;
    std::vector<Complaint> complaints; ///< from the road, before the unit came out
    friend bool operator==(const AirCheck&, const AirCheck&) = default;
};

struct ReadReadingsResult {
    std::optional<AirCheck> check; ///< where there was no error
    std::vector<Fault> faults;
};

/// The word that stands for the open case in `Seen::at`.
inline constexpr std::string_view open_case = "case";
/// The word that stands for the rig in `Look::seal`: closed off and watched, oil along the plate.
inline constexpr std::string_view the_rig = "rig";

/// Reads a readings file and holds it against its map: ports and seals by id, label or circuit name as the bench says
/// them. Never throws for what a file holds.
[[nodiscard]] ReadReadingsResult read_readings(const std::filesystem::path& path, const UnitMap& map);
[[nodiscard]] ReadReadingsResult read_readings_text(std::string_view toml, std::string file, const UnitMap& map);

/// True where the file reads as a readings file and not as a map; what is wrong with it is for read_readings to say.
[[nodiscard]] bool holds_readings(const std::filesystem::path& path);

/// One reading of such a text without a map: ports stand as they were written. Nothing where the text is not one
/// reading.
[[nodiscard]] std::optional<Reading> parse_reading(std::string_view toml);
/// The same for one complaint.
[[nodiscard]] std::optional<Complaint> parse_complaint(std::string_view toml);

/// Every fault of an air check on a map: unknown ports, a port that is plugged and heard, pressure out of reason, two
/// kinds of figure at one port. Readings from the window meet the same rules as those of a file.
[[nodiscard]] std::vector<Fault> check_readings(const AirCheck& check, const UnitMap& map, const std::string& file);

/// The air check as TOML; reading it gives an equal one.
[[nodiscard]] std::string write_readings_text(const AirCheck& check);

} // namespace ringland::model
