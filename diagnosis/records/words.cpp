#include "words.h"

#include <algorithm>
#include <cstdint>
#include <set>

namespace ringland::diagnosis::records {
namespace {

constexpr std::size_t longest_word = 40;
constexpr std::uint32_t broken = 0xFFFFFFFF;

/// The next character of UTF-8; `broken` for a byte that is none.
std::uint32_t next(std::string_view text, std::size_t& at) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
    const unsigned char first = byte(at++);
    if (first < 0x80) return first;
    const int more = first >= 0xF0 ? 3 : first >= 0xE0 ? 2 : first >= 0xC2 ? 1 : 0;
    if (more == 0 || first > 0xF4 || at + static_cast<std::size_t>(more) > text.size()) return broken;
    std::uint32_t code = first & (0x3FU >> more);
    for (int i = 0; i < more; ++i) {
        if ((byte(at) & 0xC0) != 0x80) return broken;
        code = code << 6 | (byte(at++) & 0x3FU);
    }
    return code;
}

bool of_a_word(std::uint32_t c) {
    if (c < 0x80) return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
    if (c == broken || c < 0xAA || c == 0xAB || (c > 0xAB && c < 0xB5) || (c > 0xB5 && c < 0xC0)) return false;
    if (c == 0xD7 || c == 0xF7) return false;
    return !(c >= 0x2000 && c <= 0x2BFF) && !(c >= 0x3000 && c <= 0x303F); // dashes, quotes, arrows and the like
}

std::uint32_t folded(std::uint32_t c) {
    if (c >= 'A' && c <= 'Z') return c + 32;
    if (c >= 0xC0 && c <= 0xDE && c != 0xD7) return c + 32;                                        // Latin-1
    if ((c >= 0x100 && c <= 0x137) || (c >= 0x14A && c <= 0x177)) return c == 0x130 ? 'i' : c | 1; // pairs, even first
    if ((c >= 0x139 && c <= 0x148) || (c >= 0x179 && c <= 0x17E)) return c % 2 == 1 ? c + 1 : c;   // pairs, odd first
    if (c == 0x178) return 0xFF;
    if (c >= 0x391 && c <= 0x3A9) return c + 32; // Greek
    if (c == 0x386) return 0x3AC;                // and its letters with an accent
    if (c >= 0x388 && c <= 0x38A) return c + 37;
    if (c == 0x38C) return 0x3CC;
    if (c == 0x38E || c == 0x38F) return c + 63;
    if (c == 0x3C2) return 0x3C3;                // final sigma
    if (c >= 0x410 && c <= 0x42F) return c + 32; // Cyrillic
    if (c >= 0x400 && c <= 0x40F) return c + 80;
    return c;
}

void append(std::string& out, std::uint32_t c) {
    const auto put = [&out](std::uint32_t byte) { out += static_cast<char>(byte); };
    if (c < 0x80) return put(c);
    if (c < 0x800) {
        put(0xC0 | c >> 6);
    } else {
        if (c < 0x10000) {
            put(0xE0 | c >> 12);
        } else {
            put(0xF0 | c >> 18);
            put(0x80 | (c >> 12 & 0x3F));
        }
        put(0x80 | (c >> 6 & 0x3F));
    }
    put(0x80 | (c & 0x3F));
}

} // namespace

std::vector<std::string> words_in(std::string_view text) {
    std::set<std::string> words;
    std::string word;
    const auto end_word = [&] {
        if (!word.empty()) words.insert(word);
        word.clear();
    };
    for (std::size_t at = 0; at < text.size();) {
        const std::uint32_t c = next(text, at);
        if (!of_a_word(c))
            end_word();
        else if (word.size() < longest_word)
            append(word, folded(c));
    }
    end_word();
    return {words.begin(), words.end()};
}

} // namespace ringland::diagnosis::records
