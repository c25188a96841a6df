// The help of every command, and its examples.
#include <doctest/doctest.h>

#include "run_ringland.h"

using namespace ringland::test;

namespace {

/// The commands that the program's own help lists.
std::vector<std::string> commands_of(const std::string& help) {
    std::vector<std::string> commands;
    for (std::size_t at = help.find("\nSubcommands:\n"); at != std::string::npos;) {
        at = help.find('\n', at + 1);
        if (at == std::string::npos || help.compare(at, 3, "\n  ") != 0) break;
        commands.push_back(help.substr(at + 3, help.find(' ', at + 3) - at - 3));
    }
    return commands;
}

} // namespace

TEST_CASE("help is there for every command, and each of its examples works") {
    const Bench bench;
    const Ran all = bench.run("--help");
    CHECK(all.exit == 0);
    auto commands = commands_of(all.out);
    REQUIRE(commands.size() >= 17);
    commands.emplace_back(""); // the program's own
    for (const auto& command : commands) {
        CAPTURE(command);
        const Ran help = bench.run(command + " --help");
        CHECK(help.exit == 0);
        CHECK(help.err == "");
        const auto examples = examples_of(help.out);
        CHECK(examples.size() >= 1);
        if (command == "jobs") continue; // these need the shop's records, in order: see jobs_test.cpp
        for (const auto& example : examples) {
            if (example.rfind("open", 0) == 0) continue; // stays until it is closed; the window has tests of its own
            CAPTURE(example);
            const Ran ran = bench.run(example, "XDG_CONFIG_HOME=/no/such/folder");
            CHECK_MESSAGE(ran.exit == 0, ran.err);
            CHECK(ran.err == "");
            CHECK(ran.out != "");
        }
    }
    CHECK(has(bench.run("--version").out, "ringland 0."));
}
