// What stands at the head of a shop's pages: its name and its sign.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "fault.h"

namespace ringland::model {

struct ShopSign {
    std::string name;
    std::string logo; ///< file, a PNG; empty: none
    friend bool operator==(const ShopSign&, const ShopSign&) = default;
};

struct ReadShopSignResult {
    std::optional<ShopSign> sign;
    std::vector<Fault> faults;
};

/// Reads a file with one table [shop]. Never throws for what a file holds.
[[nodiscard]] ReadShopSignResult read_shop_sign(const std::filesystem::path& path);
[[nodiscard]] ReadShopSignResult read_shop_sign_text(std::string_view toml, std::string file);

/// True where the file reads as such a file and not as a map; what is wrong with it is for read_shop_sign to say.
[[nodiscard]] bool holds_shop_sign(const std::filesystem::path& path);

/// The sign as TOML; reading it gives an equal one.
[[nodiscard]] std::string write_shop_sign_text(const ShopSign& sign);

} // namespace ringland::model
