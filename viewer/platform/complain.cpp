#include "complain.h"

#include <cstdio>

#include <fmt/format.h>

#include "../../model-data/texts.h"

namespace ringland::viewer {

void complain(std::string_view command, std::string_view what) {
    fmt::print(stderr, "ringland {}: {}\n", command, what);
}

void complain(const std::vector<model::Fault>& faults) { complain(faults, model::Translator()); }

void complain(const std::vector<model::Fault>& faults, const model::Translator& tr) {
    for (const auto& fault : faults)
        fmt::print(stderr, "{}\n", model::to_string(fault, tr));
}

} // namespace ringland::viewer
