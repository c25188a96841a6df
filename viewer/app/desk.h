// A desk where one question at a time is worked out beside the window, so that no frame waits for it.
//
// A question is a value, and so is its answer. A newer question makes the older one stale: its answer is dropped, and
// the work on it may be given up. Without a thread (tests, pictures) a question is answered where it is asked.
#pragma once

#include <atomic>
#include <condition_variable>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <thread>
#include <utility>

namespace ringland::viewer {

template <class Question, class Answer> class Desk {
public:
    /// Puts an answer down, better ones after the first; false where nobody waits for it any more.
    using Put = std::function<bool(std::shared_ptr<const Answer>)>;
    /// Asked now and then: true where the work should end.
    using Stale = std::function<bool()>;
    using Work = std::function<void(const Question&, const Put&, const Stale&)>;

    /// `wake` is called from the thread when something new can be taken.
    Desk(Work work, bool threaded, std::function<void()> wake) : work_(std::move(work)), wake_(std::move(wake)) {
        if (threaded) thread_ = std::thread([this] { run(); });
    }
    ~Desk() {
        {
            const std::lock_guard lock(mutex_);
            leaving_ = true;
            stale_ = true;
        }
        asked_.notify_all();
        if (thread_.joinable()) thread_.join();
    }
    Desk(const Desk&) = delete;
    Desk& operator=(const Desk&) = delete;

    void ask(Question question) {
        if (!thread_.joinable()) {
            ready_.reset();
            work_(
                question,
                [this](std::shared_ptr<const Answer> answer) {
                    ready_ = std::move(answer);
                    return true;
                },
                [] { return false; });
            return;
        }
        {
            const std::lock_guard lock(mutex_);
            waiting_ = std::move(question);
            stale_ = true;
            ready_.reset();
        }
        asked_.notify_all();
    }
    /// What has come since the last call, or nothing.
    [[nodiscard]] std::shared_ptr<const Answer> take() {
        const std::lock_guard lock(mutex_);
        return std::exchange(ready_, nullptr);
    }
    [[nodiscard]] bool working() const {
        const std::lock_guard lock(mutex_);
        return busy_ || waiting_.has_value();
    }

private:
    /// Nothing is put down where a newer question waits.
    bool put(std::shared_ptr<const Answer> answer) {
        {
            const std::lock_guard lock(mutex_);
            if (waiting_ || leaving_) return false;
            ready_ = std::move(answer);
        }
        if (wake_) wake_();
        return true;
    }
    void run() {
        std::unique_lock lock(mutex_);
        while (true) {
            busy_ = false;
            asked_.wait(lock, [this] { return waiting_ || leaving_; });
            if (leaving_) return;
            const Question question = std::move(*waiting_);
            waiting_.reset();
            stale_ = false;
            busy_ = true;
            lock.unlock();
            work_(
                question, [this](std::shared_ptr<const Answer> answer) { return put(std::move(answer)); },
                [this] { return stale_.load(); });
            lock.lock();
        }
    }

    Work work_;
    std::function<void()> wake_;
    mutable std::mutex mutex_;
    std::condition_variable asked_;
    std::optional<Question> waiting_;
    std::shared_ptr<const Answer> ready_;
    bool busy_ = false, leaving_ = false;
    std::atomic<bool> stale_ = false; ///< what is worked on is no longer asked
    std::thread thread_;
};

} // namespace ringland::viewer
