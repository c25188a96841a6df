// What the commands about suspects do once their words are understood: weigh, cover.
#pragma once

#include <cstddef>
#include <string>

#include "answers.h"

namespace ringland::viewer {

/// Every pair of seals is weighed, and every port thought of as the next: beyond this it takes too long.
inline constexpr std::size_t most_ports_weighed = 100, most_seals_weighed = 160;

struct WeighOptions {
    std::string map, readings, bench, priors; ///< no readings: what to blow first
    bool json = false;
};

struct CoverOptions {
    std::string map, pressure, bench; ///< pressure as typed: "35psi"
    bool card = false;
    std::string card_file; ///< PDF to print; empty: the card as text
    std::string paper = "letter", language = "en", units;
    bool json = false;
};

[[nodiscard]] Exit run_weigh(const WeighOptions& options);
[[nodiscard]] Exit run_cover(const CoverOptions& options);

} // namespace ringland::viewer
