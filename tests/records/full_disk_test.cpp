// A disk that is really full: a file system of the test's own with little room, in a name space of its own, since a
// write that is made to fail is not the same. Where the system does not allow that, the test says so and is passed
// over.
#include <array>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <functional>
#include <string>

#include <fcntl.h>
#include <sched.h>
#include <sys/mount.h>
#include <sys/wait.h>
#include <unistd.h>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "../../diagnosis/records/records.h"
#include "made_job.h"
#include "places.h"

using namespace ringland;
using namespace ringland::test;
using diagnosis::records::Records;
using diagnosis::records::Trouble;
using model::Job;
namespace fs = std::filesystem;

namespace {

constexpr const char* not_allowed = "not allowed here: ";

void write_text(const char* file, const std::string& text) {
    const int to = open(file, O_WRONLY | O_CLOEXEC);
    if (to < 0) return;
    [[maybe_unused]] const auto written = write(to, text.data(), text.size());
    close(to);
}

/// Mounts a file system of so many bytes that only this process and its children see; why it cannot.
std::string little_disk(const fs::path& folder, std::size_t bytes) {
    const uid_t user = getuid();
    const gid_t group = getgid();
    if (unshare(CLONE_NEWNS) != 0) {
        if (unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0) return std::string(not_allowed) + std::strerror(errno);
        write_text("/proc/self/setgroups", "deny");
        write_text("/proc/self/uid_map", fmt::format("0 {} 1", user));
        write_text("/proc/self/gid_map", fmt::format("0 {} 1", group));
    }
    mount(nullptr, "/", nullptr, MS_REC | MS_PRIVATE, nullptr);
    const std::string options = fmt::format("size={}", bytes);
    if (mount("tmpfs", folder.c_str(), "tmpfs", 0, options.c_str()) != 0)
        return std::string(not_allowed) + std::strerror(errno);
    return {};
}

/// Runs something in a process of its own and gives its words back; empty: all went well.
std::string aside(const std::function<std::string()>& work) {
    std::array<int, 2> ends{};
    REQUIRE(pipe(ends.data()) == 0);
    const pid_t child = fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        std::string words;
        try {
            words = work();
        } catch (const std::exception& error) {
            words = error.what();
        }
        [[maybe_unused]] const auto written = write(ends[1], words.data(), words.size());
        _exit(0);
    }
    close(ends[1]);
    std::string words;
    std::array<char, 4096> part{};
    for (ssize_t got = 0; (got = read(ends[0], part.data(), part.size())) > 0;)
        words.append(part.data(), static_cast<std::size_t>(got));
    close(ends[0]);
    int status = 0;
    waitpid(child, &status, 0);
    if (!WIFEXITED(status)) words += " ended by a signal";
    return words;
}

Job with_long_note(Job job, std::size_t size) {
    job.notes.push_back({model::new_id(), "2031-05-06T08:00:00Z", "x", std::string(size, 'n')});
    return job;
}

std::string on_a_full_disk(const fs::path& folder) {
    if (const std::string why = little_disk(folder, 3u << 20); !why.empty()) return why;
    const fs::path ballast = folder / "something else";
    std::ofstream(ballast) << std::string(1u << 20, 'b');
    const std::string file = (folder / "shop.sqlite").string();
    Records records({file, "first"});
    Job kept = made_job();
    static_cast<void>(records.save({}, kept, "opened"));

    std::string said;
    Job wanted;
    for (int i = 0; i < 500 && said.empty(); ++i) {
        wanted = with_long_note(kept, 20000);
        try {
            static_cast<void>(records.save(kept, wanted, "note"));
            kept = wanted; // acknowledged
        } catch (const Trouble& trouble) {
            said = trouble.what();
        }
    }
    if (said.empty()) return "the disk was never full";
    if (kept.notes.size() < 10) return "full at once";
    if (said.find("full") == std::string::npos || said.find("make room") == std::string::npos)
        return "it is not said what to do: " + said;
    // The last thing that was acknowledged stands, here and for a window that is opened just now; it goes on standing
    // however often the next one is tried.
    for (int i = 0; i < 3; ++i) {
        try {
            static_cast<void>(records.save(kept, wanted, "note"));
            return "there was room after all";
        } catch (const Trouble&) { // as before
        }
    }
    if (const auto here = records.load(kept.id); !here || !(*here == kept)) return "what was acknowledged is gone";
    {
        Records other({file, "second"});
        if (const auto there = other.load(kept.id); !there || !(*there == kept))
            return "another window does not find what was acknowledged";
    }
    fs::remove(ballast);
    static_cast<void>(records.save(kept, wanted, "note"));
    if (const auto here = records.load(kept.id); !here || !(*here == wanted)) return "not saved once there was room";
    if (records.history(kept.id).size() != wanted.notes.size()) return "the history has something twice, or lacks it";
    if (const std::string sound = sqlite(file, "pragma integrity_check"); sound != "ok") return sound;
    return {};
}

} // namespace

TEST_CASE("records on a full disk: what was acknowledged stays, it is said what to do, and room is all it takes") {
    const Folder folder;
    const fs::path disk = folder.path() / "disk";
    fs::create_directories(disk);
    const std::string words = aside([&] { return on_a_full_disk(disk); });
    if (words.compare(0, std::strlen(not_allowed), not_allowed) == 0) {
        MESSAGE("passed over: a file system of its own is ", words);
        return;
    }
    CHECK(words == "");
}
