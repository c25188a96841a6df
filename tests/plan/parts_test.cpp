// The parts list, and the shop's stock beside it.
#include <algorithm>
#include <string>

#include <doctest/doctest.h>

#include "../../diagnosis/plan/plan.h"
#include "../../model-data/map_io.h"

using namespace ringland;
using namespace ringland::diagnosis;

namespace {

model::UnitMap larch_map() {
    auto read = model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml");
    REQUIRE(read.map);
    return *read.map;
}

std::size_t place_of(const model::UnitMap& map, const std::string& id) {
    const auto found = std::find_if(map.seals.begin(), map.seals.end(), [&](const auto& s) { return s.id == id; });
    REQUIRE(found != map.seals.end());
    return static_cast<std::size_t>(found - map.seals.begin());
}

const plan::PartLine* line(const plan::PartsList& parts, const std::string& number) {
    for (const auto& group : parts.kits)
        for (const auto& one : group.lines)
            if (one.part_number == number || (number.empty() && one.name == number)) return &one;
    return nullptr;
}

model::Stock stock_of(const char* toml) {
    auto read = model::read_stock_text(toml, "stock.toml");
    REQUIRE(read.stock);
    CHECK(read.faults.empty());
    return *read.stock;
}

} // namespace

TEST_CASE("parts: the whole ring sets, the gasket once for all its lands, and no number twice") {
    const model::UnitMap map = larch_map();
    const plan::PlanAnswer answer = plan::plan(map, {{place_of(map, "R3")}, {}, {}, 0.1, nullptr});
    const auto& parts = answer.parts;
    // R1, R2 and R4 are one number; R3 and R5 their own.
    REQUIRE(line(parts, "LF-R-101"));
    CHECK(line(parts, "LF-R-101")->quantity == 3);
    CHECK_FALSE(line(parts, "LF-R-101")->asked);
    REQUIRE(line(parts, "LF-R-103"));
    CHECK(line(parts, "LF-R-103")->quantity == 1);
    CHECK(line(parts, "LF-R-103")->asked);
    // Uncut rings are stretched and sized: one more at hand.
    REQUIRE(line(parts, "LF-R-201"));
    CHECK(line(parts, "LF-R-201")->quantity == 4);
    CHECK(line(parts, "LF-R-201")->extra == 1);
    CHECK(line(parts, "LF-R-101")->extra == 0);
    REQUIRE(line(parts, "LF-G-310"));
    CHECK(line(parts, "LF-G-310")->quantity == 1);
    CHECK(line(parts, "LF-G-310")->name == "Plate gasket");
    CHECK(line(parts, "LF-G-310")->seals.size() == 4);
    CHECK(line(parts, "LF-G-311")); // "pump gasket" under renew of the pump is the spare of that name
    CHECK(line(parts, "LF-L-501") == nullptr);
    std::vector<std::string> numbers, kits;
    for (const auto& group : parts.kits) {
        kits.push_back(group.kit);
        for (const auto& one : group.lines) {
            CHECK(one.quantity > 0);
            CHECK_FALSE(one.name.empty());
            CHECK_FALSE(one.part_number.empty()); // all words under renew are spares of the map by their name
            numbers.push_back(one.part_number);
            CHECK_FALSE(one.in_stock);
        }
    }
    std::sort(numbers.begin(), numbers.end());
    CHECK(std::adjacent_find(numbers.begin(), numbers.end()) == numbers.end());
    std::sort(kits.begin(), kits.end());
    CHECK(std::adjacent_find(kits.begin(), kits.end()) == kits.end());
}

TEST_CASE("parts: lips and spares that break get one more, words without a number stand as they are") {
    model::UnitMap map = larch_map();
    map.parts[0].renew.emplace_back("dowel pin");
    map.parts[3].renew.emplace_back("Dowel pin");
    const plan::PlanAnswer answer = plan::plan(map, {{place_of(map, "L1"), place_of(map, "G1")}, {}, {}, 0.1, nullptr});
    REQUIRE(line(answer.parts, "LF-L-501"));
    CHECK(line(answer.parts, "LF-L-501")->extra == 1);
    REQUIRE(line(answer.parts, "LF-N-342"));
    CHECK(line(answer.parts, "LF-N-342")->extra == 1);
    REQUIRE(line(answer.parts, "LF-N-340"));
    CHECK(line(answer.parts, "LF-N-340")->quantity == 2);
    const plan::KitLines& loose = answer.parts.kits.back();
    CHECK(loose.kit.empty());
    const auto pin =
        std::find_if(loose.lines.begin(), loose.lines.end(), [](const auto& l) { return l.name == "dowel pin"; });
    REQUIRE(pin != loose.lines.end());
    CHECK(pin->part_number.empty());
    CHECK(pin->quantity == 2); // one with each of the two parts
}

TEST_CASE("parts: a wall is ordered as the part that it belongs to") {
    const model::UnitMap map = larch_map();
    const plan::PlanAnswer answer = plan::plan(map, {{place_of(map, "W1"), place_of(map, "C1")}, {}, {}, 0.1, nullptr});
    std::vector<std::string> names;
    for (const auto& group : answer.parts.kits)
        for (const auto& one : group.lines)
            names.push_back(one.name);
    CHECK(std::count(names.begin(), names.end(), "Case (for Case wall, three-five release to low-reverse)") == 1);
    CHECK(std::count(names.begin(), names.end(), "Cup plug, low drilling (C1)") == 1);
}

TEST_CASE("parts: needed, in stock, short by") {
    const model::UnitMap map = larch_map();
    const model::Stock stock = stock_of(R"(
[[stock]]
part-number = "LF-R-101"
count = 1
place = "drawer 4"
[[stock]]
part-number = "lf-r-101"
count = 1
place = "shelf 2"
[[stock]]
part-number = "LF-R-103"
count = 5
[[stock]]
part-number = "LF-K-20"
count = 1
place = "wall"
)");
    const plan::PlanAnswer answer = plan::plan(map, {{place_of(map, "R3")}, {}, {}, 0.1, &stock});
    CHECK(answer.parts.stock_known);
    CHECK(line(answer.parts, "LF-R-101")->in_stock == 2);
    CHECK(line(answer.parts, "LF-R-101")->short_by == 1);
    CHECK(line(answer.parts, "LF-R-101")->place == "drawer 4, shelf 2");
    CHECK(line(answer.parts, "LF-R-103")->short_by == 0);
    CHECK(line(answer.parts, "LF-R-105")->in_stock == 0);
    CHECK(line(answer.parts, "LF-R-105")->short_by == 1);
    // A whole kit is there, by the first word of its text; the one more that is advised is not in it.
    CHECK(line(answer.parts, "LF-R-201")->short_by == 1);
    for (const auto& group : answer.parts.kits)
        if (group.kit == "LF-K-20 support ring set") CHECK(group.in_stock == 1);
}

TEST_CASE("stock: written and read again it is equal, and what is not in it is not none") {
    model::Stock stock;
    stock.items = {{"A-1", 3, "drawer \"4\"", "two lines\nof it", {}}, {"A-2", 0, "", "", {}}};
    const auto read = model::read_stock_text(model::write_stock_text(stock), "stock.toml");
    CHECK(read.faults.empty());
    REQUIRE(read.stock);
    CHECK(*read.stock == stock);
    CHECK(model::on_shelf(stock, "a-1")->count == 3);
    CHECK(model::on_shelf(stock, "A-2")->count == 0);
    CHECK_FALSE(model::on_shelf(stock, "A-3"));
}

TEST_CASE("stock: every fault with its place and what would be right") {
    struct Case {
        const char* toml;
        const char* says;
        bool good;
    };
    for (const Case& one : {
             Case{"", "the file is empty", false},
             Case{"# nothing yet\n", "stock.toml:1:1: warning: the file has no [[stock]]", true},
             Case{"[unit]\nname = \"x\"\n", "a stock file has nothing called \"unit\"", false},
             Case{"[stock]\npart-number = \"A\"\n", "stock is a table: [[stock]] with two brackets", false},
             Case{"[[stock]]\ncount = 2\n", "stock.toml:1:1: this [[stock]] has no part-number", false},
             Case{"[[stock]]\npart-number = \"A\"\ncount = -2\n", "stock.toml:3:9:", false},
             Case{"[[stock]]\npart-number = \"A\"\ncount = \"two\"\n", "stock.toml:3:9:", false},
             Case{"[[stock]]\npart-number = \"A\"\ncuont = 2\n", "count?", true},
             Case{"[[stock]]\npart-number = \"A\"\ncount = 2\n[[stok]]\n", "[[stock]]?", true},
             Case{"stock = [1, 2]\n", "an entry of stock is a whole number", false},
             Case{"[[stock\n", "stock.toml:1:", false},
         }) {
        CAPTURE(std::string(one.toml));
        const auto read = model::read_stock_text(one.toml, "stock.toml");
        CHECK(read.stock.has_value() == one.good);
        std::string faults;
        for (const auto& fault : read.faults)
            faults += model::to_string(fault) + '\n';
        CHECK_MESSAGE(faults.find(one.says) != std::string::npos, faults);
    }
    CHECK_FALSE(model::read_stock("/no/such/stock.toml").stock);
}
