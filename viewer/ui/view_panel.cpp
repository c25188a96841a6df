// How the drawing is looked at: taken apart, one circuit alone, turning, riding along, with dimensions.
#include "panels.h"

#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "../app/actions.h"
#include "words.h"
#include "writer.h"

namespace ringland::viewer {

namespace {

/// "Show Low and Coast alone", or the way back.
std::string alone_words(const PanelContext& c) {
    if (!c.session().view.alone.empty()) return c.tr("Show everything again");
    const auto circuits = circuits_of(c.session(), c.derived());
    if (circuits.empty()) return c.tr("Show circuits alone");
    std::vector<std::string> names;
    names.reserve(circuits.size());
    for (const auto& circuit : circuits)
        names.push_back(circuit_words(c.tr, c.map(), circuit));
    return filled(c.tr("Show {0} alone"), joined(c.tr, names));
}

/// The way in, part after part: where it stands, one back, one further.
void write_way_in(PanelContext& c, Writer& out) {
    const auto& way = c.derived().way_in;
    const double done = c.session().view.taking.to;
    if (way.steps() <= 0) return;
    Widgets& w = c.w;
    const auto step = static_cast<std::size_t>(done);
    std::string words = c.tr("all together");
    if (step > way.parts.size()) {
        words = filled(c.tr("{0} off"), way.rings.size() == 1 ? way.rings.front() : c.tr("rings"));
    } else if (step > 0) {
        const auto* part = model::find(c.map().parts, way.parts[step - 1]);
        words = filled(c.tr("{0} of {1}: {2}"), step, way.parts.size(),
                       part == nullptr || part->name.empty() ? way.parts[step - 1]
                                                             : filled(c.tr("{0} off"), c.tr.map_word(part->name)));
    }
    const float label = Widgets::measure(w.fonts.body, c.tr("Way in")).x + w.px(size::unit);
    w.line(w.fonts.body, w.colours.ink, out.at(), label, c.tr("Way in"));
    const float wide = std::min(out.width() - label, Widgets::measure(w.fonts.strong, words).x + 1);
    w.line(w.fonts.strong, w.colours.ink, {out.at().x + out.width() - wide, out.at().y}, wide, words);
    out.advance(w.fonts.body->FontSize);
    out.gap(0.5F);
    Flow flow{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
    for (const auto& [id, caption] :
         {std::pair<const char*, std::string_view>{"last-on", model::marked("Put it back on")},
          {"next-off", model::marked("Next part off")}}) {
        const std::string words_on = c.tr(caption);
        const float wanted = w.button_width(words_on);
        c.action_button(id, flow.next(wanted), {wanted, w.px(size::target)}, ButtonStyle::plain, words_on);
    }
    out.advance(flow.height());
    out.gap(1);
}

} // namespace

bool on_trace(const PanelContext& c, const std::string& circuit) {
    const std::string traced = traced_circuit(c.map(), c.transient.hover);
    return !traced.empty() && traced == circuit;
}

void write_view_tools(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const View& view = c.session().view;
    out.heading(c.tr("The drawing"));
    const std::string figure = view.apart <= 0   ? c.tr("together")
                               : view.apart >= 1 ? c.tr("all free")
                                                 : fmt::format("{:.0f} %", 100 * view.apart);
    const float words = Widgets::measure(w.fonts.strong, figure).x;
    w.line(w.fonts.body, w.colours.ink, out.at(), out.width() - words - w.px(size::unit), c.tr("Taken apart"));
    w.text(w.fonts.strong, w.colours.ink, {out.at().x + out.width() - words, out.at().y}, 0, figure);
    out.advance(w.fonts.body->FontSize);
    const auto move = w.slider("slider apart", out.at(), {out.width(), w.px(size::target)}, view.apart, 0, 1, 0.02);
    if (move.changed) c.commands.emplace_back(command::Explode{move.value});
    out.advance(w.px(size::target));

    write_way_in(c, out);
    Flow flow{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
    const auto button = [&](const char* id, const std::string& caption, bool chosen) {
        const float wanted = std::min(out.width(), w.button_width(caption));
        c.action_button(id, flow.next(wanted), {wanted, w.px(size::target)},
                        chosen ? ButtonStyle::chosen : ButtonStyle::plain, caption);
    };
    button("alone", alone_words(c), !view.alone.empty());
    button("ride", c.tr("Ride with the air"), view.flight.ride != nullptr);
    button("turntable", c.tr("Turntable"), view.flight.turn_deg_per_s != 0);
    button("dimensions", c.tr("Dimensions"), view.dimensions);
    out.advance(flow.height());
}

} // namespace ringland::viewer
