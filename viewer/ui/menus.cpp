// What opens over the panels: how the unit lies, the menu, and the list of keys.
#include "panels.h"

#include <algorithm>
#include <array>
#include <vector>

#include <fmt/format.h>

#include "../app/actions.h"
#include "words.h"

namespace ringland::viewer {

namespace {

/// True where a press of this frame went beside an open menu and beside the button that opens it.
bool pressed_beside(const PanelContext& c, const ImVec2& at, const ImVec2& extent, const std::string& button) {
    if (!ImGui::IsMouseClicked(0)) return false;
    const ImVec2 mouse = ImGui::GetIO().MousePos;
    const auto holds = [&](double x, double y, double width, double height) {
        return double(mouse.x) >= x && double(mouse.x) < x + width && double(mouse.y) >= y &&
               double(mouse.y) < y + height;
    };
    const auto item = c.w.items().find(button);
    if (item != c.w.items().end()) {
        const Rect& r = item->second;
        if (holds(r.x, r.y, r.width, r.height)) return false;
    }
    return !holds(double(at.x), double(at.y), double(extent.x), double(extent.y));
}

/// A menu below a button of the bar, within the window: as tall as what it holds, or it scrolls.
ImVec2 below(const PanelContext& c, const std::string& button, ImVec2& extent) {
    const ImVec2 screen = ImGui::GetIO().DisplaySize;
    const float margin = c.w.px(4);
    const auto item = c.w.items().find(button);
    const Rect r = item != c.w.items().end() ? item->second : Rect{double(screen.x), 0, 0, double(bar_height(c))};
    const float y = static_cast<float>(r.y + r.height) + margin;
    extent.x = std::min(extent.x, screen.x - 2 * margin);
    extent.y = std::min(extent.y, std::max(c.w.px(size::target), screen.y - y - margin));
    return {std::clamp(static_cast<float>(r.x), margin, std::max(margin, screen.x - extent.x - margin)), y};
}

void draw_lying_menu(PanelContext& c) {
    Widgets& w = c.w;
    const std::string button = "How is it lying now?";
    const float pad = w.px(size::unit), row = w.px(56);
    ImVec2 extent_of_all{w.px(300), 4 * row + 5 * pad + w.fonts.note->FontSize * 2 + pad};
    const ImVec2 at =
        below(c, c.w.items().count(button) > 0 ? button : std::string(action("menu").title), extent_of_all);
    const float width = extent_of_all.x;
    if (pressed_beside(c, at, extent_of_all, button)) c.transient.lying_open = false;
    if (w.begin_region("lying menu", at, extent_of_all, w.colours.raised, true, true)) {
        w.card(at, extent_of_all, w.colours.raised, w.colours.border, w.px(1));
        const ImVec2 origin = ImGui::GetCursorScreenPos();
        ImVec2 p{origin.x + pad, origin.y + pad};
        for (const auto lying :
             {model::Lying::belly_up, model::Lying::bell_down, model::Lying::tail_down, model::Lying::in_vehicle}) {
            const std::string words = lying_words(c.tr, lying);
            const bool now = c.session().view.lying == lying;
            const ImVec2 extent{width - 2 * pad, row};
            if (w.button("lying " + lying_words({}, lying), "", p, extent,
                         now ? ButtonStyle::chosen : ButtonStyle::quiet)) {
                c.commands.emplace_back(command::SetLying{lying});
                c.transient.lying_open = false;
            }
            draw_lying_mark(w, {p.x + pad, p.y + pad / 2}, {w.px(72), row - pad}, lying, w.colours.ink);
            w.line(w.fonts.strong, w.colours.ink,
                   {p.x + w.px(72) + 2.5F * pad, p.y + (row - w.fonts.strong->FontSize) / 2},
                   extent.x - w.px(72) - 3 * pad, words);
            p.y += row + pad;
        }
        p.y +=
            w.text(w.fonts.note, w.colours.second_ink, p, width - 2 * pad, c.tr("The heavy bar marks the engine end."));
        w.content_ends_at({p.x, p.y + pad});
    }
    w.end_region();
}

/// One row of the menu: words at the left, how it stands now and its key at the right.
bool menu_row(PanelContext& c, const std::string& label, const std::string& caption, const std::string& now,
              std::string_view key, const ImVec2& at, float width, bool enabled) {
    Widgets& w = c.w;
    const ImVec2 extent{width, w.px(size::target)};
    const float pad = w.px(1.5F * size::unit);
    const bool pressed = w.button(label, "", at, extent, ButtonStyle::quiet, enabled);
    const ImVec4 ink = enabled ? w.colours.ink : mix(w.colours.panel, w.colours.second_ink, 0.55F);
    const float key_wide = key.empty() ? 0 : Widgets::measure(w.fonts.note, key).x + pad;
    const float words = std::min(Widgets::measure(w.fonts.body, caption).x, width - 2 * pad - key_wide);
    w.line(w.fonts.body, ink, {at.x + pad, at.y + (extent.y - w.fonts.body->FontSize) / 2}, words + 1, caption);
    if (!key.empty())
        w.text(w.fonts.note, w.colours.second_ink,
               {at.x + width - key_wide, at.y + (extent.y - w.fonts.note->FontSize) / 2}, 0, key);
    const float room = width - 3 * pad - words - key_wide;
    if (!now.empty() && room > w.px(40)) {
        const float wide = std::min(Widgets::measure(w.fonts.note, now).x, room);
        w.line(w.fonts.note, enabled ? w.colours.ink : w.colours.second_ink,
               {at.x + width - key_wide - pad - wide, at.y + (extent.y - w.fonts.note->FontSize) / 2}, wide + 1, now);
    }
    return pressed;
}

struct MenuRow {
    std::string id, caption, now;
    bool stays = false;  ///< the menu stays open: one wants to see what it did
    bool begins = false; ///< a line stands above it
};

std::vector<MenuRow> menu_rows(const PanelContext& c) {
    const View& view = c.session().view;
    std::vector<MenuRow> rows;
    for (const BarItem& item : plan_bar(c, ImGui::GetIO().DisplaySize.x).in_menu) {
        if (item.id != "units") rows.push_back({item.id, item.caption, item.chosen ? c.tr("now") : "", false, false});
    }
    rows.push_back({"undo", c.tr("Undo"), c.bench.undo_name().value_or(c.tr("nothing done yet")), true, !rows.empty()});
    rows.push_back({"redo", c.tr("Redo"), c.bench.redo_name().value_or(""), true, false});
    rows.push_back({"units", c.tr("Units"), view.units == UnitSystem::psi_inch ? "psi · in" : "bar · mm", true, true});
    rows.push_back({"language", c.tr("Language"), language_name(view.language), true, false});
    rows.push_back(
        {"theme", c.tr("Light or dark"), view.theme == Theme::light ? c.tr("light") : c.tr("dark"), true, false});
    rows.push_back({"text", c.tr("Letters"), fmt::format("{:.0f} %", 100 * view.text_scale), true, false});
    rows.push_back({"less-motion", c.tr("Less motion"), view.reduced_motion ? c.tr("on") : c.tr("off"), true, false});
    rows.push_back({"save-picture", c.tr("Save a picture"), "", false, true});
    rows.push_back({"save-large-picture", c.tr("Save a large picture"), "", false, false});
    rows.push_back({"tour", c.tr("The tour"), c.tr("one minute"), false, true});
    rows.push_back({"help", c.tr("All keys"), "", false, false});
    return rows;
}

void draw_letters_row(PanelContext& c, const MenuRow& row, const ImVec2& at, float width) {
    Widgets& w = c.w;
    const float pad = w.px(1.5F * size::unit), tall = w.px(size::target), button = w.px(52);
    w.text(w.fonts.body, w.colours.ink, {at.x + pad, at.y + (tall - w.fonts.body->FontSize) / 2}, 0, row.caption);
    ImVec2 p{at.x + width - 2 * button - w.px(4), at.y};
    const float now = Widgets::measure(w.fonts.note, row.now).x;
    w.text(w.fonts.note, w.colours.ink, {p.x - now - pad, at.y + (tall - w.fonts.note->FontSize) / 2}, 0, row.now);
    c.action_button("text-smaller", p, {button, tall}, ButtonStyle::plain, "A−");
    p.x += button + w.px(4);
    c.action_button("text-larger", p, {button, tall}, ButtonStyle::plain, "A+");
}

void draw_more(PanelContext& c) {
    Widgets& w = c.w;
    const std::string button(action("menu").title);
    const auto rows = menu_rows(c);
    const float pad = w.px(size::unit), row = w.px(size::target), line = w.px(size::unit + 1);
    float height = 2 * pad + row * static_cast<float>(rows.size());
    for (const MenuRow& one : rows)
        height += one.begins ? line : 0;
    ImVec2 extent{w.px(372), height};
    const ImVec2 at = below(c, button, extent);
    const bool scrolls = extent.y < height;
    const float width = extent.x - 2 * pad - (scrolls ? w.px(10) : 0);
    if (pressed_beside(c, at, extent, button)) c.transient.more_open = false;
    if (w.begin_region("more", at, extent, w.colours.raised, true, true)) {
        w.card(at, extent, w.colours.raised, w.colours.border, w.px(1));
        const ImVec2 origin = ImGui::GetCursorScreenPos();
        ImVec2 p{origin.x + pad, origin.y + pad};
        for (const MenuRow& one : rows) {
            if (one.begins) {
                const float y = p.y + line / 2;
                ImGui::GetWindowDrawList()->AddLine({p.x, y}, {p.x + width, y}, u32(w.colours.rule), w.px(1));
                p.y += line;
            }
            if (one.id == "text") {
                draw_letters_row(c, one, p, width);
            } else if (one.id == "lying") {
                if (menu_row(c, "How is it lying now?", one.caption, "", "", p, width, true)) {
                    c.transient.lying_open = true;
                    c.transient.more_open = false;
                }
            } else {
                const Action& what = action(one.id);
                const bool enabled = what.act != InterfaceAct::none || what.make(c.bench).has_value();
                if (menu_row(c, std::string(what.title), one.caption, one.now, key_words(c.tr, what.key), p, width,
                             enabled)) {
                    c.act(what);
                    if (!one.stays) c.transient.more_open = false;
                }
            }
            p.y += row;
        }
        w.content_ends_at({origin.x + pad, p.y + pad - w.px(1)});
    }
    w.end_region();
}

void draw_help(PanelContext& c, const ImVec2& at, const ImVec2& room) {
    Widgets& w = c.w;
    const float pad = w.px(size::padding);
    const ImVec2 extent{std::min(room.x - 2 * pad, w.px(620)), std::max(w.px(120), room.y - 2 * pad)};
    const ImVec2 corner{at.x + (room.x - extent.x) / 2, at.y + pad};
    if (pressed_beside(c, corner, extent, std::string(action("help").title))) c.transient.help_open = false;
    if (w.begin_region("help", corner, extent, w.colours.raised, true, true)) {
        w.card(corner, extent, w.colours.raised, w.colours.border, w.px(1));
        const ImVec2 origin = ImGui::GetCursorScreenPos();
        float y = origin.y + pad;
        const float inner = extent.x - 2 * pad - w.px(12);
        const float close = w.button_width(c.tr("Close"));
        const float title =
            w.text(w.fonts.title, w.colours.ink, {origin.x + pad, y + w.px(10)}, inner - close, c.tr("All keys"));
        if (w.button("Close the list of keys", c.tr("Close"), {origin.x + pad + inner - close, y},
                     {close, w.px(size::target)}, ButtonStyle::plain)) {
            c.transient.help_open = false;
        }
        y += std::max(title, w.px(size::target)) + w.px(size::unit);
        const float keys =
            std::max(w.px(150), Widgets::measure(w.fonts.strong, key_words(c.tr, "Ctrl+Shift+Tab") + " ").x);
        const auto row = [&](std::string_view key, std::string_view words) {
            const float left = w.text(w.fonts.strong, w.colours.ink, {origin.x + pad, y}, keys - w.px(6), key);
            const float right = w.text(w.fonts.body, w.colours.ink, {origin.x + pad + keys, y}, inner - keys, words);
            y += std::max({left, right, w.fonts.body->FontSize}) + w.px(6);
        };
        row(c.tr("0 to 9"),
            c.tr("Type the number of a port, then Enter: first where the air goes in, then where it came out"));
        for (const Action& one : actions())
            row(key_words(c.tr, one.key), c.tr(one.title));
        y += w.px(size::unit);
        row(c.tr("Drag"), c.tr("Turn the unit"));
        row(c.tr("Right drag"), c.tr("Move it; also Shift and drag"));
        row(c.tr("Wheel"), c.tr("Nearer and farther"));
        row(c.tr("Double click"), c.tr("Close-up of a thing"));
        w.content_ends_at({origin.x + pad, y + pad});
    }
    w.end_region();
}

} // namespace

bool PanelContext::action_button(std::string_view id, const ImVec2& at, const ImVec2& extent, ButtonStyle style,
                                 std::string_view caption) {
    const Action& what = action(id);
    const bool enabled = what.act != InterfaceAct::none || what.make(bench).has_value();
    const std::string title = tr(what.title), key = key_words(tr, what.key);
    const std::string words = caption.empty() ? title : std::string(caption);
    std::string tip = filled(tr("{0}. Key: {1}"), title, key);
    if (id == "undo" && bench.undo_name()) tip = filled(tr("Undo: {0}. Key: {1}"), *bench.undo_name(), key);
    if (id == "redo" && bench.redo_name()) tip = filled(tr("Redo: {0}. Key: {1}"), *bench.redo_name(), key);
    if (!w.button(std::string(what.title), words, at, extent, style, enabled, tip)) return false;
    act(what);
    return true;
}

void PanelContext::act(const Action& what) {
    switch (what.act) {
    case InterfaceAct::none:
        if (const auto made = what.make(bench)) {
            // What is taken back is named, for hands that see no tooltip.
            if (what.id == "undo" && bench.undo_name())
                transient.notices.add(filled(tr("Took back: {0}"), *bench.undo_name()), "redo");
            if (what.id == "redo" && bench.redo_name())
                transient.notices.add(filled(tr("Done again: {0}"), *bench.redo_name()), "undo");
            commands.push_back(*made);
        }
        break;
    case InterfaceAct::help:
        transient.help_open = !transient.help_open;
        transient.more_open = transient.lying_open = false;
        turn_search(transient, false);
        break;
    case InterfaceAct::menu:
        transient.more_open = !transient.more_open;
        transient.lying_open = transient.help_open = false;
        turn_search(transient, false);
        break;
    case InterfaceAct::search:
        turn_search(transient, !transient.search.open);
        transient.more_open = transient.lying_open = transient.help_open = false;
        break;
    case InterfaceAct::tour:
        transient.tour = Tour::of(bench);
        transient.help_open = transient.more_open = transient.lying_open = false;
        turn_search(transient, false);
        if (!transient.tour) {
            transient.notices.add(
                tr("The tour needs a unit with two ports and a seal between them: open such a map first."));
            break;
        }
        // It begins where a new window begins; undo brings back what was asked.
        if (!session().document.air_into.empty() || !session().document.came_out.empty())
            commands.emplace_back(command::ClearPorts{});
        commands.emplace_back(command::ShowView{Viewpoint::bench});
        break;
    case InterfaceAct::save_picture:
        transient.save_picture = picture_height;
        break;
    case InterfaceAct::save_large_picture:
        transient.save_picture = large_picture_height;
        break;
    case InterfaceAct::customer_page:
        // Where it is chosen how the page is to be, and made.
        if (session().document.job.id.empty()) {
            transient.notices.add(
                tr("There is no job to make a page of: it begins with the first thing that you enter."));
            break;
        }
        commands.emplace_back(command::ShowSheet{Sheet::job});
        w.show_item(std::string(make_page_label));
        break;
    case InterfaceAct::next_port:
    case InterfaceAct::previous_port:
    case InterfaceAct::next_control:
    case InterfaceAct::previous_control:
    case InterfaceAct::press:
    case InterfaceAct::erase_digit:
        break; // of the keyboard alone
    }
}

ImVec4 PanelContext::circuit_ground(std::string_view circuit) const {
    return colour(circuit_colour(map(), circuit).colour);
}

void draw_menus(PanelContext& c, const ImVec2& at, const ImVec2& extent) {
    if (c.transient.lying_open) draw_lying_menu(c);
    if (c.transient.more_open) draw_more(c);
    if (c.transient.help_open) draw_help(c, at, extent);
    if (c.transient.search.open) draw_search(c);
}

} // namespace ringland::viewer
