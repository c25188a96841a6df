// The panels without a screen, driven as a hand drives them: events in, commands out to the workbench.
#pragma once

#include <algorithm>
#include <map>
#include <string>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "../../viewer/app/commands.h"
#include "../../viewer/ui/interface.h"
#include "../demo_maps.h"

namespace ringland::tests {

using namespace ringland::viewer;

/// A window without a screen: the loop of the program, with the thing under the pointer told by the test.
struct Window {
    Workbench bench;
    Interface interface;
    int width, height;
    double now_s = 0;
    InterfaceFrame last;
    model::Subject hover;
    std::string refused;

    explicit Window(const std::string& map = demo, int w = 1280, int h = 720, double pixels_per_point = 1)
        : interface(pixels_per_point), width(w), height(h) {
        std::string why;
        const bool fine = bench.open(map, why);
        REQUIRE_MESSAGE(fine, why);
        settle();
    }
    void frame() {
        now_s += 0.02;
        last = interface.frame(bench, width, height, now_s, hover);
        bench.set_aspect(last.drawing.width / last.drawing.height);
        for (const auto& command : last.commands) {
            const std::string why = bench.dispatch(command, now_s);
            if (!why.empty()) refused = why;
        }
    }
    void settle() {
        for (int i = 0; i < 12; ++i) {
            frame();
            if (i > 2 && !last.again) return;
        }
        FAIL("the interface does not come to rest");
    }
    void click(double x, double y, int button = 0) {
        interface.feed(input::MouseMove{x, y});
        interface.feed(input::MouseButton{button, true});
        interface.feed(input::MouseButton{button, false});
        settle();
        now_s += 1; // not the first half of a double click
    }
    /// Scrolls the column or the strip until an item is in sight.
    Rect find(const std::string& label) {
        for (int i = 0; i < 160; ++i) {
            const auto item = interface.items().find(label);
            if (item != interface.items().end()) return item->second;
            // Beside the drawing, or below it; a sheet that has the whole width is scrolled itself.
            const bool below = last.drawing.x == 0 && view().sheet == Sheet::drawing;
            // Then the sheet beside the column.
            const double x = i < 60 ? 40 : last.drawing.x + 40,
                         y = last.drawing.y + (below ? last.drawing.height + 40 : 60);
            interface.feed(input::MouseMove{x, y});
            interface.feed(input::MouseWheel{0, i < 30 || (i >= 60 && i < 110) ? -1.0 : 1.0});
            frame();
            frame();
        }
        return {};
    }
    void press(const std::string& label) {
        const Rect r = find(label);
        REQUIRE_MESSAGE(r.width > 0, "nothing is called ", label);
        click(r.x + r.width / 2, r.y + r.height / 2);
    }
    void key(Key k, char character = 0, bool ctrl = false, bool shift = false) {
        interface.feed(input::KeyPress{k, true, character, ctrl, shift});
        interface.feed(input::KeyPress{k, false, character, ctrl, shift});
        settle();
    }
    void letter(char c, bool ctrl = false, bool shift = false) { key(Key::letter, c, ctrl, shift); }
    /// A click on a thing of the drawing.
    void click_drawing(const model::Subject& subject) {
        const double x = last.drawing.x + last.drawing.width / 2, y = last.drawing.y + last.drawing.height / 2;
        interface.feed(input::MouseMove{x, y});
        settle();
        CHECK(last.pointer_on_drawing);
        hover = subject;
        click(x, y);
    }
    [[nodiscard]] const Document& document() const { return bench.session().document; }
    [[nodiscard]] const View& view() const { return bench.session().view; }
};

/// Whether the words are seen, in however many lines they are set.
inline bool says(const Window& window, const std::string& words) {
    const auto& things = window.interface.layout().things;
    return std::any_of(things.begin(), things.end(), [&](const Placed& thing) {
        std::string flat = thing.label; // a line break is a blank
        std::replace(flat.begin(), flat.end(), '\n', ' ');
        return thing.kind == Placed::Kind::text && flat.find(words) != std::string::npos;
    });
}

/// Letters that come into the field that is written in; no key is pressed.
inline void type(Window& window, const std::string& words) {
    for (const char c : words)
        window.interface.feed(input::Text{static_cast<unsigned char>(c)});
    window.settle();
}

/// Until everything that is worked out beside the frames is there.
inline void work(Window& window) {
    while (window.bench.work_on()) {
    }
    window.settle();
}

inline bool overlap(const Rect& a, const Rect& b) {
    const double x = std::min(a.x + a.width, b.x + b.width) - std::max(a.x, b.x);
    const double y = std::min(a.y + a.height, b.y + b.height) - std::max(a.y, b.y);
    return x > 0.5 && y > 0.5;
}

inline bool is_text(const std::string& label) { return label.compare(0, 5, "text ") == 0; }

inline void check_places(const Window& window, double least) {
    const auto& items = window.interface.items();
    CHECK(items.size() > 10);
    for (const auto& item : items) {
        const std::string& label = item.first;
        const Rect& r = item.second;
        INFO(label, fmt::format(" {:.0f},{:.0f} {:.0f}x{:.0f}", r.x, r.y, r.width, r.height));
        CHECK(r.x >= -0.5);
        CHECK(r.y >= -0.5);
        CHECK(r.x + r.width <= window.width + 0.5);
        CHECK(r.y + r.height <= window.height + 0.5);
        if (!is_text(label)) {
            CHECK(r.width >= least - 0.01);
            CHECK(r.height >= least - 0.01);
        }
        const Viewport& d = window.last.drawing;
        if (window.view().sheet == Sheet::drawing) CHECK_FALSE(overlap(r, {d.x, d.y, d.width, d.height}));
        for (const auto& beside : items) {
            const std::string& other = beside.first;
            const Rect& o = beside.second;
            if (other <= label) continue;
            INFO("beside ", other);
            CHECK_FALSE(overlap(r, o));
        }
    }
}

} // namespace ringland::tests
