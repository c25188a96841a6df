#include "plan_json.h"

#include <nlohmann/json.hpp>

namespace ringland::diagnosis::plan {

namespace {

using Json = nlohmann::ordered_json;

/// The ids of things by their places in a list of the map.
template <class Thing> Json ids(const std::vector<Thing>& list, const std::vector<std::size_t>& places) {
    Json json = Json::array();
    for (const std::size_t p : places)
        json.push_back(list[p].id);
    return json;
}

template <class Figure> Json or_null(const std::optional<Figure>& figure) {
    return figure ? Json(*figure) : Json(nullptr);
}
Json mm_or_null(const std::optional<double>& metres) { return metres ? Json(*metres * 1e3) : Json(nullptr); }
double psi_of(double pa) { return pa / model::psi(1).si(); }

Json step_json(const model::UnitMap& map, const Step& step) {
    return {{"part", map.parts[step.part].id},
            {"name", part_name(map, step.part)},
            {"minutes", or_null(step.minutes)},
            {"minutes_so_far", step.minutes_so_far},
            {"tools", step.tools},
            {"caution", step.caution},
            {"uncovers", ids(map.seals, step.uncovers)},
            {"disturbs", ids(map.seals, step.disturbs)}};
}

Json search_json(const model::UnitMap& map, const SearchOrder& search) {
    Json steps = Json::array();
    for (const auto& step : search.steps)
        steps.push_back({{"kind", step.kind == SearchStep::Kind::look ? "look" : "pull"},
                         {"seals", ids(map.seals, step.seals)},
                         {"parts", ids(map.parts, step.parts)},
                         {"minutes", step.minutes},
                         {"minutes_so_far", step.minutes_so_far},
                         {"finds", step.finds},
                         {"found_so_far", step.found_so_far}});
    return {{"steps", std::move(steps)},
            {"expected_minutes", search.expected_minutes},
            {"worst_minutes", search.worst_minutes},
            {"exact", search.exact},
            {"at_least_minutes", search.at_least_minutes},
            {"untimed", ids(map.parts, search.untimed)},
            {"unplaced", ids(map.seals, search.unplaced)}};
}

Json line_json(const model::UnitMap& map, const PartLine& line, bool stock_known) {
    Json json{{"name", line.name},   {"part_number", line.part_number},     {"quantity", line.quantity},
              {"extra", line.extra}, {"seals", ids(map.seals, line.seals)}, {"spares", ids(map.spares, line.spares)},
              {"asked", line.asked}};
    if (!stock_known) return json;
    json["in_stock"] = or_null(line.in_stock);
    json["short_by"] = line.short_by;
    json["place"] = line.place;
    return json;
}

Json parts_json(const model::UnitMap& map, const PartsList& parts) {
    Json kits = Json::array();
    for (const auto& group : parts.kits) {
        Json lines = Json::array();
        for (const auto& line : group.lines)
            lines.push_back(line_json(map, line, parts.stock_known));
        Json kit{{"kit", group.kit}, {"lines", std::move(lines)}};
        if (parts.stock_known) kit["in_stock"] = or_null(group.in_stock);
        kits.push_back(std::move(kit));
    }
    return kits;
}

Json back_json(const model::UnitMap& map, const BackStep& step) {
    Json notes = Json::array();
    for (const auto& note : step.notes)
        notes.push_back({{"seals", ids(map.seals, note.seals)}, {"words", note.words}, {"of_map", note.of_map}});
    return {{"part", map.parts[step.part].id},
            {"seals", ids(map.seals, step.seals)},
            {"notes", std::move(notes)},
            {"caution", step.caution},
            {"measure", ids(map.clearances, step.clearances)}};
}

Json proof_json(const model::UnitMap& map, const Proof& proof) {
    Json readings = Json::array();
    for (const auto& reading : proof.readings) {
        Json at = Json::array();
        for (const auto& seen : reading.expected.at)
            at.push_back({{"at", map.ports[static_cast<std::size_t>(seen.port)].id},
                          {"word", model::word(seen.word)},
                          {"by_design", !seen.by_design.empty()}});
        at.push_back({{"at", model::open_case},
                      {"word", model::word(reading.expected.case_word)},
                      {"by_design", !reading.expected.case_by_design.empty()}});
        readings.push_back({{"into", map.ports[static_cast<std::size_t>(reading.into)].id},
                            {"proves", ids(map.seals, reading.proves)},
                            {"expected", std::move(at)}});
    }
    Json unproved = Json::array();
    for (const auto& seal : proof.unproved)
        unproved.push_back({{"seal", map.seals[seal.seal].id}, {"why", seal.why}});
    return {{"pressure_psi", psi_of(proof.supply_gauge_pa)},
            {"reference_mm", proof.reference_mm},
            {"readings", std::move(readings)},
            {"unproved", std::move(unproved)},
            {"converged", proof.converged}};
}

Json selective_json(const Selective& selective) {
    Json choices = Json::array();
    for (const auto& choice : selective.choices)
        choices.push_back(
            {{"size_mm", choice.size_m * 1e3}, {"clearance_mm", choice.clearance_m * 1e3}, {"within", choice.within}});
    return {{"thicker_from_mm", mm_or_null(selective.thicker_from_m)},
            {"thicker_to_mm", mm_or_null(selective.thicker_to_m)},
            {"choices", std::move(choices)},
            {"best_mm", selective.best ? Json(selective.choices[*selective.best].size_m * 1e3) : Json(nullptr)}};
}

std::string dumped(const Json& json) { return json.dump(2, ' ', false, Json::error_handler_t::replace); }

} // namespace

std::string to_json(const model::UnitMap& map, const PlanAnswer& answer) {
    const Teardown& teardown = answer.teardown;
    Json json{{"unit", map.unit.name},
              {"invented", map.unit.invented},
              {"seals", ids(map.seals, teardown.seals)},
              {"minutes", teardown.minutes},
              {"minutes_complete", teardown.untimed.empty()},
              {"least", teardown.least}};
    auto& steps = json["steps"] = Json::array();
    for (const auto& step : teardown.steps)
        steps.push_back(step_json(map, step));
    auto& renews = json["renews"] = Json::array();
    for (const auto& renewed : teardown.renews)
        renews.push_back({{"seal", map.seals[renewed.seal].id},
                          {"why", word(renewed.why)},
                          {"at", renewed.step ? map.parts[teardown.steps[*renewed.step].part].id : ""}});
    json["search"] = answer.search ? search_json(map, *answer.search) : Json(nullptr);
    json["parts"] = parts_json(map, answer.parts);
    auto& measures = json["measures"] = Json::array();
    for (const auto& measure : answer.measures)
        measures.push_back({{"clearance", map.clearances[measure.clearance].id},
                            {"at", map.parts[teardown.steps[measure.step].part].id},
                            {"before", measure.before},
                            {"open", measure.open},
                            {"after", measure.after}});
    auto& back = json["back"] = Json::array();
    for (const auto& step : answer.back)
        back.push_back(back_json(map, step));
    json["retest"] = answer.proof ? proof_json(map, *answer.proof) : Json(nullptr);
    json["cautions"] = answer.cautions;
    json["missing"] = teardown.missing;
    return dumped(json);
}

std::string to_json(const model::UnitMap& map, const MeasureAnswer& answer) {
    const auto& clearance = map.clearances[answer.clearance];
    Json json{{"unit", map.unit.name},
              {"invented", map.unit.invented},
              {"clearance", clearance.id},
              {"name", clearance.name},
              {"kind", model::word(answer.kind)},
              {"lower_mm", clearance.lower ? Json(model::in_mm(*clearance.lower)) : Json(nullptr)},
              {"upper_mm", clearance.upper ? Json(model::in_mm(*clearance.upper)) : Json(nullptr)},
              {"verdict", model::word(answer.verdict)},
              {"words", answer.verdict_words}};
    json["selective"] = answer.selective ? selective_json(*answer.selective) : Json(nullptr);
    json["grind_from_mm"] = mm_or_null(answer.grind_from_m);
    json["grind_to_mm"] = mm_or_null(answer.grind_to_m);
    json["leak"] = nullptr;
    if (answer.leak)
        json["leak"] = {{"seal", map.seals[answer.leak->seal].id},
                        {"air_lpm", answer.leak->air_lpm},
                        {"pressure_psi", psi_of(answer.leak->supply_gauge_pa)},
                        {"word", model::word(answer.leak->word)},
                        {"oil_lpm", answer.leak->oil_lpm},
                        {"line_psi", psi_of(answer.leak->line_pa)},
                        {"how", answer.leak->how}};
    json["advice"] = answer.advice;
    json["formula"] = answer.formula;
    json["missing"] = answer.missing;
    return dumped(json);
}

} // namespace ringland::diagnosis::plan
