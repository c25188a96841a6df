// The window: GLFW's events become plain values, and frames are drawn only when one is due.
#pragma once

#include "answers.h"

namespace ringland::viewer {

/// Opens the window and stays until it is closed. Faults of the map and a missing screen or OpenGL are said on stderr.
[[nodiscard]] Exit run_window(const OpenOptions& options);

} // namespace ringland::viewer
