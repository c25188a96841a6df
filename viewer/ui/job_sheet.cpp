// The job: where it stands, what the customer says, the air checks, what was found, measured and renewed.
#include "panels.h"

#include <algorithm>
#include <array>
#include <filesystem>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "job_parts.h"
#include "words.h"
#include "writer.h"

namespace ringland::viewer {

namespace {

namespace edit = job_edit;
using model::find;
using model::JobStep;

constexpr std::array<std::string_view, model::job_step_count> step_names{
    model::marked("Air check"), model::marked("Weigh"),    model::marked("Take apart"), model::marked("Find"),
    model::marked("Renew"),     model::marked("Close up"), model::marked("Retest"),     model::marked("Done")};

std::string step_hint(const PanelContext& c, JobStep step) {
    switch (step) {
    case JobStep::check:
        return c.tr("Next: air into the first port. The air check says which one tells most.");
    case JobStep::weigh:
        return c.tr("Next: go on with the readings until one part is sure enough to come off.");
    case JobStep::take_apart:
        return c.tr("Next: take off what the suspects ask for. Tick it when it is on the bench.");
    case JobStep::find:
        return c.tr("Next: look at the suspects and say below what you find, sound ones too.");
    case JobStep::renew:
        return c.tr(
            "Next: renew what was damaged and what must be new after it was disturbed, and write it down below.");
    case JobStep::close_up:
        return c.tr("Next: close the unit up. Tick it when the test plate is on again.");
    case JobStep::retest:
        return c.tr("Next: begin the retest, and blow the same ports as before.");
    case JobStep::done:
        return c.tr("Next: write the conclusion, make the customer's page, and tick the job as done.");
    }
    return {};
}

/// The steps as a row of buttons joined by a line; a disc with a tick stands for what is over.
void write_walk(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const model::Job& job = c.session().document.job;
    const auto over = model::steps_over(job);
    const JobStep now = model::where_it_stands(job);
    const bool all = over.back();
    Flow flow{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
    for (std::size_t i = 0; i < step_names.size(); ++i) {
        const JobStep step = static_cast<JobStep>(i);
        const std::string name = c.tr(step_names[i]);
        const float mark = w.px(26), wide = Widgets::measure(w.fonts.strong, name).x + mark + w.px(26);
        const ImVec2 at = flow.next(wide), extent{wide, w.px(size::target)};
        const bool here = step == now && !all;
        if (w.button("step " + std::string(model::word(step)), "", at, extent,
                     here ? ButtonStyle::chosen : ButtonStyle::plain, true,
                     over[i] ? c.tr("Over. Press to take the tick back") : c.tr("Press when this is over")))
            c.commands.emplace_back(command::EditJob{edit::Tick{step, !over[i]}});
        ImDrawList* list = ImGui::GetWindowDrawList();
        const ImVec2 middle{at.x + w.px(20), at.y + extent.y / 2};
        const float radius = w.px(9);
        if (over[i]) {
            draw_tick(w, middle, radius);
        } else {
            list->AddCircle(middle, radius, u32(here ? w.colours.action : w.colours.border), 24, w.px(1.6F));
        }
        w.line(w.fonts.strong, over[i] || here ? w.colours.ink : w.colours.second_ink,
               {at.x + w.px(20) + radius + w.px(8), at.y + (extent.y - w.fonts.strong->FontSize) / 2}, wide - mark,
               name);
    }
    out.advance(flow.height());
    out.gap(1);
}

void write_head(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const model::Job& job = c.session().document.job;
    const float top = out.at().y;
    out.text(w.fonts.answer, w.colours.ink,
             job.id.empty()            ? c.tr("No job yet")
             : job.head.number.empty() ? filled(c.tr("Job on {0}"), c.map().unit.name)
                                       : filled(c.tr("Job {0}"), job.head.number));
    if (job.id.empty()) {
        out.body(c.tr("It begins by itself with the first thing that you enter: a reading, the complaint, a finding."));
    } else if (model::steps_over(job).back()) {
        out.body(filled(c.tr("Done. {0}, begun {1}."), c.map().unit.name, local_time(c.tr, job.head.opened_at)));
    } else {
        out.body(step_hint(c, model::where_it_stands(job)));
    }
    out.mark("text job", top);
    write_walk(c, out);
}

void write_customer(PanelContext& c, Writer& out) {
    const model::JobHead& head = c.session().document.job.head;
    out.heading(c.tr("The unit came with"));
    const float gap = c.w.px(size::unit), half = (out.width() - gap) / 2;
    Writer left(c, out.at(), half), right(c, {out.at().x + half + gap, out.at().y}, half);
    head_field(c, left, edit::Field::number, c.tr("Number, as on its tag"), head.number, 1);
    head_field(c, right, edit::Field::who, c.tr("Who works on it"), head.who, 1);
    out.advance(std::max(left.at().y, right.at().y) - out.at().y);
    head_field(c, out, edit::Field::customer, c.tr("Customer"), head.customer, 1);
    head_field(c, out, edit::Field::complaint, c.tr("Complaint, in the customer's words"), head.complaint, 2);
}

std::string check_detail(const PanelContext& c, const model::JobCheck& check) {
    std::vector<std::string> parts;
    const auto count = check.readings.size();
    parts.push_back(count == 0 ? c.tr("no reading yet") : filled(c.tr("{0} reading", "{0} readings", count), count));
    if (!check.looks.empty())
        parts.push_back(filled(c.tr("{0} look", "{0} looks", check.looks.size()), check.looks.size()));
    if (!check.at.empty()) parts.push_back(local_time(c.tr, check.at));
    if (!check.who.empty()) parts.push_back(check.who);
    return fmt::format("{}", fmt::join(parts, " · "));
}

void write_checks(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const Document& d = c.session().document;
    out.heading(c.tr("Air checks"));
    for (std::size_t i = 0; i < d.job.checks.size(); ++i) {
        const auto& check = d.job.checks[i];
        const bool retest = check.purpose == model::CheckPurpose::retest;
        if (out.card(fmt::format("air check {}", i + 1),
                     fmt::format("{}. {}", i + 1, retest ? c.tr("Retest") : c.tr("Before it was opened")),
                     check_detail(c, check), i == d.check_at, w.colours.action)) {
            if (i != d.check_at) c.commands.emplace_back(command::EditJob{edit::ShowCheck{static_cast<int>(i) + 1}});
            c.commands.emplace_back(command::ShowSheet{Sheet::check});
        }
    }
    if (d.job.checks.empty()) out.note(c.tr("None yet."));
    const auto& freely = d.job.checks.empty() ? std::optional<bool>() : d.job.checks[d.check_at].turns_freely;
    w.line(w.fonts.body, w.colours.ink, out.at(), out.width(), c.tr("The shafts turn freely, both ways"));
    out.advance(w.fonts.body->FontSize);
    out.gap(0.5F);
    constexpr std::array<std::string_view, 3> captions{model::marked("Yes"), model::marked("No"),
                                                       model::marked("Not tried")};
    const std::array<std::optional<bool>, 3> values{true, false, std::nullopt};
    Flow flow{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
    for (std::size_t k = 0; k < captions.size(); ++k) {
        const std::string caption = c.tr(captions[k]);
        const float wide = std::max(w.px(92), w.button_width(caption));
        if (w.button("turns " + std::string(captions[k]), caption, flow.next(wide), {wide, w.px(size::target)},
                     freely == values[k] ? ButtonStyle::chosen : ButtonStyle::plain))
            c.commands.emplace_back(command::EditJob{edit::Turns{values[k]}});
    }
    out.advance(flow.height());
    out.gap(1);
    // Once it is time for the retest, its button stands at the head of the sheet.
    const bool at_head = c.bench.compares_tests() && model::last_check(d.job, model::CheckPurpose::retest) == nullptr;
    if (!at_head) write_begin_retest(c, out, ButtonStyle::plain);
}

void write_notes(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const model::Job& job = c.session().document.job;
    out.heading(c.tr("Notes"));
    const float drop = w.px(size::target);
    for (std::size_t i = 0; i < job.notes.size(); ++i) {
        const auto& note = job.notes[i];
        const ImVec2 at = out.at();
        Writer card(c, at, out.width() - drop - w.px(4));
        card.card("", note.text, local_time(c.tr, note.at) + (note.who.empty() ? "" : " · " + note.who), false);
        if (w.button(fmt::format("drop note {}", i + 1), "×", {at.x + out.width() - drop, at.y}, {drop, drop},
                     ButtonStyle::plain, true, c.tr("Take this note out; undo brings it back")))
            c.commands.emplace_back(command::EditJob{edit::DropNote{static_cast<int>(i) + 1}});
        out.advance(card.at().y - at.y);
    }
    std::string& text = c.transient.note_text;
    const float add = w.button_width(c.tr("Add")), field = out.width() - add - w.px(size::unit);
    const ImVec2 at = out.at();
    const float height = w.field_height(field, text);
    static_cast<void>(w.field("field note", at, field, text, 1, c.tr("A note on this job")));
    if (w.button("Add note", c.tr("Add"), {at.x + field + w.px(size::unit), at.y}, {add, w.px(size::target)},
                 ButtonStyle::plain, !text.empty())) {
        c.commands.emplace_back(command::EditJob{edit::Note{text}});
        text.clear();
    }
    out.advance(height);
    out.gap(1);
}

void write_end(PanelContext& c, Writer& out) {
    out.heading(c.tr("Conclusion"));
    head_field(c, out, edit::Field::conclusion, c.tr("What was wrong and what was done, for the customer's page"),
               c.session().document.job.head.conclusion, 3);
}

/// Two ways to have it, side by side, by their English words; true where the other one was pressed.
bool write_choice(PanelContext& c, Flow& flow, std::string_view first, std::string_view second, bool second_now) {
    Widgets& w = c.w;
    bool other = false;
    for (const bool is_second : {false, true}) {
        const std::string_view label = is_second ? second : first;
        const std::string caption = c.tr(label);
        const float wide = w.button_width(caption);
        const bool now = is_second == second_now;
        if (w.button("page " + std::string(label), caption, flow.next(wide), {wide, w.px(size::target)},
                     now ? ButtonStyle::chosen : ButtonStyle::plain) &&
            !now)
            other = true;
    }
    return other;
}

/// The page that the customer is given: how it is to be, and one button that makes it.
void write_page(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    Transient& t = c.transient;
    t.page.a4 = t.page_a4.value_or(c.session().view.units == UnitSystem::bar_mm);
    out.heading(c.tr("Customer's page"));
    Flow flow{out.at(), out.width(), w.px(size::target), w.px(4)};
    if (write_choice(c, flow, model::marked("To print (PDF)"), model::marked("For a browser"), t.page.browser))
        t.page.browser = !t.page.browser;
    flow.x += w.px(size::unit);
    for (const std::string& code : language_codes()) {
        const std::string name = language_name(code);
        const float wide = w.button_width(name);
        if (w.button("page " + name, name, flow.next(wide), {wide, w.px(size::target)},
                     t.page.language == code ? ButtonStyle::chosen : ButtonStyle::plain))
            t.page.language = code;
    }
    flow.x += w.px(size::unit);
    if (!t.page.browser && write_choice(c, flow, model::marked("Letter"), "A4", t.page.a4)) t.page_a4 = !t.page.a4;
    out.advance(flow.height());
    out.gap(1);
    const auto field = [&](const char* label, std::string_view title, std::string& text, std::string_view hint) {
        w.line(w.fonts.note, w.colours.second_ink, out.at(), out.width(), title);
        out.advance(w.fonts.note->FontSize + w.px(3));
        const float height = w.field_height(out.width(), text);
        t.keep_sign = w.field(label, out.at(), out.width(), text, 1, hint).settled || t.keep_sign;
        out.advance(height);
        out.gap(1);
    };
    field("field shop name", c.tr("Name of the shop, at the head"), t.sign.name, "");
    field("field shop logo", c.tr("Its sign, a PNG file"), t.sign.logo, c.tr("None"));
    const std::string make = c.tr(make_page_label);
    const float wide = w.button_width(make);
    const bool done = model::where_it_stands(c.session().document.job) == JobStep::done;
    if (w.button(std::string(make_page_label), make, out.at(), {wide, w.px(size::target)},
                 done ? ButtonStyle::primary : ButtonStyle::plain, !c.session().document.job.id.empty()))
        t.make_page = t.page;
    out.advance(w.px(size::target));
    out.gap(1);
    out.note(
        c.tr("What was found and done, before and after, with the place marked in a picture. The file goes into your "
             "documents folder; nothing there is replaced."));
}

} // namespace

void draw_job(PanelContext& c, const ImVec2& at, const ImVec2& extent) {
    Widgets& w = c.w;
    const float pad = w.px(size::padding), gap = w.px(4 * size::unit);
    if (w.begin_region("job", at, extent, w.colours.panel, true)) {
        const ImVec2 origin = ImGui::GetCursorScreenPos();
        const float inner = extent.x - 2 * pad - w.px(12);
        Writer top(c, {origin.x + pad, origin.y + pad}, inner);
        if (!c.has_unit()) {
            top.text(w.fonts.title, w.colours.ink, c.tr("No unit is open"));
            top.body(c.tr("A job is always on a unit. Drag a map onto this window, or find an earlier job."));
        } else {
            write_head(c, top);
            write_retest(c, top);
            const bool two = extent.x > w.px(820);
            const float wide = two ? (inner - gap) / 2 : inner;
            const ImVec2 below = top.at();
            Writer left(c, below, wide);
            write_customer(c, left);
            write_checks(c, left);
            if (!two) left.gap(1);
            Writer right(c, two ? ImVec2{below.x + wide + gap, below.y} : left.at(), wide);
            write_ahead(c, right);
            write_findings(c, right);
            write_measurements(c, right);
            write_renewed(c, right);
            Writer last(c, two ? left.at() : right.at(), wide);
            write_notes(c, last);
            write_end(c, last);
            write_page(c, last);
            top.advance(std::max({left.at().y, right.at().y, last.at().y}) - below.y);
        }
        top.gap(2);
        w.content_ends_at({origin.x + pad, top.at().y});
    }
    w.end_region();
}

} // namespace ringland::viewer
