// The demo job, which goes with the large demo map.
#pragma once

#include <doctest/doctest.h>

#include "../model-data/job_entries.h"
#include "demo_maps.h"

namespace ringland::tests {

inline model::Job demo_job() {
    auto read = model::read_job_file(RINGLAND_SOURCE_DIR "/assets-demo/larch-five-job.json");
    REQUIRE(read.job.has_value());
    read.job->map_file = demo;
    return *read.job;
}

} // namespace ringland::tests
