// The words of `ringland jobs`.
#pragma once

#include <functional>

#include "answers_jobs.h"

namespace CLI {
class App;
}

namespace ringland::viewer {

/// What a call of one of them can ask for; the parser fills it in.
struct AskedOfJobs {
    JobsCommon common;
    JobsListOptions list;
    JobsNewOptions begin;
    JobsReadingOptions reading;
    JobsEditOptions edit;
    JobsFileOptions file;
    std::string job;
    // Of the short ways to an edit.
    std::string what, word, seen, part_number;
    std::vector<std::string> photos;
    int quantity = 1;
    bool off = false;
};

/// Adds the commands; the one that is chosen puts itself into `run`. Both must outlive the parsing and the run.
void add_jobs_commands(CLI::App& app, AskedOfJobs& asked, std::function<Exit()>& run);

} // namespace ringland::viewer
