// The bar on top: which unit, which view, how it lies, units, light or dark, size of the letters, help.
#include "panels.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include <fmt/format.h>

#include "../app/actions.h"
#include "words.h"

namespace ringland::viewer {

namespace {

ImU32 u32(const ImVec4& c) { return ImGui::ColorConvertFloat4ToU32(c); }

/// One thing in the bar: what it is pressed for, and how wide it is.
struct BarItem {
    enum class Kind { unit, action, lying } kind;
    std::string id, label, caption;
    float width;
    bool chosen;
};

std::string unit_note(const PanelContext& c) { return c.map().unit.invented ? "demo unit, invented" : ""; }

std::vector<BarItem> bar_items(const PanelContext& c, float width) {
    const Widgets& w = c.w;
    const View& view = c.session().view;
    std::vector<BarItem> items;
    const float name = std::min(w.px(260), std::max(Widgets::measure(w.fonts.title, c.map().unit.name).x,
                                                    Widgets::measure(w.fonts.note, unit_note(c)).x));
    items.push_back({BarItem::Kind::unit, "", "unit", c.map().unit.name, name + w.px(2 * size::unit), false});
    const auto add = [&](const char* id, std::string caption, bool chosen) {
        const float button = w.button_width(caption);
        items.push_back({BarItem::Kind::action, id, std::string(action(id).title), std::move(caption), button, chosen});
    };
    const bool drawing = view.sheet == Sheet::drawing;
    add("bench", "Bench", drawing && view.viewpoint == Viewpoint::bench);
    add("section", "Section", drawing && view.viewpoint == Viewpoint::section);
    add("stack", "Stack", drawing && view.viewpoint == Viewpoint::stack);
    add("follow", "Follow", drawing && view.viewpoint == Viewpoint::follow);
    add("cut", "Cut open", drawing && view.section);
    add("air-check", "Air check", view.sheet == Sheet::check);
    add("chart", "Chart", view.sheet == Sheet::chart);
    add("network", "Network", view.sheet == Sheet::network);
    add("air-bench", "Air bench", view.sheet == Sheet::bench);
    const std::string lying = fmt::format("Lying: {}", lying_words(view.lying));
    items.push_back({BarItem::Kind::lying, "", "How is it lying now?", lying,
                     Widgets::measure(w.fonts.body, lying).x + w.px(58 + 3 * size::unit), c.transient.lying_open});
    add("units", view.units == UnitSystem::psi_inch ? "psi · in" : "bar · mm", false);
    add("theme", view.theme == Theme::light ? "Light" : "Dark", false);
    add("save-picture", "Picture", false);
    add("text-smaller", "A−", false);
    add("text-larger", "A+", false);
    add("help", "?", c.transient.help_open);
    // A picture is also saved by its key: where the bar would need another row for it, it goes without.
    float wide = w.px(4 * size::unit);
    for (const BarItem& item : items)
        wide += item.width + w.px(0.5F * size::unit);
    if (wide > width) {
        items.erase(std::remove_if(items.begin(), items.end(), [](const auto& i) { return i.id == "save-picture"; }),
                    items.end());
    }
    return items;
}

Flow bar_flow(const PanelContext& c, float width, const ImVec2& at) {
    const float pad = c.w.px(size::unit);
    return {{at.x + 2 * pad, at.y + pad}, width - 4 * pad, c.w.px(size::target), c.w.px(0.5F * size::unit)};
}

void draw_unit(const PanelContext& c, const BarItem& item, const ImVec2& at) {
    const Widgets& w = c.w;
    const std::string note = unit_note(c);
    const float lines = w.fonts.title->FontSize + (note.empty() ? 0 : w.fonts.note->FontSize);
    const float top = at.y + (w.px(size::target) - lines) / 2;
    const bool cut = w.line(w.fonts.title, w.colours.ink, {at.x, top}, item.width, item.caption);
    if (!note.empty())
        w.line(w.fonts.note, w.colours.second_ink, {at.x, top + w.fonts.title->FontSize}, item.width, note);
    if (cut && ImGui::IsMouseHoveringRect(at, {at.x + item.width, at.y + w.px(size::target)}))
        c.w.tooltip(item.caption);
}

void draw_lying_button(PanelContext& c, const BarItem& item, const ImVec2& at) {
    Widgets& w = c.w;
    const ImVec2 extent{item.width, w.px(size::target)};
    const std::string tip = fmt::format("How is it lying now? Key: {}", action("lie-next").key);
    if (w.button(item.label, "", at, extent, item.chosen ? ButtonStyle::chosen : ButtonStyle::plain, true, tip)) {
        c.transient.lying_open = !c.transient.lying_open;
    }
    const float pad = w.px(size::unit);
    w.line(w.fonts.body, w.colours.ink, {at.x + pad, at.y + (extent.y - w.fonts.body->FontSize) / 2}, extent.x,
           item.caption);
    draw_lying_mark(w, {at.x + extent.x - w.px(58) - pad, at.y + pad / 2}, {w.px(58), extent.y - pad},
                    c.session().view.lying, w.colours.ink);
}

void draw_lying_menu(PanelContext& c, const ImVec2& at, float widest) {
    Widgets& w = c.w;
    const float pad = w.px(size::unit), row = w.px(56), width = std::min(widest, w.px(300));
    const float height = 4 * row + 5 * pad + w.fonts.note->FontSize * 2 + pad;
    if (w.begin_region("lying menu", at, {width, height}, w.colours.raised, true, true)) {
        w.card(at, {width, height}, w.colours.raised, w.colours.rule, w.px(1));
        const ImVec2 origin = ImGui::GetCursorScreenPos();
        ImVec2 p{origin.x + pad, origin.y + pad};
        for (const auto lying :
             {model::Lying::belly_up, model::Lying::bell_down, model::Lying::tail_down, model::Lying::in_vehicle}) {
            const std::string words(lying_words(lying));
            const bool now = c.session().view.lying == lying;
            const ImVec2 extent{width - 2 * pad, row};
            if (w.button("lying " + words, "", p, extent, now ? ButtonStyle::chosen : ButtonStyle::quiet)) {
                c.commands.emplace_back(command::SetLying{lying});
                c.transient.lying_open = false;
            }
            draw_lying_mark(w, {p.x + pad, p.y + pad / 2}, {w.px(72), row - pad}, lying, w.colours.ink);
            w.line(w.fonts.strong, w.colours.ink,
                   {p.x + w.px(72) + 2.5F * pad, p.y + (row - w.fonts.strong->FontSize) / 2},
                   extent.x - w.px(72) - 3 * pad, words);
            p.y += row + pad;
        }
        p.y += w.text(w.fonts.note, w.colours.second_ink, p, width - 2 * pad, "The heavy bar marks the engine end.");
        Widgets::content_ends_at({p.x, p.y + pad});
    }
    w.end_region();
}

void draw_help(PanelContext& c, const ImVec2& at, const ImVec2& room) {
    Widgets& w = c.w;
    const float pad = w.px(size::padding);
    const ImVec2 extent{std::min(room.x - 2 * pad, w.px(620)), std::max(w.px(120), room.y - 2 * pad)};
    const ImVec2 corner{at.x + (room.x - extent.x) / 2, at.y + pad};
    if (w.begin_region("help", corner, extent, w.colours.raised, true, true)) {
        w.card(corner, extent, w.colours.raised, w.colours.rule, w.px(1));
        const ImVec2 origin = ImGui::GetCursorScreenPos();
        float y = origin.y + pad;
        const float inner = extent.x - 2 * pad - w.px(12);
        const float close = w.button_width("Close");
        const float title =
            w.text(w.fonts.title, w.colours.ink, {origin.x + pad, y + w.px(10)}, inner - close, "All keys");
        if (w.button("Close the list of keys", "Close", {origin.x + pad + inner - close, y},
                     {close, w.px(size::target)}, ButtonStyle::plain)) {
            c.transient.help_open = false;
        }
        y += std::max(title, w.px(size::target)) + w.px(size::unit);
        const float keys = std::max(w.px(150), Widgets::measure(w.fonts.strong, "Ctrl+Shift+Tab ").x);
        const auto row = [&](std::string_view key, std::string_view words) {
            w.text(w.fonts.strong, w.colours.ink, {origin.x + pad, y}, keys, key);
            const float height = w.text(w.fonts.body, w.colours.ink, {origin.x + pad + keys, y}, inner - keys, words);
            y += std::max(height, w.fonts.body->FontSize) + w.px(6);
        };
        row("0 to 9", "Type the number of a port, then Enter: first where the air goes in, then where it came out");
        for (const Action& one : actions())
            row(one.key, one.title);
        y += w.px(size::unit);
        row("Drag", "Turn the unit");
        row("Right drag", "Move it; also Shift and drag");
        row("Wheel", "Nearer and farther");
        row("Double click", "Close-up of a thing");
        Widgets::content_ends_at({origin.x + pad, y + pad});
    }
    w.end_region();
}

} // namespace

bool PanelContext::action_button(std::string_view id, const ImVec2& at, const ImVec2& extent, ButtonStyle style,
                                 std::string_view caption) {
    const Action& what = action(id);
    const auto made = what.make(bench);
    const bool enabled = made.has_value() || what.act != InterfaceAct::none;
    const std::string words(caption.empty() ? what.title : caption);
    std::string tip = fmt::format("{}. Key: {}", what.title, what.key);
    if (id == "undo" && bench.undo_name()) tip = fmt::format("Undo: {}. Key: {}", *bench.undo_name(), what.key);
    if (id == "redo" && bench.redo_name()) tip = fmt::format("Redo: {}. Key: {}", *bench.redo_name(), what.key);
    if (!w.button(std::string(what.title), words, at, extent, style, enabled, tip)) return false;
    if (made) commands.push_back(*made);
    if (what.act == InterfaceAct::help) transient.help_open = !transient.help_open;
    if (what.act == InterfaceAct::save_picture) transient.save_picture = picture_height;
    return true;
}

ImVec4 PanelContext::circuit_ground(std::string_view circuit) const {
    return colour(circuit_colour(map(), circuit).colour);
}

float bar_height(const PanelContext& c, float width) {
    Flow flow = bar_flow(c, width, {0, 0});
    for (const auto& item : bar_items(c, width))
        static_cast<void>(flow.next(item.width));
    return flow.height() + 2 * c.w.px(size::unit);
}

void draw_bar(PanelContext& c, const ImVec2& at, const ImVec2& extent) {
    Widgets& w = c.w;
    if (w.begin_region("bar", at, extent, w.colours.panel, true)) {
        ImGui::GetWindowDrawList()->AddLine({at.x, at.y + extent.y - 1}, {at.x + extent.x, at.y + extent.y - 1},
                                            u32(w.colours.rule), w.px(1));
        const ImVec2 origin = ImGui::GetCursorScreenPos();
        Flow flow = bar_flow(c, extent.x, origin);
        const auto items = bar_items(c, extent.x);
        Flow trial = flow;
        for (const auto& item : items)
            static_cast<void>(trial.next(item.width));
        // Where all stand in one row, what is set once goes to the right, away from the views.
        const float slack = trial.y > 0 ? 0 : std::max(0.0F, flow.width - trial.x + trial.gap);
        for (const auto& item : items) {
            if (item.kind == BarItem::Kind::lying) flow.x += slack;
            const ImVec2 p = flow.next(item.width);
            switch (item.kind) {
            case BarItem::Kind::unit:
                draw_unit(c, item, p);
                break;
            case BarItem::Kind::lying:
                draw_lying_button(c, item, p);
                break;
            case BarItem::Kind::action:
                c.action_button(item.id, p, {item.width, w.px(size::target)},
                                item.chosen ? ButtonStyle::chosen : ButtonStyle::quiet, item.caption);
                break;
            }
        }
        Widgets::content_ends_at({origin.x + w.px(1), origin.y + flow.height() + 2 * w.px(size::unit)});
    }
    w.end_region();
}

void draw_menus(PanelContext& c, const ImVec2& at, const ImVec2& extent) {
    const auto button = c.w.items().find("How is it lying now?");
    if (c.transient.lying_open && button != c.w.items().end()) {
        const Rect r = button->second;
        const float screen = ImGui::GetIO().DisplaySize.x, width = std::min(screen, c.w.px(300));
        const float x = std::clamp(static_cast<float>(r.x), 0.0F, std::max(0.0F, screen - width));
        draw_lying_menu(c, {x, static_cast<float>(r.y + r.height) + c.w.px(4)}, screen);
    }
    if (c.transient.help_open) draw_help(c, at, extent);
}

void draw_lying_mark(const Widgets& w, const ImVec2& at, const ImVec2& extent, model::Lying lying, const ImVec4& ink) {
    // In the vehicle: bell at the left, belly below, tail at the right; the other ways turn this outline.
    const std::array<ImVec2, 8> outline{{{-1, -0.62F},
                                         {-0.55F, -0.62F},
                                         {-0.25F, -0.36F},
                                         {0.5F, -0.3F},
                                         {0.5F, 0.36F},
                                         {-0.35F, 0.42F},
                                         {-0.55F, 0.62F},
                                         {-1, 0.62F}}};
    const std::array<ImVec2, 4> belly{{{-0.3F, 0.42F}, {0.42F, 0.36F}, {0.36F, 0.6F}, {-0.24F, 0.6F}}};
    const bool upright = lying == model::Lying::bell_down || lying == model::Lying::tail_down;
    const float half = std::min(extent.y / (upright ? 2.3F : 1.3F), extent.x / (upright ? 1.3F : 2.3F));
    const ImVec2 middle{at.x + extent.x / 2, at.y + extent.y / 2};
    const auto place = [&](ImVec2 p) {
        ImVec2 q = p;
        switch (lying) {
        case model::Lying::in_vehicle:
            break;
        case model::Lying::belly_up:
            q = {p.x, -p.y};
            break;
        case model::Lying::bell_down:
            q = {p.y, -p.x};
            break;
        case model::Lying::tail_down:
            q = {-p.y, p.x};
            break;
        }
        return ImVec2{middle.x + q.x * half, middle.y + q.y * half};
    };
    ImDrawList* list = ImGui::GetWindowDrawList();
    std::array<ImVec2, 8> points{};
    std::transform(outline.begin(), outline.end(), points.begin(), place);
    list->AddPolyline(points.data(), static_cast<int>(points.size()), u32(ink), ImDrawFlags_Closed, w.px(1.2F));
    std::array<ImVec2, 4> pan{};
    std::transform(belly.begin(), belly.end(), pan.begin(), place);
    list->AddConvexPolyFilled(pan.data(), static_cast<int>(pan.size()), u32(faded(ink, 0.45F)));
    list->AddLine(place({0.5F, 0}), place({1, 0}), u32(ink), w.px(2.4F));
    list->AddLine(place({-1.04F, -0.66F}), place({-1.04F, 0.66F}), u32(ink), w.px(4.5F));
}

} // namespace ringland::viewer
