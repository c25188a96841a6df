#include "chart.h"

#include <algorithm>

namespace ringland::diagnosis::gears {

namespace {

bool names(const std::vector<std::string>& list, const std::string& id) {
    return std::find(list.begin(), list.end(), id) != list.end();
}

} // namespace

Chart::Chart(const model::UnitMap& map) {
    on_.reserve(map.ranges.size());
    elements_.reserve(map.ranges.size());
    for (const auto& range : map.ranges) {
        std::vector<bool> circuits(map.circuits.size(), false), elements(map.elements.size(), false);
        for (std::size_t c = 0; c < map.circuits.size(); ++c) {
            bool applies = false, all_on = true;
            for (const auto& element : map.elements) {
                if (!names(element.applied_by, map.circuits[c].id)) continue;
                applies = true;
                all_on = all_on && names(range.on, element.id);
            }
            circuits[c] = applies && all_on;
        }
        for (std::size_t e = 0; e < map.elements.size(); ++e) {
            const auto& element = map.elements[e];
            const bool on = names(range.on, element.id);
            elements[e] = on || element.kind == model::ElementKind::one_way_clutch;
            const auto fed = [&](const std::string& id) { return circuits[index_of(map.circuits, id)]; };
            if (!on || std::any_of(element.applied_by.begin(), element.applied_by.end(), fed)) continue;
            for (const auto& id : element.applied_by)
                circuits[index_of(map.circuits, id)] = true;
        }
        for (std::size_t e = 0; e < map.elements.size(); ++e) {
            for (const auto& id : map.elements[e].released_by)
                elements[e] = elements[e] && !circuits[index_of(map.circuits, id)];
        }
        on_.push_back(std::move(circuits));
        elements_.push_back(std::move(elements));
    }
}

Exposure Chart::exposure(std::size_t range, std::array<std::size_t, 2> circuits) const {
    const bool first = on_[range][circuits[0]], second = on_[range][circuits[1]];
    if (first && second) return Exposure::masked;
    if (first) return Exposure::first_alone;
    return second ? Exposure::second_alone : Exposure::neither;
}

std::vector<std::size_t> Chart::affected(std::array<std::size_t, 2> circuits) const {
    std::vector<std::size_t> list;
    for (std::size_t r = 0; r < ranges(); ++r) {
        const Exposure e = exposure(r, circuits);
        if (e == Exposure::first_alone || e == Exposure::second_alone) list.push_back(r);
    }
    return list;
}

std::vector<std::size_t> Chart::masked(std::array<std::size_t, 2> circuits) const {
    std::vector<std::size_t> list;
    for (std::size_t r = 0; r < ranges(); ++r) {
        if (exposure(r, circuits) == Exposure::masked) list.push_back(r);
    }
    return list;
}

std::array<std::size_t, 2> circuits_of(const model::UnitMap& map, const model::Seal& seal) {
    return {index_of(map.circuits, seal.between[0]), index_of(map.circuits, seal.between[1])};
}

} // namespace ringland::diagnosis::gears
