// Looks over the text of a map before it is parsed: is it text at all, and is it nested no deeper than a parser can
// stand?
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "fault.h"

namespace ringland::model {

/// True when the bytes are UTF-8 as RFC 3629 has it.
[[nodiscard]] bool is_utf8(std::string_view bytes);

/// The first reason why this cannot be a map, or nothing. Runs in one pass and needs no memory.
[[nodiscard]] std::optional<Fault> guard_text(std::string_view text, const std::string& file);

} // namespace ringland::model
