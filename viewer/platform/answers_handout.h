// What the commands about a job's papers do once their words are understood: handout, retest.
#pragma once

#include <optional>
#include <string>

#include "../../model-data/job.h"
#include "answers.h"

namespace ringland::viewer {

struct HandoutOptions {
    std::string job, file;
    std::string paper = "letter", language = "en", units; ///< units empty: as the readings were written
    std::string shop, logo;
    std::string bench, priors;
    bool no_model = false; ///< HTML without the unit in three dimensions
};

struct RetestOptions {
    std::string job, bench, priors;
    bool json = false;
};

[[nodiscard]] Exit run_handout(const HandoutOptions& options);
[[nodiscard]] Exit run_retest(const RetestOptions& options);

/// Makes the handout of a job that has been read.
[[nodiscard]] Exit make_handout(const model::Job& job, const HandoutOptions& options);

} // namespace ringland::viewer
