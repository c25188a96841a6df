#include "spoken_names.h"

#include <algorithm>

#include <fmt/format.h>

#include "map_faults.h"
#include "map_io.h"
#include "readings.h"

namespace ringland::model {

namespace {

std::string lower_case(std::string_view text) {
    std::string lower(text);
    for (char& c : lower) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    }
    return lower;
}

/// A list that stays a sentence.
std::string short_list(const std::vector<std::string>& words) {
    constexpr std::size_t most = 16;
    if (words.size() <= most) return either(words);
    const std::vector<std::string> first(words.begin(), words.begin() + most);
    return fmt::format("{} and {} more", fmt::join(first, ", "), words.size() - most);
}

} // namespace

SpokenNames::SpokenNames(const UnitMap& map) {
    const auto note = [](Sort& sort, std::string word, const std::string& id) {
        auto& ids = sort[std::move(word)];
        if (std::find(ids.begin(), ids.end(), id) == ids.end()) ids.push_back(id);
    };
    const auto say = [&note](Names& names, std::size_t sort, const std::string& word, const std::string& id) {
        if (word.empty()) return;
        note(names.sorts[sort], lower_case(word), id);
        names.words.push_back(word);
    };
    ports_ = {"port", std::vector<Sort>(6), {}, {}, {}};
    std::map<std::string, std::vector<std::string>, std::less<>> ports_of;
    for (const auto& port : map.ports) {
        note(ports_.sorts[0], port.id, port.id);
        say(ports_, 1, port.id, port.id);
        say(ports_, 2, port.label, port.id);
        ports_.ids.push_back(port.id);
        ports_.shown.push_back(fmt::format("{} ({})", port.id, port_label(map, port)));
        ports_of[port.circuit].push_back(port.id);
    }
    for (const auto& circuit : map.circuits) {
        if (circuit.id == sump_id || circuit.kind == CircuitKind::sump) {
            sump_words_.push_back(lower_case(circuit.id));
            if (!circuit.name.empty()) sump_words_.push_back(lower_case(circuit.name));
            continue;
        }
        const auto found = ports_of.find(circuit.id);
        if (found == ports_of.end()) {
            note(without_port_, lower_case(circuit.id), circuit.id);
            if (!circuit.name.empty()) note(without_port_, lower_case(circuit.name), circuit.id);
            continue;
        }
        for (const auto& port : found->second) {
            say(ports_, 3, circuit.id, port);
            say(ports_, 4, circuit.name, port);
            say(ports_, 5, circuit.tag, port);
        }
    }
    seals_ = {"seal", std::vector<Sort>(3), {}, {}, {}};
    for (const auto& seal : map.seals) {
        note(seals_.sorts[0], seal.id, seal.id);
        say(seals_, 1, seal.id, seal.id);
        say(seals_, 2, seal.name, seal.id);
        seals_.ids.push_back(seal.id);
        seals_.shown.push_back(seal.id);
    }
}

Meant SpokenNames::unknown(const Names& names, std::string_view typed) {
    const std::string near = nearest_word(typed, names.words);
    Meant meant;
    meant.what = fmt::format("there is no {} {}", names.word, shown(typed));
    meant.right = near.empty() ? "one of " + short_list(names.shown) : fmt::format("\"{}\"?", near);
    if (names.ids.empty()) meant.right = fmt::format("a map that has a {}", names.word);
    return meant;
}

Meant SpokenNames::look_up(const Names& names, std::string_view typed) {
    const std::string lower = lower_case(typed);
    for (std::size_t sort = 0; sort < names.sorts.size(); ++sort) {
        const auto found = names.sorts[sort].find(sort == 0 ? std::string(typed) : lower);
        if (found == names.sorts[sort].end()) continue;
        const auto& ids = found->second;
        if (ids.size() == 1) return {ids[0], {}, {}};
        return {{}, fmt::format("{} could mean {}", shown(typed), short_list(ids)), "the id of the one that is meant"};
    }
    return unknown(names, typed);
}

Meant SpokenNames::port(std::string_view typed) const {
    Meant meant = look_up(ports_, typed);
    if (!meant.id.empty()) return meant;
    if (without_port_.count(lower_case(typed)) != 0) {
        meant.what = fmt::format("no port leads into {}", shown(typed));
        meant.right = "one of " + short_list(ports_.shown);
    }
    return meant;
}

Meant SpokenNames::port_or_case(std::string_view typed) const {
    const std::string lower = lower_case(typed);
    if (lower == open_case) return {std::string(open_case), {}, {}};
    Meant meant = port(typed);
    if (!meant.id.empty()) return meant;
    if (std::find(sump_words_.begin(), sump_words_.end(), lower) != sump_words_.end())
        return {std::string(open_case), {}, {}};
    return meant;
}

Meant SpokenNames::seal(std::string_view typed) const { return look_up(seals_, typed); }

} // namespace ringland::model
