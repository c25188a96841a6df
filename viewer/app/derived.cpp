#include "derived.h"

#include <algorithm>
#include <filesystem>

namespace ringland::viewer {

CircuitColour circuit_look(const Derived& derived, const model::UnitMap& map, std::string_view circuit) {
    for (std::size_t i = 0; i < map.circuits.size() && i < derived.circuit_looks.size(); ++i) {
        if (map.circuits[i].id == circuit) return derived.circuit_looks[i];
    }
    return circuit_colour(map, circuit);
}

double taken_at(const Taking& taking, double now_s) {
    if (!in_motion(taking, now_s)) return taking.to;
    const double t = std::clamp((now_s - taking.start_s) / taking.duration_s, 0.0, 1.0);
    return taking.from + (taking.to - taking.from) * t;
}

bool in_motion(const Taking& taking, double now_s) {
    return taking.duration_s > 0 && now_s < taking.start_s + taking.duration_s;
}

Apartness apartness(const Session& session, const Derived& derived, std::optional<double> now_s) {
    const View& view = session.view;
    if (view.apart > 0) return Apartness::of_all(view.apart);
    const double done = now_s ? taken_at(view.taking, *now_s) : view.taking.to;
    if (done <= 0) return {};
    return Apartness::of_steps(derived.explosion, derived.way_in.parts, derived.way_in.rings, done);
}

Derived derive(const Session& session) {
    Derived derived;
    derived.circuit_looks = circuit_colours(session.document.map);
    const model::UnitMap& map = session.document.map;
    // Before any map is open there is nothing to lay out.
    if (map.ports.empty() && map.stacks.empty()) return derived;
    derived.layout = model::lay_out(map);
    const auto folder = std::filesystem::path(session.document.map_path).parent_path();
    derived.shapes = model::make_shapes(map, derived.layout, folder, derived.shape_faults);
    derived.explosion = plan_explosion(map, derived.layout, derived.shapes);
    derived.unit_air.emplace(map, session.document.bench);
    derive_answer(derived, session);
    derive_air(derived, session, true);
    return derived;
}

double chance_of(const Derived& derived, const model::UnitMap& map, const std::string& seal) {
    if (!derived.weighed || (derived.weighed->check.readings.empty() && derived.weighed->check.complaints.empty()))
        return 0;
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

std::string traced_circuit(const model::UnitMap& map, const model::Subject& subject) {
    if (subject.kind == model::SubjectKind::circuit) return subject.id;
    const auto* port = subject.kind == model::SubjectKind::port ? model::find(map.ports, subject.id) : nullptr;
    return port == nullptr ? std::string() : port->circuit;
}

std::vector<std::string> circuits_of(const Session& session, const Derived& derived) {
    const model::UnitMap& map = session.document.map;
    std::vector<std::string> found;
    const auto add = [&](const std::string& circuit) {
        if (circuit != model::sump_id && model::find(map.circuits, circuit) != nullptr &&
            std::find(found.begin(), found.end(), circuit) == found.end())
            found.push_back(circuit);
    };
    const auto add_seal = [&](const std::string& id) {
        if (const auto* seal = model::find(map.seals, id)) {
            add(seal->between[0]);
            add(seal->between[1]);
        }
    };
    const auto add_port = [&](const std::string& id) {
        if (const auto* port = model::find(map.ports, id)) add(port->circuit);
    };
    const model::Subject& selected = session.view.selected;
    if (selected.kind == model::SubjectKind::circuit) add(selected.id);
    if (selected.kind == model::SubjectKind::port) add_port(selected.id);
    if (selected.kind == model::SubjectKind::seal) add_seal(selected.id);
    if (found.empty()) add_seal(derived.suspect);
    if (found.empty()) {
        add_port(session.document.air_into);
        add_port(session.document.came_out);
    }
    return found;
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
