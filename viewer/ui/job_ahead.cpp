// The job: what its leak does on the road, and the way in.
#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../app/outlook.h"
#include "job_parts.h"
#include "words.h"
#include "writer.h"

namespace ringland::viewer {

namespace {

void write_road(PanelContext& c, Writer& out, const std::string& seal) {
    const OnTheRoad* there = c.derived().road.get();
    if (there == nullptr || !there->answer) return;
    const auto& answer = *there->answer;
    if (answer.verdict.known) {
        const bool heavy = answer.verdict.advice >= diagnosis::road::Advice::renew_while_open;
        out.text(c.w.fonts.strong, heavy ? c.w.colours.suspect_ink : c.w.colours.ink,
                 fmt::format("{}: {}.", seal, c.tr(diagnosis::road::advice_words(answer.verdict.advice))), 0.5F);
    }
    out.body(answer.complaint, 0.5F);
    out.note(filled(c.tr("For a hole of {0}, as the readings say."),
                    length_words(c.tr, model::mm(answer.leak.hole_mm), c.session().view.units)),
             0.75F);
}

/// One press writes down as renewed what the plan renews and the job has not yet.
void write_down_button(PanelContext& c, Writer& out, const std::vector<std::string>& open) {
    Widgets& w = c.w;
    const std::string caption = c.tr("Write them down as renewed");
    const float wide = std::min(out.width(), w.button_width(caption));
    if (w.button("renew all of the way", caption, out.at(), {wide, w.px(size::target)}, ButtonStyle::plain)) {
        for (const auto& id : open)
            c.commands.emplace_back(command::EditJob{job_edit::Renew{id, 1, ""}});
    }
    out.advance(w.px(size::target));
}

/// `for_good`: a leak was read or found; two ports that were only asked about are no reason to renew anything.
void write_way(PanelContext& c, Writer& out, const Way& way, bool for_good) {
    const auto& map = c.map();
    const auto& teardown = way.plan.teardown;
    if (teardown.steps.empty()) return;
    std::vector<std::string> parts;
    parts.reserve(teardown.steps.size());
    for (const auto& step : teardown.steps)
        parts.push_back(c.tr.map_word(diagnosis::plan::part_name(map, step.part)));
    out.body(filled(teardown.untimed.empty()
                        ? c.tr("One part to come off, {0} min: {1}.", "Parts to come off, {0} min: {1}.", parts.size())
                        : c.tr("One part to come off, {0} min and more: {1}.",
                               "Parts to come off, {0} min and more: {1}.", parts.size()),
                    fmt::format("{:.3g}", teardown.minutes), fmt::format("{}", fmt::join(parts, ", "))),
             0.75F);
    // What the plan renews and the job has not yet.
    const auto& renewed = c.session().document.job.renewed;
    std::vector<std::string> open;
    for (const auto& seal : teardown.renews) {
        const std::string& id = map.seals[seal.seal].id;
        if (std::none_of(renewed.begin(), renewed.end(), [&](const auto& r) { return r.what == id; }))
            open.push_back(id);
    }
    if (open.empty()) return;
    out.body(filled(c.tr("Renewed on the way: {0}."), fmt::format("{}", fmt::join(open, ", "))), 0.5F);
    if (for_good) write_down_button(c, out, open);
    out.gap(1);
}

} // namespace

void write_ahead(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const Asked asked = asked_by_job(c.session(), c.derived());
    if (asked.seals.empty()) return;
    out.heading(c.tr("On the road, and the way in"));
    write_road(c, out, c.map().seals[asked.seals.front()].id);
    if (const Way* way = c.derived().way.get())
        write_way(c, out, *way, !asked.chance.empty() || !c.session().document.job.findings.empty());
    Flow flow{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
    const auto show = [&](const std::string& caption, Sheet sheet) {
        const float wide = w.button_width(caption);
        if (w.button("job to " + std::string(model::word(sheet)), caption, flow.next(wide), {wide, w.px(size::target)},
                     ButtonStyle::plain))
            c.commands.emplace_back(command::ShowSheet{sheet});
    };
    show(c.tr("On the road"), Sheet::road);
    show(c.tr("The way in"), Sheet::plan);
    out.advance(flow.height());
    out.gap(1);
}

} // namespace ringland::viewer
