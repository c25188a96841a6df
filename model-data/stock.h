// The shop's stock: what lies on the shelf, by part number.
//
// One small TOML file that the shop keeps, a [[stock]] for each number. A number may stand more than once, as where it
// lies in two places; counts add up.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "fault.h"
#include "unit_map.h"

namespace ringland::model {

struct StockItem {
    std::string part_number;
    int count = 0;
    std::string place; ///< shelf, drawer
    std::string note;
    SourceSpot where;
    friend bool operator==(const StockItem&, const StockItem&) = default;
};

struct Stock {
    std::vector<StockItem> items; ///< in the order of the file
    friend bool operator==(const Stock&, const Stock&) = default;
};

/// What the shop has of one number, over all places.
struct OnShelf {
    int count = 0;
    std::string place; ///< all that hold any, "drawer 4, shelf 2"
};
/// Nothing where the number is not in the file: not counted is not none. Letters may be large or small.
[[nodiscard]] std::optional<OnShelf> on_shelf(const Stock& stock, std::string_view part_number);

struct ReadStockResult {
    std::optional<Stock> stock;
    std::vector<Fault> faults;
};

/// Reads a stock file. Never throws for what a file holds.
[[nodiscard]] ReadStockResult read_stock(const std::filesystem::path& path);
[[nodiscard]] ReadStockResult read_stock_text(std::string_view toml, std::string file);

/// True where the file reads as a stock file and not as a map; what is wrong with it is for read_stock to say.
[[nodiscard]] bool holds_stock(const std::filesystem::path& path);

/// The stock as TOML; reading it gives an equal one.
[[nodiscard]] std::string write_stock_text(const Stock& stock);

} // namespace ringland::model
