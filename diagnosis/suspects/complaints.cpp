// What the driver complained of before the unit came out: it moves the chance of each seal before a reading is weighed.
#include <cmath>

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
            told_log.push_back(road->log_ratio(complaints, fault.seal, i, fault.both_ways));
    }
}

road::Told Weigher::told(const std::vector<model::Complaint>& complaints, const Suspect& suspect, bool metric,
                         double least, const model::Translator& tr) {
    road::Told list;
    if (suspect.seals.size() != 1 || !impl_->road) return list;
    const std::size_t seal = suspect.seals.front(), size = nearest_size(suspect.hole_mm);
    impl_->road->speak(tr);
    const road::Leak leak{seal, suspect.hole_mm, !leaks_one_way(suspect)};
    for (const auto& complaint : complaints) {
        const double log = impl_->road->log_ratio({complaint}, seal, size, leak.both_ways);
        if (std::abs(log) < least) continue;
        road::Told one = impl_->road->told({complaint}, leak, metric);
        auto& lines = log > 0 ? list.fits : list.against;
        for (auto* said : {&one.fits, &one.against})
            lines.insert(lines.end(), said->begin(), said->end());
    }
    return list;
}

} // namespace ringland::diagnosis::suspects
