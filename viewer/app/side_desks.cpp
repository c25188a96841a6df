#include "side_desks.h"

#include <algorithm>
#include <optional>

#include "../../diagnosis/airflow/expected.h"
#include "../../diagnosis/suspects/coverage.h"

namespace ringland::viewer {

namespace {

namespace suspects = diagnosis::suspects;

/// Keeps its weigher as long as unit, bench and priors are the same: one more word then costs one reading.
class Comparer {
public:
    std::shared_ptr<const Retested> compare(const RetestQuestion& q) {
        auto answer = std::make_shared<Retested>();
        for (const auto& check : q.job.checks) {
            for (const auto& fault : model::check_readings(model::air_check(check), *q.map, "the job's readings")) {
                if (fault.severity != model::Severity::error) continue;
                answer->trouble =
                    model::phrase("{0}: {1}: {2}", model::phrase("the job's readings"), fault.what, fault.right);
                return answer;
            }
        }
        if (!weigher_ || q.map != map_ || !(q.bench == bench_) || !(q.priors == priors_)) {
            weigher_.emplace(*q.map, q.bench, q.priors);
            map_ = q.map;
            bench_ = q.bench;
            priors_ = q.priors;
        }
        answer->retest = diagnosis::retest(*weigher_, q.job);
        return answer;
    }

private:
    std::optional<suspects::Weigher> weigher_;
    std::shared_ptr<const model::UnitMap> map_;
    model::AirBench bench_;
    model::Priors priors_;
};

std::shared_ptr<const FullCheck> full_check_of(const FullCheckQuestion& q) {
    suspects::Tables tables(*q.map, q.bench);
    const auto coverage = suspects::cover(tables, diagnosis::airflow::usual_gauge_pa(*q.map, q.bench));
    auto answer = std::make_shared<FullCheck>();
    answer->shortest = coverage.shortest.size();
    answer->order.reserve(q.map->ports.size());
    for (const int port : coverage.shortest)
        answer->order.push_back(static_cast<std::size_t>(port));
    for (std::size_t port = 0; port < q.map->ports.size(); ++port) {
        const auto end = answer->order.begin() + static_cast<std::ptrdiff_t>(answer->shortest);
        if (std::find(answer->order.begin(), end, port) == end) answer->order.push_back(port);
    }
    return answer;
}

} // namespace

SideDesks::SideDesks(bool threaded, std::function<void()> wake)
    : retest([comparer = std::make_shared<Comparer>()](const RetestQuestion& question, const auto& put,
                                                       const auto&) { put(comparer->compare(question)); },
             threaded, wake),
      full_check([](const FullCheckQuestion& question, const auto& put, const auto&) { put(full_check_of(question)); },
                 threaded, wake) {}

} // namespace ringland::viewer
