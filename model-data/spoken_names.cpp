#include "spoken_names.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "map_faults.h"
#include "map_io.h"
#include "readings.h"

namespace ringland::model {

namespace {

/// A list that stays a sentence.
Phrase short_list(const std::vector<std::string>& words) {
    constexpr std::size_t most = 16;
    if (words.size() <= most) return either(words);
    const std::vector<std::string> first(words.begin(), words.begin() + most);
    return phrase("{0} and {1} more", fmt::format("{}", fmt::join(first, ", ")), words.size() - most);
}

} // namespace

std::string lower_case(std::string_view text) {
    std::string lower(text);
    for (char& c : lower) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    }
    return lower;
}

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
    ports_ = {"port", std::vector<Sort>(6), {}, {}};
    std::map<std::string, std::vector<std::string>, std::less<>> ports_of;
    for (const auto& port : map.ports) {
        note(ports_.sorts[0], port.id, port.id);
        say(ports_, 1, port.id, port.id);
        say(ports_, 2, port.label, port.id);
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
    seals_ = {"seal", std::vector<Sort>(3), {}, {}};
    for (const auto& seal : map.seals) {
        note(seals_.sorts[0], seal.id, seal.id);
        say(seals_, 1, seal.id, seal.id);
        say(seals_, 2, seal.name, seal.id);
        seals_.shown.push_back(seal.id);
    }
    ranges_ = {"range", std::vector<Sort>(3), {}, {}};
    for (const auto& range : map.ranges) {
        note(ranges_.sorts[0], range.id, range.id);
        say(ranges_, 1, range.id, range.id);
        say(ranges_, 2, range.name, range.id);
        ranges_.shown.push_back(range.name.empty() ? range.id : fmt::format("{} ({})", range.id, range.name));
    }
}

const std::vector<std::string>* SpokenNames::look_up(const Names& names, std::string_view typed) {
    const std::string lower = lower_case(typed);
    for (const auto& sort : names.sorts) {
        const auto found = &sort == names.sorts.data() ? sort.find(typed) : sort.find(lower);
        if (found != sort.end()) return &found->second;
    }
    return nullptr;
}

std::string SpokenNames::only(const std::vector<std::string>* ids) {
    return ids && ids->size() == 1 ? ids->front() : std::string();
}

std::string SpokenNames::port(std::string_view typed) const { return only(look_up(ports_, typed)); }

std::string SpokenNames::port_or_case(std::string_view typed) const {
    const std::string lower = lower_case(typed);
    if (lower == open_case) return std::string(open_case);
    if (const auto* ids = look_up(ports_, typed)) return only(ids);
    const bool sump = std::find(sump_words_.begin(), sump_words_.end(), lower) != sump_words_.end();
    return sump ? std::string(open_case) : std::string();
}

std::string SpokenNames::seal(std::string_view typed) const { return only(look_up(seals_, typed)); }

std::string SpokenNames::range(std::string_view typed) const { return only(look_up(ranges_, typed)); }

FieldComplaint SpokenNames::complaint(const Names& names, std::string_view typed) {
    if (const auto* ids = look_up(names, typed)) {
        if (ids->size() > 1)
            return {phrase("{0} could mean {1}", shown(typed), short_list(*ids)),
                    phrase("the id of the one that is meant")};
        return {phrase("{0} is no id of a {1}", shown(typed), Phrase::of_marked(names.word)),
                phrase("\"{0}\"?", ids->front())};
    }
    const Phrase what = phrase("there is no {0} {1}", Phrase::of_marked(names.word), shown(typed));
    if (names.shown.empty()) return {what, phrase("the map has no {0} at all", Phrase::of_marked(names.word))};
    const std::string near = nearest_word(typed, names.words);
    return {what, near.empty() ? phrase("one of {0}", short_list(names.shown)) : phrase("\"{0}\"?", near)};
}

FieldComplaint SpokenNames::complaint_about_port(std::string_view typed) const {
    const std::string lower = lower_case(typed);
    const bool sump = std::find(sump_words_.begin(), sump_words_.end(), lower) != sump_words_.end();
    if (!look_up(ports_, typed)) {
        if (sump || lower == open_case)
            return {phrase("{0} is the open case, and no port", shown(typed)),
                    phrase("one of {0}", short_list(ports_.shown))};
        if (without_port_.count(lower) != 0)
            return {phrase("no port leads into {0}", shown(typed)), phrase("one of {0}", short_list(ports_.shown))};
    }
    return complaint(ports_, typed);
}

FieldComplaint SpokenNames::complaint_about_seal(std::string_view typed) const { return complaint(seals_, typed); }

FieldComplaint SpokenNames::complaint_about_range(std::string_view typed) const { return complaint(ranges_, typed); }

} // namespace ringland::model
