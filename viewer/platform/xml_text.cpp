#include "xml_text.h"

#include <cstdint>

namespace ringland::viewer {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";

/// Bytes of the UTF-8 letter that begins there, or 0 where it is broken or one that XML 1.0 forbids.
std::size_t letter_size(std::string_view text) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
    const unsigned first = byte(0);
    if (first < 0x80) return first >= 0x20 || first == '\t' || first == '\n' || first == '\r' ? 1 : 0;
    const std::size_t size = first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : 2;
    if (first < 0xC2 || first > 0xF4 || text.size() < size) return 0;
    std::uint32_t value = first & (0x7Fu >> size);
    for (std::size_t i = 1; i < size; ++i) {
        if ((byte(i) & 0xC0u) != 0x80) return 0;
        value = value << 6 | (byte(i) & 0x3Fu);
    }
    constexpr std::uint32_t least_of_size[]{0, 0, 0x80, 0x800, 0x10000};
    const bool allowed = value >= least_of_size[size] && value <= 0x10FFFF && (value < 0xD800 || value > 0xDFFF) &&
                         value != 0xFFFE && value != 0xFFFF;
    return allowed ? size : 0;
}

} // namespace

std::string xml_escaped(std::string_view text) {
    std::string escaped;
    while (!text.empty()) {
        std::size_t size = letter_size(text);
        switch (text[0]) {
        case '&':
            escaped += "&amp;";
            break;
        case '<':
            escaped += "&lt;";
            break;
        case '>':
            escaped += "&gt;";
            break;
        case '"':
            escaped += "&quot;";
            break;
        case '\'':
            escaped += "&apos;";
            break;
        default:
            escaped += size > 0 ? text.substr(0, size) : replacement;
        }
        if (size == 0) size = 1;
        text.remove_prefix(size);
    }
    return escaped;
}

} // namespace ringland::viewer
