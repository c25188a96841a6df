// Words of a map made fit for XML, whatever letters they hold.
#pragma once

#include <string>
#include <string_view>

namespace ringland::viewer {

/// For element content and quoted attributes. What XML 1.0 does not allow at all (control characters, broken UTF-8)
/// becomes U+FFFD.
[[nodiscard]] std::string xml_escaped(std::string_view text);

} // namespace ringland::viewer
