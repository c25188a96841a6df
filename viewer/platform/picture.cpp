#include "picture.h"

#include <algorithm>
#include <cstring>
#include <optional>

#include <epoxy/gl.h>

#include "../render/renderer.h"
#include "../ui/interface.h"
#include "app_loop.h"
#include "colour_target.h"
#include "context.h"

namespace ringland::viewer {
namespace {

/// Long after every flight, a window's too; a fixed time, so that the same picture has the same bytes.
constexpr double picture_time_s = 1e9;

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
        built =
            spec.with_interface
                ? interface.frame(bench, spec.width, spec.height, picture_time_s, model::Subject{})
                : interface.picture_frame(bench, spec.width, spec.height, picture_time_s,
                                          {spec.title, spec.labels, spec.legend, spec.ground == PictureGround::clear});
        const double now = built.drawing.width / std::max(1.0, built.drawing.height);
        if (now != aspect || !(built.room == bench.session().view.room))
            reframe(bench, aspect, now, built.room, picture_time_s);
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

/// Reads a tile to its place in the picture, whose rows run from the top.
void read_tile(const ColourTarget& target, const Tile& tile, Image& image) {
    const auto at = [&](int row) {
        return &image.rgba[(static_cast<std::size_t>(tile.y + row) * static_cast<std::size_t>(image.width) +
                            static_cast<std::size_t>(tile.x)) *
                           4];
    };
    target.read(tile.width, tile.height, image.width, at(0));
    std::vector<std::uint8_t> row(static_cast<std::size_t>(tile.width) * 4);
    for (int upper = 0, lower = tile.height - 1; upper < lower; ++upper, --lower) {
        std::memcpy(row.data(), at(upper), row.size());
        std::memcpy(at(upper), at(lower), row.size());
        std::memcpy(at(lower), row.data(), row.size());
    }
}

/// Black and white ground below the same drawing tell how much of the ground shows through, and of what colour the rest
/// is: on black b = a c, on white w = a c + (1 - a).
void matte(Image& on_black, const Image& on_white) {
    for (std::size_t i = 0; i + 3 < on_black.rgba.size(); i += 4) {
        std::uint8_t* pixel = &on_black.rgba[i];
        int through = 0;
        for (std::size_t c = 0; c < 3; ++c)
            through = std::max(through, on_white.rgba[i + c] - pixel[c]);
        const int alpha = 255 - through;
        for (std::size_t c = 0; c < 3 && alpha > 0; ++c)
            pixel[c] = static_cast<std::uint8_t>(std::min(255, (pixel[c] * 255 + alpha / 2) / alpha));
        if (alpha == 0) pixel[0] = pixel[1] = pixel[2] = 0;
        pixel[3] = static_cast<std::uint8_t>(alpha);
    }
}

} // namespace

struct PicturePainter::Impl {
    Workbench& bench;
    PictureSpec spec;
    // Made for 1920x1080 and larger by enlarging everything; smaller ones keep their letters legible.
    double pixels_per_point;
    std::optional<Renderer> renderer{std::in_place};
    Interface interface;
    Viewport drawing;
    std::vector<Tile> tiles;
    ColourTarget target;

    Impl(Workbench& of, const PictureSpec& wanted)
        : bench(of), spec(wanted),
          pixels_per_point(std::max(1.0, std::min(wanted.width / 1920.0, wanted.height / 1080.0))),
          interface(pixels_per_point), drawing(settle_interface(interface, of, wanted)),
          tiles(tiles_of(wanted.width, wanted.height)), target(tiles[0].width, tiles[0].height) // the first is largest
    {}

    Image paint(double air_travel_points, bool last) {
        const double shadow = bench.session().view.theme == Theme::dark ? 1.3 : 1;
        switch (spec.ground) {
        case PictureGround::paper:
            break;
        case PictureGround::white:
            return paint_on(FrameSpec::EvenGround{{1, 1, 1}, 0}, air_travel_points, last);
        case PictureGround::clear: {
            Image image = paint_on(FrameSpec::EvenGround{{0, 0, 0}, shadow}, air_travel_points, false);
            matte(image, paint_on(FrameSpec::EvenGround{{1, 1, 1}, shadow}, air_travel_points, last));
            return image;
        }
        }
        return paint_on({}, air_travel_points, last);
    }

    Image paint_on(const std::optional<FrameSpec::EvenGround>& ground, double air_travel_points, bool last) {
        Image image;
        image.width = spec.width;
        image.height = spec.height;
        for (const Tile& tile : tiles) {
            FrameSpec frame;
            frame.width = tile.width;
            frame.height = tile.height;
            frame.pixels_per_point = pixels_per_point * spec.line_weight;
            frame.now_s = picture_time_s;
            frame.air_travel_points = air_travel_points;
            frame.even_ground = ground;
            frame.still = !spec.quick;
            frame.only_once = last;
            if (place_drawing(frame, drawing, tile)) {
                renderer->draw(target.framebuffer(), bench.session(), bench.derived(), frame);
            }
            glBindFramebuffer(GL_FRAMEBUFFER, target.framebuffer());
            glViewport(0, 0, tile.width, tile.height);
            interface.draw_part(tile.x, tile.y, tile.width, tile.height);
            if (last && &tile == &tiles.back()) renderer.reset();
            // Not before the first tile is drawn: the drawing takes the most memory.
            image.rgba.resize(static_cast<std::size_t>(spec.width) * static_cast<std::size_t>(spec.height) * 4);
            read_tile(target, tile, image);
        }
        for (std::size_t i = 3; i < image.rgba.size(); i += 4)
            image.rgba[i] = 255;
        return image;
    }
};

PicturePainter::PicturePainter(Workbench& bench, const PictureSpec& spec)
    : impl_(std::make_unique<Impl>(bench, spec)) {}
PicturePainter::~PicturePainter() = default;

Image PicturePainter::paint(double air_travel_points) { return impl_->paint(air_travel_points, false); }
Image PicturePainter::paint_last(double air_travel_points) { return impl_->paint(air_travel_points, true); }

Image make_picture(Workbench& bench, const PictureSpec& spec) {
    const OffscreenContext context;
    return PicturePainter(bench, spec).paint_last();
}

Image picture_of_window(const Workbench& bench, const PictureSpec& spec, double window_aspect) {
    Workbench copy = bench;
    const Session& session = copy.session();
    const Viewpoint viewpoint = session.view.viewpoint;
    const bool section = session.view.section;
    const bool at_named_view =
        session.view.flight.to == named_camera(session, copy.derived(), viewpoint, window_aspect);
    copy.set_aspect(static_cast<double>(spec.width) / spec.height);
    copy.set_room({});
    if (at_named_view) copy.dispatch(command::ShowView{viewpoint}, 0);
    if (session.view.section != section) copy.dispatch(command::SetSection{section}, 0);
    copy.dispatch(command::SetTextScale{1}, 0); // larger letters are for the window's panels
    return PicturePainter(copy, spec).paint_last();
}

} // namespace ringland::viewer
