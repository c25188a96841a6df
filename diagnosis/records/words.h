// Free text as words to search by: folded to one case, cut at everything that is neither letter nor digit.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace ringland::diagnosis::records {

/// The different words of a text, sorted. Case is folded for Latin, Greek and Cyrillic letters; a word of more than 40
/// bytes is cut there.
[[nodiscard]] std::vector<std::string> words_in(std::string_view text);

} // namespace ringland::diagnosis::records
