// A job as a set of entries, and as a file.
//
// Each thing that was entered is an entry of its own: the head, the map, a tick, a check, a reading, a finding and so
// on. Its content is a small JSON text. Records keep entries and their changes (diagnosis/records); a job file holds
// all of them, for another shop or for the bench without records.
#pragma once

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "fault.h"
#include "job.h"

namespace ringland::model {

/// Kinds of entries, in the order in which they are written.
inline constexpr std::array<std::string_view, 11> entry_kinds{
    "head", "map", "tick", "check", "reading", "look", "complaint", "finding", "measurement", "renewed", "note"};

struct JobEntry {
    std::string kind; ///< a word of entry_kinds
    std::string id;   ///< of the thing; "head", "map", and the step's word for a tick
    double order = 0; ///< among those of its kind
    std::string content;
    friend bool operator==(const JobEntry&, const JobEntry&) = default;
};

/// What changes between two states of a job. A removal has no content.
struct JobDifference {
    std::vector<JobEntry> puts, removals;
    [[nodiscard]] bool empty() const { return puts.empty() && removals.empty(); }
};

/// Every entry of the job, in order; a thing without an id is called by its place.
[[nodiscard]] std::vector<JobEntry> entries(const Job& job);

/// The job that these entries make, in whatever order they come. What cannot be read is passed over and named in
/// `passed_over`, where that is given. A reading whose check is gone brings a check back: nothing entered is dropped.
[[nodiscard]] Job job_from_entries(std::string id, std::vector<JobEntry> entries,
                                   std::vector<Phrase>* passed_over = nullptr);

/// Entries to put and to take out so that `before` becomes `after`. The order of what stays is kept as `stored` has it
/// (empty: as `before` has it), and what is new gets a place between its neighbours, so that one more thing is one
/// put.
[[nodiscard]] JobDifference difference(const Job& before, const Job& after, const std::vector<JobEntry>& stored = {});

/// What `ours` changed since `base`, done to `theirs`, which began from the same base. Where both changed one entry,
/// ours stands.
[[nodiscard]] Job merged(const Job& ours, const Job& base, const Job& theirs);

/// Limits that no honest job file comes near.
namespace job_limits {
inline constexpr std::size_t file_bytes = 32u << 20;
inline constexpr std::size_t entries = 20000;
inline constexpr std::size_t id_bytes = 200;
inline constexpr int depth = 32;
} // namespace job_limits

struct ReadJobResult {
    std::optional<Job> job; ///< where there was no error
    std::vector<Fault> faults;
};

/// Reads a job file. Never throws for what a file holds.
[[nodiscard]] ReadJobResult read_job_file(const std::filesystem::path& path);
[[nodiscard]] ReadJobResult read_job_text(std::string_view json, const std::string& file);
/// The job as a file; reading it gives an equal one.
[[nodiscard]] std::string write_job_text(const Job& job);
/// Error text, empty on success.
[[nodiscard]] std::string write_job_file(const std::filesystem::path& path, const Job& job);
/// True where the file begins as a job file does; what is wrong with it is for read_job_file to say.
[[nodiscard]] bool holds_job(const std::filesystem::path& path);

/// Why a text is not to be given to a JSON parser: too large, nested too deep, not UTF-8. Nothing where it may be.
[[nodiscard]] std::optional<Phrase> guard_json(std::string_view text, std::size_t most_bytes, int most_depth);

} // namespace ringland::model
