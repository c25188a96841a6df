// Commands from a text file, one a line; empty lines and lines that begin with # are passed over.
#pragma once

#include <string>
#include <vector>

#include "../app/commands.h"

namespace ringland::viewer {

/// The commands of a file. `why` is `file:line: what is wrong` where it cannot be read or a line is no command.
[[nodiscard]] std::vector<Command> read_script(const std::string& file, std::string& why);

} // namespace ringland::viewer
