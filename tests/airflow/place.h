// Where things of a map stand, for a network that counts in int.
#pragma once

#include <doctest/doctest.h>

#include <string_view>
#include <vector>

#include "../../model-data/unit_map.h"

namespace ringland::tests {

/// Where the thing of that id stands in a list; the test fails where there is none.
template <class Thing> int place_of(const std::vector<Thing>& list, std::string_view id) {
    const std::size_t place = model::index_of(list, id);
    REQUIRE(place < list.size());
    return static_cast<int>(place);
}

} // namespace ringland::tests
