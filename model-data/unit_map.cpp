#include "unit_map.h"

#include <set>

namespace ringland::model {

namespace {

/// The first letters of a name, at most `count`, in capitals where they are ASCII.
std::vector<std::string> letters_of(std::string_view name) {
    std::vector<std::string> letters;
    for (const char c : name) {
        const bool continues = (static_cast<unsigned char>(c) & 0xC0) == 0x80;
        if (continues && !letters.empty())
            letters.back() += c;
        else
            letters.emplace_back(1, c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c);
    }
    return letters;
}

bool parts_words(const std::string& letter) { return letter == " " || letter == "-" || letter == "_" || letter == "/"; }

/// A tag for a name that no circuit before it has.
std::string made_tag(std::string_view name, const std::set<std::string>& taken) {
    const auto letters = letters_of(name);
    std::string initials;
    std::vector<std::string> plain;
    std::size_t words = 0;
    bool begins = true;
    for (const auto& letter : letters) {
        if (parts_words(letter)) {
            begins = true;
            continue;
        }
        if (begins && words < 3) {
            initials += letter;
            ++words;
        }
        begins = false;
        plain.push_back(letter);
    }
    if (plain.empty()) plain.emplace_back("?");
    std::vector<std::string> wishes;
    if (words > 1) wishes.push_back(initials);
    if (plain.size() == 1) wishes.push_back(plain[0]);
    for (std::size_t i = 1; i < plain.size(); ++i)
        wishes.push_back(plain[0] + plain[i]);
    for (const auto& wish : wishes) {
        if (taken.count(wish) == 0) return wish;
    }
    for (int n = 2;; ++n) {
        std::string wish = plain[0] + std::to_string(n);
        if (taken.count(wish) == 0) return wish;
    }
}

} // namespace

std::string circuit_name(const UnitMap& map, std::string_view id) {
    const Circuit* circuit = find(map.circuits, id);
    return circuit && !circuit->name.empty() ? circuit->name : std::string(id);
}

std::string circuit_tag(const UnitMap& map, std::string_view id) {
    const Circuit* wanted = find(map.circuits, id);
    if (wanted && !wanted->tag.empty()) return wanted->tag;
    std::set<std::string> taken;
    for (const auto& circuit : map.circuits) {
        if (!circuit.tag.empty()) taken.insert(circuit.tag);
    }
    for (const auto& circuit : map.circuits) {
        if (!circuit.tag.empty()) continue;
        std::string tag = made_tag(circuit.name.empty() ? circuit.id : circuit.name, taken);
        if (&circuit == wanted) return tag;
        taken.insert(std::move(tag));
    }
    return made_tag(id, taken);
}

std::string port_label(const UnitMap& map, const Port& port) {
    return port.label.empty() ? circuit_name(map, port.circuit) : port.label;
}

std::string seal_name(const UnitMap&, const Seal& seal) {
    if (!seal.name.empty()) return seal.name;
    switch (seal.kind) {
    case SealKind::ring:
        return seal.id + " ring";
    case SealKind::lip:
        return seal.id + " lip seal";
    case SealKind::d_ring:
        return seal.id + " D-ring";
    case SealKind::o_ring:
        return seal.id + " O-ring";
    case SealKind::gasket_bridge:
        return seal.id + " gasket bridge";
    case SealKind::plug:
        return seal.id + " plug";
    case SealKind::tube:
        return seal.id + " tube";
    case SealKind::bushing:
        return seal.id + " bushing";
    case SealKind::wall:
        return seal.id + " casting wall";
    case SealKind::check_ball:
        return seal.id + " check ball";
    }
    return seal.id;
}

} // namespace ringland::model
