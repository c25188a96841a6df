// Where the demo maps lie.
#pragma once

#include <string>

namespace ringland::tests {

inline const std::string demo = RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml";
inline const std::string small_demo = RINGLAND_SOURCE_DIR "/assets-demo/wren-three.toml";
inline const std::string shift_demo = RINGLAND_SOURCE_DIR "/assets-demo/heron-shift.toml";

/// Air into one port, and out of another.
struct Question {
    std::string map, into, out;
};

} // namespace ringland::tests
