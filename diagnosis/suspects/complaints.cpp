// What the driver complained of before the unit came out: it moves the chance of each seal before a reading is weighed.
#include "weigh_impl.h"

namespace ringland::diagnosis::suspects {

void Weigher::Impl::hear(const std::vector<model::Complaint>& complaints) {
    if (complaints == told) return;
    told = complaints;
    told_log.clear();
    const model::UnitMap& map = tables.map();
    if (complaints.empty() || map.ranges.empty()) return;
    if (!road) {
        std::vector<double> sizes;
        sizes.reserve(size_count);
        for (std::size_t i = 0; i < size_count; ++i)
            sizes.push_back(size_mm(i));
        road.emplace(map, std::move(sizes));
    }
    const auto faults = tables.faults();
    told_log.reserve(faults.size() * size_count);
    for (const SealFault& fault : faults) {
        for (std::size_t i = 0; i < size_count; ++i)
            told_log.push_back(road->log_ratio(complaints, fault.seal, i, !fault.both_ways));
    }
}

} // namespace ringland::diagnosis::suspects
