// The interface: panels around the drawing and the labels on it, by Dear ImGui. It reads const state and gives back
// commands.
#pragma once

#include <limits>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "../../model-data/shop_sign.h"
#include "../app/camera.h"
#include "../app/commands.h"
#include "../app/job_shelf.h"
#include "input.h"
#include "overlay.h"

namespace ringland::viewer {

/// How the customer's page of the job is wanted.
struct PageWish {
    bool browser = false; ///< one HTML file with a model that turns; else a PDF
    bool a4 = false;      ///< else letter; of a PDF
    std::string language = "en";
    friend bool operator==(const PageWish&, const PageWish&) = default;
};

/// What the interface wants from one frame of it.
struct InterfaceFrame {
    std::vector<Command> commands;   ///< in order
    Viewport drawing;                ///< where the drawing goes, pixels
    DrawingRoom room;                ///< of the drawing, beside what is written on it
    bool pointer_on_drawing = false; ///< the pointer is over the drawing and over no label or panel
    model::Subject pointed;          ///< what the pointer is on in a panel, for the drawing to show
    bool dragging = false;           ///< it turns or moves the unit: nobody asks what is under it
    double pointer_x = 0, pointer_y = 0;
    bool again = false; ///< something still settles: draw another frame soon
    /// When something changes by itself, at the latest: a notice goes. Infinity: never.
    double next_change_s = std::numeric_limits<double>::infinity();
    bool tour_ended = false;                            ///< by its end or by hand: it need not begin by itself again
    std::optional<diagnosis::records::Search> ask_jobs; ///< the records are asked
    std::optional<std::string> open_job;                ///< id of a job in the records that is wanted
    /// A picture is to be saved, of that height: nothing of the session changes by it.
    std::optional<int> save_picture;
    std::optional<PageWish> make_page;        ///< the customer's page of the open job
    bool print_plan = false;                  ///< the way in that is shown, as a work sheet
    std::optional<model::ShopSign> keep_sign; ///< the shop's name and sign have been changed
};

/// What is written on a picture.
struct PictureParts {
    bool title = true, labels = true, legend = true;
    bool plates = false; ///< behind every label
};

struct Rect {
    double x = 0, y = 0, width = 0, height = 0;
};

/// One thing that a frame placed. It may be scrolled out of sight.
struct Placed {
    enum class Kind { target, text, card };
    Kind kind;
    std::string label; ///< what it is pressed by, or its words; empty for a card
    std::string region;
    Rect rect;
    bool cut = false; ///< words that did not fit and end in dots
};

/// A panel of a frame: its place in the window, and how far its content reaches as it is scrolled now.
struct PlacedRegion {
    std::string name;
    Rect rect, content;
    bool scrolls = false;
    bool over_others = false; ///< a menu
};

struct LayoutRecord {
    std::vector<PlacedRegion> regions;
    std::vector<Placed> things;
    /// What was written beside the panels: on the drawing, at the pointer.
    std::vector<std::string> beside;
};

class Interface {
public:
    /// Loads fonts at the scale (pixels per point). Throws std::runtime_error where the font is missing.
    explicit Interface(double pixels_per_point);
    ~Interface();
    Interface(const Interface&) = delete;
    Interface& operator=(const Interface&) = delete;

    /// Queues an event for the next frame.
    void feed(const InputEvent& event);

    /// Builds one frame of the interface for a frame buffer of that size. `hover` is what the pointer is on in the
    /// drawing.
    InterfaceFrame frame(const Workbench& bench, int width, int height, double now_s, const model::Subject& hover);

    /// A picture without panels: what of title, labels and legend is wanted, for `ringland picture`.
    InterfaceFrame picture_frame(const Workbench& bench, int width, int height, double now_s,
                                 const PictureParts& parts = {});

    /// Draws what the last frame built into the bound framebuffer (OpenGL context current).
    void draw();
    /// The same for a part of the last frame, in its pixels from the top left: for pictures made in tiles.
    void draw_part(int x, int y, int width, int height);

    /// Says something for as long as it takes to read; the newest three stand there. `action` is the id of what may be
    /// wanted now, and gets a button.
    void show_notice(const std::string& text, const std::string& action = {});
    /// The newest answer of the records, for the sheet of the jobs.
    void set_shelf(std::shared_ptr<const ShelfPage> page);
    /// The shop's name and sign as they are kept.
    void set_shop_sign(const model::ShopSign& sign);
    /// Begins the guided tour with the next frame, where the unit has something to show.
    void start_tour();

    /// Where the items of the last frame stand, by their label: tests press what a person would press.
    [[nodiscard]] const std::map<std::string, Rect>& items() const;
    /// Everything that the last frame placed, for the tests of the layout.
    [[nodiscard]] const LayoutRecord& layout() const;

    /// The labels of the last frame and where they stand.
    [[nodiscard]] const std::vector<PlacedLabel>& labels() const;
    /// Where the last frame said at the pointer what it is on.
    [[nodiscard]] std::optional<Rect> pointer_note() const;

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

} // namespace ringland::viewer
