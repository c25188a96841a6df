// Units and questions that the tests of pictures share.
#pragma once

#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "../../viewer/app/commands.h"

namespace ringland::tests {

inline const std::vector<std::string>& demo_units() {
    static const std::vector<std::string> units{"larch-five", "wren-three", "heron-shift"};
    return units;
}

inline std::string demo_path(const std::string& unit) {
    return fmt::format("{}/assets-demo/{}.toml", RINGLAND_SOURCE_DIR, unit);
}

/// A workbench as a picture's: with commands in their text form carried out.
inline viewer::Workbench picture_bench(const std::string& path, const std::vector<std::string>& commands, int width,
                                       int height) {
    viewer::Workbench bench;
    bench.set_aspect(double(width) / height);
    std::string why;
    const bool opened = bench.open(path, why);
    REQUIRE_MESSAGE(opened, why);
    for (const auto& line : commands) {
        const auto command = viewer::parse_command(line, why);
        REQUIRE_MESSAGE(command, why);
        why = bench.dispatch(*command, 0);
        REQUIRE_MESSAGE(why.empty(), why);
    }
    return bench;
}

} // namespace ringland::tests
