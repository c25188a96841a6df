// Words of the map file for the values of an enumeration, in one table each.
//
// The reader, the writer, the schema and the command line all take their words from here.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string_view>

namespace ringland::model {

/// Specialised beside each enumeration: `static constexpr std::array<std::string_view, N> words` in the order of the
/// values.
template <class Enum> struct EnumNames;

template <class Enum> [[nodiscard]] constexpr std::span<const std::string_view> words_of() {
    return EnumNames<Enum>::words;
}

/// The word for a value.
template <class Enum> [[nodiscard]] constexpr std::string_view word(Enum value) {
    return EnumNames<Enum>::words[static_cast<std::size_t>(value)];
}

/// The value for a word, or nothing where the word is unknown.
template <class Enum> [[nodiscard]] constexpr std::optional<Enum> from_word(std::string_view text) {
    const auto& words = EnumNames<Enum>::words;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (words[i] == text) return static_cast<Enum>(i);
    }
    return std::nullopt;
}

} // namespace ringland::model
