// Words as a person types them, where large and small letters mean the same.
#pragma once

#include <string>
#include <string_view>

namespace ringland::viewer {

/// ASCII letters made small; letters beyond ASCII must be typed as the map has them.
[[nodiscard]] std::string lower(std::string_view text);
/// Whether it ends so; `ending` in small letters.
[[nodiscard]] bool has_ending(std::string_view text, std::string_view ending);

} // namespace ringland::viewer
