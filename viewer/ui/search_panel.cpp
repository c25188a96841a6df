// The search: one line to type what is wanted, and what was found, each with its key.
#include "panels.h"

#include <algorithm>

#include <fmt/format.h>

#include "../app/actions.h"
#include "../app/search.h"
#include "words.h"

namespace ringland::viewer {

namespace {

constexpr std::size_t most_found = 9;

/// Where the panel stands: below the bar, in the middle, no taller than the window.
struct Place {
    ImVec2 at;
    float width = 0, row = 0;
    std::size_t rows = 0;
};

Place place_of(const PanelContext& c) {
    const Widgets& w = c.w;
    const ImVec2 screen = ImGui::GetIO().DisplaySize;
    Place p;
    p.width = std::min(screen.x - w.px(2 * size::unit), w.px(620));
    p.at = {(screen.x - p.width) / 2, bar_height(c) + w.px(size::unit)};
    p.row = w.px(size::target + 4);
    const float fixed = w.px(size::target) + w.px(3 * size::unit);
    const float room = screen.y - p.at.y - fixed - w.px(size::unit);
    p.rows = static_cast<std::size_t>(std::clamp(room / p.row, 1.0F, static_cast<float>(most_found)));
    return p;
}

void draw_field(PanelContext& c, const ImVec2& at, float width) {
    Widgets& w = c.w;
    const float tall = w.px(size::target), pad = w.px(1.5F * size::unit), close = w.button_width(c.tr("Close"));
    const ImVec2 extent{width - close - w.px(size::unit), tall};
    w.card(at, extent, w.colours.panel, w.colours.action, w.px(2));
    const std::string& typed = c.transient.search.typed;
    const float y = at.y + (tall - w.fonts.title->FontSize) / 2, room = extent.x - 2 * pad;
    float caret = at.x + pad;
    if (typed.empty()) {
        w.line(w.fonts.body, w.colours.second_ink, {at.x + pad + w.px(6), at.y + (tall - w.fonts.body->FontSize) / 2},
               room, c.tr("What do you want to do? Type it."));
    } else {
        // The end of what is typed stays in sight.
        std::string_view shown = typed;
        while (shown.size() > 1 && Widgets::measure(w.fonts.title, shown).x > room)
            shown.remove_prefix(1);
        w.text(w.fonts.title, w.colours.ink, {at.x + pad, y}, 0, shown);
        caret += Widgets::measure(w.fonts.title, shown).x + w.px(2);
    }
    ImGui::GetWindowDrawList()->AddLine({caret, y - w.px(2)}, {caret, y + w.fonts.title->FontSize + w.px(2)},
                                        u32(w.colours.action), w.px(2));
    if (w.button("Close the search", c.tr("Close"), {at.x + width - close, at.y}, {close, tall}, ButtonStyle::plain))
        turn_search(c.transient, false);
}

bool draw_found(PanelContext& c, const ToDo& what, const std::string& label, const ImVec2& at, const ImVec2& extent,
                bool framed) {
    Widgets& w = c.w;
    const float pad = w.px(1.5F * size::unit);
    const bool now = w.pressed(label, at, extent, what.possible);
    const bool on = framed || w.hovered();
    if (on)
        w.card(at, extent, mix(w.colours.raised, w.colours.action, framed ? 0.14F : 0.08F),
               framed ? w.colours.action : faded(w.colours.action, 0), w.px(1.5F));
    const ImVec4 ink = what.possible ? w.colours.ink : mix(w.colours.panel, w.colours.second_ink, 0.7F);
    const std::string keys = key_words(c.tr, what.key);
    const float key = keys.empty() ? 0 : Widgets::measure(w.fonts.note, keys).x + pad;
    const float room = extent.x - 2 * pad - key;
    const float lines = w.fonts.strong->FontSize + (what.detail.empty() ? 0 : w.fonts.note->FontSize + w.px(1));
    const float y = at.y + (extent.y - lines) / 2;
    w.line(w.fonts.strong, ink, {at.x + pad, y}, room, what.title);
    if (!what.detail.empty())
        w.line(w.fonts.note, w.colours.second_ink, {at.x + pad, y + w.fonts.strong->FontSize + w.px(1)}, room,
               what.detail);
    if (!keys.empty())
        w.text(w.fonts.note, w.colours.second_ink,
               {at.x + extent.x - key, at.y + (extent.y - w.fonts.note->FontSize) / 2}, 0, keys);
    return now;
}

void carry_out(PanelContext& c, const ToDo& what) {
    if (!what.possible) return;
    turn_search(c.transient, false);
    if (!what.action.empty())
        c.act(action(what.action));
    else
        c.commands.insert(c.commands.end(), what.commands.begin(), what.commands.end());
}

} // namespace

void turn_search(Transient& transient, bool open) {
    if (open == transient.search.open) return;
    transient.search = {};
    transient.search.open = open;
}

void take_found(PanelContext& c) {
    const auto found = find_to_do(c.bench, c.transient.search.typed, most_found);
    if (c.transient.search.at < found.size()) carry_out(c, found[c.transient.search.at]);
}

void draw_search(PanelContext& c) {
    Widgets& w = c.w;
    const Place place = place_of(c);
    auto& search = c.transient.search;
    const auto found = find_to_do(c.bench, search.typed, most_found);
    search.at = std::min(search.at, found.empty() ? 0 : found.size() - 1);
    // In a small window the rows go along with the frame.
    const std::size_t shown = std::min(place.rows, found.size());
    const std::size_t first = search.at >= shown && shown > 0 ? search.at + 1 - shown : 0;
    const float pad = w.px(size::unit), inner = place.width - 2 * pad;
    const std::string nothing = found.empty() ? search_help(c.bench) : "";
    const float below = found.empty() ? w.text(w.fonts.body, {}, {}, inner - 2 * pad, nothing, false) + 2 * pad
                                      : place.row * static_cast<float>(shown);
    const ImVec2 extent{place.width, w.px(size::target) + below + 3 * pad};
    if (w.begin_region("search", place.at, extent, w.colours.raised, false, true)) {
        w.card(place.at, extent, w.colours.raised, w.colours.border, w.px(1));
        draw_field(c, {place.at.x + pad, place.at.y + pad}, inner);
        ImVec2 p{place.at.x + pad, place.at.y + w.px(size::target) + 2 * pad};
        if (found.empty()) w.text(w.fonts.body, w.colours.ink, {p.x + pad, p.y + pad}, inner - 2 * pad, nothing);
        for (std::size_t i = first; i < first + shown; ++i) {
            const bool framed = i == search.at;
            if (draw_found(c, found[i], "found " + found[i].title, p, {inner, place.row}, framed)) {
                carry_out(c, found[i]);
                break;
            }
            p.y += place.row;
        }
    }
    w.end_region();
    const ImVec2 mouse = ImGui::GetIO().MousePos;
    const bool beside = mouse.x < place.at.x || mouse.y < place.at.y || mouse.x > place.at.x + extent.x ||
                        mouse.y > place.at.y + extent.y;
    // The button in the bar closes it by itself.
    if (ImGui::IsMouseClicked(0) && beside && mouse.y > bar_height(c)) turn_search(c.transient, false);
}

} // namespace ringland::viewer
