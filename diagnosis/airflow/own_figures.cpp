#include "own_figures.h"

#include <algorithm>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "seal_leak.h"

namespace ringland::diagnosis::airflow {

namespace {

void count(OwnShare& share, bool ours) {
    ++share.all;
    if (ours) ++share.ours;
}

/// The passages that lead from a port, as the network takes them: its own, else one of the circuit without a port.
bool passage_is_ours(const model::UnitMap& map, const model::Port& port) {
    const auto complete = [](const model::Passage& passage) { return passage.bore && passage.length; };
    bool any = false, whole = true;
    for (const auto& passage : map.passages) {
        if (passage.port != port.id || passage.circuit != port.circuit) continue;
        any = true;
        whole = whole && complete(passage);
    }
    if (any) return !whole;
    const auto shared = std::find_if(map.passages.begin(), map.passages.end(), [&](const model::Passage& passage) {
        return passage.circuit == port.circuit && passage.port.empty();
    });
    return shared == map.passages.end() || !complete(*shared);
}

/// A bleed ball that the first air seats leaves a seat of ours, whatever its hole.
bool hole_is_ours(const model::DesignFlow& flow) {
    return !flow.hole || (flow.kind == model::DesignFlowKind::check_ball && flow.to == model::sump_id);
}

} // namespace

OwnFigures own_figures(const model::UnitMap& map) {
    OwnFigures figures;
    for (const auto& seal : map.seals)
        count(figures.seals, !sound_seal(map, seal).from_map);
    for (const auto& port : map.ports)
        count(figures.passages, passage_is_ours(map, port));
    for (const auto& flow : map.by_design)
        count(figures.holes, hole_is_ours(flow));
    for (const auto& circuit : map.circuits) {
        if (circuit.id != model::sump_id) count(figures.volumes, !circuit.volume);
    }
    for (const auto& element : map.elements) {
        if (element.kind == model::ElementKind::one_way_clutch || element.applied_by.empty()) continue;
        const bool area = element.apply_area && (element.released_by.empty() || element.release_area);
        count(figures.pistons, !(area && element.stroke && element.return_spring));
    }
    return figures;
}

std::string own_figures_words(const OwnFigures& figures, bool in_time) {
    std::vector<std::string> list;
    const auto name = [&list](const OwnShare& share, std::string_view what) {
        if (share.ours > 0) list.push_back(fmt::format("{} of {} {}", share.ours, share.all, what));
    };
    name(figures.seals, "sound seals");
    name(figures.passages, "passages");
    name(figures.holes, "holes by design");
    if (in_time) {
        name(figures.volumes, "circuit volumes");
        name(figures.pistons, "pistons");
    }
    if (list.empty()) return "Every seal, passage and hole has figures of its own in the map.";
    return fmt::format("Defaults of the kind stand in for {}: common practice, no source; the maker's information "
                       "decides.",
                       fmt::join(list, ", "));
}

} // namespace ringland::diagnosis::airflow
