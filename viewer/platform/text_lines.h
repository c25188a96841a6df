// Lines that print: cut, broken between words, and notes with numbers. Every answer in words is made of these.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "../../model-data/unit_map.h"

namespace ringland::viewer {

/// As wide as a page prints.
inline constexpr std::size_t widest_line = 118;

/// Characters of UTF-8 text, for columns.
[[nodiscard]] std::size_t characters(std::string_view text);
/// At most so many characters, cut at a whole one.
[[nodiscard]] std::string clipped(const std::string& text, std::size_t most);
/// Broken between words into lines that print; all but the first begin with so many blanks.
[[nodiscard]] std::string wrapped(const std::string& text, std::size_t indent);
/// Without blanks at its end, and a line feed.
[[nodiscard]] std::string line_of(const std::string& text);

/// Cut or filled up to so many characters, at least one blank behind.
[[nodiscard]] std::string column(const std::string& text, std::size_t width);
/// "1 seal", "12 seals".
[[nodiscard]] std::string counted(std::size_t n, std::string_view one, std::string_view many);

/// The unit's name, and that it is invented, where it is: the head of an answer.
[[nodiscard]] std::string unit_line(const model::UnitMap& map);
/// "P3 LOW": id and label of a port.
[[nodiscard]] std::string port_words(const model::UnitMap& map, int port);
/// "R3, O1": ids of seals by their indices.
[[nodiscard]] std::string seal_ids(const model::UnitMap& map, const std::vector<std::size_t>& seals);

/// The flows by design of one answer, numbered in the order in which they are met.
class DesignNotes {
public:
    explicit DesignNotes(const model::UnitMap& map) : map_(map) {}
    /// "[1,3]", or nothing.
    [[nodiscard]] std::string mark(const std::vector<int>& flows);
    /// The reasons, one a line, under the words "By design:"; nothing where none was marked.
    [[nodiscard]] std::string list() const;

private:
    const model::UnitMap& map_;
    std::vector<int> order_;
};

} // namespace ringland::viewer
