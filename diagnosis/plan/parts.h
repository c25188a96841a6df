// Parts list: all that a plan needs, once each, by kit, beside what the shop has.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "../../model-data/stock.h"
#include "../../model-data/texts.h"
#include "../../model-data/unit_map.h"
#include "teardown.h"

namespace ringland::diagnosis::plan {

/// One thing to be ordered.
struct PartLine {
    std::string name;
    std::string part_number; ///< empty: the map gives none
    int quantity = 0;        ///< that the plan uses
    int extra = 0;           ///< one more is advised: stretched, sized or turned over on assembly, it often spoils
    std::vector<std::size_t> seals;  ///< in UnitMap::seals that it stands for
    std::vector<std::size_t> spares; ///< in UnitMap::spares
    std::vector<std::size_t> with;   ///< in UnitMap::parts: renewed with these, where `renew` says it in words
    bool asked = false;              ///< one of its seals is what the plan is for
    // Where the shop's stock is known and the line has a part number.
    std::optional<int> in_stock;
    int short_by = 0;  ///< quantity + extra - in_stock, not below 0
    std::string place; ///< in the shop
};

/// Lines that come in one kit.
struct KitLines {
    std::string kit;             ///< empty: those that come in none
    std::optional<int> in_stock; ///< of the whole kit, by its text or by the first word of it
    std::string place;
    std::vector<PartLine> lines; ///< in the order of the map
};

struct PartsList {
    std::vector<KitLines> kits; ///< in the order in which the plan meets them; without a kit last
    bool stock_known = false;
};

/// The list of a teardown; `stock` may be null.
[[nodiscard]] PartsList parts_list(const model::UnitMap& map, const Teardown& teardown, const model::Stock* stock,
                                   const model::Translator& tr = {});

} // namespace ringland::diagnosis::plan
