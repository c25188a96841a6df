// The shop's jobs in words for a terminal and for paper, and as JSON.
#pragma once

#include <string>
#include <vector>

#include "../../diagnosis/records/records.h"
#include "../../model-data/job.h"

namespace ringland::viewer {

/// "2031-05-04 09:30" of a time as a job keeps it.
[[nodiscard]] std::string time_words(const std::string& utc);
/// As much of an id as people type.
[[nodiscard]] std::string short_id(const std::string& id);

/// One line a job, with a heading.
[[nodiscard]] std::string job_list_text(const std::vector<diagnosis::records::JobLine>& lines, std::size_t total);
[[nodiscard]] std::string job_list_json(const std::vector<diagnosis::records::JobLine>& lines, std::size_t total);

/// Everything that stands in the job.
[[nodiscard]] std::string job_text(const model::Job& job);

[[nodiscard]] std::string history_text(const std::vector<diagnosis::records::Change>& changes);
[[nodiscard]] std::string history_json(const std::vector<diagnosis::records::Change>& changes);

[[nodiscard]] std::string statistics_text(const diagnosis::records::Statistics& statistics);
[[nodiscard]] std::string statistics_json(const diagnosis::records::Statistics& statistics);

} // namespace ringland::viewer
