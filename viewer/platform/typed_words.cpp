#include "typed_words.h"

#include <algorithm>

namespace ringland::viewer {

std::string lower(std::string_view text) {
    std::string result(text);
    std::transform(result.begin(), result.end(), result.begin(),
                   [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
    return result;
}

bool has_ending(std::string_view text, std::string_view ending) {
    return text.size() >= ending.size() && lower(text.substr(text.size() - ending.size())) == ending;
}

} // namespace ringland::viewer
