// Golden pictures: what the program draws beside what somebody looked at and found right.
//
// Where a picture differs, BUILD/pictures/NAME.png shows expected, got and difference beside each other, and
// tests/accept-pictures takes the new one as baseline.
#include <algorithm>
#include <array>
#include <filesystem>
#include <set>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "compare.h"

using namespace ringland;
using namespace ringland::tests;
using viewer::Image;

namespace {

namespace fs = std::filesystem;

struct Golden {
    std::string name;
    const char* map;
    std::vector<const char*> commands; ///< in their text form
    bool window = false;               ///< panels and all
    bool both_themes = true;           ///< and NAME-dark
    int width = 960, height = 540;
};

constexpr bool windowed = true, one_theme = false;

const std::vector<Golden>& all_golden() {
    static const std::vector<Golden> all = [] {
        std::vector<Golden> list{
            {"larch-bench", "larch-five", {}},
            {"larch-section", "larch-five", {"show-view section"}},
            {"larch-stack", "larch-five", {"show-view stack"}},
            {"larch-answer", "larch-five", {"air-into P3", "came-out P4"}},
            {"larch-follow", "larch-five", {"air-into P3", "came-out P4", "show-view follow"}},
            {"larch-explode", "larch-five", {"explode 1"}},
            {"larch-alone", "larch-five", {"isolate low coast", "show-view section"}},
            {"larch-dimensions", "larch-five", {"air-into P3", "came-out P4", "dimensions on"}},
            {"larch-window", "larch-five", {"air-into P3", "came-out P4"}, windowed},
            {"larch-air-check",
             "larch-five",
             {"air-into P3", "saw P4 strong", "saw P7 faint", "saw P1 nothing", "air-into P4", "saw P3 strong",
              "show-sheet air-check"},
             windowed},
            {"larch-chances",
             "larch-five",
             {"air-into P3", "saw P4 strong", "saw P7 faint", "saw P1 nothing", "show-view section"}},
            {"larch-chart",
             "larch-five",
             {"air-into P3", "came-out P4", "saw P4 strong", "show-sheet chart"},
             windowed},
            {"larch-network", "larch-five", {"air-into P3", "came-out P4", "show-sheet network"}, windowed},
            {"heron-network",
             "heron-shift",
             {"set-units bar-mm", "air-into P4", "show-sheet network"},
             windowed,
             one_theme},
            {"larch-air-bench", "larch-five", {"air-into P3", "show-sheet air-bench"}, windowed},
            {"larch-road", "larch-five", {"air-into P3", "saw P4 strong", "show-sheet road"}, windowed},
            {"larch-plan", "larch-five", {"air-into P3", "saw P4 strong", "show-sheet plan"}, windowed},
            {"larch-way-in", "larch-five", {"select seal R3", "take-off 3"}},
            {"larch-breath", "larch-five", {"air-into P3", "came-out P4", "what-if-hole 0"}, false, one_theme},
            {"larch-tail-down", "larch-five", {"set-lying tail-down"}, false, one_theme},
            {"wren-bench", "wren-three", {}},
            {"heron-section", "heron-shift", {"show-view section"}},
            {"heron-bench", "heron-shift", {}},
        };
        const std::size_t light = list.size();
        for (std::size_t i = 0; i < light; ++i) {
            if (list[i].window) {
                list[i].width = 1280;
                list[i].height = 720;
            }
            if (!list[i].both_themes) continue;
            Golden dark = list[i];
            dark.name += "-dark";
            dark.commands.insert(dark.commands.begin(), "set-theme dark");
            list.push_back(dark);
        }
        return list;
    }();
    return all;
}

viewer::Workbench bench_of(const Golden& golden) {
    viewer::Workbench bench;
    bench.set_aspect(double(golden.width) / golden.height);
    std::string why;
    const bool opened = bench.open(fmt::format("{}/assets-demo/{}.toml", RINGLAND_SOURCE_DIR, golden.map), why);
    REQUIRE_MESSAGE(opened, why);
    for (const char* line : golden.commands) {
        const auto command = viewer::parse_command(line, why);
        REQUIRE_MESSAGE(command, why);
        why = bench.dispatch(*command, 0);
        REQUIRE_MESSAGE(why.empty(), why);
    }
    return bench;
}

Image picture_of(const Golden& golden, viewer::Workbench& bench) {
    viewer::PictureSpec spec;
    spec.width = golden.width;
    spec.height = golden.height;
    spec.with_interface = golden.window;
    return viewer::make_picture(bench, spec);
}

const Golden& golden_of(const std::string& name) {
    const auto& all = all_golden();
    const auto found = std::find_if(all.begin(), all.end(), [&](const Golden& g) { return g.name == name; });
    REQUIRE(found != all.end());
    return *found;
}

Image picture_of(const std::string& name) {
    viewer::Workbench bench = bench_of(golden_of(name));
    return picture_of(golden_of(name), bench);
}

fs::path golden_folder() { return fs::path(RINGLAND_SOURCE_DIR) / "tests/pictures/golden"; }

void write(const fs::path& file, const Image& image) {
    fs::create_directories(file.parent_path());
    const std::string error = viewer::write_png(file.string(), image);
    REQUIRE_MESSAGE(error.empty(), error);
}

void check_one(const std::string& name) {
    const Image got = picture_of(name);
    const fs::path folder = fs::path(RINGLAND_BINARY_DIR) / "pictures";
    const fs::path got_file = folder / (name + ".got.png"), compared_file = folder / (name + ".png");
    std::string error = "there is no baseline";
    Image expected;
    if (const fs::path baseline = golden_folder() / (name + ".png"); fs::exists(baseline)) {
        error.clear();
        expected = viewer::read_png(baseline.string(), error);
    }
    if (!error.empty()) {
        write(got_file, got);
        FAIL(name, ": ", error, ". Look at ", got_file.string(), ", then: tests/accept-pictures ", name);
    }
    const Difference difference = compare(expected, got);
    MESSAGE(name, ": ", to_string(difference));
    if (alike(difference)) {
        fs::remove(got_file);
        fs::remove(compared_file);
        return;
    }
    write(got_file, got);
    write(compared_file, side_by_side(expected, got));
    FAIL(name, " is another picture: ", to_string(difference), ". Look at ", compared_file.string(),
         "; if it is right: tests/accept-pictures ", name);
}

/// A picture in the light theme and, where it has one, in the dark.
void check_golden(const std::string& name) {
    SUBCASE("light") { check_one(name); }
    SUBCASE("dark") {
        if (golden_of(name).both_themes) check_one(name + "-dark");
    }
}

Image shifted(const Image& image, int dx) {
    Image moved = image;
    for (int y = 0; y < image.height; ++y) {
        for (int x = 0; x < image.width; ++x) {
            const int from = std::clamp(x - dx, 0, image.width - 1);
            for (int c = 0; c < 4; ++c) {
                moved.rgba[static_cast<std::size_t>((y * image.width + x) * 4 + c)] =
                    image.rgba[static_cast<std::size_t>((y * image.width + from) * 4 + c)];
            }
        }
    }
    return moved;
}

/// The suspect in blue: red and blue change places wherever a pixel is vermillion. Says how many these were.
int recolour_suspect(Image& image) {
    int count = 0;
    for (std::size_t i = 0; i < image.rgba.size(); i += 4) {
        if (image.rgba[i] < 140 || image.rgba[i + 1] > 130 || image.rgba[i + 2] > 80) continue;
        std::swap(image.rgba[i], image.rgba[i + 2]);
        ++count;
    }
    return count;
}

} // namespace

TEST_CASE("golden picture: bench") { check_golden("larch-bench"); }
TEST_CASE("golden picture: section") { check_golden("larch-section"); }
TEST_CASE("golden picture: stack") { check_golden("larch-stack"); }
TEST_CASE("golden picture: the ring between two ports") { check_golden("larch-answer"); }
TEST_CASE("golden picture: the way of the air") { check_golden("larch-follow"); }
TEST_CASE("golden picture: taken apart along the axis") { check_golden("larch-explode"); }
TEST_CASE("golden picture: two circuits alone") { check_golden("larch-alone"); }
TEST_CASE("golden picture: dimensions of a ring") { check_golden("larch-dimensions"); }
TEST_CASE("golden picture: the whole window") { check_golden("larch-window"); }
TEST_CASE("golden picture: the air check") { check_golden("larch-air-check"); }
TEST_CASE("golden picture: the chances in the drawing") { check_golden("larch-chances"); }
TEST_CASE("golden picture: the expected chart") { check_golden("larch-chart"); }
TEST_CASE("golden picture: the network") { check_golden("larch-network"); }
TEST_CASE("golden picture: the network of another unit, in bar") { check_golden("heron-network"); }
TEST_CASE("golden picture: the air bench") { check_golden("larch-air-bench"); }
TEST_CASE("golden picture: on the road") { check_golden("larch-road"); }
TEST_CASE("golden picture: the way in") { check_golden("larch-plan"); }
TEST_CASE("golden picture: three parts off") { check_golden("larch-way-in"); }
TEST_CASE("golden picture: a breath past a sound ring") { check_golden("larch-breath"); }
TEST_CASE("golden picture: lying tail down") { check_golden("larch-tail-down"); }
TEST_CASE("golden picture: the small unit") { check_golden("wren-bench"); }
TEST_CASE("golden picture: the machine gearbox cut open") { check_golden("heron-section"); }
TEST_CASE("golden picture: the machine gearbox") { check_golden("heron-bench"); }

TEST_CASE("the comparison sees a shift by a pixel, another colour of the suspect, a turned camera, a lost label") {
    viewer::Workbench bench = bench_of(golden_of("larch-answer"));
    const Image picture = picture_of(golden_of("larch-answer"), bench);
    CHECK(alike(compare(picture, picture)));

    const auto differs = [&](const std::string& how, const Image& other) {
        const Difference difference = compare(picture, other);
        MESSAGE(how, ": ", to_string(difference));
        CHECK_FALSE(alike(difference));
    };
    differs("one pixel to the right", shifted(picture, 1));
    Image blue = picture;
    CHECK(recolour_suspect(blue) > 500);
    differs("suspect in blue", blue);
    Image no_title = picture;
    for (int y = 0; y < 48; ++y)
        std::fill_n(no_title.rgba.begin() + static_cast<std::ptrdiff_t>(y) * picture.width * 4, 300 * 4, 245);
    differs("no title", no_title);
    REQUIRE(bench.dispatch(viewer::command::Orbit{0.5, 0}, 5).empty());
    differs("turned by half a degree", picture_of(golden_of("larch-answer"), bench));
    Image smaller = picture;
    smaller.height -= 1;
    smaller.rgba.resize(smaller.rgba.size() - static_cast<std::size_t>(picture.width) * 4);
    CHECK_FALSE(alike(compare(picture, smaller)));

    // What another driver may do: tones off by a step everywhere, and one pixel in five hundred of another colour.
    Image rounded = picture;
    for (std::size_t i = 0; i < rounded.rgba.size(); ++i) {
        const bool stray = (i / 4) % 503 == 0;
        if (i % 4 < 3) rounded.rgba[i] = static_cast<std::uint8_t>(rounded.rgba[i] ^ (stray ? 64U : 1U));
    }
    MESSAGE("rounded otherwise: ", to_string(compare(picture, rounded)));
    CHECK(alike(compare(picture, rounded)));
}

TEST_CASE("baselines: one for each golden picture, none left over, all small") {
    std::set<std::string> names;
    for (const auto& golden : all_golden())
        names.insert(golden.name);
    CHECK(names.size() == all_golden().size());
    std::uintmax_t total = 0;
    for (const auto& entry : fs::directory_iterator(golden_folder())) {
        const std::string file = entry.path().filename().string();
        CAPTURE(file);
        CHECK(entry.path().extension() == ".png");
        CHECK(names.erase(entry.path().stem().string()) == 1);
        CHECK(entry.file_size() < 300'000);
        total += entry.file_size();
    }
    CHECK_MESSAGE(names.empty(), "no baseline for ", *names.begin());
    CHECK(total < 6'000'000);
}
