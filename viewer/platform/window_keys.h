// GLFW's keys as the interface knows them.
#pragma once

#include <optional>

#include "../ui/input.h"

namespace ringland::viewer {

/// Nothing for a key that Ringland does not use. Letters and digits are those printed on the keys of the present
/// layout.
[[nodiscard]] std::optional<input::KeyPress> key_press(int key, int scancode, int action, int modifiers);

} // namespace ringland::viewer
