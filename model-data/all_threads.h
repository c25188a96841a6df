// Work divided among all threads of the machine. Where it has one, or none can be begun, all is done in place.
#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <future>
#include <thread>
#include <vector>

namespace ringland::model {

/// Does the jobs 0 to count - 1, each once, and returns when all are done.
template <class Job> void on_all_threads(std::size_t count, const Job& job) {
    std::atomic<std::size_t> next{0};
    const auto work = [&] {
        for (std::size_t i = next++; i < count; i = next++)
            job(i);
    };
    const std::size_t threads = std::clamp<std::size_t>(std::thread::hardware_concurrency(), 1, 8);
    std::vector<std::future<void>> others;
    others.reserve(threads);
    for (std::size_t i = 1; i < std::min(threads, count); ++i)
        others.push_back(std::async(std::launch::async, work));
    work();
    for (auto& other : others)
        other.get();
}

} // namespace ringland::model
