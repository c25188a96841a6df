// The answer of divide.h in the words of the bench, and as JSON for programs.
#include <array>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "divide.h"

namespace ringland::diagnosis {

namespace {

using model::SealKind;

std::string_view kind_in_words(SealKind kind) {
    using model::marked;
    static constexpr std::array<std::string_view, 10> words{
        marked("ring"), marked("lip seal"), marked("D-ring"),  marked("O-ring"), marked("gasket bridge"),
        marked("plug"), marked("tube"),     marked("bushing"), marked("wall"),   marked("check ball")};
    static_assert(words.size() == model::EnumNames<SealKind>::words.size());
    return words[static_cast<std::size_t>(kind)];
}

bool is_capital(char c) { return c >= 'A' && c <= 'Z'; }
bool is_small(char c) { return c >= 'a' && c <= 'z'; }

/// First letter large; a letter beyond ASCII stays as it is.
std::string capital(std::string_view text) {
    std::string result(text);
    if (!result.empty() && is_small(result[0])) result[0] = static_cast<char>(result[0] - 'a' + 'A');
    return result;
}

/// A name within a sentence: "Input shaft" becomes "input shaft", "PTO shaft" stays.
std::string within_sentence(std::string_view name) {
    std::string result(name);
    if (result.size() > 1 && is_capital(result[0]) && is_small(result[1])) {
        result[0] = static_cast<char>(result[0] - 'A' + 'a');
    }
    return result;
}

nlohmann::ordered_json side(const model::UnitMap& map, const PortCircuit& place) {
    return {
        {"port", place.port}, {"circuit", place.circuit}, {"circuit_name", model::circuit_name(map, place.circuit)}};
}

nlohmann::ordered_json divider_json(const model::UnitMap& map, const Divider& divider) {
    nlohmann::ordered_json json{{"id", divider.seal},
                                {"name", divider.name.empty() ? headline(map, divider) : divider.name},
                                {"kind", model::word(divider.kind)},
                                {"relation", model::word(divider.relation)}};
    if (divider.one_way) json["holds_back_this_direction"] = divider.against_it;
    if (!divider.position) return json;
    json["stack"] = divider.position->stack;
    json["seals_in_stack"] = divider.position->count;
    json["nth_from_first_end"] = divider.position->nth_from_first_end;
    json["first_end"] = divider.position->first_end;
    json["nth_from_second_end"] = divider.position->nth_from_second_end;
    json["second_end"] = divider.position->second_end;
    return json;
}

} // namespace

std::string ordinal(int n) {
    const int hundred = n < 0 ? -(n % 100) : n % 100;
    const bool teen = hundred >= 11 && hundred <= 13;
    static constexpr std::array<std::string_view, 4> endings{"th", "st", "nd", "rd"};
    const int last = hundred % 10;
    return fmt::format("{}{}", n, teen || last > 3 ? "th" : endings[static_cast<std::size_t>(last)]);
}

std::string headline(const model::UnitMap& map, const Divider& divider, const model::Translator& tr) {
    const std::string small_kind = tr(kind_in_words(divider.kind)), kind = capital(small_kind);
    if (divider.position) {
        const std::string stack = within_sentence(tr.map_word(divider.position->stack_name));
        return model::filled(stack.rfind("the ", 0) == 0 ? tr("{0} {1} of {2} on {3}")
                                                         : tr("{0} {1} of {2} on the {3}"),
                             kind, divider.position->nth_from_first_end, divider.position->count, stack);
    }
    const auto* seal = model::find(map.seals, divider.seal);
    const std::string name = seal != nullptr && !seal->name.empty() ? seal->name : divider.name;
    if (name.empty()) return fmt::format("{} {}", kind, divider.seal);
    const std::string shown = capital(name);
    const bool said = shown.rfind(kind, 0) == 0 || shown.find(small_kind) != std::string::npos;
    return said ? shown : fmt::format("{} ({})", shown, small_kind);
}

std::string seal_title(const model::Seal& seal, const model::Translator& tr) {
    if (!seal.name.empty()) return seal.name;
    return model::filled(tr("{0} {1}"), seal.id,
                         seal.kind == SealKind::wall ? tr("casting wall") : tr(kind_in_words(seal.kind)));
}

std::string both_ends(const StackPosition& position) {
    return fmt::format("{} from the {} · {} from the {}", ordinal(position.nth_from_first_end), position.first_end,
                       ordinal(position.nth_from_second_end), position.second_end);
}

std::string to_json(const model::UnitMap& map, const DivideAnswer& answer) {
    nlohmann::ordered_json json{
        {"from", side(map, answer.from)}, {"to", side(map, answer.to)}, {"same_circuit", answer.same_circuit}};
    auto& seals = json["seals"] = nlohmann::ordered_json::array();
    for (const auto& divider : answer.seals)
        seals.push_back(divider_json(map, divider));
    auto& by_design = json["by_design"] = nlohmann::ordered_json::array();
    for (const auto& passage : answer.by_design) {
        by_design.push_back({{"direction", passage.direction == Direction::asked ? "asked" : "reverse"},
                             {"id", passage.id},
                             {"reason", passage.reason}});
    }
    auto& ways = json["ways_round"] = nlohmann::ordered_json::array();
    auto& through = json["ways_round_circuits"] = nlohmann::ordered_json::array();
    for (const auto& way : answer.ways_round) {
        ways.push_back(way.seals);
        through.push_back(way.circuits);
    }
    json["ways_round_cut_off"] = answer.ways_round_cut_off;
    return json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

} // namespace ringland::diagnosis
