#include "weigh_desk.h"

#include <optional>
#include <utility>

#include "desk.h"

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
            weighed->reasons.push_back(suspects::reasons_for(*weigher_, q.check, suspect, q.metric, q.tr));
            weighed->comparisons.push_back(suspects::compare(*weigher_, q.check, suspect));
        }
        return weighed;
    }
    /// Nothing where it was stopped.
    std::shared_ptr<Weighed> advise(const WeighQuestion& q, const Weighed& before, const std::function<bool()>& stop) {
        auto weighed = std::make_shared<Weighed>(before);
        weighed->advice = suspects::advise(*weigher_, q.check, steps_offered, stop, q.tr);
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
    Desk<WeighQuestion, Weighed> desk; // after what it works with

    Impl(bool threaded, std::function<void()> wake)
        : desk(
              [this](const WeighQuestion& question, const Desk<WeighQuestion, Weighed>::Put& put,
                     const Desk<WeighQuestion, Weighed>::Stale& stale) {
                  const std::shared_ptr<const Weighed> weighed = scales.weigh(question);
                  if (!put(weighed)) return;
                  if (auto advised = scales.advise(question, *weighed, stale))
                      static_cast<void>(put(std::move(advised)));
              },
              threaded, std::move(wake)) {}
};

WeighDesk::WeighDesk(bool threaded, std::function<void()> wake)
    : impl_(std::make_unique<Impl>(threaded, std::move(wake))) {}
WeighDesk::~WeighDesk() = default;

void WeighDesk::ask(WeighQuestion question) { impl_->desk.ask(std::move(question)); }
std::shared_ptr<const Weighed> WeighDesk::take() { return impl_->desk.take(); }
bool WeighDesk::working() const { return impl_->desk.working(); }

} // namespace ringland::viewer
