// Still pictures: the loop's frame read back, in tiles where the driver's limit is smaller than the picture.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "../app/commands.h"

namespace ringland::viewer {

struct Image {
    int width = 0, height = 0;
    std::vector<std::uint8_t> rgba; ///< rows from the top, 4 bytes a pixel, sRGB, colour not multiplied by alpha
};

/// A word that a picture's file carries: one of PNG's keywords, and UTF-8.
struct PictureText {
    std::string keyword, text;
    friend bool operator==(const PictureText&, const PictureText&) = default;
};

/// What the drawing stands on.
enum class PictureGround {
    paper, ///< the theme's own, with the unit's shadow
    white, ///< even white without a shadow: for print
    clear  ///< nothing: an alpha channel, with the shadow as translucent black
};

struct PictureSpec {
    int width = 1920, height = 1080; ///< up to 7680 x 4320
    bool with_interface = false;     ///< as the window shows it, panels and all
    bool title = true, labels = true, legend = true;
    PictureGround ground = PictureGround::paper;
    bool quick = false;     ///< as a moving frame is drawn: sooner there, less fine
    double line_weight = 1; ///< of edges and hatches, beside their usual width
};

inline constexpr int picture_max_width = 7680, picture_max_height = 4320;
/// Lines of a picture for print.
inline constexpr double print_line_weight = 1.35;

/// Draws the workbench's session. Makes its own offscreen context; throws std::runtime_error where there is none.
[[nodiscard]] Image make_picture(Workbench& bench, const PictureSpec& spec);

/// Draws pictures in the current OpenGL context (and throws where that cannot draw): one session, one spec, and the air
/// as far as it has come.
class PicturePainter {
public:
    /// Lets the interface settle, which may frame the workbench's camera anew.
    PicturePainter(Workbench& bench, const PictureSpec& spec);
    ~PicturePainter();
    PicturePainter(const PicturePainter&) = delete;
    PicturePainter& operator=(const PicturePainter&) = delete;
    [[nodiscard]] Image paint(double air_travel_points = 0);
    /// The same for the last picture: what its drawing took is given back before it is read, so that both never need
    /// memory at once.
    [[nodiscard]] Image paint_last(double air_travel_points = 0);

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

/// The picture that the command line makes of a window's session, drawn in the window's context: a named view is framed
/// as a picture frames it, and what a hand has turned stays turned. The workbench stays as it is. `window_aspect` is
/// that of the window's drawing.
[[nodiscard]] Image picture_of_window(const Workbench& bench, const PictureSpec& spec, double window_aspect);

/// Writes a PNG; error text, empty on success. The file is complete or absent. With an alpha channel only where
/// something is not opaque. A text without letters is left out.
[[nodiscard]] std::string write_png(const std::string& file, const Image& image,
                                    const std::vector<PictureText>& texts = {});
/// Reads a PNG; empty image and an error text on failure.
[[nodiscard]] Image read_png(const std::string& file, std::string& error);

} // namespace ringland::viewer
