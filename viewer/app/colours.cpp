#include "colours.h"

#include <array>
#include <optional>

namespace ringland::viewer {

namespace {

constexpr std::array<std::uint32_t, 6> palette{0x56B4E9, 0x009E73, 0xCC79A7, 0x0072B2, 0xE69F00, 0xF0E442};

/// "#RRGGBB" and nothing else.
std::optional<Rgb> read_colour(std::string_view text) {
    if (text.size() != 7 || text[0] != '#') return std::nullopt;
    std::uint32_t value = 0;
    for (const char c : text.substr(1)) {
        std::uint32_t digit = 0;
        if (c >= '0' && c <= '9')
            digit = static_cast<std::uint32_t>(c - '0');
        else if (c >= 'a' && c <= 'f')
            digit = static_cast<std::uint32_t>(c - 'a') + 10;
        else if (c >= 'A' && c <= 'F')
            digit = static_cast<std::uint32_t>(c - 'A') + 10;
        else
            return std::nullopt;
        value = value * 16 + digit;
    }
    return rgb(value);
}

bool is_neutral(const model::Circuit& circuit) {
    return circuit.kind == model::CircuitKind::lube || circuit.kind == model::CircuitKind::sump ||
           circuit.id == model::sump_id;
}

} // namespace

CircuitColour circuit_colour(const model::UnitMap& map, std::string_view circuit) {
    std::size_t place = 0;
    for (const auto& each : map.circuits) {
        const auto own = read_colour(each.colour);
        const bool neutral = is_neutral(each);
        if (each.id == circuit) {
            if (own) return {*own, false};
            if (neutral) return {neutral_circuit_colour, false};
            return {rgb(palette[place % palette.size()]), place >= palette.size()};
        }
        if (!own && !neutral) ++place;
    }
    return {neutral_circuit_colour, false};
}

} // namespace ringland::viewer
