#include "shop_sign.h"

#include <fmt/format.h>

#include "field_reader.h"
#include "field_writer.h"
#include "toml_document.h"

namespace ringland::model {

/// Every key of [shop]; the reader and the writer walk it.
template <> struct Table<ShopSign> {
    static constexpr std::string_view key = "shop", word = "[shop]";
    template <class T, class V> static void fields(T& t, V&& see) {
        see(t.name, Field{.key = "name", .says = "At the head of the customer's page", .role = Role::text});
        see(t.logo, Field{.key = "logo", .says = "Its sign, a PNG file", .role = Role::text});
    }
};

namespace {

constexpr FileKind sign_file{marked("a file with the shop's name"), marked("[shop] and a name"), 64u << 10};

} // namespace

ReadShopSignResult read_shop_sign_text(std::string_view toml, std::string file) {
    toml::table root;
    if (auto fault = parse_document(toml, file, sign_file, root)) return {std::nullopt, {std::move(*fault)}};
    FaultBook book(std::move(file));
    ShopSign sign;
    for (const auto& [key, node] : root) {
        if (key.str() != Table<ShopSign>::key)
            book.warning(spot_of(key.source()), phrase("such a file has nothing called {0}", shown(key.str())),
                         phrase("it has [shop] only"));
    }
    const auto* node = root.get(Table<ShopSign>::key);
    if (const auto* table = node == nullptr ? nullptr : node->as_table()) {
        FieldReader reader(*table, std::string(Table<ShopSign>::key), Table<ShopSign>::word, book);
        Table<ShopSign>::fields(sign, reader);
        reader.finish(marked("command-line page, section handout,"));
    } else {
        book.error(node == nullptr ? SourceSpot{1, 1} : spot_of(node->source()), phrase("the file has no table [shop]"),
                   phrase("[shop] with name and logo"));
    }
    ReadShopSignResult result;
    result.faults = book.take();
    if (!has_error(result.faults)) result.sign = std::move(sign);
    return result;
}

ReadShopSignResult read_shop_sign(const std::filesystem::path& path) {
    std::string text;
    if (auto fault = read_file_text(path, sign_file, text)) return {std::nullopt, {std::move(*fault)}};
    return read_shop_sign_text(text, path.string());
}

bool holds_shop_sign(const std::filesystem::path& path) {
    std::string text;
    toml::table root;
    if (read_file_text(path, sign_file, text) || parse_document(text, path.string(), sign_file, root)) return false;
    return root.contains(Table<ShopSign>::key) && !root.contains(Table<UnitInfo>::key);
}

std::string write_shop_sign_text(const ShopSign& sign) {
    std::string out = "# What stands at the head of the shop's pages, for Ringland.\n[shop]\n";
    FieldWriter write(out);
    Table<ShopSign>::fields(sign, write);
    return out;
}

} // namespace ringland::model
