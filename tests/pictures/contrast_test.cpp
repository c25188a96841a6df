// Contrast by WCAG 2, from the pixels that a window and a picture show, in both themes; and of the colours themselves.
#include <algorithm>
#include <array>
#include <cstring>
#include <map>
#include <set>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "../../viewer/app/actions.h"
#include "../../viewer/app/colour_vision.h"
#include "../../viewer/platform/app_loop.h"
#include "../../viewer/platform/colour_target.h"
#include "../../viewer/platform/context.h"
#include "../../viewer/platform/picture.h"
#include "../../viewer/render/materials.h"
#include "../../viewer/ui/theme.h"
#include "demo.h"

using namespace ringland;
using namespace ringland::tests;
using namespace ringland::viewer;

namespace {

/// The program's loop at two pixels a point, where letters show the full colour of their ink.
struct SharpLoop {
    static constexpr int width = 2560, height = 1440;
    OffscreenContext context;
    Workbench bench;
    Renderer renderer;
    Interface interface { 2 };
    ColourTarget target{width, height};
    double now_s = 0;
    Image image;

    explicit SharpLoop(const std::vector<std::string>& commands) {
        std::string why;
        REQUIRE(bench.open(demo_path("larch-five"), why));
        for (const auto& line : commands) {
            const auto command = parse_command(line, why);
            REQUIRE_MESSAGE(command, why);
            why = bench.dispatch(*command, 0);
            REQUIRE_MESSAGE(why.empty(), why);
        }
        AppLoop loop(bench, renderer, interface, 2);
        for (int i = 0; i < 8; ++i) {
            now_s += 5;
            loop.frame(target.framebuffer(), width, height, now_s);
        }
        image.width = width;
        image.height = height;
        std::vector<std::uint8_t> rows(std::size_t{4} * width * height);
        target.read(width, height, rows.data());
        for (int y = height - 1; y >= 0; --y) {
            const auto row = rows.begin() + std::ptrdiff_t{4} * width * y;
            image.rgba.insert(image.rgba.end(), row, row + std::ptrdiff_t{4} * width);
        }
    }
};

std::uint32_t packed(const Image& image, int x, int y) {
    const std::size_t i = (std::size_t(y) * std::size_t(image.width) + std::size_t(x)) * 4;
    return std::uint32_t(image.rgba[i]) << 16U | std::uint32_t(image.rgba[i + 1]) << 8U | image.rgba[i + 2];
}

struct Seen {
    std::uint32_t ground = 0; ///< what most pixels are
    double best = 1;          ///< contrast of the ink: the colour of at least `least` pixels that stands out most
};

Seen look_at(const Image& image, int x0, int y0, int x1, int y1, int least = 1) {
    std::map<std::uint32_t, int> counts;
    for (int y = std::max(0, y0); y < std::min(image.height, y1); ++y) {
        for (int x = std::max(0, x0); x < std::min(image.width, x1); ++x)
            ++counts[packed(image, x, y)];
    }
    Seen seen;
    int most = 0;
    for (const auto& [colour, count] : counts) {
        if (count > most) seen.ground = colour, most = count;
    }
    for (const auto& [colour, count] : counts) {
        if (count >= least) seen.best = std::max(seen.best, contrast(rgb(colour), rgb(seen.ground)));
    }
    return seen;
}

/// Titles of actions that have no sense now: what cannot be pressed need not stand out (WCAG 2, 1.4.3 and 1.4.11).
std::set<std::string> disabled(const Workbench& bench) {
    // On the air bench without a trial of the ears there is nothing to take over or to forget.
    std::set<std::string> titles{"Take these", "Forget the trials"};
    for (const auto& action : actions()) {
        if (action.act == InterfaceAct::none && !action.make(bench)) titles.emplace(action.title);
    }
    return titles;
}

Rgb of(const ImVec4& c) { return plain_rgb(c); }

} // namespace

TEST_CASE("from pixels: every button and card of the window has letters of 4.5:1 and a border of 3:1, in both themes") {
    int texts = 0, borders = 0;
    for (const char* theme : {"set-theme light", "set-theme dark"}) {
        const std::vector<std::vector<std::string>> windows{
            {theme},
            {theme, "air-into P3", "came-out P4"},
            {theme, "air-into P3", "saw P4 strong", "saw P7 faint", "show-sheet air-check"},
            {theme, "air-into P3", "show-sheet chart"},
            {theme, "show-sheet air-bench"}};
        for (const auto& commands : windows) {
            const SharpLoop sharp(commands);
            const auto off = disabled(sharp.bench);
            for (const auto& item : sharp.interface.items()) { // no structured binding: CAPTURE is a lambda
                const std::string& label = item.first;
                const Rect& r = item.second;
                CAPTURE(theme);
                CAPTURE(commands.back());
                CAPTURE(label);
                const bool dark_action = off.count(label) > 0;
                const int x0 = int(r.x), y0 = int(r.y), x1 = int(r.x + r.width), y1 = int(r.y + r.height);
                if (dark_action || x0 < 8 || y0 < 8 || x1 > SharpLoop::width - 2 || y1 > SharpLoop::height - 2)
                    continue;
                const auto begins = [&](const char* with) { return label.compare(0, std::strlen(with), with) == 0; };
                // The strip's rings and circuits are graphics without a border; see below.
                if (begins("ring ") || begins("circuit ")) continue;
                // A cell of the chart has a mark above and a figure, or none, below.
                if (begins("cell ")) {
                    CHECK(look_at(sharp.image, x0, y0, x1, (y0 + y1) / 2).best >= least_graphics_contrast);
                    const double figure = look_at(sharp.image, x0 + 4, y0 + (y1 - y0) * 3 / 5, x1 - 4, y1 - 6).best;
                    CHECK((figure < 1.2 || figure >= least_text_contrast));
                    continue;
                }
                const Seen inside = look_at(sharp.image, x0 + 6, y0 + 6, x1 - 6, y1 - 6);
                if (inside.best < 1.2) continue; // nothing is written on it
                CHECK(inside.best >= least_text_contrast);
                ++texts;
                if (begins("text ") || begins("slider ")) continue; // no border, and letters up to the edge
                // Along the middle of the left edge, from outside to inside: where it has a border, that is seen.
                const int y = (y0 + y1) / 2;
                // Wide borders reach half out of their rectangle.
                const auto outside = rgb(packed(sharp.image, x0 - 6, y));
                double most = 1;
                for (int x = x0 - 4; x <= x0 + 4; ++x)
                    most = std::max(most, contrast(rgb(packed(sharp.image, x, y)), outside));
                if (most < 1.1) continue; // a quiet one: its words are all of it
                CHECK(most >= least_graphics_contrast);
                ++borders;
            }
        }
    }
    CHECK(texts > 150);
    CHECK(borders > 100);
}

TEST_CASE("from pixels: rings and circuits of the strip are parted from each other and from the panel, 3:1") {
    for (const char* theme : {"set-theme light", "set-theme dark"}) {
        CAPTURE(theme);
        const SharpLoop sharp({theme, "air-into P3", "came-out P4"});
        const ImVec4 panel = colours_of(sharp.bench.session().view.theme).panel;
        int rings = 0;
        for (const auto& item : sharp.interface.items()) { // no structured binding: CAPTURE is a lambda
            const std::string& label = item.first;
            const Rect& r = item.second;
            if (label.compare(0, 5, "ring ") != 0) continue;
            CAPTURE(label);
            // Through the ring from side to side: a border towards each neighbour, or colours that far apart.
            const int y = int(r.y + r.height / 2), middle = int(r.x + r.width / 2);
            const Rgb own = rgb(packed(sharp.image, middle, y));
            for (const int side : {-1, 1}) {
                double most = 1;
                for (int x = middle; std::abs(x - middle) < int(r.width); x += side)
                    most = std::max(most, contrast(rgb(packed(sharp.image, x, y)), own));
                CHECK(std::max(most, contrast(own, of(panel))) >= least_graphics_contrast);
            }
            ++rings;
        }
        CHECK(rings >= 5);
    }
}

TEST_CASE("from pixels: title, legend and suspect of a picture, in both themes") {
    for (const char* theme : {"set-theme light", "set-theme dark"}) {
        CAPTURE(theme);
        PictureSpec spec; // 1920x1080: one pixel a point
        spec.width = 3840;
        spec.height = 2160;
        auto bench = picture_bench(demo_path("larch-five"), {theme, "air-into P3", "came-out P4", "show-view section"},
                                   spec.width, spec.height);
        const Image image = make_picture(bench, spec);
        // Title: four lines of words from the top left; the note on the last line of the picture.
        const auto words = [&](int x0, int y0, int x1, int y1) { return look_at(image, x0, y0, x1, y1, 20).best; };
        CHECK(words(60, 60, 700, 120) >= least_text_contrast);    // the answer
        CHECK(words(60, 120, 700, 160) >= least_text_contrast);   // its place
        CHECK(words(60, 195, 300, 225) >= least_text_contrast);   // the unit
        CHECK(words(60, 2090, 900, 2140) >= least_text_contrast); // the note
        // The legend's swatches, walked through from the left: the outline stands out from the plate.
        const int y = 2032;
        int outlines = 0;
        for (int x = 50; x < 300; ++x) {
            const Rgb before = rgb(packed(image, x - 1, y));
            if (contrast(rgb(packed(image, x, y)), before) >= least_graphics_contrast) ++outlines;
        }
        CHECK(outlines >= 2);
        // The suspect: its letters and its frame are the only things of their colour.
        const Colours colours = colours_of(bench.session().view.theme);
        const auto close = [](Rgb a, Rgb b) {
            return std::max({std::abs(a.r - b.r), std::abs(a.g - b.g), std::abs(a.b - b.b)}) < 0.02;
        };
        int letters = 0, frame = 0;
        for (int py = 0; py < image.height; ++py) {
            for (int px = 0; px < image.width; ++px) {
                const Rgb c = rgb(packed(image, px, py));
                letters += close(c, of(colours.suspect_ink)) ? 1 : 0;
                frame += close(c, of(colours.suspect)) ? 1 : 0;
            }
        }
        CHECK(letters > 200);
        CHECK(frame > 200);
    }
}

TEST_CASE("the theme's colours: letters 4.5:1 on every ground that they stand on, borders and the suspect 3:1") {
    for (const Theme theme : {Theme::light, Theme::dark}) {
        CAPTURE(int(theme));
        const Colours c = colours_of(theme);
        const ThemeLook look = look_of(theme);
        const std::vector<Rgb> panels{of(c.panel), of(c.raised), of(mix(c.panel, c.rule, 0.25F))};
        const std::vector<Rgb> grounds{look.ground_top, look.ground_bottom};
        for (const auto& ground : panels) {
            CHECK(contrast(of(c.ink), ground) >= least_text_contrast);
            CHECK(contrast(of(c.second_ink), ground) >= least_text_contrast);
            CHECK(contrast(of(c.suspect_ink), ground) >= least_text_contrast);
            CHECK(contrast(of(c.border), ground) >= least_graphics_contrast);
            CHECK(contrast(of(c.action), ground) >= least_graphics_contrast);
            CHECK(contrast(of(c.suspect), ground) >= least_graphics_contrast);
        }
        for (const auto& ground : grounds) {
            CHECK(contrast(of(c.ink), ground) >= least_text_contrast);
            CHECK(contrast(of(c.second_ink), ground) >= least_text_contrast);
            CHECK(contrast(suspect_colour, ground) >= least_graphics_contrast);
        }
        CHECK(contrast(of(c.on_action), of(c.action)) >= least_text_contrast);
    }
}

TEST_CASE("what is printed on a circuit's colour can be read, and its outline parts it from the ground") {
    for (const auto& unit : demo_units()) {
        const auto bench = picture_bench(demo_path(unit), {}, 16, 9);
        const auto& map = bench.session().document.map;
        for (const auto& circuit : map.circuits) {
            const Rgb own = circuit_colour(map, circuit.id).colour;
            CAPTURE(circuit.id);
            CHECK(contrast(of(ink_on(colour(own))), own) >= least_text_contrast);
            for (const Theme theme : {Theme::light, Theme::dark}) {
                const ThemeLook look = look_of(theme);
                for (const Rgb ground : {look.ground_top, look.ground_bottom}) {
                    // The outline is near black in both themes: on the light ground it is seen itself, on the dark one
                    // the colour is.
                    CHECK(std::max(contrast(own, ground), contrast(rgb(0x1D2228), ground)) >= least_graphics_contrast);
                }
            }
        }
    }
}
