#include "weigh_json.h"

#include <array>

#include <nlohmann/json.hpp>

#include "../divide.h"
#include "ids_json.h"

namespace ringland::diagnosis::suspects {

namespace {

using Json = nlohmann::ordered_json;

std::string_view kind_word(NextStep::Kind kind) {
    static constexpr std::array<std::string_view, 9> words{"listen", "gauge",  "timed", "wet", "turn",
                                                           "push",   "resnug", "rig",   "look"};
    return words[static_cast<std::size_t>(kind)];
}

Json ports_json(const model::UnitMap& map, const std::vector<int>& ports) {
    Json ids = Json::array();
    for (const int p : ports)
        ids.push_back(map.ports[static_cast<std::size_t>(p)].id);
    return ids;
}

/// Where a seal sits, in the words and the fields of `divide`.
Json place_json(const model::UnitMap& map, const model::Seal& seal) {
    Divider divider;
    divider.seal = seal.id;
    divider.name = seal.name;
    divider.kind = seal.kind;
    divider.relation = seal.relation;
    divider.position = stack_position(map, seal);
    Json json{{"id", seal.id},
              {"name", headline(map, divider)},
              {"kind", model::word(seal.kind)},
              {"relation", model::word(seal.relation)}};
    if (!divider.position) return json;
    json["stack"] = divider.position->stack;
    json["seals_in_stack"] = divider.position->count;
    json["nth_from_first_end"] = divider.position->nth_from_first_end;
    json["first_end"] = divider.position->first_end;
    json["nth_from_second_end"] = divider.position->nth_from_second_end;
    json["second_end"] = divider.position->second_end;
    return json;
}

Json suspect_json(const model::UnitMap& map, const SaidSuspect& said) {
    const Suspect& suspect = said.suspect;
    Json json{{"seals", ids_json(map, suspect.seals)},
              {"probability", suspect.probability},
              {"hole_mm", suspect.hole_mm},
              {"hole_mm_low", suspect.hole_mm_low},
              {"hole_mm_high", suspect.hole_mm_high},
              {"second_hole_mm", said.second_hole_mm ? Json(*said.second_hole_mm) : Json(nullptr)},
              {"for", said.reasons.for_it},
              {"against", said.reasons.against_it}};
    // Of a pair the mechanisms are not told apart.
    Json mechanism = Json::object();
    const auto words = model::words_of<model::Mechanism>();
    for (std::size_t m = 0; m < model::mechanism_count && suspect.seals.size() == 1; ++m) {
        if (suspect.mechanism[m] > 0) mechanism[std::string(words[m])] = suspect.mechanism[m];
    }
    json["mechanism"] = std::move(mechanism);
    auto& places = json["places"] = Json::array();
    for (const std::size_t s : suspect.seals)
        places.push_back(place_json(map, map.seals[s]));
    return json;
}

Json pull_json(const model::UnitMap& map, const Pull& pull) {
    Json parts = Json::array();
    for (const std::size_t p : pull.group.parts)
        parts.push_back(map.parts[p].id);
    return {{"seals", ids_json(map, pull.group.seals)},
            {"probability", pull.probability},
            {"parts", std::move(parts)},
            {"minutes", pull.group.minutes},
            {"minutes_complete", pull.minutes_complete},
            {"words", pull.words}};
}

Json step_json(const model::UnitMap& map, const NextStep& step) {
    const bool air = step.into >= 0;
    return {{"into", air ? map.ports[static_cast<std::size_t>(step.into)].id : ""},
            {"pressure_psi", air ? Json(step.supply_gauge_pa / model::psi(1).si()) : Json(nullptr)},
            {"plugged", ports_json(map, step.plugged)},
            {"watch", ports_json(map, step.watch)},
            {"bits", step.bits},
            {"minutes", step.minutes},
            {"kind", kind_word(step.kind)},
            {"seal", step.seal >= 0 ? map.seals[static_cast<std::size_t>(step.seal)].id : ""},
            {"words", step.words}};
}

Json worst_json(const std::optional<WorstFit>& worst) {
    if (!worst) return nullptr;
    return {{"reading", worst->reading + 1}, {"seen", worst->seen + 1}, {"surprise_bits", worst->surprise}};
}

} // namespace

std::string to_json(const model::UnitMap& map, const Answer& answer) {
    const Weighing& w = answer.weighing;
    Json json{{"unit", map.unit.name},
              {"invented", map.unit.invented},
              {"readings", answer.readings},
              {"looks", answer.looks},
              {"converged", answer.converged}};
    auto& suspects = json["suspects"] = Json::array();
    for (const auto& said : answer.suspects)
        suspects.push_back(suspect_json(map, said));
    json["nothing_wrong"] = w.nothing_wrong;
    json["rig"] = w.rig;
    json["unexplained"] = w.unmapped;
    auto& chances = json["seal_probability"] = Json::object();
    for (std::size_t s = 0; s < map.seals.size(); ++s)
        chances[map.seals[s].id] = w.seal_probability[s];
    auto& groups = json["groups"] = Json::array();
    for (const Pull& pull : answer.pulls)
        groups.push_back(pull_json(map, pull));
    auto& alike = json["look_alikes"] = Json::array();
    for (const auto& group : answer.look_alikes)
        alike.push_back(ids_json(map, group));
    json["contradiction"] = w.contradiction;
    json["worst_fit"] = worst_json(w.worst);
    auto& next = json["next"] = Json::array();
    for (const auto& step : answer.advice.steps)
        next.push_back(step_json(map, step));
    json["next_about"] = answer.advice.second ? "second fault" : "first part";
    json["entropy_bits"] = answer.advice.entropy_bits;
    json["stop"] = word(answer.stop);
    json["stop_words"] = answer.stop_words;
    json["enough_at"] = answer.enough_at;
    return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

} // namespace ringland::diagnosis::suspects
