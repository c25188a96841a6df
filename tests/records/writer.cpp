// Writes notes into one job of the records, one change each, and says of every one that it is kept. The tests end it at
// any instant, in the middle of anything, or leave it no room.
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <string>

#include <fmt/format.h>
#include <sys/resource.h>

#include "../../diagnosis/records/records.h"

using namespace ringland;

/// PLACE JOB NAME COUNT [LARGEST_FILE_BYTES]
int main(int count, char** words) {
    if (count < 5) return 2;
    const std::string job_id = words[2], name = words[3];
    const int notes = std::atoi(words[4]);
    try {
        if (count > 5) {
            std::signal(SIGXFSZ, SIG_IGN);
            const rlimit room{static_cast<rlim_t>(std::atol(words[5])), static_cast<rlim_t>(std::atol(words[5]))};
            if (setrlimit(RLIMIT_FSIZE, &room) != 0) return 2;
        }
        diagnosis::records::Records records({words[1], name});
        model::Job before = records.load(job_id).value_or(model::Job{});
        for (int i = 0; i < notes; ++i) {
            model::Job after = before;
            after.id = job_id;
            after.notes.push_back({model::new_id(), model::utc_now(), name, fmt::format("{}x{}", name, i)});
            static_cast<void>(records.save(before, after, "note"));
            fmt::print("{}x{}\n", name, i);
            std::fflush(stdout);
            before = after;
        }
    } catch (const std::exception& error) {
        fmt::print("trouble: {}\n", error.what());
        return 1;
    }
    return 0;
}
