// Writes down a panel from the top: headings, texts, cards, rows of buttons.
#pragma once

#include <algorithm>
#include <string>
#include <string_view>

#include "panels.h"

namespace ringland::viewer {

/// Writes down the column from the top; knows how far it came.
class Writer {
public:
    Writer(PanelContext& c, const ImVec2& at, float width) : c_(c), x_(at.x), y_(at.y), width_(width) {}

    void gap(float units) { y_ += c_.w.px(units * size::unit); }
    void text(ImFont* font, const ImVec4& ink, std::string_view words, float after = 0.5F) {
        if (words.empty()) return;
        y_ += c_.w.text(font, ink, {x_, y_}, width_, words);
        gap(after);
    }
    void heading(std::string_view words) {
        gap(1.5F);
        text(c_.w.fonts.strong, c_.w.colours.ink, words, 0.75F);
    }
    void note(std::string_view words, float after = 0.5F) {
        text(c_.w.fonts.note, c_.w.colours.second_ink, words, after);
    }
    void body(std::string_view words, float after = 0.5F) { text(c_.w.fonts.body, c_.w.colours.ink, words, after); }

    /// A card of two texts; true when pressed. An empty label makes it one that only says something.
    bool card(const std::string& label, std::string_view title, std::string_view detail, bool chosen) {
        return card(label, title, detail, chosen, c_.w.colours.suspect);
    }
    /// The same with another colour for what is chosen: that of suspects is theirs alone.
    bool card(const std::string& label, std::string_view title, std::string_view detail, bool chosen,
              const ImVec4& accent) {
        Widgets& w = c_.w;
        const float pad = w.px(1.25F * size::unit), inner = width_ - 2 * pad;
        const float title_h = w.text(w.fonts.strong, w.colours.ink, {0, 0}, inner, title, false);
        const float detail_h = w.text(w.fonts.note, w.colours.ink, {0, 0}, inner, detail, false);
        const ImVec2 at{x_, y_};
        const ImVec2 extent{width_, std::max(w.px(size::target), title_h + detail_h + 2 * pad + w.px(2))};
        const bool now = !label.empty() && w.pressed(label, at, extent);
        const bool hovered = !label.empty() && w.hovered();
        ImVec4 ground = w.colours.raised;
        if (chosen)
            ground = mix(ground, accent, 0.08F);
        else if (hovered)
            ground = mix(ground, w.colours.action, 0.08F);
        w.card(at, extent, ground, chosen ? accent : w.colours.rule, w.px(chosen ? 2.0F : 1.0F));
        w.text(w.fonts.strong, w.colours.ink, {x_ + pad, y_ + pad}, inner, title);
        w.text(w.fonts.note, w.colours.second_ink, {x_ + pad, y_ + pad + title_h + w.px(2)}, inner, detail);
        y_ += extent.y;
        gap(1);
        return now;
    }

    [[nodiscard]] ImVec2 at() const { return {x_, y_}; }
    [[nodiscard]] float width() const { return width_; }
    void advance(float height) { y_ += height; }
    /// Notes what was written since a place, for the tests.
    void mark(const std::string& label, float from_y) { c_.w.note(label, {x_, from_y}, {width_, y_ - from_y}); }

private:
    PanelContext& c_;
    float x_, y_, width_;
};

} // namespace ringland::viewer
