#include "divide_text.h"

#include <array>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace ringland::viewer {
namespace {

using diagnosis::Direction;
using diagnosis::DivideAnswer;

std::string end_text(const model::UnitMap& map, const diagnosis::PortCircuit& end) {
    const std::string name = model::circuit_name(map, end.circuit);
    return end.port.empty() ? name : fmt::format("{} ({})", end.port, name);
}

std::string_view place_in_words(model::Relation relation) {
    static constexpr std::array<std::string_view, 4> words{"on a ring stack", "on the case face", "inside a shaft",
                                                           "inside a drum or servo"};
    return words[static_cast<std::size_t>(relation)];
}

/// The lines about one dividing seal, without indent.
std::vector<std::string> divider_lines(const model::UnitMap& map, const diagnosis::Divider& divider) {
    std::vector<std::string> lines;
    lines.push_back(fmt::format("{}  [{}]", diagnosis::headline(map, divider), divider.seal));
    if (divider.position) {
        lines.push_back(diagnosis::both_ends(*divider.position));
    } else {
        lines.emplace_back(place_in_words(divider.relation));
    }
    if (divider.one_way) {
        lines.emplace_back(divider.against_it ? "works one way: it holds back air in this direction"
                                              : "works one way: it does not hold back air in this direction, "
                                                "so air that passes here need not be a fault");
    }
    const auto* seal = model::find(map.seals, divider.seal);
    if (seal != nullptr && seal->look_minutes) {
        const std::string how = seal->look.empty() ? "" : ": " + seal->look;
        lines.push_back(fmt::format("to look at it, about {:g} min{}", *seal->look_minutes, how));
    }
    return lines;
}

void add_by_design(std::string& text, const model::UnitMap& map, const DivideAnswer& answer, Direction direction) {
    const bool asked = direction == Direction::asked;
    const std::string from = model::circuit_name(map, asked ? answer.from.circuit : answer.to.circuit);
    const std::string to = model::circuit_name(map, asked ? answer.to.circuit : answer.from.circuit);
    std::vector<std::string> reasons;
    for (const auto& passage : answer.by_design) {
        if (passage.direction == direction) reasons.push_back(passage.reason);
    }
    if (reasons.empty()) {
        text += fmt::format("By design, {} into {}: nothing.\n", from, to);
        return;
    }
    text += fmt::format("By design, {} into {}: a healthy unit shows this\n", from, to);
    for (const auto& reason : reasons)
        text += fmt::format("  {}\n", reason);
}

std::string seal_words(const model::UnitMap& map, const std::string& id) {
    const auto* seal = model::find(map.seals, id);
    return seal == nullptr ? id : fmt::format("{} [{}]", seal_headline(map, *seal), id);
}

void add_ways_round(std::string& text, const model::UnitMap& map, const DivideAnswer& answer) {
    if (answer.ways_round.empty()) {
        text += "No other way joins them in this map. A wall, a plug or a passage that the map does not have, the rig\n"
                "itself, or a reading mistaken.\n";
        return;
    }
    text += "Ways round through other circuits, with the fewest failed seals:\n";
    for (const auto& way : answer.ways_round) {
        std::vector<std::string> names;
        for (const auto& circuit : way.circuits)
            names.push_back(model::circuit_name(map, circuit));
        text += fmt::format("  {}\n", fmt::join(names, " → "));
        for (const auto& seal : way.seals)
            text += fmt::format("    failed: {}\n", seal_words(map, seal));
        for (const auto& id : way.by_design) {
            const auto* flow = model::find(map.by_design, id);
            text += fmt::format("    by design: {}\n", flow != nullptr ? flow->reason : id);
        }
    }
    if (answer.ways_round_cut_off) text += "  ... and more of the same length\n";
}

void add_dividers(std::string& text, const model::UnitMap& map, const DivideAnswer& answer) {
    for (std::size_t i = 0; i < answer.seals.size(); ++i) {
        const auto lines = divider_lines(map, answer.seals[i]);
        if (i == 1) text += "Also between the two:\n";
        for (std::size_t line = 0; line < lines.size(); ++line)
            text += fmt::format("{}{}\n", line == 0 ? "  " : "    ", lines[line]);
        if (i == 0) {
            text += fmt::format("    divides {} from {}\n\n", model::circuit_name(map, answer.from.circuit),
                                model::circuit_name(map, answer.to.circuit));
        }
    }
    if (answer.seals.size() > 1) text += '\n';
}

} // namespace

std::string seal_headline(const model::UnitMap& map, const model::Seal& seal) {
    diagnosis::Divider divider;
    divider.seal = seal.id;
    divider.name = seal.name;
    divider.kind = seal.kind;
    divider.relation = seal.relation;
    divider.position = diagnosis::stack_position(map, seal);
    return diagnosis::headline(map, divider);
}

std::string seal_place(const model::UnitMap& map, const model::Seal& seal) {
    const auto position = diagnosis::stack_position(map, seal);
    return position ? diagnosis::both_ends(*position) : std::string(place_in_words(seal.relation));
}

std::string_view caution_line() {
    return "Caution: regulated air only, eye and ear protection, cloth over open ports, fingers out of bands, servos "
           "and\n"
           "snap rings. Ringland advises; the rebuilder and the maker's service information decide.\n";
}

std::string divide_text(const model::UnitMap& map, const DivideAnswer& answer) {
    const auto& unit = map.unit;
    std::string text = unit.name + (unit.invented ? " (an invented unit)" : "") + '\n';
    text += fmt::format("Air into {}, out of {}\n\n", end_text(map, answer.from), end_text(map, answer.to));
    if (answer.same_circuit) {
        text += fmt::format("  One circuit: both lead into {}. Air that goes in at one comes out at the other.\n\n",
                            model::circuit_name(map, answer.from.circuit));
        return text.append(caution_line());
    }
    if (answer.seals.empty()) text += "  No single seal divides these two.\n\n";
    add_dividers(text, map, answer);
    add_by_design(text, map, answer, Direction::asked);
    add_by_design(text, map, answer, Direction::reverse);
    if (answer.seals.empty()) {
        text += '\n';
        add_ways_round(text, map, answer);
    }
    text += '\n';
    return text.append(caution_line());
}

} // namespace ringland::viewer
