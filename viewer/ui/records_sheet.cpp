// The jobs of the shop: find one and go on with it; what fails on which unit.
#include "panels.h"

#include <algorithm>

#include <fmt/format.h>

#include "job_parts.h"
#include "writer.h"

namespace ringland::viewer {

namespace {

namespace records = diagnosis::records;

ImU32 u32(const ImVec4& c) { return ImGui::ColorConvertFloat4ToU32(c); }

std::string_view stands_words(const records::JobLine& line) {
    if (line.done) return "done";
    switch (line.stands) {
    case model::JobStep::check:
        return "to be checked";
    case model::JobStep::weigh:
        return "being weighed";
    case model::JobStep::take_apart:
        return "to be taken apart";
    case model::JobStep::find:
        return "apart: look";
    case model::JobStep::renew:
        return "to be renewed";
    case model::JobStep::close_up:
        return "to be closed";
    case model::JobStep::retest:
        return "to be retested";
    case model::JobStep::done:
        return "to be finished";
    }
    return {};
}

void write_search(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    records::Search& search = c.transient.job_search;
    const records::Search before = search;
    out.text(w.fonts.answer, w.colours.ink, "Jobs of this shop");
    const float height = w.field_height(out.width(), search.words);
    static_cast<void>(w.field("field find job", out.at(), out.width(), search.words, 1,
                              "Number, customer, complaint, finding: the beginnings of words are enough"));
    out.advance(height);
    out.gap(1);
    Flow flow{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
    const auto toggle = [&](const char* caption, bool on) {
        const float wide = w.button_width(caption);
        return w.button(caption, caption, flow.next(wide), {wide, w.px(size::target)},
                        on ? ButtonStyle::chosen : ButtonStyle::plain);
    };
    if (toggle("Open ones only", search.open_only)) search.open_only = !search.open_only;
    const std::string& unit = c.map().unit.name;
    if (c.has_unit() && toggle("This unit only", !search.unit.empty())) search.unit = search.unit.empty() ? unit : "";
    const float wide = w.button_width("Begin a new job");
    if (w.button("Begin a new job", "Begin a new job", flow.next(wide), {wide, w.px(size::target)}, ButtonStyle::plain,
                 c.has_unit(), "On the unit that is open; the job before stays in the records")) {
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
        out.note("Looking into the records ...");
        return;
    }
    const ShelfPage& page = *c.shelf;
    if (!page.trouble.empty()) {
        out.card("", "The records cannot be used", page.trouble, true);
        return;
    }
    if (page.away)
        out.card("", "The server of the records is away",
                 fmt::format("Until it is back, only jobs that were opened or worked on at this bench are searched and "
                             "counted. Work goes on here: {} {} for it.",
                             page.waiting, page.waiting == 1 ? "change waits" : "changes wait"),
                 false, w.colours.action);
    if (page.total == 0) {
        out.body("No job yet. It begins by itself with the first reading, finding or text that you enter.");
        return;
    }
    if (page.lines.empty()) out.body("No job fits. Fewer letters find more.");
    const std::string& here = c.session().document.job.id;
    for (const auto& line : page.lines) {
        std::string title = line.number.empty() ? line.unit : line.number + "  ·  " + line.unit;
        if (line.id == here) title += "  ·  open here";
        std::string detail(stands_words(line));
        const auto add = [&](const std::string& text) {
            if (!text.empty()) detail += " · " + text;
        };
        add(line.customer);
        add(line.found.empty() ? "" : "found: " + line.found);
        add(local_time(line.opened_at));
        if (!line.complaint.empty()) detail += "\n" + line.complaint;
        if (out.card("job " + line.id, title, detail, line.id == here, w.colours.action))
            c.transient.open_job = line.id;
    }
    if (page.lines.size() < page.total) out.note(fmt::format("{} of {} jobs", page.lines.size(), page.total));
}

/// A name, and below it "7 of 11" with a bar.
void write_share(PanelContext& c, Writer& out, const std::string& name, long part, long whole) {
    const Widgets& w = c.w;
    out.text(w.fonts.body, w.colours.ink, name, 0.25F);
    const std::string figure = fmt::format("{} of {}", part, whole);
    const float room = Widgets::measure(w.fonts.strong, "100 of 100").x + w.px(10);
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
    out.text(c.w.fonts.title, c.w.colours.ink, "What this shop has seen");
    for (std::size_t u = 0; u < std::min(most_units, statistics.units.size()); ++u) {
        const auto& unit = statistics.units[u];
        out.heading(unit.unit);
        std::string line = fmt::format("{} {}, {} done", unit.jobs, unit.jobs == 1 ? "job" : "jobs", unit.done);
        if (unit.comebacks > 0) line += fmt::format(", {} came back", unit.comebacks);
        if (unit.mean_hours > 0)
            line += unit.mean_hours < 48 ? fmt::format(", {:.0f} h from opened to done", unit.mean_hours)
                                         : fmt::format(", {:.0f} days from opened to done", unit.mean_hours / 24);
        out.note(line, 1);
        std::size_t shown = 0;
        for (const auto& seal : statistics.seals) {
            if (seal.unit != unit.unit || shown == most_seals) continue;
            write_share(c, out, seal.name.empty() ? seal.seal : seal.seal + "  " + seal.name, seal.failed, seal.jobs);
            ++shown;
        }
        if (shown == 0) out.note("Nothing was found damaged yet.");
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
