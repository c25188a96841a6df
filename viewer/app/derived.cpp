#include "derived.h"

#include <algorithm>
#include <filesystem>

namespace ringland::viewer {

Derived derive(const Session& session) {
    Derived derived;
    const model::UnitMap& map = session.document.map;
    // Before any map is open there is nothing to lay out.
    if (map.ports.empty() && map.stacks.empty()) return derived;
    derived.layout = model::lay_out(map);
    const auto folder = std::filesystem::path(session.document.map_path).parent_path();
    derived.shapes = model::make_shapes(map, derived.layout, folder, derived.shape_faults);
    derived.unit_air.emplace(map, session.document.bench);
    derive_answer(derived, session);
    derive_air(derived, session, true);
    return derived;
}

double chance_of(const Derived& derived, const model::UnitMap& map, const std::string& seal) {
    if (!derived.weighed || derived.weighed->check.readings.empty()) return 0;
    for (std::size_t s = 0; s < map.seals.size(); ++s) {
        if (map.seals[s].id == seal) return derived.weighed->weighing.seal_probability[s];
    }
    return 0;
}

const model::Reading* current_reading(const Document& document) {
    const auto& readings = document.check.readings;
    return readings.empty() || readings.back().into != document.air_into ? nullptr : &readings.back();
}

const model::Seen* seen_at(const Document& document, const std::string& port) {
    const model::Reading* reading = current_reading(document);
    if (reading == nullptr) return nullptr;
    const auto found =
        std::find_if(reading->seen.begin(), reading->seen.end(), [&](const model::Seen& s) { return s.at == port; });
    return found == reading->seen.end() ? nullptr : &*found;
}

std::optional<model::Heard> seen_word(const Document& document) {
    const model::Seen* seen = document.came_out.empty() ? nullptr : seen_at(document, document.came_out);
    return seen == nullptr ? std::nullopt : seen->word;
}

void derive_answer(Derived& derived, const Session& session) {
    derived.answer.reset();
    derived.suspect.clear();
    derived.air.reset();
    const Document& document = session.document;
    if (!model::find(document.map.ports, document.air_into) || !model::find(document.map.ports, document.came_out))
        return;

    derived.answer = diagnosis::divide(document.map, document.air_into, document.came_out);
    const auto& seals = derived.answer->seals;
    if (seals.empty()) return;
    const bool chosen =
        std::any_of(seals.begin(), seals.end(), [&](const auto& d) { return d.seal == session.view.suspect; });
    derived.suspect = chosen ? session.view.suspect : seals.front().seal;
    derived.air = model::air_path(document.map, derived.layout, document.air_into, document.came_out, derived.suspect);
}

} // namespace ringland::viewer
