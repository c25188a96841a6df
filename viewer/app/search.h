// What can be done, found by a few typed letters: actions, ports, circuits, seals, parts, and words of an air check. No
// toolkit in here.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "commands.h"

namespace ringland::viewer {

/// One thing to do.
struct ToDo {
    std::string title;             ///< "Air into P3 LOW"
    std::string detail;            ///< "port into Low"; may be empty
    std::string key;               ///< the key that does it, empty without one
    std::string action;            ///< id of an action of the table, or empty
    std::vector<Command> commands; ///< carried out in order, where it is no action
    bool possible = true;          ///< it has sense as things stand
};

/// The best matches first, `most` at most. Every word that was typed must be found, as a beginning, a part, or with a
/// slip of the finger; the order of the words does not matter. Nothing typed: what is wanted most as things stand.
[[nodiscard]] std::vector<ToDo> find_to_do(const Workbench& bench, std::string_view typed, std::size_t most);

/// How well a typed word fits a word, 0 not at all to 100 the same; both in small letters.
[[nodiscard]] int word_match(std::string_view typed, std::string_view word);

/// What may be typed, said where nothing was found.
[[nodiscard]] std::string search_help(const Workbench& bench);

} // namespace ringland::viewer
