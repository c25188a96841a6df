#include "colours.h"

#include <algorithm>
#include <array>
#include <optional>
#include <utility>

#include "colour_vision.h"

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

/// Where a circuit's colour comes from.
struct Source {
    std::optional<Rgb> own;
    std::size_t place = 0; ///< in the palette
    bool neutral = false;
    [[nodiscard]] Rgb colour() const { return own ? *own : neutral ? neutral_circuit_colour : rgb(palette[place]); }
};

std::vector<Source> sources_of(const model::UnitMap& map) {
    std::vector<Source> sources;
    std::size_t next = 0;
    for (const auto& circuit : map.circuits) {
        Source source;
        source.own = read_colour(circuit.colour);
        source.neutral = is_neutral(circuit);
        if (!source.own && !source.neutral) source.place = next++ % palette.size();
        sources.push_back(source);
    }
    return sources;
}

double distance(const Source& a, const Source& b) { return least_delta_e(a.colour(), b.colour()); }

std::vector<AlikePair> pairs_of(const model::UnitMap& map, const std::vector<Source>& sources) {
    const std::size_t count = sources.size();
    const auto place_of = [&](std::string_view id) {
        std::size_t i = 0;
        while (i < count && map.circuits[i].id != id)
            ++i;
        // The open case has no space that is drawn in a colour.
        return i < count && map.circuits[i].kind == model::CircuitKind::sump ? count : i;
    };
    std::vector<char> neighbours(count * count, 0);
    for (const auto& seal : map.seals) {
        const std::size_t a = place_of(seal.between[0]), b = place_of(seal.between[1]);
        if (a < count && b < count && a != b) neighbours[std::min(a, b) * count + std::max(a, b)] = 1;
    }
    std::vector<AlikePair> pairs;
    for (std::size_t a = 0; a < count; ++a) {
        for (std::size_t b = a + 1; b < count; ++b) {
            const bool both_neutral = sources[a].neutral && sources[b].neutral;
            if (neighbours[a * count + b] != 0) {
                const double apart = distance(sources[a], sources[b]);
                if (apart < least_circuit_distance) pairs.push_back({a, b, least_circuit_distance - apart});
            } else if (sources[a].colour() == sources[b].colour() && !both_neutral) {
                pairs.push_back({a, b, 100});
            }
        }
    }
    return pairs;
}

/// The marks: one after the other as it costs least, then every change of one or two of them that is for the better.
class Marks {
public:
    Marks(const std::vector<Source>& sources, const std::vector<AlikePair>& pairs)
        : sources_(sources), pairs_(pairs), marks_(sources.size(), 0) {
        for (std::size_t i = 0; i < marks_.size(); ++i) {
            const double plain = cost(i + 1);
            marks_[i] = 1;
            if (cost(i + 1) >= plain) marks_[i] = 0;
        }
        while (improve()) {
        }
        for (std::size_t i = 0; i < marks_.size(); ++i)
            turn_over(i);
    }
    [[nodiscard]] bool of(std::size_t i) const { return marks_[i] != 0; }

private:
    /// What the first so many cost: pairs that share a mark, and a trifle for each dash, less on grey and less on
    /// later circuits.
    [[nodiscard]] double cost(std::size_t count) const {
        double sum = 0;
        for (const auto& pair : pairs_) {
            if (pair.second < count && marks_[pair.first] == marks_[pair.second]) sum += pair.weight;
        }
        for (std::size_t i = 0; i < count; ++i) {
            if (marks_[i] != 0) sum += (sources_[i].neutral ? 0.005 : 0.01) - 1e-5 * static_cast<double>(i);
        }
        return sum;
    }
    bool improve() {
        double best = cost(marks_.size()) - 1e-9;
        std::pair<std::size_t, std::size_t> change;
        bool found = false;
        for (std::size_t a = 0; a < marks_.size(); ++a) {
            for (std::size_t b = a; b < marks_.size(); ++b) {
                flip(a, b);
                if (const double now = cost(marks_.size()); now < best) best = now, change = {a, b}, found = true;
                flip(a, b);
            }
        }
        if (found) flip(change.first, change.second);
        return found;
    }
    /// All that hang together with one by pairs change their marks: as good, and better where it takes fewer dashes.
    void turn_over(std::size_t with) {
        std::vector<char> together(marks_.size(), 0);
        together[with] = 1;
        for (bool more = true; more;) {
            more = false;
            for (const auto& pair : pairs_) {
                more = more || together[pair.first] != together[pair.second];
                if (together[pair.first] != together[pair.second]) together[pair.first] = together[pair.second] = 1;
            }
        }
        const auto turn = [&] {
            for (std::size_t i = 0; i < marks_.size(); ++i)
                marks_[i] ^= together[i];
        };
        const double before = cost(marks_.size());
        turn();
        if (cost(marks_.size()) >= before) turn();
    }
    void flip(std::size_t a, std::size_t b) {
        marks_[a] ^= 1;
        if (b != a) marks_[b] ^= 1;
    }

    const std::vector<Source>& sources_;
    const std::vector<AlikePair>& pairs_;
    std::vector<char> marks_;
};

} // namespace

std::vector<AlikePair> alike_pairs(const model::UnitMap& map) { return pairs_of(map, sources_of(map)); }

std::vector<CircuitColour> circuit_colours(const model::UnitMap& map) {
    const auto sources = sources_of(map);
    const auto pairs = pairs_of(map, sources);
    const Marks marks(sources, pairs);
    std::vector<CircuitColour> colours;
    for (std::size_t i = 0; i < sources.size(); ++i)
        colours.push_back({sources[i].colour(), marks.of(i)});
    return colours;
}

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
