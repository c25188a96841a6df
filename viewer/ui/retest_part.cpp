// The retest beside the first test: is the fault gone, place by place before and after, which suspects are cleared.
#include "job_parts.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "../../diagnosis/suspects/answer.h"
#include "../app/retest_words.h"
#include "words.h"
#include "writer.h"

namespace ringland::viewer {

namespace {

using diagnosis::Against;
using diagnosis::Retest;
using diagnosis::RetestRow;
using diagnosis::suspects::percent_words;

/// From this width on, points, a row is a line of a table; below it stands in two lines. Beyond the second, figures
/// would stand too far from what they belong to.
constexpr float table_from = 600, widest_table = 900;

std::string port_or_case(const PanelContext& c, int port) {
    const model::UnitMap& map = c.map();
    const auto at = static_cast<std::size_t>(port);
    return at < map.ports.size() ? port_title(map, map.ports[at].id) : c.tr("Open case");
}

/// A tick for what is as in a good unit, a wedge upwards for more and downwards for less, a ring for what is not known.
void draw_judged_mark(const Widgets& w, const ImVec2& m, float r, Against is) {
    ImDrawList* list = ImGui::GetWindowDrawList();
    if (is == Against::unknown) {
        list->AddCircle(m, 0.8F * r, u32(w.colours.border), 24, w.px(1.6F));
    } else if (is == Against::as_expected) {
        draw_tick(w, m, r);
    } else {
        const float up = is == Against::more ? -1.0F : 1.0F;
        list->AddTriangleFilled({m.x, m.y + up * r}, {m.x + r, m.y - 0.8F * up * r}, {m.x - r, m.y - 0.8F * up * r},
                                u32(is == Against::more ? w.colours.suspect : w.colours.ink));
    }
}

/// What was seen, with the mark of its word; how tall it is.
float write_seen(PanelContext& c, const ImVec2& at, float width, const std::optional<model::Seen>& seen,
                 const ImVec4& ink) {
    const Widgets& w = c.w;
    const float r = w.px(5);
    const bool word = seen && seen->word;
    if (word) draw_heard_mark(w, {at.x + r, at.y + w.fonts.body->FontSize / 2}, r, *seen->word, ink, w.colours.panel);
    const float left = word ? 3 * r : 0;
    return w.text(w.fonts.body, ink, {at.x + left, at.y}, width - left,
                  seen ? seen_words(c.tr, *seen, c.session().view.units) : std::string("–"));
}

/// Only what tells something: wrong now, or wrong before.
bool is_listed(const RetestRow& row) {
    return is_wrong(row) || row.before_is == Against::more || row.before_is == Against::less;
}

void write_table_row(PanelContext& c, Writer& out, const RetestRow& row) {
    const Widgets& w = c.w;
    const ImVec2 at = out.at();
    const float all = out.width(), r = w.px(8);
    draw_judged_mark(w, {at.x + 0.68F * all + r, at.y + w.fonts.body->FontSize / 2}, r, row.after_is);
    const float height = std::max(
        {w.text(w.fonts.body, w.colours.ink, at, 0.21F * all, port_or_case(c, row.at)),
         write_seen(c, {at.x + 0.23F * all, at.y}, 0.14F * all, row.expected, w.colours.second_ink),
         write_seen(c, {at.x + 0.38F * all, at.y}, 0.14F * all, row.before, w.colours.ink),
         write_seen(c, {at.x + 0.53F * all, at.y}, 0.14F * all, row.after, w.colours.ink),
         w.text(is_wrong(row) ? w.fonts.strong : w.fonts.body, is_wrong(row) ? w.colours.suspect_ink : w.colours.ink,
                {at.x + 0.68F * all + 3 * r, at.y}, 0.32F * all - 3 * r, judged_words(c.tr, row))});
    out.advance(height);
    out.gap(1);
}

void write_two_line_row(PanelContext& c, Writer& out, const RetestRow& row) {
    const Widgets& w = c.w;
    const UnitSystem units = c.session().view.units;
    const ImVec2 at = out.at();
    const float r = w.px(8), left = 3 * r;
    draw_judged_mark(w, {at.x + r, at.y + w.fonts.strong->FontSize / 2}, r, row.after_is);
    const auto said = [&](const std::optional<model::Seen>& seen) {
        return seen ? seen_words(c.tr, *seen, units) : c.tr("not tested");
    };
    Writer inner(c, {at.x + left, at.y}, out.width() - left);
    inner.text(w.fonts.strong, is_wrong(row) ? w.colours.suspect_ink : w.colours.ink,
               fmt::format("{}: {}", port_or_case(c, row.at), judged_words(c.tr, row)), 0.25F);
    inner.note(filled(c.tr("before {0} · now {1} · a good unit {2}"), said(row.before), said(row.after),
                      seen_words(c.tr, row.expected, units)),
               1);
    out.advance(inner.at().y - at.y);
}

void write_table_head(PanelContext& c, Writer& out) {
    const Widgets& w = c.w;
    const ImVec2 at = out.at();
    const std::array<std::string, 4> heads{c.tr("at"), c.tr("a good unit"), c.tr("before"), c.tr("now")};
    constexpr std::array<float, 5> from{0, 0.23F, 0.38F, 0.53F, 0.68F};
    float height = 0;
    for (std::size_t i = 0; i < heads.size(); ++i)
        height = std::max(height, w.text(w.fonts.note, w.colours.second_ink, {at.x + from.at(i) * out.width(), at.y},
                                         (from.at(i + 1) - from.at(i)) * out.width() - w.px(4), heads.at(i)));
    out.advance(height);
    out.gap(0.5F);
}

void write_rows(PanelContext& c, Writer& out, const Retest& retest) {
    const Widgets& w = c.w;
    const bool table = out.width() >= w.px(table_from);
    std::size_t plain = 0, open = 0, listed = 0;
    const RetestRow* last = nullptr;
    for (const RetestRow& row : retest.rows) {
        if (!is_listed(row)) {
            ++(row.after && row.after_is == Against::as_expected ? plain : open);
            continue;
        }
        if (listed++ == 0 && table) write_table_head(c, out);
        if (last == nullptr || last->into != row.into || last->plugged != row.plugged) {
            if (last != nullptr) out.gap(0.5F);
            std::string title = filled(c.tr("Air into {0}"), port_or_case(c, row.into));
            for (const int port : row.plugged)
                title += ", " + filled(c.tr("{0} closed"), c.map().ports[static_cast<std::size_t>(port)].id);
            out.text(w.fonts.strong, w.colours.ink, title, 0.5F);
        }
        last = &row;
        table ? write_table_row(c, out, row) : write_two_line_row(c, out, row);
    }
    if (plain > 0)
        out.note(filled(
            listed > 0 ? c.tr("{0} more place is as in a good unit.", "{0} more places are as in a good unit.", plain)
                       : c.tr("{0} place is as in a good unit.", "{0} places are as in a good unit.", plain),
            plain));
    if (open > 0)
        out.note(filled(c.tr("{0} place is not tested again yet, or not sure.",
                             "{0} places are not tested again yet, or not sure.", open),
                        open));
    out.gap(1);
}

void write_seal(PanelContext& c, Writer& out, const diagnosis::SealChance& chance) {
    const Widgets& w = c.w;
    const auto& seal = c.map().seals[chance.seal];
    const ImVec2 at = out.at();
    const float r = w.px(8), all = out.width();
    const std::string figures =
        fmt::format("{} → {}", percent_words(chance.before, c.tr), percent_words(chance.now, c.tr));
    const float figures_wide = Widgets::measure(w.fonts.strong, figures).x,
                name = all - 3 * r - figures_wide - w.px(12);
    draw_judged_mark(w, {at.x + r, at.y + w.fonts.strong->FontSize / 2}, r,
                     chance.cleared ? Against::as_expected : Against::unknown);
    const float height = w.text(w.fonts.strong, w.colours.ink, {at.x + 3 * r, at.y}, name, seal_words(c.tr, seal));
    w.text(w.fonts.strong, w.colours.ink, {at.x + all - figures_wide, at.y}, 0, figures);
    out.advance(height + w.px(3));
    std::string detail = place_words(c.tr, c.map(), seal, c.session().view.lying);
    if (const std::string status = status_words(c.tr, chance); !status.empty()) detail = status + " · " + detail;
    Writer inner(c, {at.x + 3 * r, out.at().y}, all - 3 * r);
    inner.note(detail, 1);
    out.advance(inner.at().y - out.at().y);
}

/// The answer first: how likely it is that the fault is gone, as a bar and in words.
void write_gone(PanelContext& c, Writer& out, const Retest& retest) {
    const Widgets& w = c.w;
    out.text(w.fonts.title, w.colours.ink, gone_words(c.tr, retest), 0.75F);
    const ImVec2 at = out.at();
    const float height = w.px(9);
    ImDrawList* list = ImGui::GetWindowDrawList();
    list->AddRectFilled(at, {at.x + out.width(), at.y + height}, u32(w.colours.rule), w.px(2));
    list->AddRectFilled(at, {at.x + out.width() * static_cast<float>(retest.gone), at.y + height},
                        u32(w.colours.action), w.px(2));
    out.advance(height);
    out.gap(0.75F);
    out.note(c.tr(gone_means) + " " + other_causes_words(c.tr, retest), 1);
    if (!retest.converged) out.text(w.fonts.strong, w.colours.suspect_ink, c.tr(retest_not_balanced), 1);
}

} // namespace

void write_begin_retest(PanelContext& c, Writer& out, ButtonStyle style) {
    Widgets& w = c.w;
    const std::string caption = c.tr("Begin the retest");
    if (w.button("Begin the retest", caption, out.at(), {w.button_width(caption), w.px(size::target)}, style,
                 !c.session().document.job.id.empty())) {
        c.commands.emplace_back(command::EditJob{job_edit::BeginCheck{model::CheckPurpose::retest}});
        c.commands.emplace_back(command::ShowSheet{Sheet::check});
    }
    out.advance(w.px(size::target));
    out.gap(1);
}

void write_retest(PanelContext& c, Writer& out) {
    if (!c.bench.compares_tests()) return;
    const float top = out.at().y;
    out.heading(c.tr("The retest beside the first test"));
    if (model::last_check(c.session().document.job, model::CheckPurpose::retest) == nullptr)
        write_begin_retest(c, out, ButtonStyle::primary);
    if (!c.derived().retested) {
        out.note(c.tr("The two tests are being compared ..."));
        return;
    }
    const Retested& answer = *c.derived().retested;
    if (!answer.trouble.empty()) {
        out.card("", c.tr("The tests cannot be compared"), answer.trouble.in(c.tr), true);
        return;
    }
    const Retest& retest = answer.retest;
    Writer part(c, out.at(), std::min(out.width(), c.w.px(widest_table)));
    if (!retest.has_before) part.note(c.tr(no_first_test));
    if (!retest.has_after) part.note(c.tr(not_tested_again));
    write_gone(c, part, retest);
    if (!retest.rows.empty()) write_rows(c, part, retest);
    if (!retest.seals.empty()) {
        part.text(c.w.fonts.strong, c.w.colours.ink,
                  c.tr("Suspected before, or renewed: chance of being at fault, before → now"), 0.75F);
        for (const auto& chance : retest.seals)
            write_seal(c, part, chance);
    }
    out.advance(part.at().y - out.at().y);
    out.mark("text retest", top);
}

} // namespace ringland::viewer
