// What several commands of the command line take, in the same words.
#pragma once

#include <string>
#include <vector>

#include <CLI/CLI.hpp>

#include "../../model-data/enum_names.h"

namespace ringland::viewer {

inline constexpr const char* json_help = "For programs; docs/command-line.md lists the fields";
inline constexpr const char* air_bench_help =
    "Air bench: temperature, height, hose, what is called faint; without it the shop's own (ringland/bench.toml in the "
    "configuration folder) or defaults";

/// One of the words of an enumeration, without regard to case.
template <class Enum> [[nodiscard]] CLI::IsMember one_of() {
    const auto words = model::words_of<Enum>();
    return CLI::IsMember(std::vector<std::string>(words.begin(), words.end()), CLI::ignore_case);
}

} // namespace ringland::viewer
