// What the commands about the shop's jobs do once their words are understood.
#pragma once

#include <string>
#include <vector>

#include "../../diagnosis/records/records.h"
#include "answers.h"

namespace ringland::viewer {

/// Where the records are, and how the answer is wanted: of every command of `jobs`.
struct JobsCommon {
    std::string records; ///< empty: the usual place
    bool json = false;
};

struct JobsListOptions {
    std::vector<std::string> words;
    diagnosis::records::Search search;
};

struct JobsNewOptions {
    std::string map, number, customer, complaint, who, comeback_of;
};

struct JobsReadingOptions {
    std::string job, file;
    std::string into;              ///< port that got the air, instead of a file
    std::vector<std::string> seen; ///< "P4=strong"
    bool retest = false;
    std::string who;
};

/// Any edit of the window in words: {"find", "R3", "damaged"}.
struct JobsEditOptions {
    std::string job, who;
    std::vector<std::string> words;
};

struct JobsFileOptions {
    std::string file;
    diagnosis::records::Search search;
};

[[nodiscard]] Exit run_jobs_list(const JobsCommon& common, const JobsListOptions& options);
/// `job` is a job's id, the beginning of one, or the shop's number.
[[nodiscard]] Exit run_jobs_show(const JobsCommon& common, const std::string& job);
[[nodiscard]] Exit run_jobs_history(const JobsCommon& common, const std::string& job);
[[nodiscard]] Exit run_jobs_new(const JobsCommon& common, const JobsNewOptions& options);
[[nodiscard]] Exit run_jobs_add_reading(const JobsCommon& common, const JobsReadingOptions& options);
/// Several edits in words, one after the other; each is a change of its own in the history.
[[nodiscard]] Exit run_jobs_edits(const JobsCommon& common, const JobsEditOptions& options,
                                  const std::vector<std::vector<std::string>>& edits);
[[nodiscard]] Exit run_jobs_export(const JobsCommon& common, const JobsFileOptions& options);
[[nodiscard]] Exit run_jobs_import(const JobsCommon& common, const std::string& file);
[[nodiscard]] Exit run_jobs_statistics(const JobsCommon& common);

} // namespace ringland::viewer
