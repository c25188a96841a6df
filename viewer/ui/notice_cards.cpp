// Notices at the foot of the drawing. They are in nobody's way: what is below them is pressed beside them, and each
// goes by itself or by a press.
#include "panels.h"

#include <algorithm>

#include <fmt/format.h>

#include "../app/actions.h"
#include "key_names.h"
#include "words.h"

namespace ringland::viewer {

namespace {

/// What is written on one card.
struct NoticeCard {
    std::string label, words, action;
    bool goes = true; ///< it has a button that takes it away
};

struct CardPlan {
    float width = 0, height = 0, text = 0, button = 0, close = 0;
    std::string caption;
};

CardPlan plan_card(const PanelContext& c, const NoticeCard& card, float widest) {
    const Widgets& w = c.w;
    CardPlan p;
    const float pad = w.px(1.5F * size::unit), gap = w.px(size::unit);
    if (!card.action.empty()) {
        p.caption = c.tr(action(card.action).title);
        p.button = w.button_width(p.caption);
    }
    p.close = card.goes ? w.px(size::target) : 0;
    const float beside = 2 * pad + (p.button > 0 ? p.button + gap : 0) + p.close;
    p.text = std::min(Widgets::measure(w.fonts.strong, card.words).x + 1, std::max(w.px(80), widest - beside));
    p.width = p.text + beside;
    const float tall = w.text(w.fonts.strong, {}, {}, p.text, card.words, false);
    p.height = std::max(tall + 2 * pad, w.px(size::target) + (p.button > 0 ? gap : 0));
    return p;
}

/// True where it was taken away by hand.
bool draw_card(PanelContext& c, const NoticeCard& card, const CardPlan& p, const ImVec2& at) {
    Widgets& w = c.w;
    bool gone = false;
    const float pad = w.px(1.5F * size::unit), gap = w.px(size::unit);
    const ImVec4 ground = w.colours.ink, ink = w.colours.panel;
    if (w.begin_region(card.label.c_str(), at, {p.width, p.height}, faded(ground, 0), false, true)) {
        w.card(at, {p.width, p.height}, ground, ground, 0);
        const float tall = w.text(w.fonts.strong, {}, {}, p.text, card.words, false);
        w.text(w.fonts.strong, ink, {at.x + pad, at.y + (p.height - tall) / 2}, p.text, card.words);
        float x = at.x + pad + p.text + gap;
        if (p.button > 0) {
            const ImVec2 b{x, at.y + (p.height - w.px(size::target)) / 2}, extent{p.button, w.px(size::target)};
            const bool pressed = w.pressed(card.label + ": " + std::string(action(card.action).title), b, extent);
            w.card(b, extent, mix(ground, ink, w.hovered() ? 0.3F : 0.15F), mix(ground, ink, 0.5F), w.px(1));
            const float words = Widgets::measure(w.fonts.strong, p.caption).x;
            w.text(w.fonts.strong, ink, {b.x + (p.button - words) / 2, b.y + (extent.y - w.fonts.strong->FontSize) / 2},
                   0, p.caption);
            if (pressed) {
                gone = true;
                c.act(action(card.action));
            }
            x += p.button + gap;
        }
        if (card.goes) {
            const ImVec2 b{at.x + p.width - p.close, at.y + (p.height - p.close) / 2};
            if (w.pressed("Close " + card.label, b, {p.close, p.close})) gone = true;
            const float reach = w.px(6);
            const ImVec2 m{b.x + p.close / 2, b.y + p.close / 2};
            const ImU32 line = u32(mix(ground, ink, w.hovered() ? 1.0F : 0.75F));
            ImGui::GetWindowDrawList()->AddLine({m.x - reach, m.y - reach}, {m.x + reach, m.y + reach}, line, w.px(2));
            ImGui::GetWindowDrawList()->AddLine({m.x - reach, m.y + reach}, {m.x + reach, m.y - reach}, line, w.px(2));
        }
    }
    w.end_region();
    return gone;
}

} // namespace

float draw_notices(PanelContext& c, const ImVec2& at, const ImVec2& extent, double now_s) {
    const Widgets& w = c.w;
    Transient& t = c.transient;
    t.notices.pass(now_s);
    std::vector<NoticeCard> cards;
    for (std::size_t i = 0; i < t.notices.list().size(); ++i)
        cards.push_back({fmt::format("notice {}", i + 1), t.notices.list()[i].words, t.notices.list()[i].action, true});
    if (!t.typed.empty()) {
        const std::string port = port_of_number(c.map(), t.typed);
        cards.push_back(
            {"number",
             port.empty() ? filled(c.tr("Port number {0}: there is none"), t.typed)
                          : filled(c.tr("Port number {0}: {1}. Enter takes it."), t.typed, port_title(c.map(), port)),
             "", false});
    }
    if (cards.empty()) return 0;
    const float pad = w.px(size::unit), widest = std::min(w.px(600), extent.x - 2 * pad);
    float y = at.y + extent.y - pad;
    for (std::size_t k = cards.size(); k-- > 0;) {
        const CardPlan p = plan_card(c, cards[k], widest);
        y -= p.height;
        // A small drawing has room for the newest ones only.
        if (y < at.y && k + 1 < cards.size()) break;
        if (draw_card(c, cards[k], p, {at.x + (extent.x - p.width) / 2, std::max(y, at.y)})) t.notices.drop(k);
        y -= pad;
    }
    return at.y + extent.y - y;
}

} // namespace ringland::viewer
