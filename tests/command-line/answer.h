// What the program answers to other programs, where no shop's own files reach it.
#pragma once

#include <string>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "run_ringland.h"

namespace ringland::test {

/// No shop's own bench, priors or stock may reach a test.
inline constexpr const char* no_shop = "XDG_CONFIG_HOME=/no/such/folder";

// From the folder of a Bench.
inline const std::string larch = "assets-demo/larch-five.toml";
inline const std::string larch_readings = "assets-demo/larch-five-readings.toml";

/// Runs a command that must succeed without a word on stderr.
inline nlohmann::json answer(const Bench& bench, const std::string& arguments,
                             const std::string& environment = no_shop) {
    const Ran ran = bench.run(arguments + " --json", environment);
    CAPTURE(arguments);
    CHECK(ran.err == "");
    REQUIRE_MESSAGE(ran.exit == 0, ran.err);
    return nlohmann::json::parse(ran.out);
}

} // namespace ringland::test
