#include "text_lines.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace ringland::viewer {

std::size_t characters(std::string_view text) {
    return static_cast<std::size_t>(
        std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

std::string clipped(const std::string& text, std::size_t most) {
    std::size_t count = 0;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if ((static_cast<unsigned char>(text[i]) & 0xC0) == 0x80) continue;
        if (count++ == most) return text.substr(0, i);
    }
    return text;
}

std::string wrapped(const std::string& text, std::size_t indent) {
    std::string out;
    std::size_t column = 0;
    for (std::size_t begin = 0; begin <= text.size();) {
        const std::size_t end = std::min(text.find(' ', begin), text.size());
        const std::string word = text.substr(begin, end - begin);
        if (column > indent && column + 1 + characters(word) > widest_line) {
            out += '\n' + std::string(indent, ' ');
            column = indent;
        } else if (begin > 0) {
            out += ' ';
            ++column;
        }
        out += word;
        column += characters(word);
        begin = end + 1;
    }
    return out;
}

std::string line_of(const std::string& text) { return text.substr(0, text.find_last_not_of(' ') + 1) + '\n'; }

std::string column(const std::string& text, std::size_t width) {
    const std::string shown = clipped(text, width - 1);
    return shown + std::string(width - characters(shown), ' ');
}

std::string counted(std::size_t n, std::string_view one, std::string_view many) {
    return fmt::format("{} {}", n, n == 1 ? one : many);
}

std::string unit_line(const model::UnitMap& map) {
    return map.unit.name + (map.unit.invented ? " (an invented unit)" : "") + '\n';
}

std::string port_words(const model::UnitMap& map, int port) {
    const auto& there = map.ports[static_cast<std::size_t>(port)];
    const std::string label = model::port_label(map, there);
    return label == there.id ? there.id : fmt::format("{} {}", there.id, label);
}

std::string seal_ids(const model::UnitMap& map, const std::vector<std::size_t>& seals) {
    std::vector<std::string> ids;
    ids.reserve(seals.size());
    for (const std::size_t s : seals)
        ids.push_back(map.seals[s].id);
    return fmt::format("{}", fmt::join(ids, ", "));
}

std::string DesignNotes::mark(const std::vector<int>& flows) {
    std::vector<std::size_t> numbers;
    for (const int flow : flows) {
        auto found = std::find(order_.begin(), order_.end(), flow);
        if (found == order_.end()) found = order_.insert(order_.end(), flow);
        numbers.push_back(static_cast<std::size_t>(found - order_.begin()) + 1);
    }
    std::sort(numbers.begin(), numbers.end());
    return numbers.empty() ? "" : fmt::format("[{}]", fmt::join(numbers, ","));
}

std::string DesignNotes::list() const {
    std::string text;
    for (std::size_t i = 0; i < order_.size(); ++i) {
        const auto& flow = map_.by_design[static_cast<std::size_t>(order_[i])];
        text += wrapped(fmt::format("  [{}] {} {} {}: {}", i + 1, model::circuit_name(map_, flow.from),
                                    flow.one_way ? "→" : "↔", model::circuit_name(map_, flow.to), flow.reason),
                        6) +
                '\n';
    }
    return text.empty() ? text : "By design:\n" + text;
}

} // namespace ringland::viewer
