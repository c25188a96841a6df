// The bar on top: which unit, which view, how it lies, and the ways to everything else. It is one row; what a narrow
// window has no room for goes into the menu.
#include "panels.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "../app/actions.h"
#include "words.h"

namespace ringland::viewer {

namespace {

std::string unit_note(const PanelContext& c) { return c.map().unit.invented ? c.tr("demo unit, invented") : ""; }

std::vector<BarItem> all_items(const PanelContext& c) {
    const Widgets& w = c.w;
    const View& view = c.session().view;
    std::vector<BarItem> items;
    const std::string unit = c.has_unit() ? c.map().unit.name : c.tr("No unit open");
    const float name = std::min(
        w.px(260), std::max(Widgets::measure(w.fonts.title, unit).x, Widgets::measure(w.fonts.note, unit_note(c)).x));
    items.push_back({BarItem::Kind::unit, "", "unit", unit, name + w.px(2 * size::unit), false});
    const auto add = [&](const char* id, std::string caption, bool chosen) {
        const float button = w.button_width(caption);
        items.push_back({BarItem::Kind::action, id, std::string(action(id).title), std::move(caption), button, chosen});
    };
    const bool drawing = view.sheet == Sheet::drawing;
    add("bench", c.tr("Bench"), drawing && view.viewpoint == Viewpoint::bench);
    add("section", c.tr("Section"), drawing && view.viewpoint == Viewpoint::section);
    add("stack", c.tr("Stack"), drawing && view.viewpoint == Viewpoint::stack);
    add("follow", c.tr("Follow"), drawing && view.viewpoint == Viewpoint::follow);
    add("cut", c.tr("Cut open"), drawing && view.section);
    add("air-check", c.tr("Air check"), view.sheet == Sheet::check);
    add("job", c.tr("Job"), view.sheet == Sheet::job);
    add("road", c.tr("Road"), view.sheet == Sheet::road);
    add("plan", c.tr("Way in"), view.sheet == Sheet::plan);
    add("chart", c.tr("Chart"), view.sheet == Sheet::chart);
    add("network", c.tr("Network"), view.sheet == Sheet::network);
    add("air-bench", c.tr("Air bench"), view.sheet == Sheet::bench);
    const std::string lying = filled(c.tr("Lying: {0}"), lying_words(c.tr, view.lying));
    items.push_back({BarItem::Kind::lying, "lying", "How is it lying now?", lying,
                     Widgets::measure(w.fonts.body, lying).x + w.px(58 + 3 * size::unit), c.transient.lying_open});
    add("search", c.tr("Find"), c.transient.search.open);
    add("units", view.units == UnitSystem::psi_inch ? "psi · in" : "bar · mm", false);
    add("menu", c.tr("More"), c.transient.more_open);
    return items;
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
    const std::string tip = filled(c.tr("How is it lying now? Key: {0}"), key_words(c.tr, action("lie-next").key));
    if (w.button(item.label, "", at, extent, item.chosen ? ButtonStyle::chosen : ButtonStyle::plain, true, tip)) {
        c.transient.lying_open = !c.transient.lying_open;
        c.transient.more_open = false;
    }
    const float pad = w.px(size::unit);
    w.line(w.fonts.body, w.colours.ink, {at.x + pad, at.y + (extent.y - w.fonts.body->FontSize) / 2}, extent.x,
           item.caption);
    draw_lying_mark(w, {at.x + extent.x - w.px(58) - pad, at.y + pad / 2}, {w.px(58), extent.y - pad},
                    c.session().view.lying, w.colours.ink);
}

} // namespace

BarPlan plan_bar(const PanelContext& c, float width) {
    BarPlan plan;
    plan.shown = all_items(c);
    const float gap = c.w.px(0.5F * size::unit), room = width - c.w.px(4 * size::unit);
    const auto total = [&] {
        float wide = -gap;
        for (const BarItem& item : plan.shown)
            wide += item.width + gap;
        return wide;
    };
    // What is looked for least goes first.
    constexpr std::array<std::string_view, 14> leaving{"air-bench", "units",  "network", "chart",    "lying",
                                                       "cut",       "follow", "section", "road",     "plan",
                                                       "bench",     "stack",  "job",     "air-check"};
    std::vector<std::string> gone;
    for (const auto id : leaving) {
        if (total() <= room) break;
        gone.emplace_back(id);
        plan.shown.erase(
            std::remove_if(plan.shown.begin(), plan.shown.end(), [&](const auto& i) { return i.id == id; }),
            plan.shown.end());
    }
    const float over = total() - room;
    if (over > 0) plan.shown.front().width = std::max(c.w.px(size::target), plan.shown.front().width - over);
    for (const BarItem& item : all_items(c)) {
        if (std::find(gone.begin(), gone.end(), item.id) != gone.end()) plan.in_menu.push_back(item);
    }
    return plan;
}

float bar_height(const PanelContext& c) { return c.w.px(size::target + 2 * size::unit); }

void draw_bar(PanelContext& c, const ImVec2& at, const ImVec2& extent) {
    Widgets& w = c.w;
    if (w.begin_region("bar", at, extent, w.colours.panel, false)) {
        ImGui::GetWindowDrawList()->AddLine({at.x, at.y + extent.y - 1}, {at.x + extent.x, at.y + extent.y - 1},
                                            u32(w.colours.rule), w.px(1));
        const BarPlan plan = plan_bar(c, extent.x);
        const float gap = w.px(0.5F * size::unit), margin = w.px(2 * size::unit);
        float wide = -gap;
        for (const auto& item : plan.shown)
            wide += item.width + gap;
        // What is set once goes to the right, away from the views.
        float slack = std::max(0.0F, extent.x - 2 * margin - wide);
        ImVec2 p{at.x + margin, at.y + w.px(size::unit)};
        for (const auto& item : plan.shown) {
            if (item.kind == BarItem::Kind::lying || item.id == "search") p.x += std::exchange(slack, 0.0F);
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
            p.x += item.width + gap;
        }
    }
    w.end_region();
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
