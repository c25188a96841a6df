// Grounds, and what may be left out of a picture; and that the window saves the picture of the command line.
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <cstring>
#include <filesystem>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <unistd.h>

#include "../../viewer/platform/picture.h"
#include "../../viewer/platform/save_picture.h"
#include "../interface/real_loop.h"
#include "demo.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;

namespace {

namespace fs = std::filesystem;

const std::vector<std::string> larch_question{"air-into P3", "came-out P4"};

Image drawn(const PictureSpec& spec, const std::vector<std::string>& commands = larch_question,
            const std::string& unit = "larch-five") {
    auto bench = picture_bench(demo_path(unit), commands, spec.width, spec.height);
    return make_picture(bench, spec);
}

PictureSpec small() {
    PictureSpec spec;
    spec.width = 960;
    spec.height = 540;
    return spec;
}

std::array<int, 4> pixel(const Image& image, int x, int y) {
    std::array<int, 4> result{};
    for (std::size_t c = 0; c < 4; ++c)
        result[c] = image.rgba[(std::size_t(y) * std::size_t(image.width) + std::size_t(x)) * 4 + c];
    return result;
}

/// A picture with alpha laid over one grey, as another program would.
Image laid_over(const Image& image, int grey) {
    Image flat = image;
    for (std::size_t i = 0; i < flat.rgba.size(); i += 4) {
        const double alpha = flat.rgba[i + 3] / 255.0;
        for (std::size_t c = 0; c < 3; ++c)
            flat.rgba[i + c] = static_cast<std::uint8_t>(std::lround(flat.rgba[i + c] * alpha + grey * (1 - alpha)));
        flat.rgba[i + 3] = 255;
    }
    return flat;
}

/// Part of the pixels of a box that differ.
double other_share(const Image& a, const Image& b, int x0, int y0, int x1, int y1, int tolerance = 0) {
    REQUIRE(a.rgba.size() == b.rgba.size());
    int other = 0;
    for (int y = y0; y < y1; ++y) {
        for (int x = x0; x < x1; ++x) {
            const auto p = pixel(a, x, y), q = pixel(b, x, y);
            bool same = true;
            for (std::size_t c = 0; c < 4; ++c)
                same = same && std::abs(p[c] - q[c]) <= tolerance;
            other += same ? 0 : 1;
        }
    }
    return double(other) / ((x1 - x0) * (y1 - y0));
}
double other_share(const Image& a, const Image& b, int tolerance = 0) {
    return other_share(a, b, 0, 0, a.width, a.height, tolerance);
}

} // namespace

TEST_CASE(
    "a clear ground: nothing where nothing is, all of what is solid, and over white nearly the picture on white") {
    PictureSpec spec = small();
    spec.title = spec.labels = spec.legend = false;
    const std::vector<std::string> bench_view{"show-view bench"};
    spec.ground = PictureGround::clear;
    const Image clear = drawn(spec, bench_view, "wren-three");
    spec.ground = PictureGround::white;
    const Image white = drawn(spec, bench_view, "wren-three");
    CHECK(pixel(clear, 2, 2)[3] == 0);
    CHECK(pixel(white, 2, 2) == std::array<int, 4>{255, 255, 255, 255});
    std::size_t none = 0, solid = 0, between = 0;
    for (std::size_t i = 3; i < clear.rgba.size(); i += 4)
        (clear.rgba[i] == 0 ? none : clear.rgba[i] == 255 ? solid : between)++;
    const double all = double(clear.rgba.size()) / 4;
    CHECK(double(none) / all > 0.3);
    CHECK(double(solid) / all > 0.1);
    CHECK(double(between) / all > 0.02); // glass and shadow
    // The picture on white has no shadow, so only pixels that are solid in both are compared: the same colours.
    std::size_t compared = 0, other = 0;
    for (std::size_t i = 0; i < clear.rgba.size(); i += 4) {
        if (clear.rgba[i + 3] != 255) continue;
        ++compared;
        for (std::size_t c = 0; c < 3; ++c) {
            if (std::abs(clear.rgba[i + c] - white.rgba[i + c]) > 3) {
                ++other;
                break;
            }
        }
    }
    CHECK(double(other) / double(compared) < 0.01);
    // Laid over a grey that it never saw, glass lets that through.
    const Image over = laid_over(clear, 100);
    CHECK(pixel(over, 2, 2) == std::array<int, 4>{100, 100, 100, 255});
}

TEST_CASE("title, labels and legend go one by one, and nothing else with them") {
    const PictureSpec full = small();
    const Image all = drawn(full);
    const auto without = [&](bool PictureSpec::*part) {
        PictureSpec spec = full;
        spec.*part = false;
        return drawn(spec);
    };
    const Image no_title = without(&PictureSpec::title), no_legend = without(&PictureSpec::legend),
                no_labels = without(&PictureSpec::labels);
    PictureSpec spec = full;
    spec.title = spec.labels = spec.legend = false;
    const Image bare = drawn(spec);
    // The title stands in the top left corner, the legend in the bottom left one, the labels round the suspect.
    CHECK(other_share(no_title, all, 0, 0, 300, 100) > 0.1);
    CHECK(other_share(no_title, bare, 0, 0, 220, 100) == 0);
    CHECK(other_share(no_legend, all, 0, 460, 420, 540) > 0.1);
    CHECK(other_share(no_legend, bare, 0, 500, 420, 540) == 0);
    CHECK(other_share(no_labels, all, 0, 0, 300, 100) == 0);
    CHECK(other_share(no_labels, all, 0, 460, 420, 540) == 0);
    CHECK(other_share(no_labels, all, 460, 120, 960, 400) > 0.01);
    CHECK(other_share(no_labels, bare, 460, 120, 960, 400) == 0);
}

TEST_CASE("a picture for print has heavier lines") {
    PictureSpec spec = small();
    spec.title = spec.labels = spec.legend = false;
    spec.ground = PictureGround::white;
    const auto dark_share = [](const Image& image) {
        std::size_t dark = 0;
        for (std::size_t i = 0; i < image.rgba.size(); i += 4)
            dark += image.rgba[i] < 90 && image.rgba[i + 1] < 90 && image.rgba[i + 2] < 90 ? 1 : 0;
        return double(dark) / (double(image.rgba.size()) / 4);
    };
    const double usual = dark_share(drawn(spec));
    spec.line_weight = print_line_weight;
    CHECK(dark_share(drawn(spec)) > 1.1 * usual);
}

TEST_CASE("the window saves the picture that the command line makes, pixel by pixel, beside those that are there") {
    const fs::path folder = fs::temp_directory_path() / fmt::format("ringland-save-{}", ::getpid());
    fs::create_directories(folder);
    ::setenv("XDG_PICTURES_DIR", folder.c_str(), 1);
    for (const auto& commands : {std::vector<std::string>{}, larch_question,
                                 std::vector<std::string>{"air-into P3", "came-out P4", "show-view section"},
                                 std::vector<std::string>{"set-theme dark", "set-text-scale 1.5", "select seal R2"}}) {
        PictureSpec spec;
        Image expected;
        {
            std::vector<std::string> of_picture = commands;
            std::erase_if(of_picture, [](const auto& line) { return line.find("text-scale") != std::string::npos; });
            expected = drawn(spec, of_picture);
        }
        RealLoop real(demo_path("larch-five"));
        for (const auto& line : commands) {
            std::string why;
            real.loop->dispatch(*parse_command(line, why), real.now_s);
            real.frame();
        }
        real.rest();
        const unsigned long revision = real.bench.revision();
        const fs::path file = free_picture_name(folder, real.bench.session());
        REQUIRE(!fs::exists(file));
        real.key(Key::letter, 'P', true);
        CAPTURE(real.loop->notice());
        REQUIRE(fs::exists(file));
        CHECK(real.loop->notice().find(file.string()) != std::string::npos);
        CHECK(real.bench.revision() == revision); // the session is as it was
        std::string error;
        const Image saved = read_png(file.string(), error);
        CHECK(error == "");
        CHECK(saved.width == expected.width);
        CHECK(other_share(saved, expected) == 0);
        // A second one stands beside it.
        const fs::path next = free_picture_name(folder, real.bench.session());
        CHECK(next != file);
        CHECK(next.stem().string().substr(0, file.stem().string().size()) != "");
    }
    fs::remove_all(folder);
    ::unsetenv("XDG_PICTURES_DIR");
}

TEST_CASE("a view that a hand has turned is saved as it was turned") {
    RealLoop real(demo_path("wren-three"));
    const PictureSpec spec = small();
    const double aspect = real.loop->drawing().width / real.loop->drawing().height;
    const Image before = picture_of_window(real.bench, spec, aspect);
    std::string why;
    real.loop->dispatch(*parse_command("orbit 40 10", why), real.now_s);
    real.rest();
    const Camera turned = real.bench.session().view.flight.to;
    const Image after = picture_of_window(real.bench, spec, aspect);
    CHECK(other_share(before, after, 24) > 0.05);
    CHECK(real.bench.session().view.flight.to == turned);
    // And back again it is the named view once more.
    real.loop->dispatch(*parse_command("show-view bench", why), real.now_s);
    real.rest();
    CHECK(other_share(picture_of_window(real.bench, spec, aspect), before) == 0);
}
