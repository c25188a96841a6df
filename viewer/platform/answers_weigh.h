// What the commands about suspects do once their words are understood: weigh, cover.
#pragma once

#include <string>

#include "answers.h"

namespace ringland::viewer {

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
