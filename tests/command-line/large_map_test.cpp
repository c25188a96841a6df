// A map of sixty circuits on eight stacks, through the program itself.
#include <filesystem>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "../../viewer/platform/picture.h"
#include "run_ringland.h"

namespace {

using namespace ringland::test;
using nlohmann::json;

constexpr int stacks = 8, all_circuits = 60;

/// Circuits C01 to C60, eight or seven on a stack, with a port each: port Pn leads into circuit Cn.
std::string large_map() {
    std::string text = "[unit]\nname = \"Sixty\"\ninvented = true\n";
    int circuit = 0;
    for (int stack = 0; stack < stacks; ++stack) {
        text += fmt::format("[[stack]]\nname = \"shaft {}\"\nrow = \"near end", stack + 1);
        for (int k = 0; k < (stack < 4 ? 8 : 7); ++k)
            text += fmt::format(" | C{:02}", ++circuit);
        text += " | far end\"\n";
    }
    REQUIRE(circuit == all_circuits);
    for (int c = 1; c <= circuit; ++c)
        text += fmt::format("[[port]]\ncircuit = \"C{:02}\"\n", c);
    return text;
}

} // namespace

TEST_CASE("sixty circuits on eight stacks: check, divide and picture answer") {
    const Bench bench;
    bench.write("sixty.toml", large_map());

    const Ran check = bench.run("check sixty.toml --json");
    CHECK(check.exit == 0);
    CHECK(check.err == "");

    // The first ring of the map divides the sump from C01, so R2 divides the first two. The last stack has seven
    // circuits and rings R61 to R68.
    const Ran first = bench.run("divide sixty.toml P1 P2 --json");
    REQUIRE_MESSAGE(first.exit == 0, first.err);
    const json near = json::parse(first.out);
    REQUIRE(near["seals"].size() == 1);
    CHECK(near["seals"][0]["id"] == "R2");
    CHECK(near["seals"][0]["nth_from_first_end"] == 2);
    CHECK(near["seals"][0]["nth_from_second_end"] == 8);
    const Ran last = bench.run("divide sixty.toml P60 P59 --json");
    REQUIRE_MESSAGE(last.exit == 0, last.err);
    const json far = json::parse(last.out);
    REQUIRE(far["seals"].size() == 1);
    CHECK(far["seals"][0]["id"] == "R67");
    CHECK(far["seals"][0]["nth_from_first_end"] == 7);
    CHECK(far["seals"][0]["nth_from_second_end"] == 2);

    // From one end of a stack to the other: no seal divides these, seven rings would have to fail.
    const Ran across = bench.run("divide sixty.toml P1 P8 --json");
    REQUIRE_MESSAGE(across.exit == 0, across.err);
    const json ways = json::parse(across.out);
    CHECK(ways["seals"].empty());
    REQUIRE_FALSE(ways["ways_round"].empty());

    const Ran picture = bench.run("picture sixty.toml --from P1 --to P2 --size 1920x1080 -o sixty.png",
                                  "env -u DISPLAY -u WAYLAND_DISPLAY");
    REQUIRE_MESSAGE(picture.exit == 0, picture.err);
    std::string error;
    const auto image = ringland::viewer::read_png(bench.file("sixty.png").string(), error);
    REQUIRE_MESSAGE(error.empty(), error);
    CHECK(image.width == 1920);
    int suspect = 0;
    for (std::size_t i = 0; i < image.rgba.size(); i += 4)
        suspect += image.rgba[i] > 150 && image.rgba[i + 1] > 40 && image.rgba[i + 1] < 130 && image.rgba[i + 2] < 60;
    CHECK(suspect > 500); // the ring is there to be seen
    CHECK(first.seconds < 1);
    CHECK(picture.seconds < 60);
    MESSAGE("check ", check.seconds * 1e3, " ms, divide ", first.seconds * 1e3, " ms, ways round ",
            across.seconds * 1e3, " ms, picture ", picture.seconds, " s");
}
