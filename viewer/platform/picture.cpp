#include "picture.h"

#include <algorithm>
#include <cstring>

#include <epoxy/gl.h>

#include "../render/renderer.h"
#include "../ui/interface.h"
#include "app_loop.h"
#include "colour_target.h"
#include "context.h"

namespace ringland::viewer {
namespace {

/// Long after every flight; a fixed time, so that the same picture has the same bytes.
constexpr double picture_time_s = 10;

/// A tile is at most a full HD frame: four samples a pixel and the helper buffers of a larger one would take too much
/// memory.
constexpr int tile_width = 1920, tile_height = 1088;

struct Tile {
    int x = 0, y = 0, width = 0, height = 0;
};

/// Even pieces, none larger than the driver and the memory allow.
std::vector<Tile> tiles_of(int width, int height) {
    GLint limit = 0;
    glGetIntegerv(GL_MAX_RENDERBUFFER_SIZE, &limit);
    const auto pieces = [limit](int size, int most) {
        const int piece = std::min<int>(most, limit);
        const int count = (size + piece - 1) / piece;
        return (size + count - 1) / count;
    };
    const int across = pieces(width, tile_width);
    const int down = pieces(height, tile_height);
    std::vector<Tile> tiles;
    for (int y = 0; y < height; y += down) {
        for (int x = 0; x < width; x += across)
            tiles.push_back({x, y, std::min(across, width - x), std::min(down, height - y)});
    }
    return tiles;
}

/// Lets the interface settle, as the first frames of a window do, and says where the drawing stands.
Viewport settle_interface(Interface& interface, Workbench& bench, const PictureSpec& spec) {
    while (bench.work_on()) {
    }
    InterfaceFrame built;
    double aspect = static_cast<double>(spec.width) / spec.height;
    for (int pass = 0; pass < 3; ++pass) {
        built = spec.with_interface ? interface.frame(bench, spec.width, spec.height, picture_time_s, model::Subject{})
                                    : interface.picture_frame(bench, spec.width, spec.height, picture_time_s);
        const double now = built.drawing.width / std::max(1.0, built.drawing.height);
        if (now != aspect) reframe(bench, aspect, now, picture_time_s);
        aspect = now;
    }
    return built.drawing;
}

/// The part of the drawing that falls into a tile, as the renderer wants it; false where none does.
bool place_drawing(FrameSpec& frame, const Viewport& drawing, const Tile& tile) {
    const double left = std::max(drawing.x, static_cast<double>(tile.x));
    const double top = std::max(drawing.y, static_cast<double>(tile.y));
    const double right = std::min(drawing.x + drawing.width, static_cast<double>(tile.x + tile.width));
    const double bottom = std::min(drawing.y + drawing.height, static_cast<double>(tile.y + tile.height));
    if (right <= left || bottom <= top) return false;
    frame.drawing = {left - tile.x, top - tile.y, right - left, bottom - top};
    frame.tile = {(left - drawing.x) / drawing.width, (top - drawing.y) / drawing.height,
                  (right - left) / drawing.width, (bottom - top) / drawing.height};
    return true;
}

void copy_rows(Image& image, const Tile& tile, const std::vector<std::uint8_t>& from_bottom) {
    const std::size_t stride = static_cast<std::size_t>(tile.width) * 4;
    for (int row = 0; row < tile.height; ++row) {
        const std::size_t to = (static_cast<std::size_t>(tile.y + row) * static_cast<std::size_t>(image.width) +
                                static_cast<std::size_t>(tile.x)) *
                               4;
        std::memcpy(&image.rgba[to], &from_bottom[static_cast<std::size_t>(tile.height - 1 - row) * stride], stride);
    }
}

} // namespace

Image make_picture(Workbench& bench, const PictureSpec& spec) {
    const OffscreenContext context;
    // Made for 1920x1080 and larger by enlarging everything; smaller ones keep their letters legible.
    const double pixels_per_point = std::max(1.0, std::min(spec.width / 1920.0, spec.height / 1080.0));
    Renderer renderer;
    Interface interface(pixels_per_point);
    const Viewport drawing = settle_interface(interface, bench, spec);

    Image image;
    image.width = spec.width;
    image.height = spec.height;
    image.rgba.resize(static_cast<std::size_t>(spec.width) * static_cast<std::size_t>(spec.height) * 4);
    const std::vector<Tile> tiles = tiles_of(spec.width, spec.height);
    const ColourTarget target(tiles[0].width, tiles[0].height); // the first is the largest
    std::vector<std::uint8_t> pixels(static_cast<std::size_t>(tiles[0].width) *
                                     static_cast<std::size_t>(tiles[0].height) * 4);
    for (const Tile& tile : tiles) {
        FrameSpec frame;
        frame.width = tile.width;
        frame.height = tile.height;
        frame.pixels_per_point = pixels_per_point;
        frame.now_s = picture_time_s;
        if (place_drawing(frame, drawing, tile)) {
            renderer.draw(target.framebuffer(), bench.session(), bench.derived(), frame);
        }
        glBindFramebuffer(GL_FRAMEBUFFER, target.framebuffer());
        glViewport(0, 0, tile.width, tile.height);
        interface.draw_part(tile.x, tile.y, tile.width, tile.height);
        target.read(tile.width, tile.height, pixels.data());
        copy_rows(image, tile, pixels);
    }
    for (std::size_t i = 3; i < image.rgba.size(); i += 4)
        image.rgba[i] = 255;
    return image;
}

} // namespace ringland::viewer
