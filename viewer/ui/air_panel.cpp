// How much air: what came out, what a healthy unit shows, and what a hole of a chosen size would show.
#include "panels.h"

#include <algorithm>
#include <numbers>

#include <fmt/format.h>

#include "words.h"
#include "writer.h"

namespace ringland::viewer {

namespace {

using diagnosis::airflow::ExpectedAt;
using diagnosis::airflow::Heard;
using diagnosis::airflow::normal_lpm;

const ExpectedAt* healthy_pair(const PanelContext& c) {
    if (!c.derived().healthy) return nullptr;
    for (const auto& at : c.derived().healthy->at) {
        if (c.map().ports[static_cast<std::size_t>(at.port)].id == c.session().document.came_out) return &at;
    }
    return nullptr;
}

/// Four large buttons, each with its mark.
void word_buttons(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const auto seen = seen_word(c.session().document);
    const float gap = w.px(0.75F * size::unit), height = w.px(56);
    const float wide = (out.width() - 3 * gap) / 4;
    for (std::size_t i = 0; i < four_words.size(); ++i) {
        const Heard word = four_words[i];
        const bool chosen = seen && *seen == word;
        const ImVec2 at{out.at().x + static_cast<float>(i) * (wide + gap), out.at().y};
        const std::string caption = c.tr.word(word);
        if (w.button("saw " + std::string(model::word(word)), "", at, {wide, height},
                     chosen ? ButtonStyle::chosen : ButtonStyle::plain, true,
                     filled(chosen ? c.tr("Press again to take it back. Key: F{0}") : c.tr("Key: F{0}"), i + 2))) {
            c.commands.push_back(saw(c.session().document.came_out, chosen ? std::nullopt : std::optional(word)));
        }
        const float middle = at.x + wide / 2;
        draw_heard_mark(w, {middle, at.y + w.px(17)}, w.px(8), word, w.colours.ink, w.colours.raised);
        const float words = Widgets::measure(w.fonts.strong, caption).x;
        w.line(w.fonts.strong, w.colours.ink, {middle - std::min(words, wide) / 2, at.y + w.px(31)}, wide, caption);
    }
    out.advance(height);
    out.gap(1);
}

void write_verdict(PanelContext& c, Writer& out, const ExpectedAt& healthy) {
    const auto seen = seen_word(c.session().document);
    const float top = out.at().y;
    if (seen) {
        using diagnosis::airflow::Verdict;
        const Verdict verdict = diagnosis::airflow::judge(healthy.word, *seen);
        const std::string title = verdict == Verdict::more   ? c.tr("More than a healthy unit shows")
                                  : verdict == Verdict::less ? c.tr("Less than a healthy unit shows")
                                                             : c.tr("As a healthy unit shows it");
        std::string detail = filled(c.tr("Expected: {0}. Seen: {1}."), c.tr.word(healthy.word), c.tr.word(*seen));
        if (verdict == Verdict::less) detail += c.tr(" Is the port open, and does the air arrive?");
        out.card("", title, detail, verdict == Verdict::more);
    }
    out.body(filled(c.tr("A healthy unit: {0}, {1}. A gauge that closes {2} would rise to {3}."),
                    c.tr.word(healthy.word), flow_words(c.tr, normal_lpm(healthy.flow_kgps)),
                    c.session().document.came_out,
                    gauge_words(c.tr, healthy.plugged_gauge_pa, c.session().view.units)));
    out.mark("text expected", top);
}

/// A line that names a figure, and its slider below.
Widgets::SliderMove slider_row(PanelContext& c, Writer& out, const std::string& label, std::string_view name,
                               std::string_view figure, double value, double high, double step, double curve) {
    Widgets& w = c.w;
    const float words = Widgets::measure(w.fonts.strong, figure).x;
    w.line(w.fonts.body, w.colours.ink, out.at(), out.width() - words - w.px(size::unit), name);
    w.text(w.fonts.strong, w.colours.ink, {out.at().x + out.width() - words, out.at().y}, 0, figure);
    out.advance(w.fonts.body->FontSize);
    const auto move = w.slider(label, out.at(), {out.width(), w.px(size::target)}, value, 0, high, step, curve);
    out.advance(w.px(size::target));
    return move;
}

void supply_slider(PanelContext& c, Writer& out) {
    const UnitSystem units = c.session().view.units;
    const bool psi = units == UnitSystem::psi_inch;
    const auto unit = psi ? model::PressureDimension::Unit::psi : model::PressureDimension::Unit::bar;
    const double si = model::PressureDimension::units[static_cast<std::size_t>(unit)].si_per_unit;
    const double supply = supply_gauge_pa(c.session().document);
    const auto move = slider_row(c, out, "slider supply", c.tr("Air at the regulator"),
                                 gauge_words(c.tr, supply, units), supply / si, psi ? 120 : 8, psi ? 1 : 0.05, 1);
    if (move.changed)
        c.commands.emplace_back(command::SetSupply{model::GaugePressure{move.value, unit}, move.settled});
    else if (move.settled && c.session().document.supply) // let go: the figure stays, and the step to undo is closed
        c.commands.emplace_back(command::SetSupply{c.session().document.supply, true});
}

void write_what_if(PanelContext& c, Writer& out) {
    const AirNow& now = *c.derived().air_now;
    const UnitSystem units = c.session().view.units;
    out.heading(c.tr("What if"));
    supply_slider(c, out);
    if (!now.seal.empty()) {
        const double hole = c.session().view.what_if_mm;
        const auto move =
            slider_row(c, out, "slider hole", filled(c.tr("Hole in {0}"), now.seal),
                       hole > 0 ? length_words(c.tr, model::mm(hole), units) : c.tr("sound"), hole, 6, 0.05, 1.7);
        if (move.changed) c.commands.emplace_back(command::WhatIf{move.value});
    }
    const float top = out.at().y;
    const std::string& out_port = c.session().document.came_out;
    if (!out_port.empty()) {
        out.body(filled(c.tr("Then {0} blows {1}: {2}. A gauge on it reads {3}."), out_port,
                        flow_words(c.tr, now.out_lpm), c.tr.word(now.word),
                        gauge_words(c.tr, now.out_plugged_gauge_pa, units)),
                 0.25F);
    }
    out.note(filled(c.tr("{0} itself reads {1} and takes {2}; {3} come out in the case."),
                    c.session().document.air_into, gauge_words(c.tr, now.port_gauge_pa, units),
                    flow_words(c.tr, now.supply_lpm), flow_words(c.tr, now.case_lpm)));
    if (!now.report.converged) out.note(c.tr("This case did not come to a balance: do not trust these figures."));
    out.mark("text what if", top);
}

} // namespace

Command saw(const std::string& at, std::optional<Heard> word) {
    if (!word) return command::Saw{at, std::nullopt};
    model::Seen seen;
    seen.word = word;
    return command::Saw{at, seen};
}

void write_air(PanelContext& c, Writer& out) {
    const ExpectedAt* healthy = healthy_pair(c);
    if (healthy == nullptr || healthy->same_circuit || !c.derived().air_now) return;
    out.heading(filled(c.tr("How much came out of {0}?"), c.session().document.came_out));
    word_buttons(c, out);
    write_verdict(c, out, *healthy);
    write_what_if(c, out);
}

void write_air_in(PanelContext& c, Writer& out) {
    if (!c.derived().healthy || !c.derived().air_now) return;
    const auto& row = *c.derived().healthy;
    const UnitSystem units = c.session().view.units;
    const float top = out.at().y;
    out.gap(0.5F);
    out.body(filled(c.tr("A healthy unit takes {0} here at {1} and lets {2} out in the case: {3}."),
                    flow_words(c.tr, normal_lpm(row.supply_kgps)), gauge_words(c.tr, row.supply_gauge_pa, units),
                    flow_words(c.tr, normal_lpm(row.case_kgps)), c.tr.word(row.case_word)));
    for (const int flow : row.case_by_design)
        out.note(c.map().by_design[static_cast<std::size_t>(flow)].reason);
    out.mark("text healthy", top);
    write_what_if(c, out);
}

void draw_heard_mark(const Widgets& w, const ImVec2& middle, float radius, Heard word, const ImVec4& ink,
                     const ImVec4& ground) {
    ImDrawList* list = ImGui::GetWindowDrawList();
    constexpr int corners = 28;
    constexpr float half_turn = std::numbers::pi_v<float>;
    if (word == Heard::nothing) {
        list->AddCircleFilled(middle, 0.28F * radius, u32(faded(ink, 0.6F)), corners);
        return;
    }
    list->AddCircleFilled(middle, radius, u32(word == Heard::strong ? ink : ground), corners);
    if (word == Heard::clear) {
        list->PathArcTo(middle, radius, 0.5F * half_turn, 1.5F * half_turn, corners);
        list->PathFillConvex(u32(ink));
    }
    list->AddCircle(middle, radius, u32(ink), corners, w.px(1.6F));
}

} // namespace ringland::viewer
