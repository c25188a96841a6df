// From TOML text to a map.
#include "map_io.h"

#include <algorithm>

#include <fmt/format.h>

#include "field_reader.h"
#include "toml_document.h"

namespace ringland::model {

namespace {

/// Reads the whole document; the lists of the map come by their keys.
class DocumentReader {
public:
    DocumentReader(const toml::table& root, FaultBook& book) : root_(root), book_(book) {}

    UnitMap read() {
        UnitMap map;
        read_unit(map.unit);
        read_oil(map.oil);
        for_each_list(map, [&](auto& list) { read_list(list); });
        for (const auto& [key, node] : root_) {
            if (std::find(known_.begin(), known_.end(), key.str()) != known_.end()) continue;
            const auto near = nearest_word(key.str(), known_);
            book_.warning(spot_of(key.source()), phrase("a map has nothing called {0}", shown(key.str())),
                          near.empty() ? phrase("it has {0}", either(known_)) : phrase("{0}?", near));
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
            return book_.error(SourceSpot{1, 1}, phrase("the map has no [unit]"),
                               phrase("[unit] with a name, for example name = \"Bench three\""));
        }
        const auto* table = node->as_table();
        if (!table) {
            book_.spoil("unit");
            return book_.error(spot_of(node->source()), phrase("{0} is {1}", "unit", type_words(*node)),
                               phrase("one table [unit]"));
        }
        FieldReader reader(*table, "unit", Table<UnitInfo>::word, book_);
        Table<UnitInfo>::fields(unit, reader);
        unit.where = spot_of(table->source());
        reader.finish();
    }
    void read_oil(OilInfo& oil) {
        known_.emplace_back(Table<OilInfo>::key);
        const auto* node = root_.get(Table<OilInfo>::key);
        if (!node) return;
        const auto* table = node->as_table();
        if (!table)
            return book_.error(spot_of(node->source()), phrase("{0} is {1}", Table<OilInfo>::key, type_words(*node)),
                               phrase("one table [oil]"));
        FieldReader reader(*table, std::string(Table<OilInfo>::key), Table<OilInfo>::word, book_);
        Table<OilInfo>::fields(oil, reader);
        oil.where = spot_of(table->source());
        reader.finish();
    }
    template <class T> void read_list(std::vector<T>& list) {
        constexpr auto key = Table<T>::key;
        known_.emplace_back(key);
        const auto* node = root_.get(key);
        if (!node) return;
        const auto* array = node->as_array();
        if (!array) {
            return book_.error(spot_of(node->source()), phrase("{0} is {1}", key, type_words(*node)),
                               phrase("[[{0}]] with two brackets", key));
        }
        if (array->size() > limits::things_per_list) {
            return book_.error(spot_of(array->source()), phrase("the map has {0} of [[{1}]]", array->size(), key),
                               phrase("{0} at most", limits::things_per_list));
        }
        for (const auto& entry : *array) {
            const auto* table = entry.as_table();
            if (!table) {
                book_.error(spot_of(entry.source()), phrase("an entry of {0} is {1}", key, type_words(entry)),
                            Phrase::as_is(fmt::format("[[{}]]", key)));
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

} // namespace

ReadResult read_map_text(std::string_view toml, std::string file) {
    toml::table root;
    if (auto fault = parse_document(toml, file, map_file, root)) return {std::nullopt, {std::move(*fault)}};
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

ReadResult read_map(const std::filesystem::path& path) {
    std::string text;
    if (auto fault = read_file_text(path, map_file, text)) return {std::nullopt, {std::move(*fault)}};
    return read_map_text(text, path.string());
}

} // namespace ringland::model
