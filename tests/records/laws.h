// What must hold of records wherever they are kept.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "../../diagnosis/records/records.h"

namespace ringland::test {

/// A new, empty place.
struct Shelf {
    std::string where;
    std::string other;                                  ///< a second one
    std::function<std::string(const std::string&)> sql; ///< asks the first database past the program
    bool server = false;

    [[nodiscard]] diagnosis::records::Records open(const std::string& bench = "first") const {
        return diagnosis::records::Records({where, bench});
    }
};

struct Law {
    const char* name;
    void (*holds)(const Shelf&);
};

[[nodiscard]] std::vector<Law> laws();
[[nodiscard]] std::vector<Law> search_laws();
[[nodiscard]] std::vector<Law> exchange_laws();

} // namespace ringland::test
