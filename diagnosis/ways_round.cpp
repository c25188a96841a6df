#include "ways_round.h"

#include <algorithm>
#include <deque>
#include <map>
#include <string_view>
#include <unordered_map>

namespace ringland::diagnosis {

namespace {

using model::UnitMap;

constexpr int unreached = -1;
constexpr std::size_t none = static_cast<std::size_t>(-1);

// So that a map made to hurt (a row of a hundred thousand circuits) cannot eat the memory through its answer.
constexpr std::size_t most_listed_circuits = 20'000;

struct Link {
    std::size_t to = 0;
    std::size_t thing = 0; ///< place of the seal or the flow in its list of the map
};

/// Circuits as numbers. `closed` circuits (the sump) may begin or end a way and are never passed through.
struct Graph {
    std::vector<std::string_view> ids;
    std::vector<std::vector<Link>> seals; ///< both directions
    std::vector<std::vector<Link>> flows; ///< only the direction in which a healthy unit lets air by
    std::vector<std::vector<Link>> flows_back;
    std::vector<bool> closed;
};

class Numbers {
public:
    explicit Numbers(Graph& graph) : graph_(graph) {}
    std::size_t of(std::string_view id) {
        const auto [place, fresh] = numbers_.emplace(id, graph_.ids.size());
        if (fresh) {
            graph_.ids.push_back(id);
            graph_.seals.emplace_back();
            graph_.flows.emplace_back();
            graph_.flows_back.emplace_back();
            graph_.closed.push_back(id == model::sump_id);
        }
        return place->second;
    }

private:
    Graph& graph_;
    std::unordered_map<std::string_view, std::size_t> numbers_;
};

Graph make_graph(const UnitMap& map, std::string_view from, std::string_view to) {
    Graph graph;
    Numbers numbers(graph);
    const std::size_t source = numbers.of(from); // 0
    const std::size_t target = numbers.of(to);   // 1
    for (const auto& circuit : map.circuits) {
        if (circuit.kind == model::CircuitKind::sump) graph.closed[numbers.of(circuit.id)] = true;
    }
    for (std::size_t i = 0; i < map.seals.size(); ++i) {
        const std::size_t a = numbers.of(map.seals[i].between[0]);
        const std::size_t b = numbers.of(map.seals[i].between[1]);
        if (a == b) continue;
        graph.seals[a].push_back({b, i});
        graph.seals[b].push_back({a, i});
    }
    const auto add_flow = [&](std::size_t a, std::size_t b, std::size_t i) {
        // The flow straight from one to the other is told beside the ways round, so it is none of them.
        if (a == b || (a == source && b == target)) return;
        graph.flows[a].push_back({b, i});
        graph.flows_back[b].push_back({a, i});
    };
    for (std::size_t i = 0; i < map.by_design.size(); ++i) {
        const auto& flow = map.by_design[i];
        const std::size_t a = numbers.of(flow.from);
        const std::size_t b = numbers.of(flow.to);
        add_flow(a, b, i);
        if (!flow.one_way) add_flow(b, a, i);
    }
    return graph;
}

/// Fewest failed seals from `start` to every circuit (0-1 breadth-first search).
std::vector<int> fewest_seals(const Graph& graph, const std::vector<std::vector<Link>>& flows, std::size_t start) {
    std::vector<int> count(graph.ids.size(), unreached);
    std::vector<bool> settled(graph.ids.size(), false);
    std::deque<std::size_t> queue{start};
    count[start] = 0;
    while (!queue.empty()) {
        const std::size_t at = queue.front();
        queue.pop_front();
        if (settled[at]) continue;
        settled[at] = true;
        if (graph.closed[at] && at != start) continue;
        for (const auto& link : flows[at]) {
            if (count[link.to] != unreached && count[link.to] <= count[at]) continue;
            count[link.to] = count[at];
            queue.push_front(link.to);
        }
        for (const auto& link : graph.seals[at]) {
            if (count[link.to] != unreached && count[link.to] <= count[at] + 1) continue;
            count[link.to] = count[at] + 1;
            queue.push_back(link.to);
        }
    }
    return count;
}

/// One failed seal of a chain, and where it stands in its plain (see Walker).
struct Step {
    std::size_t at = 0;      ///< circuit before the seal, reached by design from where the plain was entered
    std::size_t seal = none; ///< none: the chain ends at `at`, by design
    std::size_t to = 0;
};

/// What can follow after a plain was entered at one circuit.
struct Entry {
    bool ready = false;
    std::vector<Step> steps;                                  ///< in the order of the map's seals
    std::map<std::size_t, std::pair<std::size_t, Link>> came; ///< circuit -> the one before it, and the flow between
};

/// Walks every chain with the fewest seals.
///
/// Circuits at the same count of seals from the start that flows by design join form the plains between the seals. A
/// chain never comes back to a plain that it has left (it would not have the fewest seals), so going forward by count
/// gives only simple chains, and each partial chain can be finished: no search into dead ends, however the map is made.
class Walker {
public:
    Walker(const UnitMap& map, const Graph& graph, std::size_t source, std::size_t target)
        : map_(map), graph_(graph), source_(source), target_(target), from_(fewest_seals(graph, graph.flows, source)),
          to_(fewest_seals(graph, graph.flows_back, target)), entries_(graph.ids.size()) {}

    WaysRound walk() {
        WaysRound result;
        if (from_[target_] == unreached) return result;
        struct Level {
            std::size_t at;
            std::size_t next;
        };
        std::vector<Level> levels{{source_, 0}};
        std::vector<Step> chain;
        std::size_t listed = 0;
        while (!levels.empty()) {
            const auto& steps = entry_at(levels.back().at).steps;
            if (levels.back().next == steps.size()) {
                levels.pop_back();
                if (!chain.empty()) chain.pop_back();
                continue;
            }
            const Step step = steps[levels.back().next++];
            chain.push_back(step);
            if (step.to != target_) {
                levels.push_back({step.to, 0});
                continue;
            }
            if (result.ways.size() == most_ways_round || listed > most_listed_circuits) {
                result.cut_off = true;
                return result;
            }
            result.ways.push_back(told(chain));
            listed += result.ways.back().circuits.size();
            chain.pop_back();
        }
        return result;
    }

private:
    const Entry& entry_at(std::size_t circuit) {
        auto& entry = entries_[circuit];
        if (entry.ready) return entry;
        entry.ready = true;
        // Breadth first over the flows by design gives the shortest lead to each circuit of the plain.
        std::vector<std::size_t> plain{circuit};
        for (std::size_t i = 0; i < plain.size(); ++i) {
            const std::size_t at = plain[i];
            if (at == target_) continue;
            for (const auto& link : graph_.flows[at]) {
                if (link.to == circuit || entry.came.count(link.to) > 0 || !on_a_chain(at, link.to, 0)) continue;
                entry.came.emplace(link.to, std::pair{at, link});
                plain.push_back(link.to);
            }
        }
        if (entry.came.count(target_) > 0) { // by design to the end: no seal more is needed
            entry.steps.push_back({target_, none, target_});
            return entry;
        }
        for (const std::size_t at : plain) {
            for (const auto& link : graph_.seals[at]) {
                if (on_a_chain(at, link.to, 1)) entry.steps.push_back({at, link.thing, link.to});
            }
        }
        std::sort(entry.steps.begin(), entry.steps.end(), [](const Step& a, const Step& b) { return a.seal < b.seal; });
        return entry;
    }

    [[nodiscard]] bool on_a_chain(std::size_t at, std::size_t next, int cost) const {
        if (graph_.closed[next] && next != target_) return false;
        return from_[at] != unreached && from_[next] == from_[at] + cost && to_[next] != unreached &&
               from_[next] + to_[next] == from_[target_];
    }

    [[nodiscard]] WayRound told(const std::vector<Step>& chain) const {
        WayRound way;
        std::size_t entered = source_;
        way.circuits.emplace_back(graph_.ids[source_]);
        for (const Step& step : chain) {
            const auto& came = entries_[entered].came;
            std::vector<Link> lead;
            for (std::size_t at = step.at; at != entered; at = came.at(at).first)
                lead.push_back(came.at(at).second);
            std::reverse(lead.begin(), lead.end());
            for (const auto& link : lead) {
                way.circuits.emplace_back(graph_.ids[link.to]);
                way.by_design.push_back(map_.by_design[link.thing].id);
            }
            if (step.seal == none) break;
            way.circuits.emplace_back(graph_.ids[step.to]);
            way.seals.push_back(map_.seals[step.seal].id);
            entered = step.to;
        }
        return way;
    }

    const UnitMap& map_;
    const Graph& graph_;
    std::size_t source_, target_;
    std::vector<int> from_, to_;
    std::vector<Entry> entries_;
};

} // namespace

WaysRound ways_round(const UnitMap& map, const std::string& from, const std::string& to) {
    const Graph graph = make_graph(map, from, to);
    return Walker(map, graph, 0, 1).walk();
}

} // namespace ringland::diagnosis
