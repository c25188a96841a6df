// The desk where an air check is weighed: beside the window, so that no frame waits for it.
//
// A newer question makes the older one stale: the search for its next step is given up or not even begun (desk.h).
#pragma once

#include <functional>
#include <memory>
#include <vector>

#include "../../diagnosis/suspects/next_step.h"
#include "../../diagnosis/suspects/reasons.h"

namespace ringland::viewer {

struct WeighQuestion {
    std::shared_ptr<const model::UnitMap> map; ///< the same pointer: the same unit
    model::AirBench bench;
    model::Priors priors;
    model::AirCheck check;
    bool metric = false;
    model::Translator tr; ///< for its sentences
};

/// What came of one question.
struct Weighed {
    model::AirCheck check; ///< that it is the answer to
    diagnosis::suspects::Weighing weighing;
    std::vector<diagnosis::suspects::Reasons> reasons;                     ///< of the first suspects
    std::vector<std::vector<diagnosis::suspects::Comparison>> comparisons; ///< of the same
    std::vector<diagnosis::suspects::PullGroup> groups;
    bool advised = false; ///< the advice is there as well
    diagnosis::suspects::Advice advice;
};

/// Of how many steps the window may have to choose.
inline constexpr std::size_t steps_offered = 5;
/// Of how many suspects reasons and comparisons are worked out.
inline constexpr std::size_t suspects_explained = 5;

class WeighDesk {
public:
    /// `wake` is called from the thread when something new can be taken.
    explicit WeighDesk(bool threaded = false, std::function<void()> wake = {});
    ~WeighDesk();
    WeighDesk(const WeighDesk&) = delete;
    WeighDesk& operator=(const WeighDesk&) = delete;

    void ask(WeighQuestion question);
    /// What has come since the last call, or nothing. An answer comes twice: without advice, then with it.
    [[nodiscard]] std::shared_ptr<const Weighed> take();
    [[nodiscard]] bool working() const;

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

} // namespace ringland::viewer
