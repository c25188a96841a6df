#include "plan.h"

#include <algorithm>

namespace ringland::diagnosis::plan {

namespace {

/// The seals that the plan is for, in the order in which the search reaches them.
std::vector<std::size_t> in_search_order(const SearchOrder& search, const std::vector<double>& chance,
                                         const std::vector<std::size_t>& asked) {
    std::vector<std::size_t> order;
    const auto add = [&](std::size_t seal) {
        const bool wanted =
            asked.empty() ? chance[seal] >= planned_from : std::find(asked.begin(), asked.end(), seal) != asked.end();
        if (wanted && std::find(order.begin(), order.end(), seal) == order.end()) order.push_back(seal);
    };
    for (const auto& step : search.steps) {
        if (step.kind != SearchStep::Kind::pull) continue;
        for (const std::size_t seal : step.seals)
            add(seal);
    }
    // What is only looked at, or not reached at all.
    for (std::size_t seal = 0; seal < chance.size(); ++seal)
        add(seal);
    return order;
}

} // namespace

PlanAnswer plan(const model::UnitMap& map, const PlanQuestion& question) {
    PlanAnswer answer;
    Target target{question.seals, question.parts, false};
    if (!question.chance.empty()) {
        std::vector<double> chance = question.chance;
        chance.resize(map.seals.size(), 0);
        for (std::size_t s = 0; s < chance.size(); ++s) {
            const bool asked = question.seals.empty() ||
                               std::find(question.seals.begin(), question.seals.end(), s) != question.seals.end();
            if (!asked || chance[s] < least_chance) chance[s] = 0;
        }
        answer.search = search_order(map, chance, question.look_misses);
        target.seals = in_search_order(*answer.search, chance, question.seals);
        target.in_this_order = true;
    }
    answer.teardown = tear_down(map, target, question.tr);
    answer.parts = parts_list(map, answer.teardown, question.stock, question.tr);
    answer.measures = measures(map, answer.teardown);
    for (const Measure& measure : answer.measures)
        answer.teardown.steps[measure.step].clearances.push_back(measure.clearance);
    answer.back = way_back(map, answer.teardown, answer.measures, question.tr);
    answer.cautions = general_cautions(map, answer.teardown, question.tr);
    return answer;
}

PlanAnswer plan(const model::UnitMap& map, const PlanQuestion& question, const model::AirBench& bench) {
    PlanAnswer answer = plan(map, question);
    std::vector<std::size_t> seals;
    seals.reserve(answer.teardown.renews.size());
    for (const auto& renewed : answer.teardown.renews)
        seals.push_back(renewed.seal);
    answer.proof = prove(map, bench, seals, question.tr);
    return answer;
}

} // namespace ringland::diagnosis::plan
