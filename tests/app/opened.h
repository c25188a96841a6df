// A session with a unit in it, and what the tests of sessions say to it.
#pragma once

#include <string>

#include <doctest/doctest.h>

#include "../../viewer/app/commands.h"
#include "../demo_maps.h"

namespace ringland::tests {

/// A bench on which a map is opened.
inline viewer::Workbench opened(const std::string& map = demo) {
    viewer::Workbench bench;
    std::string why;
    REQUIRE_MESSAGE(bench.open(map, why), why);
    return bench;
}

/// A command that must not be refused.
inline void carry_out(viewer::Workbench& bench, const viewer::Command& command) {
    const std::string why = bench.dispatch(command, 0);
    REQUIRE_MESSAGE(why.empty(), viewer::to_text(command), ": ", why);
}

/// A word was heard at a port, or at the open case.
inline viewer::command::Saw saw(const std::string& at, model::Heard word) {
    model::Seen seen;
    seen.word = word;
    return {at, seen};
}

} // namespace ringland::tests
