#include "places.h"

#include <algorithm>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../../model-data/map_io.h"
#include "typed_words.h"

namespace ringland::viewer {
namespace {

struct Candidate {
    std::string word; ///< what may be typed
    std::string port, circuit;
};

std::string port_of(const model::UnitMap& map, const std::string& circuit) {
    for (const auto& port : map.ports) {
        if (port.circuit == circuit) return port.id;
    }
    return {};
}

/// All that may be typed, best meaning first.
std::vector<std::vector<Candidate>> candidates(const model::UnitMap& map) {
    std::vector<Candidate> port_ids;
    std::vector<Candidate> labels;
    for (const auto& port : map.ports) {
        port_ids.push_back({port.id, port.id, port.circuit});
        if (!port.label.empty()) labels.push_back({port.label, port.id, port.circuit});
    }
    std::vector<Candidate> circuit_ids;
    std::vector<Candidate> names;
    std::vector<Candidate> tags;
    for (const auto& circuit : map.circuits) {
        const std::string port = port_of(map, circuit.id);
        circuit_ids.push_back({circuit.id, port, circuit.id});
        names.push_back({model::circuit_name(map, circuit.id), port, circuit.id});
        tags.push_back({model::circuit_tag(map, circuit.id), port, circuit.id});
    }
    return {port_ids, labels, circuit_ids, names, tags};
}

std::string port_list(const model::UnitMap& map) {
    constexpr std::size_t most = 24;
    std::vector<std::string> words;
    for (const auto& port : map.ports) {
        if (words.size() == most) {
            words.push_back(fmt::format("and {} more", map.ports.size() - most));
            break;
        }
        words.push_back(fmt::format("{} ({})", port.id, model::port_label(map, port)));
    }
    return fmt::format("{}", fmt::join(words, ", "));
}

std::string unknown(const model::UnitMap& map, std::string_view typed) {
    std::vector<std::string> known;
    // In the order of how well a person knows them: labels, names, ids, tags.
    const auto rows = candidates(map);
    for (const std::size_t row : {1U, 3U, 0U, 2U, 4U}) {
        for (const auto& candidate : rows[row]) {
            known.push_back(candidate.word);
            known.push_back(lower(candidate.word));
        }
    }
    std::string nearest = model::nearest_word(typed, known);
    if (nearest.empty()) nearest = model::nearest_word(lower(typed), known);
    for (const auto& word : known) { // as the map writes it
        if (!nearest.empty() && lower(word) == lower(nearest)) {
            nearest = word;
            break;
        }
    }
    const std::string hint = nearest.empty() ? "" : fmt::format(" Did you mean \"{}\"?", nearest);
    return fmt::format("no port or circuit \"{}\" in this map.{} Ports: {}", typed, hint, port_list(map));
}

} // namespace

Place find_place(const model::UnitMap& map, std::string_view typed) {
    const std::string wanted = lower(typed);
    for (const auto& row : candidates(map)) {
        std::vector<const Candidate*> hits;
        for (const auto& candidate : row) {
            if (lower(candidate.word) == wanted) hits.push_back(&candidate);
        }
        if (hits.empty()) continue;
        const auto elsewhere = std::find_if(hits.begin(), hits.end(),
                                            [&hits](const Candidate* c) { return c->circuit != hits[0]->circuit; });
        if (elsewhere == hits.end()) return {hits[0]->port, hits[0]->circuit, {}};
        const auto say = [](const Candidate& c) { return c.port.empty() ? c.circuit : c.port; };
        return {{}, {}, fmt::format("\"{}\" could mean {} or {}: give the id", typed, say(*hits[0]), say(**elsewhere))};
    }
    return {{}, {}, unknown(map, typed)};
}

} // namespace ringland::viewer
