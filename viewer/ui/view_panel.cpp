// How the drawing is looked at: taken apart, one circuit alone, turning, riding along, with dimensions.
#include "panels.h"

#include <cmath>

#include <fmt/format.h>

#include "../app/actions.h"
#include "words.h"
#include "writer.h"

namespace ringland::viewer {

namespace {

/// "Show Low and Coast alone", or the way back.
std::string alone_words(const PanelContext& c) {
    if (!c.session().view.alone.empty()) return "Show everything again";
    const auto circuits = circuits_of(c.session(), c.derived());
    if (circuits.empty()) return "Show circuits alone";
    std::string names = model::circuit_name(c.map(), circuits[0]);
    if (circuits.size() > 1) names += " and " + model::circuit_name(c.map(), circuits[1]);
    return fmt::format("Show {} alone", names);
}

} // namespace

bool on_trace(const PanelContext& c, const std::string& circuit) {
    const std::string traced = traced_circuit(c.map(), c.transient.hover);
    return !traced.empty() && traced == circuit;
}

void write_view_tools(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const View& view = c.session().view;
    out.heading("The drawing");
    const std::string figure = view.apart <= 0   ? "together"
                               : view.apart >= 1 ? "all free"
                                                 : fmt::format("{:.0f} %", 100 * view.apart);
    const float words = Widgets::measure(w.fonts.strong, figure).x;
    w.line(w.fonts.body, w.colours.ink, out.at(), out.width() - words - w.px(size::unit), "Taken apart");
    w.text(w.fonts.strong, w.colours.ink, {out.at().x + out.width() - words, out.at().y}, 0, figure);
    out.advance(w.fonts.body->FontSize);
    const auto move = w.slider("slider apart", out.at(), {out.width(), w.px(size::target)}, view.apart, 0, 1, 0.02);
    if (move.changed) c.commands.emplace_back(command::Explode{move.value});
    out.advance(w.px(size::target));

    Flow flow{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
    const auto button = [&](const char* id, const std::string& caption, bool chosen) {
        const float wanted = std::min(out.width(), w.button_width(caption));
        c.action_button(id, flow.next(wanted), {wanted, w.px(size::target)},
                        chosen ? ButtonStyle::chosen : ButtonStyle::plain, caption);
    };
    button("alone", alone_words(c), !view.alone.empty());
    button("ride", "Ride with the air", view.flight.ride != nullptr);
    button("turntable", "Turntable", view.flight.turn_deg_per_s != 0);
    button("dimensions", "Dimensions", view.dimensions);
    out.advance(flow.height());
}

} // namespace ringland::viewer
