// The command line: words to options, options to answers. Data on stdout, messages on stderr.
#pragma once

namespace ringland::viewer {

/// Runs the program; the result is the exit code: 0 answered, 1 the input has a fault, 2 wrong usage.
[[nodiscard]] int run_command_line(int argc, const char* const* argv);

} // namespace ringland::viewer
