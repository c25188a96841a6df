#include "stock.h"

#include <algorithm>

#include <fmt/format.h>

#include "field_checks.h"
#include "field_reader.h"
#include "field_writer.h"
#include "toml_document.h"

namespace ringland::model {

/// Every key of a [[stock]]; the reader, the check and the writer walk it.
template <> struct Table<StockItem> {
    static constexpr std::string_view key = "stock", word = "[[stock]]";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.part_number, Field{.key = "part-number", .says = "As the map has it", .required = true});
        see(t.count, Field{.key = "count", .says = "How many lie there", .high = 1000000});
        see(t.place, Field{.key = "place", .says = "Shelf, drawer"});
        see(t.note, Field{.key = "note", .says = "Free remark", .role = Role::text});
    }
};

namespace {

constexpr FileKind stock_file{marked("a stock file"), marked("[[stock]] and a part number"), 4u << 20};
constexpr std::size_t most_items = 50000;

std::string lower(std::string_view text) {
    std::string result(text);
    for (char& c : result)
        c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    return result;
}

/// Holds one item against the bounds of its keys; a visitor for Table<StockItem>::fields.
class StockChecker {
public:
    StockChecker(FaultBook& book, std::string path) : book_(book), path_(std::move(path)) {}

    void operator()(const std::string& text, const Field& field) {
        if (!text.empty()) complain(field, complaint_about_text(text, field));
    }
    void operator()(const int& value, const Field& field) {
        complain(field, complaint_about_figure(value, field.low, field.high, field, {}));
    }

private:
    void complain(const Field& field, std::optional<FieldComplaint> found) {
        if (found)
            book_.error(fmt::format("{}/{}", path_, field.key), {}, std::move(found->what), std::move(found->right));
    }
    FaultBook& book_;
    std::string path_;
};

class StockReader {
public:
    StockReader(const toml::table& root, FaultBook& book) : root_(root), book_(book) {}

    Stock read() {
        Stock stock;
        const std::string key(Table<StockItem>::key);
        for (const auto& [other, node] : root_) {
            if (other.str() == key) continue;
            book_.warning(spot_of(other.source()), phrase("a stock file has nothing called {0}", shown(other.str())),
                          nearest_word(other.str(), {key}).empty() ? phrase("it has [[stock]] only")
                                                                   : phrase("{0}?", "[[stock]]"));
        }
        const auto* node = root_.get(key);
        if (!node) {
            // A map by mistake is an error; an empty file is a shop that has counted nothing yet.
            const Phrase what = phrase("the file has no [[stock]]");
            const Phrase right = phrase("[[stock]] with part-number and count for each thing on the shelf");
            if (root_.empty())
                book_.warning(SourceSpot{1, 1}, what, right);
            else
                book_.error(SourceSpot{1, 1}, what, right);
            return stock;
        }
        book_.place(key, spot_of(node->source()));
        const auto* array = node->as_array();
        if (!array) {
            book_.error(key, {}, phrase("{0} is {1}", key, type_words(*node)),
                        phrase("[[{0}]] with two brackets", key));
            return stock;
        }
        if (array->size() > most_items) {
            book_.error(key, {}, phrase("there are {0} of [[{1}]]", array->size(), key),
                        phrase("{0} at most", most_items));
            return stock;
        }
        stock.items.reserve(array->size());
        for (const auto& entry : *array) {
            if (const auto* table = entry.as_table())
                stock.items.push_back(read_item(*table, path_of(key, stock.items.size())));
            else
                book_.error(spot_of(entry.source()), phrase("an entry of {0} is {1}", key, type_words(entry)),
                            Phrase::as_is("[[stock]]"));
        }
        return stock;
    }

private:
    StockItem read_item(const toml::table& table, const std::string& path) {
        StockItem item;
        item.where = spot_of(table.source());
        FieldReader reader(table, path, Table<StockItem>::word, book_);
        Table<StockItem>::fields(item, reader);
        reader.finish(marked("command-line page, section plan,"));
        Table<StockItem>::fields(std::as_const(item), StockChecker(book_, path));
        if (!item.part_number.empty()) return item;
        book_.error(path + "/part-number", item.where, phrase("this [[stock]] has no part-number"),
                    phrase("the number by which the map calls it"));
        return item;
    }

    const toml::table& root_;
    FaultBook& book_;
};

} // namespace

std::optional<OnShelf> on_shelf(const Stock& stock, std::string_view part_number) {
    const std::string wanted = lower(part_number);
    std::optional<OnShelf> found;
    for (const auto& item : stock.items) {
        if (lower(item.part_number) != wanted) continue;
        if (!found) found.emplace();
        found->count += item.count;
        if (item.count > 0 && !item.place.empty()) found->place += (found->place.empty() ? "" : ", ") + item.place;
    }
    return found;
}

ReadStockResult read_stock_text(std::string_view toml, std::string file) {
    toml::table root;
    if (auto fault = parse_document(toml, file, stock_file, root)) return {std::nullopt, {std::move(*fault)}};
    FaultBook book(std::move(file));
    Stock stock = StockReader(root, book).read();
    ReadStockResult result;
    result.faults = book.take();
    if (!has_error(result.faults)) result.stock = std::move(stock);
    return result;
}

ReadStockResult read_stock(const std::filesystem::path& path) {
    std::string text;
    if (auto fault = read_file_text(path, stock_file, text)) return {std::nullopt, {std::move(*fault)}};
    return read_stock_text(text, path.string());
}

bool holds_stock(const std::filesystem::path& path) {
    std::string text;
    toml::table root;
    if (read_file_text(path, stock_file, text) || parse_document(text, path.string(), stock_file, root)) return false;
    return root.contains(Table<StockItem>::key) && !root.contains(Table<UnitInfo>::key);
}

std::string write_stock_text(const Stock& stock) {
    std::string out = "# What lies on the shelf, for Ringland: part numbers as the maps have them.\n";
    FieldWriter write(out);
    for (const auto& item : stock.items) {
        out += "\n[[stock]]\n";
        Table<StockItem>::fields(item, write);
    }
    return out;
}

} // namespace ringland::model
