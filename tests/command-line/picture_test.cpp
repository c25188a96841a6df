// Pictures and exported scenes, made by the program itself without a screen.
#include <algorithm>
#include <cstdlib>
#include <set>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "../../viewer/platform/picture.h"
#include "run_ringland.h"

namespace {

using namespace ringland::test;
using nlohmann::json;
using ringland::viewer::Image;

constexpr const char* no_screen = "env -u DISPLAY -u WAYLAND_DISPLAY";

Image picture(const Bench& bench, const std::string& arguments) {
    const Ran ran = bench.run("picture assets-demo/larch-five.toml -o p.png " + arguments, no_screen);
    REQUIRE_MESSAGE(ran.exit == 0, ran.err);
    std::string error;
    Image image = ringland::viewer::read_png(bench.file("p.png"), error);
    REQUIRE_MESSAGE(error.empty(), error);
    return image;
}

/// How many different colours a picture has, up to a thousand: an empty frame has few.
std::size_t colours(const Image& image) {
    std::set<std::uint32_t> seen;
    for (std::size_t i = 0; i + 3 < image.rgba.size() && seen.size() < 1000; i += 4 * 7)
        seen.insert(image.rgba[i] | image.rgba[i + 1] << 8U | image.rgba[i + 2] << 16U);
    return seen.size();
}

/// Part of the pixels that differ by more than `tolerance` in any channel.
double difference(const Image& a, const Image& b, int tolerance) {
    REQUIRE(a.width == b.width);
    REQUIRE(a.height == b.height);
    std::size_t differ = 0;
    for (std::size_t i = 0; i < a.rgba.size(); i += 4) {
        int most = 0;
        for (std::size_t c = 0; c < 3; ++c)
            most = std::max(most, std::abs(int(a.rgba[i + c]) - int(b.rgba[i + c])));
        differ += most > tolerance ? 1 : 0;
    }
    return static_cast<double>(differ) / (static_cast<double>(a.rgba.size()) / 4);
}

/// Every n-th pixel of an n times larger picture, averaged over its square.
Image shrink(const Image& large, int n) {
    Image small;
    small.width = large.width / n;
    small.height = large.height / n;
    small.rgba.resize(static_cast<std::size_t>(small.width) * static_cast<std::size_t>(small.height) * 4);
    for (int y = 0; y < small.height; ++y) {
        for (int x = 0; x < small.width; ++x) {
            for (int c = 0; c < 4; ++c) {
                int sum = 0;
                for (int dy = 0; dy < n; ++dy) {
                    for (int dx = 0; dx < n; ++dx)
                        sum += large.rgba[static_cast<std::size_t>(((y * n + dy) * large.width + x * n + dx) * 4 + c)];
                }
                small.rgba[static_cast<std::size_t>((y * small.width + x) * 4 + c)] =
                    static_cast<std::uint8_t>(sum / (n * n));
            }
        }
    }
    return small;
}

} // namespace

TEST_CASE("picture gives the size that was asked for, and something to see") {
    const Bench bench;
    const Image usual = picture(bench, "");
    CHECK(usual.width == 1920);
    CHECK(usual.height == 1080);
    CHECK(colours(usual) > 200);
    const Image small = picture(bench, "--size 640x480 --theme dark");
    CHECK(small.width == 640);
    CHECK(small.height == 480);
    CHECK(colours(small) > 200);
    const Image tall = picture(bench, "--size 600x900 --with-window");
    CHECK(tall.height == 900);
    CHECK(colours(tall) > 200);
}

TEST_CASE("the same picture twice has the same bytes; another view, theme or question has others") {
    const Bench bench;
    const Image first = picture(bench, "--size 640x360");
    CHECK(first.rgba == picture(bench, "--size 640x360").rgba);
    for (const char* other : {"--view section", "--view stack", "--theme dark", "--lying bell-down",
                              "--from P3 --to P4", "--from P3", "--cut", "--with-window"}) {
        CAPTURE(other);
        CHECK(difference(first, picture(bench, std::string("--size 640x360 ") + other), 24) > 0.001);
    }
}

TEST_CASE("a picture of 7680x4320 is the picture of 1920x1080, larger") {
    const Bench bench;
    const Image usual = picture(bench, "--from P3 --to P4");
    const Image large = picture(bench, "--from P3 --to P4 --size 7680x4320");
    REQUIRE(large.width == 7680);
    REQUIRE(large.height == 4320);
    // Lines are anti-aliased and letters hinted by their size, so edges differ; a tile that is out of place would
    // change far more.
    CHECK(difference(usual, shrink(large, 4), 48) < 0.05);
}

TEST_CASE("sizes that are none, too small or too large are wrong usage") {
    const Bench bench;
    for (const char* size : {"7681x4320", "7680x4321", "100000x100000", "99999999999x2", "0x0", "-5x100", "12", "x",
                             "axb", "1920x1080x3", "20x20"}) {
        CAPTURE(size);
        const Ran ran =
            bench.run(fmt::format("picture assets-demo/larch-five.toml -o p.png --size={}", size), no_screen);
        CHECK(ran.exit == 2);
        CHECK(has(ran.err, "--size"));
        CHECK(!std::filesystem::exists(bench.file("p.png")));
    }
}

TEST_CASE("picture says what it wrote, or why it could not") {
    const Bench bench;
    const Ran ran = bench.run("picture assets-demo/larch-five.toml -o p.png --size 320x240 --json", no_screen);
    REQUIRE(ran.exit == 0);
    CHECK(json::parse(ran.out) == json({{"file", "p.png"}, {"width", 320}, {"height", 240}}));
    const Ran nowhere = bench.run("picture assets-demo/larch-five.toml -o no/such/p.png --size 320x240", no_screen);
    CHECK(nowhere.exit == 1);
    CHECK(has(nowhere.err, "no/such/p.png"));
    const Ran port = bench.run("picture assets-demo/larch-five.toml -o x.png --from P33 --to P4", no_screen);
    CHECK(port.exit == 2);
    CHECK(has(port.err, "P33"));
    CHECK(!std::filesystem::exists(bench.file("x.png")));
}

TEST_CASE("without OpenGL 3.3 the message says what was found") {
    const Bench bench;
    const std::string old = std::string(no_screen) + " MESA_GL_VERSION_OVERRIDE=2.1 MESA_GLSL_VERSION_OVERRIDE=120";
    const Ran ran = bench.run("picture assets-demo/larch-five.toml -o p.png", old);
    CHECK(ran.exit == 1);
    CHECK(has(ran.err, "OpenGL 2.1"));
    CHECK(has(ran.err, "needs OpenGL 3.3"));
    CHECK(has(ran.err, "no display"));
    CHECK(!std::filesystem::exists(bench.file("p.png")));
}

TEST_CASE("open without a screen says so and points to what works") {
    const Bench bench;
    const Ran ran = bench.run("open assets-demo/larch-five.toml", no_screen);
    CHECK(ran.exit == 1);
    CHECK(has(ran.err, "no window"));
    CHECK(has(ran.err, "ringland picture"));
}

TEST_CASE("an exported unit passes the glTF validator without an error") {
    const Bench bench;
    for (const char* unit : {"larch-five", "wren-three", "heron-shift"}) {
        CAPTURE(unit);
        const Ran ran = bench.run(fmt::format("export assets-demo/{}.toml -o unit.glb --json", unit), no_screen);
        REQUIRE_MESSAGE(ran.exit == 0, ran.err);
        const json wrote = json::parse(ran.out);
        CHECK(wrote["nodes"] > 10);
        const Ran valid = bench.shell(fmt::format("node '{}/tests/tools/validate_glb.mjs' '{}/npm' unit.glb",
                                                  RINGLAND_SOURCE_DIR, RINGLAND_BINARY_DIR));
        CHECK_MESSAGE(valid.exit == 0, valid.out, valid.err);
        const json report = json::parse(valid.out);
        CHECK(report["errors"] == 0);
        CHECK(report["warnings"] == 0);
        CHECK(report["info"]["totalTriangleCount"] == wrote["triangles"]);
    }
}

TEST_CASE("the ending of the file says what is made: a vector drawing, a film, its frames") {
    const Bench bench;
    const std::string question = "picture assets-demo/larch-five.toml --from P3 --to P4 --size 320x180 --json ";
    const Ran svg = bench.run(question + "-o stack.SVG", "env -u DISPLAY -u WAYLAND_DISPLAY EGL_PLATFORM=none");
    REQUIRE_MESSAGE(svg.exit == 0, svg.err);
    CHECK(json::parse(svg.out) == json({{"file", "stack.SVG"}, {"width", 320}, {"height", 180}}));
    CHECK(bench.shell("xmllint --noout stack.SVG").exit == 0);
    CHECK(bench.shell("grep -q 'Ring 3 of 5' stack.SVG").exit == 0);
    const Ran film = bench.run(question + "--seconds 0.5 --fps 8 -o air.webp", no_screen);
    REQUIRE_MESSAGE(film.exit == 0, film.err);
    CHECK(json::parse(film.out)["frames"] == 4);
    CHECK(bench.shell("head -c 4 air.webp").out == "RIFF");
    const Ran frames = bench.run(question + "--seconds 0.5 --fps 8 -o f-%02d.png", no_screen);
    REQUIRE_MESSAGE(frames.exit == 0, frames.err);
    for (const char* name : {"f-00.png", "f-01.png", "f-02.png", "f-03.png"})
        CHECK(std::filesystem::exists(bench.file(name)));
    CHECK(!std::filesystem::exists(bench.file("f-04.png")));
}

TEST_CASE("pictures that cannot be are wrong usage, said in words, and leave no file") {
    const Bench bench;
    struct Wrong {
        const char* arguments;
        const char* says;
    };
    const Wrong all[] = {
        {"-o air.webp", "no air moves here"},
        {"-o f-%02d.png", "no air moves here"},
        {"--from P3 --to P4 --size 2000x1200 -o air.webp", "largest film"},
        {"--from P3 --to P4 --seconds 0 -o air.webp", "--seconds"},
        {"--from P3 --to P4 --fps 1000 -o air.webp", "--fps"},
        {"--view bench -o stack.svg", "--view stack"},
        {"--with-window -o stack.svg", "vector drawing"},
        {"--ground green -o p.png", "--ground"},
        {"--for-print --theme dark -o p.png", "--for-print"},
        {"--for-print --ground clear -o p.png", "--for-print"},
        {"--with-window --ground clear -o p.png", "--with-window"},
        {"--with-window --no-title -o p.png", "--with-window"},
    };
    for (const Wrong& wrong : all) {
        CAPTURE(wrong.arguments);
        const Ran ran = bench.run(std::string("picture assets-demo/larch-five.toml ") + wrong.arguments, no_screen);
        CHECK(ran.exit == 2);
        CHECK_MESSAGE(has(ran.err, wrong.says), ran.err);
        for (const char* file : {"air.webp", "f-00.png", "stack.svg", "p.png"})
            CHECK(!std::filesystem::exists(bench.file(file)));
    }
}

TEST_CASE("a picture speaks the language that is asked for, and English where none is") {
    const Bench bench;
    const auto section = [&](const std::string& language) {
        const Ran ran = bench.run(
            "picture assets-demo/larch-five.toml --from P3 --to P4 --view stack -o s.svg" + language, no_screen);
        REQUIRE_MESSAGE(ran.exit == 0, ran.err);
        return read_file(bench.file("s.svg"));
    };
    const std::string english = section(""), spanish = section(" --language es");
    CHECK(english == section(" --language en"));
    CHECK(english.find("divides ") != std::string::npos);
    CHECK(spanish.find("separa ") != std::string::npos);
    CHECK(spanish.find("divides") == std::string::npos);
    const Ran unknown = bench.run("picture assets-demo/larch-five.toml -o p.png --language xx", no_screen);
    CHECK(unknown.exit != 0);
    CHECK(unknown.err.find("es") != std::string::npos);
    CHECK(difference(picture(bench, "--with-window"), picture(bench, "--with-window --language es"), 24) > 0.002);
}

TEST_CASE("grounds and the picture for print") {
    const Bench bench;
    const std::string size = "--size 640x360 ";
    const Image paper = picture(bench, size), clear = picture(bench, size + "--ground clear"),
                white = picture(bench, size + "--ground white"), print = picture(bench, size + "--for-print");
    const std::size_t corner = (std::size_t{640} * 4 + 630) * 4; // top right, where nothing stands
    CHECK(paper.rgba[corner + 3] == 255);
    CHECK(clear.rgba[corner + 3] == 0);
    CHECK((white.rgba[corner] == 255 && white.rgba[corner + 1] == 255 && white.rgba[corner + 2] == 255));
    CHECK((print.rgba[corner] == 255 && print.rgba[corner + 1] == 255 && print.rgba[corner + 2] == 255));
    CHECK(difference(white, print, 24) > 0.005); // heavier lines
    CHECK(difference(white, paper, 2) > 0.3);
}
