// From the members of one thing to lines of TOML, by its table of fields. Private to model-data.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "map_fields.h"

namespace ringland::model {

/// A text as a TOML basic string.
inline std::string in_quotes(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        switch (c) {
        case '"':
            out += "\\\"";
            break;
        case '\\':
            out += "\\\\";
            break;
        case '\n':
            out += "\\n";
            break;
        case '\t':
            out += "\\t";
            break;
        case '\r':
            out += "\\r";
            break;
        default:
            if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f)
                out += fmt::format("\\u{:04X}", static_cast<unsigned>(c));
            else
                out += c;
        }
    }
    return out + '"';
}

/// The shortest figure that reads back as the same double.
inline std::string figure_text(double value) { return fmt::format("{}", value); }

/// Writes the members of one thing; what is absent is left out.
class FieldWriter {
public:
    explicit FieldWriter(std::string& out) : out_(out) {}

    void operator()(const std::string& text, const Field& field) {
        if (!text.empty()) line(field.key, in_quotes(text));
    }
    void operator()(const bool& value, const Field& field) {
        if (value != field.default_true) line(field.key, value ? "true" : "false");
    }
    void operator()(const int& value, const Field& field) {
        if (value != 0) line(field.key, fmt::format("{}", value));
    }
    void operator()(const std::optional<int>& value, const Field& field) {
        if (value) line(field.key, fmt::format("{}", *value));
    }
    void operator()(const double& value, const Field& field) { line(field.key, figure_text(value)); }
    void operator()(const std::array<double, 3>& figures, const Field& field) { line(field.key, numbers(figures)); }
    void operator()(const std::optional<double>& value, const Field& field) {
        if (value) line(field.key, figure_text(*value));
    }
    template <class Dimension> void operator()(const std::optional<Quantity<Dimension>>& value, const Field& field) {
        if (value) line(fmt::format("{}_{}", field.key, value->measure().suffix), figure_text(value->value));
    }
    template <class Dimension> void operator()(const Quantity<Dimension>& value, const Field& field) {
        line(fmt::format("{}_{}", field.key, value.measure().suffix), figure_text(value.value));
    }
    template <class Enum>
    requires std::is_enum_v<Enum>
    void operator()(const Enum& value, const Field& field) { line(field.key, in_quotes(word(value))); }
    template <class Enum>
    requires std::is_enum_v<Enum>
    void operator()(const std::optional<Enum>& value, const Field& field) {
        if (value) line(field.key, in_quotes(word(*value)));
    }
    void operator()(const std::vector<std::string>& list, const Field& field) {
        if (!list.empty()) line(field.key, texts(list));
    }
    void operator()(const std::vector<double>& list, const Field& field) {
        if (!list.empty()) line(field.key, numbers(list));
    }
    void operator()(const std::array<std::string, 2>& pair, const Field& field) { line(field.key, texts(pair)); }
    void operator()(const std::optional<std::array<double, 2>>& point, const Field& field) {
        if (point) line(field.key, numbers(*point));
    }
    void operator()(const std::vector<std::array<double, 3>>& points, const Field& field) {
        if (points.empty()) return;
        std::string list;
        for (const auto& point : points)
            list += (list.empty() ? "" : ", ") + numbers(point);
        line(field.key, "[" + list + "]");
    }

private:
    void line(std::string_view key, std::string_view value) { out_ += fmt::format("{} = {}\n", key, value); }
    template <class List> static std::string texts(const List& list) {
        std::string out;
        for (const auto& text : list)
            out += (out.empty() ? "" : ", ") + in_quotes(text);
        return "[" + out + "]";
    }
    template <class List> static std::string numbers(const List& list) {
        std::string out;
        for (const double number : list)
            out += (out.empty() ? "" : ", ") + figure_text(number);
        return "[" + out + "]";
    }
    std::string& out_;
};

} // namespace ringland::model
