// Small maps for tests, made in memory: only what the graph of circuits and seals needs.
#pragma once

#include <array>
#include <cstdint>
#include <random>
#include <string>
#include <vector>

#include "../../model-data/unit_map.h"

namespace ringland::tests {

/// Numbers that are the same on every platform (the standard's distributions are not).
class Dice {
public:
    explicit Dice(std::uint64_t seed) : engine_(seed) {}
    /// 0 <= result < below
    std::size_t under(std::size_t below) { return static_cast<std::size_t>(engine_() % below); }
    bool one_in(std::size_t n) { return under(n) == 0; }

private:
    std::mt19937_64 engine_;
};

/// A map that grows by circuits, stacks, seals and flows.
class MapMaker {
public:
    MapMaker() { map_.circuits.push_back(sump()); }

    std::string circuit(const std::string& id) {
        model::Circuit circuit;
        circuit.id = id;
        circuit.name = "Circuit " + id;
        map_.circuits.push_back(circuit);
        model::Port port;
        port.id = "P" + std::to_string(map_.ports.size() + 1);
        port.circuit = id;
        map_.ports.push_back(port);
        return id;
    }

    /// Seals are named after the stack and their place in it: "s1".."sN+1" for stack "s".
    void stack(const std::string& id, const std::vector<std::string>& circuits,
               const std::array<std::string, 2>& outside = {"sump", "sump"}) {
        model::Stack stack;
        stack.id = id;
        stack.name = "Shaft " + id;
        stack.first_end = "pump end";
        stack.second_end = "drum end";
        stack.circuits = circuits;
        stack.outside = outside;
        for (std::size_t i = 0; i <= circuits.size(); ++i) {
            model::Seal seal;
            seal.id = id + std::to_string(i + 1);
            seal.relation = model::Relation::stack;
            seal.between = {i == 0 ? outside[0] : circuits[i - 1], i == circuits.size() ? outside[1] : circuits[i]};
            seal.stack = id;
            seal.nth = static_cast<int>(i + 1);
            stack.seals.push_back(seal.id);
            map_.seals.push_back(seal);
        }
        map_.stacks.push_back(stack);
    }

    model::Seal& seal(const std::string& id, model::SealKind kind, model::Relation relation, const std::string& a,
                      const std::string& b) {
        model::Seal seal;
        seal.id = id;
        seal.kind = kind;
        seal.relation = relation;
        seal.between = {a, b};
        map_.seals.push_back(seal);
        return map_.seals.back();
    }

    void flow(const std::string& id, const std::string& from, const std::string& to, bool one_way) {
        model::DesignFlow flow;
        flow.id = id;
        flow.from = from;
        flow.to = to;
        flow.one_way = one_way;
        flow.reason = "reason of " + id;
        map_.by_design.push_back(flow);
    }

    [[nodiscard]] const model::UnitMap& map() const { return map_; }
    [[nodiscard]] model::UnitMap& map() { return map_; }

private:
    static model::Circuit sump() {
        model::Circuit circuit;
        circuit.id = "sump";
        circuit.name = "Sump";
        circuit.kind = model::CircuitKind::sump;
        circuit.no_port = true;
        return circuit;
    }
    model::UnitMap map_;
};

/// A random graph: some stacks over shared circuits, seals of the other relations, flows by design.
inline model::UnitMap random_graph(Dice& dice, std::size_t circuits, std::size_t most_loose_seals) {
    static constexpr std::array<model::SealKind, 4> kinds{model::SealKind::gasket_bridge, model::SealKind::tube,
                                                          model::SealKind::lip, model::SealKind::check_ball};
    static constexpr std::array<model::Relation, 4> relations{model::Relation::face, model::Relation::shaft,
                                                              model::Relation::drum, model::Relation::drum};
    MapMaker maker;
    std::vector<std::string> ids;
    for (std::size_t i = 0; i < circuits; ++i)
        ids.push_back(maker.circuit("c" + std::to_string(i)));
    const auto any = [&] { return dice.one_in(8) ? std::string("sump") : ids[dice.under(circuits)]; };
    const std::size_t stacks = dice.under(3);
    for (std::size_t s = 0; s < stacks; ++s) {
        std::vector<std::string> row = ids;
        for (std::size_t i = row.size(); i > 1; --i)
            std::swap(row[i - 1], row[dice.under(i)]);
        row.resize(1 + dice.under(3));
        maker.stack(std::string(1, static_cast<char>('s' + s)), row);
    }
    const std::size_t loose = dice.under(most_loose_seals + 1);
    for (std::size_t i = 0; i < loose; ++i) {
        const auto a = any();
        const auto b = any();
        if (a == b) continue;
        const std::size_t kind = dice.under(kinds.size());
        auto& seal = maker.seal("x" + std::to_string(i), kinds[kind], relations[kind], a, b);
        if (relations[kind] == model::Relation::drum && !dice.one_in(3)) seal.faces = dice.one_in(2) ? a : b;
    }
    const std::size_t flows = dice.under(5);
    for (std::size_t i = 0; i < flows; ++i) {
        const auto a = any();
        const auto b = any();
        if (a != b) maker.flow("f" + std::to_string(i), a, b, dice.one_in(2));
    }
    return maker.map();
}

} // namespace ringland::tests
