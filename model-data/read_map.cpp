// From TOML text to a map. The only file of the program that knows the TOML library.
#include "map_io.h"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <limits>
#include <map>
#include <system_error>

#include <fmt/format.h>

#include "map_faults.h"
#include "map_fields.h"
#include "toml_guard.h"
#include "toml_library.h"

namespace ringland::model {

namespace {

namespace fs = std::filesystem;

SourceSpot spot_of(const toml::source_region& source) {
    return {static_cast<int>(source.begin.line), static_cast<int>(source.begin.column)};
}

/// What a value is, in words.
std::string_view type_words(const toml::node& node) {
    switch (node.type()) {
    case toml::node_type::table:
        return "a table";
    case toml::node_type::array:
        return "a list";
    case toml::node_type::string:
        return "a text";
    case toml::node_type::integer:
        return "a whole number";
    case toml::node_type::floating_point:
        return "a number";
    case toml::node_type::boolean:
        return "true or false";
    case toml::node_type::date:
    case toml::node_type::time:
    case toml::node_type::date_time:
        return "a date or time";
    case toml::node_type::none:
        break;
    }
    return "nothing";
}

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
            wrong_type(field.key, *node, "true or false");
    }
    void operator()(int& value, const Field& field) {
        const auto* node = take(field.key);
        if (!node) return;
        const auto* whole = node->as_integer();
        if (!whole) return wrong_type(field.key, *node, "a whole number");
        // Far outside of every bound stays outside of it, and the check says so.
        constexpr std::int64_t most = std::numeric_limits<int>::max();
        value = static_cast<int>(std::clamp<std::int64_t>(whole->get(), -most, most));
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
                book_.error(first_later ? a : b, fmt::format("{} is given twice, in two units", field.key),
                            "keep the one that was measured");
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
    template <class Enum>
    requires std::is_enum_v<Enum>
    void operator()(Enum& value, const Field& field) {
        const auto* node = take(field.key);
        if (!node) {
            if (field.required) {
                book_.error(key_path(field.key), {}, fmt::format("this {} has no {}", word_, field.key),
                            "one of " + either(words_list<Enum>()));
            }
            return;
        }
        const auto* text = node->as_string();
        if (!text) return wrong_type(field.key, *node, "one of the words " + either(words_list<Enum>()));
        if (const auto known = from_word<Enum>(text->get())) {
            value = *known;
            return;
        }
        const auto words = words_list<Enum>();
        const auto near = nearest_word(text->get(), words);
        book_.error(key_path(field.key), {},
                    fmt::format("{} is no {} that is known here", shown(text->get()), field.key),
                    near.empty() ? "one of " + either(words) : fmt::format("{}? It is one of {}", near, either(words)));
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
        const auto* array = take_array(field.key, "a list of texts");
        if (!array) return;
        if (array->size() > limits::things_per_list) return too_many(key_path(field.key), array->size());
        for (const auto& node : *array) {
            list.emplace_back();
            read_text(node, fmt::format("{}/{}", key_path(field.key), list.size() - 1), list.back());
        }
    }
    void operator()(std::array<std::string, 2>& pair, const Field& field) {
        const auto* array = take_array(field.key, "a list of two circuits");
        if (!array) return;
        if (array->size() != 2) return wrong_size(field.key, array->size(), "two circuits");
        for (std::size_t i = 0; i < 2; ++i)
            read_text((*array)[i], fmt::format("{}/{}", key_path(field.key), i), pair[i]);
    }
    void operator()(std::optional<std::array<double, 2>>& point, const Field& field) {
        const auto* array = take_array(field.key, "a list of two numbers");
        if (!array) return;
        if (array->size() != 2) return wrong_size(field.key, array->size(), "two numbers");
        point.emplace();
        read_numbers(*array, key_path(field.key), field.key, *point);
    }
    void operator()(std::vector<std::array<double, 3>>& points, const Field& field) {
        const auto* array = take_array(field.key, "a list of points of three numbers");
        if (!array) return;
        if (array->size() > limits::things_per_list) return too_many(key_path(field.key), array->size());
        for (std::size_t i = 0; i < array->size(); ++i) {
            const std::string path = fmt::format("{}/{}", key_path(field.key), i);
            const auto& node = (*array)[i];
            book_.place(path, spot_of(node.source()));
            points.emplace_back();
            const auto* point = node.as_array();
            if (!point || point->size() != 3) {
                book_.error(path, {}, fmt::format("a point of {} is not three numbers", field.key), "[x, y, z] in mm");
                continue;
            }
            read_numbers(*point, path, field.key, points.back());
        }
    }

    /// Warns of every key that was not asked for.
    void finish() {
        for (const auto& [key, node] : table_) {
            const std::string_view name = key.str();
            if (std::find(known_.begin(), known_.end(), name) != known_.end()) continue;
            const auto figure = figures_.find(name);
            const std::string near = figure != figures_.end() ? figure->second : nearest_word(name, known_);
            book_.warning(spot_of(key.source()), fmt::format("a {} has no key {}", word_, shown(name)),
                          near.empty() ? "it is passed over; see the map reference for the keys"
                                       : fmt::format("{}?", near));
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
        if (!array) wrong_type(key, *node, wanted);
        return array;
    }
    void read_text(const toml::node& node, const std::string& path, std::string& text) {
        book_.place(path, spot_of(node.source()));
        if (const auto* value = node.as_string()) {
            text = value->get();
        } else {
            book_.error(path, {}, fmt::format("this is {}", type_words(node)), "a text in quotes");
        }
    }
    std::optional<double> number(const toml::node& node, const std::string& path, std::string_view key) {
        if (const auto* whole = node.as_integer()) return static_cast<double>(whole->get());
        if (const auto* real = node.as_floating_point()) return real->get();
        book_.error(path, spot_of(node.source()), fmt::format("{} is {}", key, type_words(node)),
                    "a number without quotes");
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
    void wrong_type(std::string_view key, const toml::node& node, std::string_view wanted) {
        book_.error(key_path(key), {}, fmt::format("{} is {}", key, type_words(node)), std::string(wanted));
    }
    void wrong_size(std::string_view key, std::size_t size, std::string_view wanted) {
        book_.error(key_path(key), {}, fmt::format("{} has {} entries", key, size), std::string(wanted));
    }
    void too_many(const std::string& path, std::size_t size) {
        book_.error(path, {}, fmt::format("this list has {} entries", size),
                    fmt::format("{} at most", limits::things_per_list));
    }

    const toml::table& table_;
    std::string path_;
    std::string_view word_; ///< of the thing
    FaultBook& book_;
    std::vector<std::string> known_;
    std::map<std::string, std::string, std::less<>> figures_; ///< key without unit → how it is usually written
};

/// Reads the whole document; the lists of the map come by their keys.
class DocumentReader {
public:
    DocumentReader(const toml::table& root, FaultBook& book) : root_(root), book_(book) {}

    UnitMap read() {
        UnitMap map;
        read_unit(map.unit);
        for_each_list(map, [&](auto& list) { read_list(list); });
        for (const auto& [key, node] : root_) {
            if (std::find(known_.begin(), known_.end(), key.str()) != known_.end()) continue;
            const auto near = nearest_word(key.str(), known_);
            book_.warning(spot_of(key.source()), fmt::format("a map has nothing called {}", shown(key.str())),
                          near.empty() ? "it has " + either(known_) : fmt::format("{}?", near));
        }
        return map;
    }
    [[nodiscard]] const std::vector<StackShort>& stack_shorts() const { return stack_shorts_; }

private:
    void read_unit(UnitInfo& unit) {
        known_.emplace_back("unit");
        const auto* node = root_.get("unit");
        if (!node) {
            book_.spoil("unit");
            return book_.error(SourceSpot{1, 1}, "the map has no [unit]",
                               "[unit] with a name, for example name = \"Bench three\"");
        }
        const auto* table = node->as_table();
        if (!table) {
            book_.spoil("unit");
            return book_.error(spot_of(node->source()), fmt::format("unit is {}", type_words(*node)),
                               "one table [unit]");
        }
        FieldReader reader(*table, "unit", Table<UnitInfo>::word, book_);
        Table<UnitInfo>::fields(unit, reader);
        unit.where = spot_of(table->source());
        reader.finish();
    }
    template <class T> void read_list(std::vector<T>& list) {
        constexpr auto key = Table<T>::key;
        known_.emplace_back(key);
        const auto* node = root_.get(key);
        if (!node) return;
        const auto* array = node->as_array();
        if (!array) {
            return book_.error(spot_of(node->source()), fmt::format("{} is {}", key, type_words(*node)),
                               fmt::format("[[{}]] with two brackets", key));
        }
        if (array->size() > limits::things_per_list) {
            return book_.error(spot_of(array->source()), fmt::format("the map has {} of [[{}]]", array->size(), key),
                               fmt::format("{} at most", limits::things_per_list));
        }
        for (const auto& entry : *array) {
            const auto* table = entry.as_table();
            if (!table) {
                book_.error(spot_of(entry.source()), fmt::format("an entry of {} is {}", key, type_words(entry)),
                            fmt::format("[[{}]]", key));
                continue;
            }
            T thing;
            FieldReader reader(*table, path_of(key, list.size()), Table<T>::word, book_);
            Table<T>::fields(thing, reader);
            if constexpr (std::is_same_v<T, Stack>) {
                stack_shorts_.emplace_back();
                Table<StackShort>::fields(stack_shorts_.back(), reader);
            }
            thing.where = spot_of(table->source());
            reader.finish();
            list.push_back(std::move(thing));
        }
    }

    const toml::table& root_;
    FaultBook& book_;
    std::vector<std::string> known_;
    std::vector<StackShort> stack_shorts_;
};

ReadResult refused(Fault fault) { return {std::nullopt, {std::move(fault)}}; }

ReadResult refused(const std::string& file, std::string what, std::string right) {
    return refused(Fault{file, 0, 0, Severity::error, std::move(what), std::move(right)});
}

} // namespace

ReadResult read_map_text(std::string_view toml, std::string file) {
    if (auto fault = guard_text(toml, file)) return refused(std::move(*fault));
    toml::table root;
    try {
        root = toml::parse(toml, file);
    } catch (const toml::parse_error& error) {
        const auto spot = spot_of(error.source());
        return refused(Fault{file, spot.line, spot.column, Severity::error,
                             fmt::format("this is not TOML: {}", error.description()),
                             "mend this place first; what follows could not be read"});
    } catch (const ParserLost&) {
        return refused(file, "this is not TOML", "look for a bracket, comma or quote too many");
    }
    FaultBook book(std::move(file));
    DocumentReader reader(root, book);
    UnitMap map = reader.read();
    complete(map, reader.stack_shorts(), book);
    check_map(map, book);
    ReadResult result;
    result.faults = book.take();
    if (!has_error(result.faults)) result.map = std::move(map);
    return result;
}

ReadResult read_map(const fs::path& path) {
    const std::string file = path.string();
    std::error_code error;
    const auto status = fs::status(path, error);
    if (status.type() == fs::file_type::not_found)
        return refused(file, "there is no such file", "check the name and the folder");
    if (fs::is_directory(status)) return refused(file, "this is a folder", "name a map file in it");
    // Pipes and devices may never end.
    if (!fs::is_regular_file(status))
        return refused(file, "this cannot be read as a file", "a map is a plain text file that you may read");
    const auto size = fs::file_size(path, error);
    if (!error && size > limits::file_bytes) {
        return refused(file, fmt::format("the file has {} bytes", size),
                       fmt::format("a map has {} at most", limits::file_bytes));
    }
    std::ifstream in(path, std::ios::binary);
    if (!in) return refused(file, "the file cannot be opened", "check that you may read it");
    std::string text(error ? limits::file_bytes + 1 : static_cast<std::size_t>(size), '\0');
    in.read(text.data(), static_cast<std::streamsize>(text.size()));
    if (in.bad()) return refused(file, "reading the file broke off", "check the disk or the connection to it");
    text.resize(static_cast<std::size_t>(in.gcount()));
    return read_map_text(text, file);
}

} // namespace ringland::model
