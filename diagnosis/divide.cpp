#include "divide.h"

#include <algorithm>
#include <array>
#include <cassert>

#include "ways_round.h"

namespace ringland::diagnosis {

namespace {

using model::Relation;
using model::Seal;
using model::UnitMap;

bool divides(const Seal& seal, const std::string& a, const std::string& b) {
    return (seal.between[0] == a && seal.between[1] == b) || (seal.between[0] == b && seal.between[1] == a);
}

Divider make_divider(const UnitMap& map, const Seal& seal, const std::string& from) {
    Divider divider;
    divider.seal = seal.id;
    divider.name = seal.name;
    divider.kind = seal.kind;
    divider.relation = seal.relation;
    // Without `faces` the map does not say which way it leaks, so it is taken like a ring: suspect in both directions.
    const bool directional = seal.kind == model::SealKind::lip || seal.kind == model::SealKind::check_ball;
    divider.one_way = directional && !seal.faces.empty();
    divider.against_it = !divider.one_way || seal.faces == from;
    divider.position = stack_position(map, seal);
    return divider;
}

std::vector<Divider> dividers_between(const UnitMap& map, const std::string& from, const std::string& to) {
    std::vector<Divider> found;
    for (const Relation relation : {Relation::stack, Relation::face, Relation::shaft, Relation::drum}) {
        for (const auto& seal : map.seals) {
            if (seal.relation == relation && divides(seal, from, to)) found.push_back(make_divider(map, seal, from));
        }
    }
    return found;
}

std::vector<DesignPassage> design_between(const UnitMap& map, const std::string& from, const std::string& to) {
    std::vector<DesignPassage> found;
    for (const Direction direction : {Direction::asked, Direction::reverse}) {
        const auto& source = direction == Direction::asked ? from : to;
        const auto& target = direction == Direction::asked ? to : from;
        for (const auto& flow : map.by_design) {
            const bool along = flow.from == source && flow.to == target;
            const bool back = !flow.one_way && flow.from == target && flow.to == source;
            if (along || back) found.push_back({direction, flow.id, flow.reason});
        }
    }
    return found;
}

} // namespace

DivideAnswer divide_circuits(const UnitMap& map, const std::string& from, const std::string& to) {
    DivideAnswer answer;
    answer.from.circuit = from;
    answer.to.circuit = to;
    answer.same_circuit = from == to;
    if (answer.same_circuit) return answer;
    answer.seals = dividers_between(map, from, to);
    answer.by_design = design_between(map, from, to);
    if (answer.seals.empty()) {
        auto ways = ways_round(map, from, to);
        answer.ways_round = std::move(ways.ways);
        answer.ways_round_cut_off = ways.cut_off;
    }
    return answer;
}

DivideAnswer divide(const UnitMap& map, const std::string& from_port, const std::string& to_port) {
    const auto* from = model::find(map.ports, from_port);
    const auto* to = model::find(map.ports, to_port);
    assert(from != nullptr && to != nullptr);
    if (from == nullptr || to == nullptr) return {};
    auto answer = divide_circuits(map, from->circuit, to->circuit);
    answer.from.port = from_port;
    answer.to.port = to_port;
    return answer;
}

std::optional<StackPosition> stack_position(const UnitMap& map, const Seal& seal) {
    if (seal.relation != Relation::stack) return std::nullopt;
    const auto* stack = model::find(map.stacks, seal.stack);
    if (stack == nullptr) return std::nullopt;
    StackPosition position;
    position.stack = stack->id;
    position.stack_name = stack->name.empty() ? stack->id : stack->name;
    position.count = static_cast<int>(stack->circuits.size()) + 1;
    position.nth_from_first_end = seal.nth;
    position.first_end = stack->first_end;
    position.nth_from_second_end = position.count + 1 - seal.nth;
    position.second_end = stack->second_end;
    return position;
}

} // namespace ringland::diagnosis
