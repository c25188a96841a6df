// The shop's name and sign as a file. Invented data.
#include <doctest/doctest.h>

#include "../../model-data/map_faults.h"
#include "../../model-data/shop_sign.h"

using namespace ringland::model;

TEST_CASE("shop: name and sign come back as they were written, quotes and letters of any language included") {
    const ShopSign sign{"Millrace \"Gearbox\" Works, Señora Muñoz (invented)", "/pictures/sign \\ 1.png"};
    const auto read = read_shop_sign_text(write_shop_sign_text(sign), "shop.toml");
    REQUIRE(read.sign);
    CHECK(read.faults.empty());
    CHECK(*read.sign == sign);
    // A name that is taken back is none.
    const auto none = read_shop_sign_text(write_shop_sign_text({}), "shop.toml");
    REQUIRE(none.sign);
    CHECK(*none.sign == ShopSign{});
}

TEST_CASE("shop: what is wrong is said with its place and what would be right") {
    const auto wrong = [](const char* text) {
        const auto read = read_shop_sign_text(text, "shop.toml");
        CHECK_FALSE(read.sign);
        return read.faults.empty() ? std::string() : to_string(read.faults.front());
    };
    CHECK(wrong("name = \"Mill\"\n").find("shop.toml:1:1: ") == 0);
    CHECK(wrong("[shop]\nname = 3\n").find("shop.toml:2:8: ") == 0);
    CHECK(wrong("shop = 3\n").find("[shop] with name and logo") != std::string::npos);
    CHECK(wrong("[shop\n").find("shop.toml:1:") == 0);
    // What is unknown is a warning: the rest counts.
    const auto more = read_shop_sign_text("[shop]\nname = \"Mill\"\nlogos = \"a.png\"\n", "shop.toml");
    REQUIRE(more.sign);
    CHECK(more.sign->name == "Mill");
    REQUIRE(more.faults.size() == 1);
    CHECK(to_string(more.faults.front()).find("logo") != std::string::npos);
}
