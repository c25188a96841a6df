#include "road_json.h"

#include <algorithm>

#include <nlohmann/json.hpp>

namespace ringland::diagnosis::road {

namespace {

using Json = nlohmann::ordered_json;

double psi(double pa) { return pa / model::psi(1).si(); }

template <class List> Json ids(const List& things, const std::vector<std::size_t>& which) {
    Json list = Json::array();
    for (const std::size_t i : which)
        list.push_back(things[i].id);
    return list;
}
template <class Value> Json or_null(const std::optional<Value>& value) { return value ? Json(*value) : Json(nullptr); }

Json range_or_null(const model::UnitMap& map, const std::optional<std::size_t>& range) {
    return range ? Json(map.ranges[*range].id) : Json(nullptr);
}

Json effect_json(const model::UnitMap& map, const Effect& effect) {
    return {{"symptom", model::word(effect.symptom)},
            {"elements", ids(map.elements, effect.elements)},
            {"burns", ids(map.elements, effect.burns)},
            {"ratio", or_null(effect.ratio)},
            {"feels_like", range_or_null(map, effect.feels_like)},
            {"sure", model::word(effect.sure)},
            {"oil", model::word(effect.oil)},
            {"idle_only", effect.idle_only},
            {"reason", effect.reason}};
}

Json range_json(const model::UnitMap& map, const RangeOnRoad& range) {
    Json elements = Json::array(), effects = Json::array();
    for (const auto& e : range.elements) {
        elements.push_back({{"id", map.elements[e.element].id},
                            {"commanded", e.commanded},
                            {"doing", model::word(e.doing)},
                            {"clamp_share", e.clamp_share},
                            {"clamp_share_slot", e.clamp_share_slot},
                            {"needed_share", e.commanded ? Json(e.needed_share) : Json(nullptr)},
                            {"apply_psi", psi(e.apply_pa)},
                            {"spring_psi", psi(e.spring_pa)},
                            {"turns_across", e.turns_across}});
    }
    for (const auto& effect : range.effects)
        effects.push_back(effect_json(map, effect));
    return {{"range", map.ranges[range.range].id},
            {"name", map.ranges[range.range].name},
            {"exposure", model::word(range.exposure)},
            {"ratio", or_null(range.ratio)},
            {"words", range.words},
            {"effects", std::move(effects)},
            {"elements", std::move(elements)},
            {"leak_lpm", range.leak_lpm},
            {"leak_lpm_slot", range.leak_lpm_slot},
            {"pump_share", range.pump_share},
            {"line_psi", psi(range.line_pa)},
            {"line_held", range.line_held}};
}

Json verdict_json(const Verdict& verdict) {
    if (!verdict.known) return nullptr;
    Json grounds = Json::array();
    for (const auto& ground : verdict.grounds)
        grounds.push_back({{"words", ground.words}, {"speaks_for", model::word(ground.speaks_for)}});
    const Figures& f = verdict.figures;
    return {{"advice", model::word(verdict.advice)}, {"words", advice_words(verdict.advice)},
            {"grounds", std::move(grounds)},         {"ranges_affected", f.ranges_affected},
            {"ranges_serious", f.ranges_serious},    {"clamp_share", f.clamp_share},
            {"spring_share", f.spring_share},        {"pump_share", f.pump_share}};
}

Json unit_json(const model::UnitMap& map) { return {{"unit", map.unit.id}, {"invented", map.unit.invented}}; }

std::string dumped(const Json& json) { return json.dump(2, ' ', false, Json::error_handler_t::replace); }

} // namespace

std::string to_json(const model::UnitMap& map, const std::vector<RoadAnswer>& answers,
                    const std::vector<BorderStep>& borders) {
    const RoadAnswer& first = answers.front();
    Json json = unit_json(map);
    json["converged"] = std::all_of(answers.begin(), answers.end(), [](const auto& a) { return a.converged; });
    json["seal"] = map.seals[first.leak.seal].id;
    json["between"] = ids(map.circuits, {first.circuits[0], first.circuits[1]});
    json["affected"] = ids(map.ranges, first.affected);
    json["masked"] = ids(map.ranges, first.masked);
    json["holes"] = Json::array();
    for (const RoadAnswer& answer : answers) {
        Json ranges = Json::array();
        for (const auto& range : answer.ranges)
            ranges.push_back(range_json(map, range));
        json["holes"].push_back({{"hole_mm", answer.leak.hole_mm},
                                 {"complaint", answer.complaint},
                                 {"verdict", verdict_json(answer.verdict)},
                                 {"ranges", std::move(ranges)}});
    }
    json["borders"] = Json::array();
    for (const auto& step : borders)
        json["borders"].push_back(
            {{"from", model::word(step.from)}, {"to", model::word(step.to)}, {"hole_mm", step.hole_mm}});
    json["oil"] = first.oil;
    json["missing"] = first.missing;
    json["assumed"] = first.assumed;
    json["warnings"] = first.warnings;
    return dumped(json);
}

std::string to_json(const model::UnitMap& map, const std::vector<model::Complaint>& complaints,
                    const ComplaintAnswer& answer) {
    Json json = unit_json(map);
    json["complaints"] = Json::array();
    for (const auto& c : complaints)
        json["complaints"].push_back({{"range", c.range},
                                      {"symptom", model::word(c.symptom)},
                                      {"absent", c.absent},
                                      {"hot_only", c.hot_only},
                                      {"starts_in", c.starts_in},
                                      {"words", complaint_words(map, c)}});
    json["suspects"] = Json::array();
    for (const auto& s : answer.suspects)
        json["suspects"].push_back({{"seal", map.seals[s.seal].id},
                                    {"probability", s.probability},
                                    {"hole_mm", s.hole_mm},
                                    {"fits", s.told.fits},
                                    {"against", s.told.against}});
    json["other_seals"] = answer.other_seals;
    json["no_seal"] = answer.no_seal;
    json["tests"] = Json::array();
    for (const auto& t : answer.tests) {
        Json watch = Json::array();
        for (const int port : t.watch)
            watch.push_back(port < 0 ? "case" : map.ports[static_cast<std::size_t>(port)].id);
        json["tests"].push_back({{"into", map.ports[static_cast<std::size_t>(t.into)].id},
                                 {"watch", std::move(watch)},
                                 {"seals", ids(map.seals, t.seals)},
                                 {"probability", t.probability}});
    }
    json["missing"] = answer.missing;
    json["assumed"] = answer.assumed;
    return dumped(json);
}

} // namespace ringland::diagnosis::road
