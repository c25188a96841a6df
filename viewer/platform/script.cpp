#include "script.h"

#include <fstream>

#include <fmt/format.h>

namespace ringland::viewer {

std::vector<Command> read_script(const std::string& file, std::string& why) {
    std::vector<Command> commands;
    std::ifstream input(file);
    if (!input) {
        why = fmt::format("{}: cannot be read", file);
        return commands;
    }
    std::string line;
    for (int number = 1; std::getline(input, line); ++number) {
        if (line.empty() || line[0] == '#') continue;
        std::string said;
        const auto command = parse_command(line, said);
        if (!command) {
            why = fmt::format("{}:{}: {}", file, number, said);
            return {};
        }
        commands.push_back(*command);
    }
    return commands;
}

} // namespace ringland::viewer
