// Ringland's own few widgets over the toolkit: quiet buttons, cards and text that never runs out of its place.
//
// Every widget notes where it stands under its label, so that a test presses what a person would press; and every
// widget can be reached and pressed by keyboard, with a frame that shows where one is.
#pragma once

#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include <imgui.h>

#include "fonts.h"
#include "input.h"
#include "interface.h"
#include "theme.h"

namespace ringland::viewer {

enum class ButtonStyle { plain, primary, chosen, quiet };

class Widgets {
public:
    Fonts fonts;
    Colours colours{};
    float scale = 1; ///< pixels per point times text scale

    [[nodiscard]] float px(float points) const { return points * scale; }

    void begin_frame(const Colours& frame_colours);
    void end_frame();

    /// A region with its own scrolling. Everything placed in it is clipped to it. Menus lie over the other regions.
    bool begin_region(const char* name, const ImVec2& at, const ImVec2& extent, const ImVec4& ground, bool scrolls,
                      bool over_others = false);
    void end_region();
    /// Says how tall the content of the region was, measured from its scrolled top, so that it can scroll.
    void content_ends_at(const ImVec2& corner);

    /// An invisible thing to press. True when it was pressed by hand or key.
    bool pressed(const std::string& label, const ImVec2& at, const ImVec2& extent, bool enabled = true,
                 std::string_view tooltip = {});
    /// Whether the pointer was on the last thing to press.
    [[nodiscard]] bool hovered() const { return hovered_; }

    bool button(const std::string& label, std::string_view caption, const ImVec2& at, const ImVec2& extent,
                ButtonStyle style, bool enabled = true, std::string_view tooltip = {});
    /// A slider from `low` to `high`; `curve` above 1 gives small figures more room. A hand drags it, or presses where
    /// it is to go; Left and Right move it while it is framed.
    struct SliderMove {
        double value = 0;
        bool changed = false; ///< it is not where it was
        bool settled = false; ///< the hand has let go
    };
    SliderMove slider(const std::string& label, const ImVec2& at, const ImVec2& extent, double value, double low,
                      double high, double step, double curve = 1, std::string_view tooltip = {});
    /// A field to write in. The text wraps by itself and has no lines of its own: Enter and Escape leave the field, and
    /// so do Tab and a press elsewhere. `hint` stands in it while it is empty. Its height is field_height.
    struct FieldMove {
        bool changed = false; ///< a letter came or went: `text` has it
        bool settled = false; ///< the hand has left the field after a change
    };
    FieldMove field(const std::string& label, const ImVec2& at, float width, std::string& text, int least_lines = 1,
                    std::string_view hint = {});
    /// Height of a field for what is written in it.
    [[nodiscard]] float field_height(float width, std::string_view text, int least_lines = 1) const;
    /// True while one is being written in: letters belong to it.
    [[nodiscard]] bool writing() const { return !last_writing_.empty(); }
    [[nodiscard]] bool writes_in(const std::string& label) const { return last_writing_ == label; }
    /// Leaves the field that is being written in; what was written stays.
    void stop_writing();
    /// Goes on to the next thing the keyboard reaches; where that is a field, to write in it.
    void write_next(int step);
    /// A key for the field that is being written in; false where it is none that a field understands.
    bool field_key(const input::KeyPress& press);
    /// Letters beyond those of a Latin face that were written: the fonts want them.
    [[nodiscard]] bool lacks_letter(unsigned codepoint) const {
        return fonts.body->FindGlyphNoFallback(static_cast<ImWchar>(codepoint)) == nullptr;
    }

    /// Moves the slider that is framed; false where none is.
    bool nudge_focused(int steps);
    /// Width that a button's caption needs.
    [[nodiscard]] float button_width(std::string_view caption) const;

    /// Ground and border of a card.
    void card(const ImVec2& at, const ImVec2& extent, const ImVec4& ground, const ImVec4& border,
              float border_px) const;

    /// Wrapped text; returns its height. Nothing is drawn where `draw` is false.
    float text(ImFont* font, const ImVec4& ink, const ImVec2& at, float width, std::string_view words,
               bool draw = true) const;
    /// The words with a line break wherever the next one would run out of the width. At spaces only: the toolkit would
    /// break "3.1 L/min" after its point.
    [[nodiscard]] static std::string wrapped(ImFont* font, float width, std::string_view words);
    /// One line, with an ellipsis where it does not fit; true when it was cut.
    bool line(ImFont* font, const ImVec4& ink, const ImVec2& at, float width, std::string_view words) const;
    [[nodiscard]] static ImVec2 measure(ImFont* font, std::string_view words);
    /// The words on as few lines as they need, `most` at most, and how tall they are.
    struct Lines {
        std::vector<std::string> words;
        float height = 0;
    };
    [[nodiscard]] static Lines in_lines(ImFont* font, float width, std::size_t most, std::string_view words);
    /// Draws them, each cut where it does not fit.
    void lines(ImFont* font, const ImVec4& ink, const ImVec2& at, float width, const Lines& lines) const;

    /// Notes words that stand beside the panels.
    void note_beside(std::string words) const { layout_.beside.push_back(std::move(words)); }
    /// Notes a place for the tests without making it a thing to press.
    void note(const std::string& label, const ImVec2& at, const ImVec2& extent);

    [[nodiscard]] const std::map<std::string, Rect>& items() const { return items_; }
    [[nodiscard]] const LayoutRecord& layout() const { return layout_; }

    /// Moves the frame of the keyboard to the next thing whose label begins with a prefix (all: empty).
    void move_focus(std::string_view prefix, int step);
    void press_focused() { press_ = focus_; }
    void drop_focus() { focus_.clear(); }
    [[nodiscard]] const std::string& focus() const { return focus_; }
    void tooltip(std::string_view words);
    /// Scrolls an item into sight when the next frame places it.
    void show_item(const std::string& label) { show_ = label; }

private:
    void frame_focus(const std::string& label, const ImVec2& at, const ImVec2& extent);
    void record(Placed::Kind kind, std::string_view label, const ImVec2& at, const ImVec2& extent,
                bool cut = false) const;

    std::map<std::string, Rect> items_;
    mutable LayoutRecord layout_; ///< what is drawn is drawn by const functions too
    std::string region_;
    std::vector<std::string> order_, last_order_; ///< of the things to press, enabled ones only
    std::string focus_, press_, tooltip_, show_, showing_;
    std::set<std::string> sliders_, last_sliders_;
    std::string writing_, last_writing_; ///< label of the field that is being written in
    std::string edited_;                 ///< label of the field with a change that has not settled
    int nudge_ = 0;
    bool hovered_ = false, held_ = false, focus_moved_ = false;
};

/// Places things of different widths in rows, from the left.
struct Flow {
    ImVec2 origin;
    float width, row_height, gap;
    float x = 0, y = 0;

    /// Where the next thing of that width goes.
    ImVec2 next(float wanted) {
        if (x > 0 && x + wanted > width) {
            x = 0;
            y += row_height + gap;
        }
        const ImVec2 at{origin.x + x, origin.y + y};
        x += wanted + gap;
        return at;
    }
    [[nodiscard]] float height() const { return y + row_height; }
};

} // namespace ringland::viewer
