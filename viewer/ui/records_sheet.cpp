// The jobs of the shop: find one and go on with it; what fails on which unit.
#include "panels.h"

#include <algorithm>

#include <fmt/format.h>

#include "job_parts.h"
#include "writer.h"

namespace ringland::viewer {

namespace {

namespace records = diagnosis::records;

std::string stands_words(const PanelContext& c, const records::JobLine& line) {
    if (line.done) return c.tr("done");
    switch (line.stands) {
    case model::JobStep::check:
        return c.tr("to be checked");
    case model::JobStep::weigh:
        return c.tr("being weighed");
    case model::JobStep::take_apart:
        return c.tr("to be taken apart");
    case model::JobStep::find:
        return c.tr("apart: look");
    case model::JobStep::renew:
        return c.tr("to be renewed");
    case model::JobStep::close_up:
        return c.tr("to be closed");
    case model::JobStep::retest:
        return c.tr("to be retested");
    case model::JobStep::done:
        return c.tr("to be finished");
    }
    return {};
}

void write_search(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    records::Search& search = c.transient.job_search;
    const records::Search before = search;
    out.text(w.fonts.answer, w.colours.ink, c.tr("Jobs of this shop"));
    const float height = w.field_height(out.width(), search.words);
    static_cast<void>(w.field("field find job", out.at(), out.width(), search.words, 1,
                              c.tr("Number, customer, complaint, finding: the beginnings of words are enough")));
    out.advance(height);
    out.gap(1);
    Flow flow{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
    const auto toggle = [&](std::string_view label, bool on) {
        const std::string caption = c.tr(label);
        const float wide = w.button_width(caption);
        return w.button(std::string(label), caption, flow.next(wide), {wide, w.px(size::target)},
                        on ? ButtonStyle::chosen : ButtonStyle::plain);
    };
    if (toggle(model::marked("Open ones only"), search.open_only)) search.open_only = !search.open_only;
    const std::string& unit = c.map().unit.name;
    if (c.has_unit() && toggle(model::marked("This unit only"), !search.unit.empty()))
        search.unit = search.unit.empty() ? unit : "";
    const float wide = w.button_width(c.tr("Begin a new job"));
    if (w.button("Begin a new job", c.tr("Begin a new job"), flow.next(wide), {wide, w.px(size::target)},
                 ButtonStyle::plain, c.has_unit(),
                 c.tr("On the unit that is open; the job before stays in the records"))) {
        c.commands.emplace_back(command::EditJob{job_edit::Begin{}});
        c.commands.emplace_back(command::ShowSheet{Sheet::job});
    }
    out.advance(flow.height());
    out.gap(1.5F);
    const bool other =
        before.words != search.words || before.open_only != search.open_only || before.unit != search.unit;
    if (other || !c.transient.jobs_asked) c.transient.ask_jobs = search;
    c.transient.jobs_asked = true;
}

void write_lines(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    if (c.shelf == nullptr) {
        out.note(c.tr("Looking into the records ..."));
        return;
    }
    const ShelfPage& page = *c.shelf;
    if (!page.trouble.empty()) {
        out.card("", c.tr("The records cannot be used"), page.trouble, true);
        return;
    }
    if (page.away)
        out.card("", c.tr("The server of the records is away"),
                 filled(c.tr("Until it is back, only jobs that were opened or worked on at this bench are searched and "
                             "counted. Work goes on here: {0} change waits for it.",
                             "Until it is back, only jobs that were opened or worked on at this bench are searched and "
                             "counted. Work goes on here: {0} changes wait for it.",
                             static_cast<std::size_t>(page.waiting)),
                        page.waiting),
                 false, w.colours.action);
    if (page.total == 0) {
        out.body(c.tr("No job yet. It begins by itself with the first reading, finding or text that you enter."));
        return;
    }
    if (page.lines.empty()) out.body(c.tr("No job fits. Fewer letters find more."));
    const std::string& here = c.session().document.job.id;
    for (const auto& line : page.lines) {
        std::string title = line.number.empty() ? line.unit : line.number + "  ·  " + line.unit;
        if (line.id == here) title += "  ·  " + c.tr("open here");
        std::string detail = stands_words(c, line);
        const auto add = [&](const std::string& text) {
            if (!text.empty()) detail += " · " + text;
        };
        add(line.customer);
        add(line.found.empty() ? "" : filled(c.tr("found: {0}"), line.found));
        add(local_time(c.tr, line.opened_at));
        if (!line.complaint.empty()) detail += "\n" + line.complaint;
        if (out.card("job " + line.id, title, detail, line.id == here, w.colours.action))
            c.transient.open_job = line.id;
    }
    if (page.lines.size() < page.total) out.note(filled(c.tr("{0} of {1} jobs"), page.lines.size(), page.total));
}

/// A name, and below it "7 of 11" with a bar.
void write_share(PanelContext& c, Writer& out, const std::string& name, long part, long whole) {
    const Widgets& w = c.w;
    out.text(w.fonts.body, w.colours.ink, name, 0.25F);
    const std::string figure = filled(c.tr("{0} of {1}"), part, whole);
    const float room = Widgets::measure(w.fonts.strong, filled(c.tr("{0} of {1}"), 100, 100)).x + w.px(10);
    const float bar = std::max(w.px(20), out.width() - room), wide = Widgets::measure(w.fonts.strong, figure).x;
    const ImVec2 at = out.at();
    ImDrawList* list = ImGui::GetWindowDrawList();
    const float y = at.y + w.px(4), height = w.px(9);
    const float share = whole > 0 ? std::min(1.0F, static_cast<float>(part) / static_cast<float>(whole)) : 0;
    list->AddRectFilled({at.x, y}, {at.x + bar, y + height}, u32(w.colours.rule), w.px(2));
    list->AddRectFilled({at.x, y}, {at.x + bar * share, y + height}, u32(w.colours.ink), w.px(2));
    w.text(w.fonts.strong, w.colours.ink, {at.x + out.width() - wide, at.y}, 0, figure);
    out.advance(w.fonts.strong->FontSize);
    out.gap(1);
}

void write_statistics(PanelContext& c, Writer& out) {
    if (c.shelf == nullptr || !c.shelf->trouble.empty() || c.shelf->statistics.units.empty()) return;
    const auto& statistics = c.shelf->statistics;
    constexpr std::size_t most_units = 8, most_seals = 6;
    out.text(c.w.fonts.title, c.w.colours.ink, c.tr("What this shop has seen"));
    for (std::size_t u = 0; u < std::min(most_units, statistics.units.size()); ++u) {
        const auto& unit = statistics.units[u];
        out.heading(unit.unit);
        std::string line = filled(c.tr("{0} job, {1} done", "{0} jobs, {1} done", static_cast<std::size_t>(unit.jobs)),
                                  unit.jobs, unit.done);
        if (unit.comebacks > 0) line += ", " + filled(c.tr("{0} came back"), unit.comebacks);
        if (unit.mean_hours > 0)
            line +=
                ", " + (unit.mean_hours < 48 ? filled(c.tr("{0:.0f} h from opened to done"), unit.mean_hours)
                                             : filled(c.tr("{0:.0f} days from opened to done"), unit.mean_hours / 24));
        out.note(line, 1);
        std::size_t shown = 0;
        for (const auto& seal : statistics.seals) {
            if (seal.unit != unit.unit || shown == most_seals) continue;
            write_share(c, out, seal.name.empty() ? seal.seal : seal.seal + "  " + seal.name, seal.failed, seal.jobs);
            ++shown;
        }
        if (shown == 0) out.note(c.tr("Nothing was found damaged yet."));
    }
}

} // namespace

void draw_records(PanelContext& c, const ImVec2& at, const ImVec2& extent) {
    Widgets& w = c.w;
    const float pad = w.px(size::padding), gap = w.px(4 * size::unit);
    if (w.begin_region("records", at, extent, w.colours.panel, true)) {
        const ImVec2 origin = ImGui::GetCursorScreenPos();
        const bool two = extent.x > w.px(820);
        const float inner = extent.x - 2 * pad - w.px(12), wide = two ? 0.58F * (inner - gap) : inner;
        Writer left(c, {origin.x + pad, origin.y + pad}, wide);
        write_search(c, left);
        write_lines(c, left);
        if (!two) left.gap(2);
        Writer right(c, two ? ImVec2{origin.x + pad + wide + gap, origin.y + pad} : left.at(),
                     two ? 0.42F * (inner - gap) : inner);
        write_statistics(c, right);
        w.content_ends_at({origin.x + pad, std::max(left.at().y, right.at().y) + w.px(2 * size::unit)});
    }
    w.end_region();
}

} // namespace ringland::viewer
