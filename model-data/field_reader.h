// From one TOML table to the members of one thing, by its table of fields; every reader of a file of ours uses it.
//
// Private to model-data: it is the half of the readers that knows the TOML library. What is missing, mistyped or of
// the wrong type goes into the fault book with its place; what a figure may be is checked afterwards, on the finished
// thing.
#pragma once

#include <algorithm>
#include <array>
#include <cstdint>
#include <limits>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "map_faults.h"
#include "map_fields.h"
#include "texts.h"
#include "toml_library.h"

namespace ringland::model {

/// Where something stands in its file.
inline SourceSpot spot_of(const toml::source_region& source) {
    return {static_cast<int>(source.begin.line), static_cast<int>(source.begin.column)};
}

/// What a value is, in words.
inline Phrase type_words(const toml::node& node) {
    switch (node.type()) {
    case toml::node_type::table:
        return phrase("a table");
    case toml::node_type::array:
        return phrase("a list");
    case toml::node_type::string:
        return phrase("a text");
    case toml::node_type::integer:
        return phrase("a whole number");
    case toml::node_type::floating_point:
        return phrase("a number");
    case toml::node_type::boolean:
        return phrase("true or false");
    case toml::node_type::date:
    case toml::node_type::time:
    case toml::node_type::date_time:
        return phrase("a date or time");
    case toml::node_type::none:
        break;
    }
    return phrase("nothing");
}

/// The words of an enumeration as a list.
template <class Enum> std::vector<std::string> words_list() {
    std::vector<std::string> list;
    for (const auto w : words_of<Enum>())
        list.emplace_back(w);
    return list;
}

/// Fills the members of one thing from one TOML table; a visitor for Table<T>::fields.
class FieldReader {
public:
    FieldReader(const toml::table& table, std::string path, std::string_view word, FaultBook& book)
        : table_(table), path_(std::move(path)), word_(word), book_(book) {
        book_.place(path_, spot_of(table.source()));
    }

    void operator()(std::string& text, const Field& field) {
        if (const auto* node = take(field.key)) read_text(*node, key_path(field.key), text);
    }
    void operator()(bool& value, const Field& field) {
        const auto* node = take(field.key);
        if (!node) return;
        if (const auto* b = node->as_boolean())
            value = b->get();
        else
            wrong_type(field.key, *node, phrase("true or false"));
    }
    void operator()(int& value, const Field& field) {
        const auto* node = take(field.key);
        if (!node) return;
        const auto* whole = node->as_integer();
        if (!whole) return wrong_type(field.key, *node, phrase("a whole number"));
        // Far outside of every bound stays outside of it, and the check says so.
        constexpr std::int64_t most = std::numeric_limits<int>::max();
        value = static_cast<int>(std::clamp<std::int64_t>(whole->get(), -most, most));
    }
    void operator()(double& value, const Field& field) {
        if (const auto* node = take(field.key)) value = number(*node, key_path(field.key), field.key).value_or(value);
    }
    void operator()(std::optional<int>& value, const Field& field) {
        if (!table_.contains(field.key)) return note_key(field.key);
        int whole = static_cast<int>(field.low);
        (*this)(whole, field);
        value = whole;
    }
    void operator()(std::optional<double>& value, const Field& field) {
        if (const auto* node = take(field.key)) value = number(*node, key_path(field.key), field.key);
    }
    template <class Dimension> void operator()(std::optional<Quantity<Dimension>>& value, const Field& field) {
        const toml::node* first = nullptr;
        for (std::size_t i = 0; i < Dimension::units.size(); ++i) {
            const std::string key = fmt::format("{}_{}", field.key, Dimension::units[i].suffix);
            const auto* node = take(key);
            if (!node) continue;
            if (first) {
                const auto a = spot_of(first->source()), b = spot_of(node->source());
                const bool first_later = std::pair(a.line, a.column) > std::pair(b.line, b.column);
                book_.error(first_later ? a : b, phrase("{0} is given twice, in two units", field.key),
                            phrase("keep the one that was measured"));
                continue;
            }
            first = node;
            book_.place(key_path(field.key), spot_of(node->source()));
            if (const auto figure = number(*node, key_path(field.key), key)) {
                value = Quantity<Dimension>{*figure, static_cast<typename Dimension::Unit>(i)};
            }
        }
        figures_.emplace(field.key, fmt::format("{}_{}", field.key, Dimension::units[0].suffix));
    }
    template <class Dimension> void operator()(Quantity<Dimension>& value, const Field& field) {
        std::optional<Quantity<Dimension>> given;
        (*this)(given, field);
        if (given) value = *given;
    }
    template <class Enum>
    requires std::is_enum_v<Enum>
    void operator()(Enum& value, const Field& field) {
        const auto* node = take(field.key);
        if (!node) {
            if (field.required) {
                book_.error(key_path(field.key), {}, phrase("this {0} has no {1}", Phrase::of_marked(word_), field.key),
                            phrase("one of {0}", either(words_list<Enum>())));
            }
            return;
        }
        const auto* text = node->as_string();
        if (!text) return wrong_type(field.key, *node, phrase("one of the words {0}", either(words_list<Enum>())));
        if (const auto known = from_word<Enum>(text->get())) {
            value = *known;
            return;
        }
        const auto words = words_list<Enum>();
        const auto near = nearest_word(text->get(), words);
        book_.error(key_path(field.key), {}, phrase("{0} is no {1} that is known here", shown(text->get()), field.key),
                    near.empty() ? phrase("one of {0}", either(words))
                                 : phrase("{0}? It is one of {1}", near, either(words)));
    }
    template <class Enum>
    requires std::is_enum_v<Enum>
    void operator()(std::optional<Enum>& value, const Field& field) {
        if (!table_.contains(field.key)) return note_key(field.key);
        Enum word{};
        (*this)(word, field);
        value = word;
    }
    void operator()(std::vector<std::string>& list, const Field& field) {
        const auto* array = take_array(field.key, marked("a list of texts"));
        if (!array) return;
        if (array->size() > limits::things_per_list) return too_many(key_path(field.key), array->size());
        for (const auto& node : *array) {
            list.emplace_back();
            read_text(node, fmt::format("{}/{}", key_path(field.key), list.size() - 1), list.back());
        }
    }
    void operator()(std::vector<double>& list, const Field& field) {
        const auto* array = take_array(field.key, marked("a list of numbers"));
        if (!array) return;
        if (array->size() > limits::things_per_list) return too_many(key_path(field.key), array->size());
        for (std::size_t i = 0; i < array->size(); ++i) {
            const std::string at = fmt::format("{}/{}", key_path(field.key), i);
            book_.place(at, spot_of((*array)[i].source()));
            if (const auto figure = number((*array)[i], at, field.key)) list.push_back(*figure);
        }
    }
    void operator()(std::array<std::string, 2>& pair, const Field& field) {
        const auto* array = take_array(field.key, marked("a list of two circuits"));
        if (!array) return;
        if (array->size() != 2) return wrong_size(field.key, array->size(), marked("two circuits"));
        for (std::size_t i = 0; i < 2; ++i)
            read_text((*array)[i], fmt::format("{}/{}", key_path(field.key), i), pair[i]);
    }
    void operator()(std::optional<std::array<double, 2>>& point, const Field& field) {
        const auto* array = take_array(field.key, marked("a list of two numbers"));
        if (!array) return;
        if (array->size() != 2) return wrong_size(field.key, array->size(), marked("two numbers"));
        point.emplace();
        read_numbers(*array, key_path(field.key), field.key, *point);
    }
    void operator()(std::array<double, 3>& figures, const Field& field) {
        const auto* array = take_array(field.key, marked("a list of three numbers"));
        if (!array) return;
        if (array->size() != 3) return wrong_size(field.key, array->size(), marked("three numbers"));
        read_numbers(*array, key_path(field.key), field.key, figures);
    }
    void operator()(std::vector<std::array<double, 3>>& points, const Field& field) {
        const auto* array = take_array(field.key, marked("a list of points of three numbers"));
        if (!array) return;
        if (array->size() > limits::things_per_list) return too_many(key_path(field.key), array->size());
        for (std::size_t i = 0; i < array->size(); ++i) {
            const std::string path = fmt::format("{}/{}", key_path(field.key), i);
            const auto& node = (*array)[i];
            book_.place(path, spot_of(node.source()));
            points.emplace_back();
            const auto* point = node.as_array();
            if (!point || point->size() != 3) {
                book_.error(path, {}, phrase("a point of {0} is not three numbers", field.key),
                            phrase("[x, y, z] in mm"));
                continue;
            }
            read_numbers(*point, path, field.key, points.back());
        }
    }

    /// A key of this thing that its reader takes by itself.
    void knows(std::string_view key) { note_key(key); }

    /// Warns of every key that was not asked for. `reference` is the page that lists the keys.
    void finish(std::string_view reference = marked("map reference")) {
        for (const auto& [key, node] : table_) {
            const std::string_view name = key.str();
            if (std::find(known_.begin(), known_.end(), name) != known_.end()) continue;
            const auto figure = figures_.find(name);
            const std::string near = figure != figures_.end() ? figure->second : nearest_word(name, known_);
            book_.warning(spot_of(key.source()), phrase("a {0} has no key {1}", Phrase::of_marked(word_), shown(name)),
                          near.empty()
                              ? phrase("it is passed over; see the {0} for the keys", Phrase::of_marked(reference))
                              : phrase("{0}?", near));
        }
    }

private:
    [[nodiscard]] std::string key_path(std::string_view key) const { return fmt::format("{}/{}", path_, key); }
    void note_key(std::string_view key) { known_.emplace_back(key); }

    const toml::node* take(std::string_view key) {
        note_key(key);
        const auto* node = table_.get(key);
        if (node) book_.place(key_path(key), spot_of(node->source()));
        return node;
    }
    const toml::array* take_array(std::string_view key, std::string_view wanted) {
        const auto* node = take(key);
        if (!node) return nullptr;
        const auto* array = node->as_array();
        if (!array) wrong_type(key, *node, Phrase::of_marked(wanted));
        return array;
    }
    void read_text(const toml::node& node, const std::string& path, std::string& text) {
        book_.place(path, spot_of(node.source()));
        if (const auto* value = node.as_string()) {
            text = value->get();
        } else {
            book_.error(path, {}, phrase("this is {0}", type_words(node)), phrase("a text in quotes"));
        }
    }
    std::optional<double> number(const toml::node& node, const std::string& path, std::string_view key) {
        if (const auto* whole = node.as_integer()) return static_cast<double>(whole->get());
        if (const auto* real = node.as_floating_point()) return real->get();
        book_.error(path, spot_of(node.source()), phrase("{0} is {1}", key, type_words(node)),
                    phrase("a number without quotes"));
        return std::nullopt;
    }
    template <std::size_t N> void read_numbers(const toml::array& array, const std::string& path, std::string_view key,
                                               std::array<double, N>& figures) {
        for (std::size_t i = 0; i < N; ++i) {
            const std::string at = fmt::format("{}/{}", path, i);
            book_.place(at, spot_of(array[i].source()));
            figures[i] = number(array[i], at, key).value_or(0.0);
        }
    }
    void wrong_type(std::string_view key, const toml::node& node, Phrase wanted) {
        book_.error(key_path(key), {}, phrase("{0} is {1}", key, type_words(node)), std::move(wanted));
    }
    void wrong_size(std::string_view key, std::size_t size, std::string_view wanted) {
        book_.error(key_path(key), {}, phrase("{0} has {1} entries", key, size), Phrase::of_marked(wanted));
    }
    void too_many(const std::string& path, std::size_t size) {
        book_.error(path, {}, phrase("this list has {0} entries", size),
                    phrase("{0} at most", limits::things_per_list));
    }

    const toml::table& table_;
    std::string path_;
    std::string_view word_; ///< of the thing
    FaultBook& book_;
    std::vector<std::string> known_;
    std::map<std::string, std::string, std::less<>> figures_; ///< key without unit → how it is usually written
};

} // namespace ringland::model
