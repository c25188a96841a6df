// The way in: what comes off to reach the suspects, in which order, what is renewed, how it goes back, and what proves
// it.
#include "panels.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../app/actions.h"
#include "../app/outlook.h"
#include "words.h"
#include "writer.h"

namespace ringland::viewer {

namespace {

namespace plan = diagnosis::plan;

std::string minutes_words(double minutes) {
    if (minutes < 59.5) return fmt::format("{:.0f} min", minutes);
    const int all = static_cast<int>(std::lround(minutes));
    return fmt::format("{} h {:02} min", all / 60, all % 60);
}

std::string ids(const Translator& tr, const model::UnitMap& map, const std::vector<std::size_t>& seals,
                std::size_t most = 12) {
    std::vector<std::string> list;
    for (std::size_t i = 0; i < std::min(most, seals.size()); ++i)
        list.push_back(map.seals[seals[i]].id);
    std::string text = fmt::format("{}", fmt::join(list, ", "));
    if (seals.size() > most) text = filled(tr("{0} and {1} more"), text, seals.size() - most);
    return text;
}

std::string part_names(const Translator& tr, const model::UnitMap& map, const std::vector<std::size_t>& parts) {
    std::vector<std::string> list;
    list.reserve(parts.size());
    for (const std::size_t part : parts)
        list.push_back(tr.map_word(plan::part_name(map, part)));
    return fmt::format("{}", fmt::join(list, ", "));
}

/// Which seal the plan is for, as buttons: all that the readings suspect, or one of them.
void write_targets(PanelContext& c, Writer& out, const Asked& asked) {
    Widgets& w = c.w;
    const auto& map = c.map();
    const auto& selected = c.session().view.selected;
    const bool one = selected.kind == model::SubjectKind::seal;
    std::vector<std::string> offered;
    const auto offer = [&](const std::string& seal) {
        if (!seal.empty() && std::find(offered.begin(), offered.end(), seal) == offered.end() && offered.size() < 8)
            offered.push_back(seal);
    };
    const auto* weighed = c.derived().weighed.get();
    const bool read = weighed != nullptr && (!weighed->check.readings.empty() || !weighed->check.complaints.empty());
    if (read) {
        for (const auto& suspect : c.derived().weighed->weighing.suspects) {
            for (const std::size_t s : suspect.seals) {
                if (suspect.probability >= least_chance_shown) offer(map.seals[s].id);
            }
        }
    }
    if (c.derived().answer) {
        for (const auto& divider : c.derived().answer->seals)
            offer(divider.seal);
    }
    if (one) offer(selected.id);
    if (offered.size() < 2 && !read) return;
    Flow flow{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
    const auto button = [&](const std::string& label, const std::string& caption, bool chosen, model::Subject subject) {
        const float wide = std::max(w.px(64), w.button_width(caption));
        if (w.button(label, caption, flow.next(wide), {wide, w.px(size::target)},
                     chosen ? ButtonStyle::chosen : ButtonStyle::plain))
            c.commands.emplace_back(command::Select{std::move(subject)});
    };
    if (read) button("way to all", c.tr("All suspects"), !one, {});
    for (const auto& seal : offered) {
        const bool chosen =
            one ? selected.id == seal : !read && asked.seals.size() == 1 && map.seals[asked.seals[0]].id == seal;
        button("way to " + seal, seal, chosen, {model::SubjectKind::seal, seal});
    }
    out.advance(flow.height());
    out.gap(1);
}

/// A number in a disc, a title with a figure at the right, and notes below; true where it was pressed.
bool write_row(PanelContext& c, Writer& out, const std::string& label, std::size_t number, std::string_view title,
               std::string_view figure, const std::vector<std::string>& notes, std::string_view caution, bool chosen) {
    Widgets& w = c.w;
    const float pad = w.px(size::unit), disc = w.px(28), left = disc + 2 * pad;
    const float inner = out.width() - left - pad;
    const float wide = figure.empty() ? 0 : Widgets::measure(w.fonts.strong, figure).x + pad;
    float tall = w.text(w.fonts.strong, {}, {}, inner - wide, title, false);
    for (const auto& note : notes)
        tall += w.px(2) + w.text(w.fonts.note, {}, {}, inner, note, false);
    const float mark = caution.empty() ? 0 : w.px(20);
    if (!caution.empty()) tall += w.px(4) + w.text(w.fonts.note, {}, {}, inner - mark, caution, false);
    const ImVec2 at = out.at(), extent{out.width(), std::max(w.px(size::target), tall + 2 * pad)};
    const bool pressed = !label.empty() && w.pressed(label, at, extent, true, c.tr("Shows this step in the drawing"));
    const bool hovered = !label.empty() && w.hovered();
    ImVec4 ground = w.colours.raised;
    if (hovered || chosen) ground = mix(ground, w.colours.action, chosen ? 0.12F : 0.08F);
    w.card(at, extent, ground, chosen ? w.colours.action : w.colours.rule, w.px(chosen ? 2.0F : 1.0F));
    ImDrawList* list = ImGui::GetWindowDrawList();
    const ImVec2 middle{at.x + pad + disc / 2, at.y + pad + disc / 2};
    list->AddCircleFilled(middle, disc / 2, u32(w.colours.action), 28);
    const std::string digits = fmt::format("{}", number);
    const ImVec2 size_of = Widgets::measure(w.fonts.strong, digits);
    w.text(w.fonts.strong, w.colours.on_action, {middle.x - size_of.x / 2, middle.y - size_of.y / 2}, 0, digits);
    float y = at.y + pad;
    if (!figure.empty()) w.text(w.fonts.strong, w.colours.ink, {at.x + extent.x - wide, y}, 0, figure);
    y += w.text(w.fonts.strong, w.colours.ink, {at.x + left, y}, inner - wide, title);
    for (const auto& note : notes)
        y += w.px(2) + w.text(w.fonts.note, w.colours.second_ink, {at.x + left, y + w.px(2)}, inner, note);
    if (!caution.empty()) {
        y += w.px(4);
        const float s = w.px(13), x = at.x + left;
        list->AddTriangle({x, y + s}, {x + s / 2, y + w.px(1)}, {x + s, y + s}, u32(w.colours.suspect_ink), w.px(1.6F));
        list->AddLine({x + s / 2, y + w.px(5)}, {x + s / 2, y + w.px(9)}, u32(w.colours.suspect_ink), w.px(1.6F));
        w.text(w.fonts.note, w.colours.ink, {x + mark, y}, inner - mark, caution);
    }
    out.advance(extent.y);
    out.gap(0.75F);
    return pressed;
}

void write_search(PanelContext& c, Writer& out, const plan::SearchOrder& search) {
    const auto& map = c.map();
    if (search.steps.empty()) return;
    out.heading(c.tr("Which first"));
    out.body(search.steps.size() == 1
                 ? filled(c.tr("One step reaches all suspects: {0}."), minutes_words(search.worst_minutes))
                 : filled(c.tr("In this order the fault is found after {0} on average, {1} at most."),
                          minutes_words(search.expected_minutes), minutes_words(search.worst_minutes)) +
                       (search.exact ? "" : " " + c.tr("No order was proved to be better.")),
             1);
    std::size_t n = 0;
    for (const auto& step : search.steps) {
        const bool look = step.kind == plan::SearchStep::Kind::look;
        std::vector<std::string> notes;
        if (look && !step.seals.empty() && !map.seals[step.seals[0]].look.empty())
            notes.push_back(map.seals[step.seals[0]].look);
        if (!look) {
            notes.push_back(filled(c.tr("lets see {0}"), ids(c.tr, map, step.seals)));
        }
        notes.push_back(filled(c.tr("finds it with {0:.0f} %, {1:.0f} % with all before"), 100 * step.finds,
                               100 * step.found_so_far));
        const std::string title =
            look ? filled(c.tr("Look at {0}"), ids(c.tr, map, step.seals))
                 : (step.parts.empty() ? filled(c.tr("See {0}"), ids(c.tr, map, step.seals))
                                       : filled(c.tr("Take off {0}"), part_names(c.tr, map, step.parts)));
        static_cast<void>(write_row(c, out, "", ++n, title, minutes_words(step.minutes), notes, "", false));
    }
}

void write_teardown(PanelContext& c, Writer& out, const plan::Teardown& teardown) {
    Widgets& w = c.w;
    const auto& map = c.map();
    out.heading(c.tr("What comes off"));
    const float top = out.at().y;
    if (teardown.steps.empty()) {
        out.body(c.tr("Nothing: no part has to come off for this."));
    } else {
        const std::size_t count = teardown.steps.size();
        std::string sum =
            filled(teardown.untimed.empty() ? c.tr("{0} part, {1}.", "{0} parts, {1}.", count)
                                            : c.tr("{0} part, at least {1}.", "{0} parts, at least {1}.", count),
                   count, minutes_words(teardown.minutes));
        if (!teardown.untimed.empty())
            sum += " " + filled(c.tr("The map has no time for {0}."), part_names(c.tr, map, teardown.untimed));
        out.body(sum, 1);
    }
    out.mark("text way in", top);
    if (!teardown.steps.empty()) {
        Flow flow{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
        const std::string show = c.tr("Show it in the drawing");
        const float wide = w.button_width(show);
        if (w.button("show way in", show, flow.next(wide), {wide, w.px(size::target)}, ButtonStyle::primary))
            c.commands.emplace_back(command::TakeOff{1});
        const std::string together = c.tr("Together again");
        const float back = w.button_width(together);
        if (w.button("way in together", together, flow.next(back), {back, w.px(size::target)}, ButtonStyle::plain,
                     c.session().view.taking.to > 0))
            c.commands.emplace_back(command::TakeOff{0});
        out.advance(flow.height());
        out.gap(1);
    }
    for (std::size_t i = 0; i < teardown.steps.size(); ++i) {
        const auto& step = teardown.steps[i];
        std::vector<std::string> notes;
        if (!step.uncovers.empty()) notes.push_back(filled(c.tr("uncovers {0}"), ids(c.tr, map, step.uncovers)));
        if (!step.tools.empty()) notes.push_back(step.tools);
        for (const std::size_t clearance : step.clearances)
            notes.push_back(filled(c.tr("measure: {0}"), map.clearances[clearance].name));
        const bool now = std::lround(c.session().view.taking.to) == static_cast<long>(i) + 1;
        if (write_row(c, out, fmt::format("take off {}", i + 1), i + 1, c.tr.map_word(plan::part_name(map, step.part)),
                      step.minutes ? minutes_words(*step.minutes) : c.tr("no time"), notes, step.caution, now))
            c.commands.emplace_back(command::TakeOff{static_cast<double>(i + 1)});
    }
    for (const auto& missing : teardown.missing)
        out.note(missing);
    if (!teardown.unplaced.empty())
        out.note(fmt::format("The map does not say what has to come off for {}.", ids(c.tr, map, teardown.unplaced)));
}

/// How many are needed and how many lie on the shelf.
std::string stock_words(const Translator& tr, const plan::PartLine& line) {
    if (!line.in_stock) return "";
    if (line.short_by > 0) return filled(tr("{0} in stock, short by {1}"), *line.in_stock, line.short_by);
    return filled(tr("{0} in stock"), *line.in_stock) + (line.place.empty() ? "" : ", " + line.place);
}

void write_part_line(PanelContext& c, Writer& out, const plan::PartLine& line) {
    Widgets& w = c.w;
    const auto& map = c.map();
    const std::string count =
        line.extra > 0 ? fmt::format("{} + {}", line.quantity, line.extra) : fmt::format("{}", line.quantity);
    const float wide = w.px(64);
    const ImVec2 at = out.at();
    std::string title = line.name;
    if (!line.seals.empty() && title.find(map.seals[line.seals[0]].id) == std::string::npos)
        title += " · " + ids(c.tr, map, line.seals);
    std::string note = line.part_number.empty() ? c.tr("no number on the map") : line.part_number;
    if (const std::string stock = stock_words(c.tr, line); !stock.empty()) note += " · " + stock;
    if (line.extra > 0) note += " · " + c.tr("one more: it often spoils when it is fitted");
    w.text(w.fonts.strong, w.colours.ink, at, wide, count);
    float tall = w.text(w.fonts.body, w.colours.ink, {at.x + wide, at.y}, out.width() - wide, title);
    tall += w.text(w.fonts.note, line.short_by > 0 ? w.colours.suspect_ink : w.colours.second_ink,
                   {at.x + wide, at.y + tall}, out.width() - wide, note);
    out.advance(tall);
    out.gap(0.75F);
}

void write_parts(PanelContext& c, Writer& out, const plan::PartsList& parts) {
    if (parts.kits.empty()) return;
    out.heading(c.tr("What is renewed"));
    const float top = out.at().y;
    for (const auto& kit : parts.kits) {
        std::string title = kit.kit.empty() ? c.tr("Single parts") : kit.kit;
        if (kit.in_stock) title += " · " + filled(c.tr("{0} in stock"), *kit.in_stock);
        if (!kit.place.empty()) title += ", " + kit.place;
        out.text(c.w.fonts.strong, c.w.colours.second_ink, title, 0.75F);
        for (const auto& line : kit.lines)
            write_part_line(c, out, line);
        out.gap(0.5F);
    }
    if (!parts.stock_known)
        out.note(c.tr("With a file stock.toml beside the air bench's, what lies on the shelf stands here."));
    out.mark("text parts", top);
}

void write_back(PanelContext& c, Writer& out, const plan::PlanAnswer& answer) {
    const auto& map = c.map();
    if (answer.back.empty()) return;
    out.heading(c.tr("The way back"));
    for (std::size_t i = 0; i < answer.back.size(); ++i) {
        const auto& step = answer.back[i];
        std::vector<std::string> notes;
        if (!step.seals.empty()) notes.push_back(filled(c.tr("fit {0}"), ids(c.tr, map, step.seals)));
        for (const auto& note : step.notes)
            notes.push_back(note.words);
        for (const std::size_t clearance : step.clearances)
            notes.push_back(filled(c.tr("measure: {0}"), map.clearances[clearance].name));
        static_cast<void>(write_row(c, out, "", i + 1,
                                    filled(c.tr("{0} goes on"), c.tr.map_word(plan::part_name(map, step.part))), "",
                                    notes, step.caution, false));
    }
}

void write_proof(PanelContext& c, Writer& out, const plan::PlanAnswer& answer) {
    const auto& map = c.map();
    out.heading(c.tr("What proves it"));
    if (!answer.proof) {
        out.note(c.tr("The retest is being worked out."));
        return;
    }
    const auto& proof = *answer.proof;
    if (proof.readings.empty())
        out.body(c.tr("No reading at a port shows whether these seals hold: look at them before the unit is closed."));
    for (const auto& reading : proof.readings) {
        std::vector<std::string> loud;
        for (const auto& at : reading.expected.at) {
            if (at.word != diagnosis::airflow::Heard::nothing && at.port != reading.into)
                loud.push_back(fmt::format("{} {}", port_title(map, map.ports[static_cast<std::size_t>(at.port)].id),
                                           c.tr.word(at.word)));
        }
        out.card("",
                 filled(c.tr("Air into {0}"), port_title(map, map.ports[static_cast<std::size_t>(reading.into)].id)),
                 filled(c.tr("proves {0}."), ids(c.tr, map, reading.proves)) + " " +
                     (loud.empty() ? c.tr("A healthy unit is silent at every port.")
                                   : filled(c.tr("A healthy unit shows {0}; silent elsewhere."),
                                            fmt::format("{}", fmt::join(loud, ", ")))),
                 false);
    }
    for (const auto& each : proof.unproved)
        out.note(fmt::format("{}: {}", map.seals[each.seal].id, each.why));
}

} // namespace

void draw_plan(PanelContext& c, const ImVec2& at, const ImVec2& extent) {
    Widgets& w = c.w;
    const float pad = w.px(size::padding), gap = w.px(4 * size::unit);
    if (w.begin_region("plan", at, extent, w.colours.panel, true)) {
        const ImVec2 origin = ImGui::GetCursorScreenPos();
        const float inner = extent.x - 2 * pad - w.px(12);
        Writer top(c, {origin.x + pad, origin.y + pad}, inner);
        const Asked asked = asked_for(c.session(), c.derived());
        if (!c.has_unit()) {
            top.text(w.fonts.title, w.colours.ink, c.tr("No unit is open"));
            top.body(c.tr("Drag its map onto this window first."));
        } else if (asked.seals.empty()) {
            top.text(w.fonts.answer, w.colours.ink, c.tr("The way in"));
            top.body(c.tr(
                "Which seal is to be reached? Make the air check, ask about two ports, or press a seal in the strip "
                "below: what comes off for it, what is renewed and how it goes back stands here then."));
        } else {
            const bool many = !asked.chance.empty();
            top.text(w.fonts.answer, w.colours.ink,
                     many ? c.tr("The way in to the suspects")
                          : filled(c.tr("The way in to {0}"), c.map().seals[asked.seals[0]].id));
            write_targets(c, top, asked);
            if (!c.derived().way) {
                top.body(c.tr("The plan is being worked out."));
            } else {
                const auto& answer = c.derived().way->plan;
                const std::string print = c.tr("Print a work sheet");
                if (w.button("print work sheet", print, top.at(), {w.button_width(print), w.px(size::target)},
                             ButtonStyle::plain, answer.proof.has_value(),
                             c.tr("A PDF to tick off at the bench; it goes into your documents folder")))
                    c.transient.print_plan = true;
                top.advance(w.px(size::target));
                top.gap(1);
                const bool two = extent.x > w.px(820);
                const float wide = two ? (inner - gap) / 2 : inner;
                const ImVec2 below = top.at();
                Writer left(c, below, wide);
                if (answer.search && answer.search->steps.size() > 1) write_search(c, left, *answer.search);
                write_teardown(c, left, answer.teardown);
                Writer right(c, two ? ImVec2{below.x + wide + gap, below.y} : left.at(), wide);
                write_parts(c, right, answer.parts);
                write_proof(c, right, answer);
                Writer last(c, two ? (left.at().y < right.at().y ? left.at() : right.at()) : right.at(), wide);
                write_back(c, last, answer);
                last.heading(c.tr("Mind"));
                for (const auto& caution : answer.cautions)
                    last.note(caution);
                top.advance(std::max({left.at().y, right.at().y, last.at().y}) - below.y);
            }
        }
        top.gap(2);
        w.content_ends_at({origin.x + pad, top.at().y});
    }
    w.end_region();
}

} // namespace ringland::viewer
