#include <fmt/format.h>

#include "field_writer.h"

namespace ringland::model {

std::string write_map_text(const UnitMap& map) {
    std::string out = "[unit]\n";
    FieldWriter write(out);
    Table<UnitInfo>::fields(map.unit, write);
    if (!(map.oil == OilInfo{})) {
        out += "\n[oil]\n";
        Table<OilInfo>::fields(map.oil, write);
    }
    for_each_list(map, [&](const auto& list) {
        using T = typename std::decay_t<decltype(list)>::value_type;
        for (const auto& thing : list) {
            out += fmt::format("\n[[{}]]\n", Table<T>::key);
            Table<T>::fields(thing, write);
        }
    });
    return out;
}

} // namespace ringland::model
