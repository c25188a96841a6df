#include "weigh_desk.h"

#include <atomic>
#include <condition_variable>
#include <mutex>
#include <optional>
#include <thread>
#include <utility>

namespace ringland::viewer {

namespace {

namespace suspects = diagnosis::suspects;

/// Keeps the weigher as long as unit, bench and priors are the same: what was worked out for a reading stays.
class Scales {
public:
    std::shared_ptr<Weighed> weigh(const WeighQuestion& q) {
        if (!weigher_ || q.map != map_ || !(q.bench == bench_) || !(q.priors == priors_)) {
            weigher_.emplace(*q.map, q.bench, q.priors);
            map_ = q.map;
            bench_ = q.bench;
            priors_ = q.priors;
        }
        auto weighed = std::make_shared<Weighed>();
        weighed->check = q.check;
        weighed->weighing = weigher_->weigh(q.check);
        weighed->groups = weigher_->groups();
        for (const auto& suspect : weighed->weighing.suspects) {
            if (weighed->reasons.size() == suspects_explained) break;
            weighed->reasons.push_back(suspects::reasons_for(*weigher_, q.check, suspect, q.metric));
            weighed->comparisons.push_back(suspects::compare(*weigher_, q.check, suspect));
        }
        return weighed;
    }
    /// Nothing where it was stopped.
    std::shared_ptr<Weighed> advise(const WeighQuestion& q, const Weighed& before, const std::function<bool()>& stop) {
        auto weighed = std::make_shared<Weighed>(before);
        weighed->advice = suspects::advise(*weigher_, q.check, steps_offered, stop);
        weighed->advised = true;
        return weighed->advice.stopped ? nullptr : weighed;
    }

private:
    std::optional<suspects::Weigher> weigher_;
    std::shared_ptr<const model::UnitMap> map_;
    model::AirBench bench_;
    model::Priors priors_;
};

} // namespace

struct WeighDesk::Impl {
    Scales scales;
    bool threaded;
    std::function<void()> wake;
    mutable std::mutex mutex;
    std::condition_variable asked;
    std::optional<WeighQuestion> waiting;
    std::shared_ptr<const Weighed> ready;
    bool busy = false, leaving = false;
    std::atomic<bool> stale = false; ///< what is worked on is no longer asked
    std::thread thread;

    Impl(bool with_thread, std::function<void()> call) : threaded(with_thread), wake(std::move(call)) {
        if (threaded) thread = std::thread([this] { work(); });
    }
    ~Impl() {
        {
            const std::lock_guard lock(mutex);
            leaving = true;
            stale = true;
        }
        asked.notify_all();
        if (thread.joinable()) thread.join();
    }
    Impl(const Impl&) = delete;
    Impl& operator=(const Impl&) = delete;

    /// Puts an answer down, unless a newer question waits; false then.
    bool put(std::shared_ptr<const Weighed> weighed) {
        {
            const std::lock_guard lock(mutex);
            if (waiting || leaving) return false;
            ready = std::move(weighed);
        }
        if (wake) wake();
        return true;
    }
    void work() {
        std::unique_lock lock(mutex);
        while (true) {
            busy = false;
            asked.wait(lock, [this] { return waiting || leaving; });
            if (leaving) return;
            const WeighQuestion question = std::move(*waiting);
            waiting.reset();
            stale = false;
            busy = true;
            lock.unlock();
            const auto weighed = scales.weigh(question);
            if (put(weighed)) {
                auto advised = scales.advise(question, *weighed, [this] { return stale.load(); });
                if (advised) static_cast<void>(put(std::move(advised)));
            }
            lock.lock();
        }
    }
};

WeighDesk::WeighDesk(bool threaded, std::function<void()> wake)
    : impl_(std::make_unique<Impl>(threaded, std::move(wake))) {}
WeighDesk::~WeighDesk() = default;

void WeighDesk::ask(WeighQuestion question) {
    if (!impl_->threaded) {
        const auto weighed = impl_->scales.weigh(question);
        impl_->ready = impl_->scales.advise(question, *weighed, {});
        return;
    }
    {
        const std::lock_guard lock(impl_->mutex);
        impl_->waiting = std::move(question);
        impl_->stale = true;
        impl_->ready.reset();
    }
    impl_->asked.notify_all();
}

std::shared_ptr<const Weighed> WeighDesk::take() {
    const std::lock_guard lock(impl_->mutex);
    return std::exchange(impl_->ready, nullptr);
}

bool WeighDesk::working() const {
    const std::lock_guard lock(impl_->mutex);
    return impl_->busy || impl_->waiting.has_value();
}

} // namespace ringland::viewer
