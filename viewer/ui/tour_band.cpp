// The tour: a band above the strip says what to do, and a ring with an arrow stands where it is done. Nothing is
// covered and nothing is locked: whoever does something else does it.
#include "panels.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "../app/camera.h"
#include "words.h"

namespace ringland::viewer {

namespace {

struct BandPlan {
    float text = 0, height = 0, go_on = 0, skip = 0;
    std::string skip_words, go_on_words;
    std::string go_on_label; ///< of the button, in English
};

BandPlan plan_band(const PanelContext& c, float width) {
    const Widgets& w = c.w;
    const Tour& tour = *c.transient.tour;
    BandPlan p;
    const bool last = tour.step() + 1 == Tour::count;
    p.skip_words = last ? "" : c.tr("Skip the tour");
    p.go_on_words = !tour.only_read() ? "" : last ? c.tr("Done") : c.tr("Go on");
    p.go_on_label = last ? "Done" : "Go on";
    p.skip = last ? 0 : w.button_width(p.skip_words);
    p.go_on = p.go_on_words.empty() ? 0 : w.button_width(p.go_on_words);
    const float pad = w.px(size::padding), gap = w.px(size::unit);
    p.text = width - 2 * pad - w.px(44) - p.skip - p.go_on - 2 * gap - gap;
    const float words = w.text(w.fonts.body, {}, {}, p.text, tour.words(c.bench), false);
    p.height = std::max(w.px(size::target), w.fonts.title->FontSize + w.px(3) + words) + w.px(2 * size::unit);
    return p;
}

/// A ring around a place and an arrow towards it, from the side where there is room.
void point_at(const Widgets& w, const Rect& r, bool round, const ImVec2& low, const ImVec2& high) {
    ImDrawList* list = ImGui::GetForegroundDrawList();
    const float out = w.px(5);
    const ImVec2 a{static_cast<float>(r.x) - out, static_cast<float>(r.y) - out};
    const ImVec2 b{static_cast<float>(r.x + r.width) + out, static_cast<float>(r.y + r.height) + out};
    const ImVec2 m{(a.x + b.x) / 2, (a.y + b.y) / 2};
    const ImU32 dark = u32(w.colours.action), light = u32(w.colours.raised);
    // A light line on both sides keeps it readable on any ground.
    for (const auto& [ink, thick] : {std::pair{light, w.px(6.5F)}, std::pair{dark, w.px(3.5F)}}) {
        if (round)
            list->AddCircle(m, (b.x - a.x) / 2, ink, 48, thick);
        else
            list->AddRect(a, b, ink, w.px(size::radius) + out, 0, thick);
    }
    const float length = w.px(46), head = w.px(13);
    struct Side {
        ImVec2 tip, way;
    };
    const std::array<Side, 4> sides{{{{b.x + w.px(3), m.y}, {1, 0}},
                                     {{m.x, a.y - w.px(3)}, {0, -1}},
                                     {{m.x, b.y + w.px(3)}, {0, 1}},
                                     {{a.x - w.px(3), m.y}, {-1, 0}}}};
    for (const Side& side : sides) {
        const ImVec2 tail{side.tip.x + side.way.x * length, side.tip.y + side.way.y * length};
        if (tail.x < low.x || tail.y < low.y || tail.x > high.x || tail.y > high.y) continue;
        const ImVec2 neck{side.tip.x + side.way.x * head, side.tip.y + side.way.y * head};
        const ImVec2 across{-side.way.y, side.way.x};
        list->AddLine(tail, neck, light, w.px(9));
        const auto wing = [&](float share) { return ImVec2{neck.x + across.x * share, neck.y + across.y * share}; };
        list->AddTriangleFilled({side.tip.x - side.way.x * w.px(2), side.tip.y - side.way.y * w.px(2)}, wing(w.px(11)),
                                wing(-w.px(11)), light);
        list->AddLine(tail, neck, dark, w.px(5));
        list->AddTriangleFilled(side.tip, wing(w.px(8.5F)), wing(-w.px(8.5F)), dark);
        return;
    }
}

/// Where a thing stands on the drawing, as a square around it; nothing where it is not in sight.
std::optional<Rect> on_drawing(const PanelContext& c, const Viewport& drawing, const model::Subject& thing,
                               double now_s) {
    if (c.session().view.sheet != Sheet::drawing || thing.kind != model::SubjectKind::port) return {};
    for (const auto& place : c.derived().layout.ports) {
        if (place.port != thing.id) continue;
        const View& view = c.session().view;
        const glm::dvec3 p = project(place.at, camera_at(view.flight, now_s), view.lying, drawing);
        const double reach = double(c.w.px(20));
        if (p.z <= 0 || p.x < drawing.x + reach || p.y < drawing.y + reach || p.x > drawing.x + drawing.width - reach ||
            p.y > drawing.y + drawing.height - reach)
            return {};
        return Rect{p.x - reach, p.y - reach, 2 * reach, 2 * reach};
    }
    return {};
}

} // namespace

float tour_height(const PanelContext& c, float width) {
    return c.transient.tour && !c.transient.tour->over() ? plan_band(c, width).height : 0;
}

void draw_tour(PanelContext& c, const ImVec2& at, const ImVec2& extent, const Viewport& drawing, double now_s) {
    if (!c.transient.tour || c.transient.tour->over()) return;
    Widgets& w = c.w;
    Tour& tour = *c.transient.tour;
    const BandPlan p = plan_band(c, extent.x);
    const ImVec4 ground = mix(w.colours.panel, w.colours.action, 0.12F);
    bool ended = false;
    const TourAim aim = tour.aim();
    if (w.begin_region("tour", at, extent, ground, false)) {
        ImGui::GetWindowDrawList()->AddLine(at, {at.x + extent.x, at.y}, u32(w.colours.action), w.px(2));
        const float pad = w.px(size::padding), gap = w.px(size::unit);
        const std::string number = fmt::format("{}/{}", tour.step() + 1, Tour::count);
        float y = at.y + w.px(size::unit);
        w.text(w.fonts.title, w.colours.action, {at.x + pad, y}, 0, number);
        const ImVec2 words{at.x + pad + w.px(44), y};
        w.line(w.fonts.title, w.colours.ink, words, p.text, tour.title(c.bench));
        w.text(w.fonts.body, w.colours.ink, {words.x, words.y + w.fonts.title->FontSize + w.px(3)}, p.text,
               tour.words(c.bench));
        y = at.y + (extent.y - w.px(size::target)) / 2;
        float x = at.x + extent.x - pad - p.skip - (p.skip > 0 && p.go_on > 0 ? gap : 0) - p.go_on;
        if (p.go_on > 0) {
            if (w.button(p.go_on_label, p.go_on_words, {x, y}, {p.go_on, w.px(size::target)}, ButtonStyle::primary))
                tour.go_on(c.bench);
            x += p.go_on + gap;
        }
        if (p.skip > 0 &&
            w.button("Skip the tour", p.skip_words, {x, y}, {p.skip, w.px(size::target)}, ButtonStyle::plain))
            ended = true;
    }
    w.end_region();
    if (ended || tour.over()) {
        c.transient.tour.reset();
        c.transient.tour_ended = true;
        return;
    }
    // Menus hide what is below them: nothing is pointed at then.
    if (c.transient.more_open || c.transient.help_open || c.transient.lying_open || c.transient.search.open) return;
    const ImVec2 screen = ImGui::GetIO().DisplaySize;
    if (const auto place = on_drawing(c, drawing, aim.thing, now_s))
        point_at(w, *place, true, {float(drawing.x), float(drawing.y)},
                 {float(drawing.x + drawing.width), float(drawing.y + drawing.height)});
    else if (const auto item = w.items().find(aim.item); item != w.items().end())
        point_at(w, item->second, false, {0, 0}, screen);
    else if (!aim.item.empty() && std::exchange(c.transient.tour_shown, tour.step() + 1) != tour.step() + 1)
        w.show_item(aim.item); // once: then the hand may scroll as it likes
}

} // namespace ringland::viewer
