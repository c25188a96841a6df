// A job: one unit on the bench, from the customer's complaint to the retest.
//
// A plain value. It is saved as a set of entries (job_entries.h), one for each thing that was entered, so that two
// windows can work on one job, a change writes only what changed, and the history holds every state of every entry.
// Times are UTC, ISO 8601 to the second ("2031-05-04T09:30:00Z"); texts are free UTF-8.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "enum_names.h"
#include "quantity.h"
#include "readings.h"
#include "unit_map.h"

namespace ringland::model {

/// The steps that a job walks through, in order.
enum class JobStep { check, weigh, take_apart, find, renew, close_up, retest, done };
template <> struct EnumNames<JobStep> {
    static constexpr std::array<std::string_view, 8> words{"check", "weigh",    "take-apart", "find",
                                                           "renew", "close-up", "retest",     "done"};
};
inline constexpr std::size_t job_step_count = 8;

/// Who brought the unit and what he complains of, and whose job it is.
struct JobHead {
    std::string number;    ///< the shop's own: order number, tag on the unit; may be empty
    std::string customer;  ///< as the shop calls him
    std::string complaint; ///< in his words
    std::string who;       ///< who works on it
    std::string opened_at;
    std::string conclusion;  ///< what was wrong and what was done, in the shop's words
    std::string comeback_of; ///< id of an earlier job on the same unit; empty: none
    friend bool operator==(const JobHead&, const JobHead&) = default;
};

/// Ticked by hand: the step is over, though nothing in the job proves it.
struct StepTick {
    JobStep step{};
    std::string at, who;
    friend bool operator==(const StepTick&, const StepTick&) = default;
};

enum class CheckPurpose { before, retest };
template <> struct EnumNames<CheckPurpose> {
    static constexpr std::array<std::string_view, 2> words{"before", "retest"};
};

/// A reading with the id by which its entry is saved.
struct JobReading {
    std::string id;
    Reading reading;
    friend bool operator==(const JobReading&, const JobReading&) = default;
};
struct JobLook {
    std::string id;
    Look look;
    friend bool operator==(const JobLook&, const JobLook&) = default;
};

struct JobComplaint {
    std::string id;
    Complaint complaint;
    friend bool operator==(const JobComplaint&, const JobComplaint&) = default;
};

/// One air check of the job.
struct JobCheck {
    std::string id;
    CheckPurpose purpose{};
    std::string at, who;
    std::optional<bool> turns_freely; ///< the shafts turned freely both ways before air went on
    std::string note;
    std::vector<JobReading> readings; ///< in time order
    std::vector<JobLook> looks;
    std::vector<JobComplaint> complaints; ///< what the road showed before this check
    friend bool operator==(const JobCheck&, const JobCheck&) = default;
};

/// What was seen at a seal once it could be seen.
struct Finding {
    std::string id;
    std::string seal; ///< id in the map, or the_rig
    Found found{};
    std::string seen;                ///< in words: cut, worn, hard, rolled...
    std::vector<std::string> photos; ///< file paths; the files stay where they are
    std::string at, who;
    friend bool operator==(const Finding&, const Finding&) = default;
};

/// A figure held against a clearance of the map.
struct Measurement {
    std::string id;
    std::string clearance; ///< id in the map
    Length value;
    std::string at, who, note;
    std::optional<Length> fitted; ///< size of the selective part that is in, where it was said
    friend bool operator==(const Measurement&, const Measurement&) = default;
};

struct Renewed {
    std::string id;
    std::string what; ///< seal or part id in the map, or free text
    std::string part_number;
    int quantity = 1;
    std::string at, who, note;
    friend bool operator==(const Renewed&, const Renewed&) = default;
};

struct JobNote {
    std::string id;
    std::string at, who, text;
    friend bool operator==(const JobNote&, const JobNote&) = default;
};

struct Job {
    std::string id; ///< for ever, the same in every shop's records: 32 hexadecimal digits
    JobHead head;
    std::string map_toml; ///< the unit map as it was when the job began
    std::string map_file; ///< where it came from, for people
    std::vector<StepTick> ticks;
    std::vector<JobCheck> checks; ///< in time order
    std::vector<Finding> findings;
    std::vector<Measurement> measurements;
    std::vector<Renewed> renewed;
    std::vector<JobNote> notes;
    friend bool operator==(const Job&, const Job&) = default;
};

/// Which steps are over: ticked, or shown by what was entered (a reading, a finding that is damaged, something renewed,
/// a retest with readings). Of "done" only the tick counts.
[[nodiscard]] std::array<bool, job_step_count> steps_over(const Job& job);
/// Where the job stands: the step after the last one that is over; done where that is the last of all.
[[nodiscard]] JobStep where_it_stands(const Job& job);

/// Readings, looks and complaints of a check as the engine takes them.
[[nodiscard]] AirCheck air_check(const JobCheck& check);
/// Brings an air check back into its entry: what stayed in its place keeps its id, what is new gets one.
void take_over(JobCheck& entry, const AirCheck& check);
/// The last check of that purpose, or nullptr.
[[nodiscard]] const JobCheck* last_check(const Job& job, CheckPurpose purpose);

/// How a measured figure stands to the limits of its clearance.
enum class Verdict { within, below, above, no_limits };
template <> struct EnumNames<Verdict> {
    static constexpr std::array<std::string_view, 4> words{"within", "below", "above", "no-limits"};
};
/// Compares in SI, so that inches can be held against millimetres; a figure on the limit is within, to 1e-9 m.
[[nodiscard]] Verdict verdict(const Measurement& measurement, const Clearance& clearance);

/// A new id: 128 random bits as 32 hexadecimal digits.
[[nodiscard]] std::string new_id();
/// Now, in the form that a job keeps.
[[nodiscard]] std::string utc_now();

} // namespace ringland::model
