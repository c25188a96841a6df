// The program without its window: the real loop, interface and drawing into a frame buffer, by a clock that the test
// moves on.
#pragma once

#include <array>
#include <cmath>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "../../viewer/platform/app_loop.h"
#include "../../viewer/platform/colour_target.h"
#include "../../viewer/platform/context.h"
#include "on_screen.h"

namespace ringland::tests {

class RealLoop {
public:
    static constexpr int width = 1280, height = 720;

    explicit RealLoop(const std::string& map) : interface(1), target(width, height) {
        std::string why;
        const bool opened = bench.open(map, why);
        REQUIRE_MESSAGE(opened, why);
        loop = std::make_unique<viewer::AppLoop>(bench, renderer, interface, 1.0);
        rest();
    }

    void frame() {
        now_s += 1.0 / 60;
        loop->frame(target.framebuffer(), width, height, now_s);
    }
    /// Lets flights end and the air stop, then draws what is still due. Nobody waits for the frames in between.
    void rest() {
        now_s += viewer::air_runs_s + viewer::flight_s + 1;
        for (int i = 0; i < 400; ++i) { // slices of a drawing are many where others use the processor
            frame();
            const double wait_s = loop->next_frame_in_s(now_s);
            if (std::isinf(wait_s)) return;
            now_s += wait_s;
        }
        FAIL("the loop does not come to rest");
    }
    /// Draws the frames that are due in a stretch of time, as the window does; returns how many they were.
    unsigned long pass(double seconds) {
        const unsigned long before = loop->frames_drawn();
        for (const double end_s = now_s + seconds; now_s < end_s; now_s += 1.0 / 60) {
            if (loop->frame_due(now_s)) loop->frame(target.framebuffer(), width, height, now_s);
        }
        return loop->frames_drawn() - before;
    }

    const model::Subject& hover(const Pixel& at) {
        loop->event(viewer::input::MouseMove{at.x, at.y});
        frame();
        return loop->hover();
    }
    /// Presses and lets go. The frame of the release is the last that was drawn.
    void click(const Pixel& at) {
        hover(at);
        now_s += 1; // not the second half of a double click
        loop->event(viewer::input::MouseButton{0, true});
        loop->event(viewer::input::MouseButton{0, false});
        frame();
        frame();
    }
    void key(viewer::Key key, char character = 0, bool ctrl = false) {
        loop->event(viewer::input::KeyPress{key, true, character, ctrl});
        loop->event(viewer::input::KeyPress{key, false, character, ctrl});
        frame();
    }
    /// Presses something of the panels where it stands.
    void press(const std::string& label) {
        const auto item = interface.items().find(label);
        REQUIRE_MESSAGE(item != interface.items().end(), "nothing is called ", label);
        const viewer::Rect& r = item->second;
        click({r.x + r.width / 2, r.y + r.height / 2});
        frame();
    }

    [[nodiscard]] Pixel port(const std::string& id) const { return port_pixel(bench, loop->drawing(), id); }
    [[nodiscard]] Pixel ring(const std::string& id) const { return ring_pixel(bench, loop->drawing(), id); }
    /// Red, green and blue of the square of pixels around a place, in the frame that was drawn last.
    [[nodiscard]] std::vector<std::array<int, 3>> colours_around(const Pixel& at, int reach) const {
        std::vector<std::uint8_t> rgba(static_cast<std::size_t>(width) * height * 4);
        target.read(width, height, rgba.data());
        std::vector<std::array<int, 3>> colours;
        for (int dy = -reach; dy <= reach; ++dy) {
            for (int dx = -reach; dx <= reach; ++dx) {
                const int x = static_cast<int>(at.x) + dx, y = static_cast<int>(at.y) + dy;
                if (x < 0 || y < 0 || x >= width || y >= height) continue;
                const auto i = static_cast<std::size_t>(((height - 1 - y) * width + x) * 4);
                colours.push_back({rgba[i], rgba[i + 1], rgba[i + 2]});
            }
        }
        return colours;
    }

    [[nodiscard]] const viewer::Document& document() const { return bench.session().document; }
    [[nodiscard]] const viewer::View& view() const { return bench.session().view; }
    [[nodiscard]] bool flying() const { return viewer::in_flight(view().flight, now_s); }

    viewer::OffscreenContext context; // first: the others need it to their end
    viewer::Workbench bench;
    viewer::Renderer renderer;
    viewer::Interface interface;
    viewer::ColourTarget target;
    std::unique_ptr<viewer::AppLoop> loop;
    double now_s = 0;
};

} // namespace ringland::tests
