// What the readings say: suspects with their chances and reasons, what comes off, the next step, the readings so far.
#include "panels.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../../diagnosis/suspects/answer.h"
#include "../../diagnosis/suspects/groups.h"
#include "../../diagnosis/suspects/likelihood.h"
#include "words.h"
#include "writer.h"

namespace ringland::viewer {

namespace {

namespace suspects = diagnosis::suspects;

ImU32 u32(const ImVec4& c) { return ImGui::ColorConvertFloat4ToU32(c); }

std::string percent(double p) {
    if (p > 0.995) return "over 99 %";
    if (p < 0.01) return "below 1 %";
    return fmt::format("{:.0f} %", p * 100);
}

std::string names_of(const model::UnitMap& map, const suspects::Suspect& suspect) {
    std::string names;
    for (const std::size_t s : suspect.seals)
        names += (names.empty() ? "" : " and ") + map.seals[s].id;
    return names;
}

std::string size_words(const suspects::Suspect& suspect, UnitSystem units) {
    if (suspect.seals.size() > 1) return "two faults together";
    const std::string size = length_words(model::mm(suspect.hole_mm), units);
    if (suspect.hole_mm_high <= suspect.hole_mm_low * 1.01) return "hole of about " + size;
    return fmt::format("hole of about {}, between {} and {}", size, length_words(model::mm(suspect.hole_mm_low), units),
                       length_words(model::mm(suspect.hole_mm_high), units));
}

/// One suspect: id, chance as bar and figure, place, size; its reasons where it is the one that is looked at.
void write_suspect(PanelContext& c, Writer& out, std::size_t n, bool open) {
    Widgets& w = c.w;
    const auto& weighed = *c.derived().weighed;
    const auto& suspect = weighed.weighing.suspects[n];
    const auto& seal = c.map().seals[suspect.seals.front()];
    const float pad = w.px(1.25F * size::unit), inner = out.width() - 2 * pad;
    std::string detail = suspect.seals.size() == 1 ? place_words(c.map(), seal, c.session().view.lying) + " · " : "";
    detail += size_words(suspect, c.session().view.units);
    // The strip shows each seal with all that it may be part of.
    const double at_all = weighed.weighing.seal_probability[suspect.seals.front()];
    if (suspect.seals.size() == 1 && at_all > suspect.probability + 0.02)
        detail += fmt::format(" · {} counting two faults together", percent(at_all));
    for (const auto& line : c.bench.shop()) {
        if (suspect.seals.size() == 1 && line.seal == seal.id)
            detail += fmt::format(" · your shop: {} of {}", line.failed, line.jobs);
    }
    std::string reasons;
    if (open && n < weighed.reasons.size()) {
        for (const auto& line : weighed.reasons[n].for_it)
            reasons += "\n+ " + line;
        for (const auto& line : weighed.reasons[n].against_it)
            reasons += "\n− " + line;
    }
    const std::string names = names_of(c.map(), suspect);
    const float title_h = w.fonts.title->FontSize + w.px(4);
    const float detail_h = w.text(w.fonts.note, {}, {}, inner, detail + reasons, false);
    const ImVec2 at = out.at(), extent{out.width(), title_h + detail_h + 2 * pad};
    const bool now = w.pressed("weighed " + names, at, extent);
    const bool hovered = w.hovered();
    if (hovered) c.transient.pointed_suspect = seal.id;
    const bool chosen = c.session().view.selected == model::Subject{model::SubjectKind::seal, seal.id};
    w.card(at, extent, hovered ? mix(w.colours.raised, w.colours.action, 0.08F) : w.colours.raised,
           n == 0   ? w.colours.suspect
           : chosen ? w.colours.action
                    : w.colours.border,
           w.px(n == 0 || chosen ? 2.0F : 1.0F));
    w.line(w.fonts.title, w.colours.ink, {at.x + pad, at.y + pad}, 0.42F * inner, names);
    draw_chance(w, {at.x + pad + 0.44F * inner, at.y + pad}, 0.56F * inner, suspect.probability,
                n == 0 ? w.colours.suspect : w.colours.ink);
    w.text(w.fonts.note, w.colours.second_ink, {at.x + pad, at.y + pad + title_h}, inner, detail + reasons);
    out.advance(extent.y);
    out.gap(0.75F);
    if (now) c.commands.emplace_back(command::Select{{model::SubjectKind::seal, chosen ? "" : seal.id}});
    if (now && chosen) c.commands.back() = command::Select{};
}

void write_pull(PanelContext& c, Writer& out) {
    const auto& weighed = *c.derived().weighed;
    const auto& w = weighed.weighing;
    if (w.groups.empty()) return;
    const auto& best = w.groups.front();
    const auto& group = weighed.groups[best.group];
    const std::string off = suspects::group_words(c.map(), group);
    const bool done = weighed.advised && weighed.advice.exhausted;
    if (w.enough) {
        const auto unblown = suspects::ports_without_air(c.map(), c.session().document.check);
        std::string more;
        if (!unblown.empty())
            more = fmt::format(" No air went into {} yet: a second fault there would stay unseen.",
                               fmt::join(unblown, ", "));
        out.card("", fmt::format("Enough: {} it is there", percent(best.probability)),
                 fmt::format("Take off: {}. About {:.0f} min.{}", off, group.minutes, more), true);
    } else if (w.nothing_wrong > 0.95 && suspects::ports_without_air(c.map(), c.session().document.check).empty()) {
        out.card("", fmt::format("Nothing wrong: {}", percent(w.nothing_wrong)), "As far as air can tell.", false);
    } else if (done && best.probability > 0.3) {
        out.card("", "Air can tell no more",
                 fmt::format("What is left sounds alike. Begin with: {}. {}, about {:.0f} min.", off,
                             percent(best.probability), group.minutes),
                 false);
    }
}

void write_next(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const auto& weighed = *c.derived().weighed;
    if (!weighed.advised) {
        out.note("The next step is being worked out ...");
        return;
    }
    if (weighed.advice.steps.empty()) return;
    const auto& step = weighed.advice.steps.front();
    const bool second = weighed.advice.second;
    out.heading(second ? "Is there a second fault?" : weighed.weighing.enough ? "To be surer still" : "Next");
    out.body(step.words);
    const bool reading = step.into >= 0;
    if (reading) {
        const float wide = std::min(out.width(), w.button_width("Set it up"));
        if (w.button("Set it up", "Set it up", out.at(), {wide, w.px(size::target)},
                     weighed.weighing.enough || second ? ButtonStyle::plain : ButtonStyle::primary, true,
                     "Puts this reading into the air check"))
            c.commands.emplace_back(command::BeginReading{suspects::reading_of(c.map(), step)});
        out.advance(w.px(size::target));
        out.gap(0.5F);
    } else {
        const bool rig = step.seal < 0;
        const std::string what(rig ? std::string(model::the_rig)
                                   : c.map().seals[static_cast<std::size_t>(step.seal)].id);
        Flow flow{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
        for (const model::Found found : {model::Found::sound, model::Found::damaged}) {
            const std::string caption =
                rig ? std::string(found == model::Found::sound ? "The rig is tight" : "The rig leaks")
                    : fmt::format("It is {}", model::word(found));
            const float wide = w.button_width(caption);
            if (w.button("looked " + std::string(model::word(found)), caption, flow.next(wide),
                         {wide, w.px(size::target)}, ButtonStyle::plain))
                c.commands.emplace_back(command::LookedAt{what, found});
        }
        out.advance(flow.height());
        out.gap(0.5F);
    }
    out.note(fmt::format("Tells {:.2f} of {:.2f} bits about {}, in {:.1f} min.", step.bits, weighed.advice.entropy_bits,
                         second ? "all that comes off" : "what comes off first", step.minutes));
}

} // namespace

void draw_chance(const Widgets& w, const ImVec2& at, float width, double probability, const ImVec4& ink) {
    ImDrawList* list = ImGui::GetWindowDrawList();
    const std::string words = percent(probability);
    const float room = Widgets::measure(w.fonts.strong, "below 1 %").x + w.px(8),
                bar = std::max(w.px(20), width - room);
    const float y = at.y + w.px(5), height = w.px(9);
    list->AddRectFilled({at.x, y}, {at.x + bar, y + height}, u32(w.colours.rule), w.px(2));
    list->AddRectFilled({at.x, y}, {at.x + bar * static_cast<float>(probability), y + height}, u32(ink), w.px(2));
    const float wide = Widgets::measure(w.fonts.strong, words).x;
    w.text(w.fonts.strong, w.colours.ink, {at.x + width - wide, at.y + w.px(1)}, 0, words);
}

void write_suspected(PanelContext& c, Writer& out, std::size_t most) {
    const Document& d = c.session().document;
    if (!c.derived().weighed) {
        if (c.bench.weighing()) out.note("The readings are being weighed ...");
        return;
    }
    const auto& weighed = *c.derived().weighed;
    const auto& w = weighed.weighing;
    const float top = out.at().y;
    if (!d.check.readings.empty()) {
        out.heading("Suspects after these readings");
        const std::string pointed = std::exchange(c.transient.pointed_suspect, {});
        const auto& selected = c.session().view.selected;
        for (std::size_t n = 0; n < std::min(most, w.suspects.size()); ++n) {
            if (n > 0 && w.suspects[n].probability < 0.02) break;
            const bool asked = selected.kind == model::SubjectKind::seal &&
                               selected.id == c.map().seals[w.suspects[n].seals.front()].id;
            write_suspect(c, out, n, asked || (n == 0 && selected.kind != model::SubjectKind::seal));
        }
        // What it would show stands in rows that may be drawn already.
        if (pointed != c.transient.pointed_suspect) c.transient.look_again = true;
        std::vector<std::string> rest{fmt::format("nothing wrong {}", percent(w.nothing_wrong)),
                                      fmt::format("the rig {}", percent(w.rig)),
                                      fmt::format("not on the map {}", percent(w.unmapped))};
        out.note(fmt::format("{}", fmt::join(rest, " · ")));
        if (!w.contradiction.empty()) out.card("", "Something does not fit", w.contradiction, true);
        write_pull(c, out);
    }
    out.mark("text suspected", top);
    write_next(c, out);
}

namespace {

/// What was looked at, each with a cross that takes it out.
void write_looks(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    for (const auto& look : c.session().document.check.looks) {
        const bool rig = look.seal == model::the_rig;
        const std::string title = rig ? "The rig" : look.seal;
        const std::string found = rig ? (look.found == model::Found::sound ? "proved tight" : "leaks")
                                      : fmt::format("looked {}", model::word(look.found));
        const float drop = w.px(size::target);
        Writer card(c, out.at(), out.width() - drop - w.px(4));
        const ImVec2 at = out.at();
        card.card("", title, found, false);
        if (w.button("drop look " + look.seal, "×", {at.x + out.width() - drop, at.y}, {drop, drop}, ButtonStyle::plain,
                     true, "Take this look out; undo brings it back"))
            c.commands.emplace_back(command::LookedAt{look.seal, std::nullopt});
        out.advance(card.at().y - at.y);
    }
}

} // namespace

void write_readings(PanelContext& c, Writer& out) {
    const auto& check = c.session().document.check;
    const auto& readings = check.readings;
    if (readings.empty() && check.looks.empty()) return;
    Widgets& w = c.w;
    out.heading(check.looks.empty() ? "Readings" : "Readings and looks");
    write_looks(c, out);
    for (std::size_t n = readings.size(); n-- > 0;) {
        const auto& reading = readings[n];
        std::vector<std::string> seen;
        int nothing = 0;
        for (const auto& s : reading.seen) {
            if (s.word && *s.word == model::Heard::nothing)
                ++nothing;
            else if (s.word)
                seen.push_back(fmt::format("{} {}", s.at, model::word(*s.word)));
            else if (s.pressure)
                seen.push_back(fmt::format("{} {}", s.at, gauge_words(s.pressure->si(), c.session().view.units)));
            else if (s.flow_lpm)
                seen.push_back(fmt::format("{} {}", s.at, flow_words(*s.flow_lpm)));
            else if (s.applies_after_s)
                seen.push_back(*s.applies_after_s >= suspects::longest_wait_s
                                   ? fmt::format("{} never applies", s.at)
                                   : fmt::format("{} applies after {:.1f} s", s.at, *s.applies_after_s));
        }
        if (nothing > 0) seen.push_back(fmt::format("nothing at {} {}", nothing, nothing == 1 ? "port" : "ports"));
        std::string title = fmt::format("{}. Air into {}", n + 1, port_title(c.map(), reading.into));
        if (!reading.plugged.empty()) title += fmt::format(", {} closed", fmt::join(reading.plugged, ", "));
        if (reading.wet) title += ", wet";
        if (reading.shaft_turned_deg) title += ", shaft turned";
        if (reading.pushed) title += ", shaft pushed";
        if (reading.plate_resnugged) title += ", plate snugged";
        const std::string detail = seen.empty() ? "nothing said yet" : fmt::format("{}", fmt::join(seen, ", "));
        const float drop = w.px(size::target);
        Writer card(c, out.at(), out.width() - drop - w.px(4));
        const ImVec2 at = out.at();
        card.card("", title, detail, false);
        if (w.button(fmt::format("drop reading {}", n + 1), "×", {at.x + out.width() - drop, at.y}, {drop, drop},
                     ButtonStyle::plain, true, "Take this reading out; undo brings it back"))
            c.commands.emplace_back(command::DropReading{static_cast<int>(n) + 1});
        out.advance(card.at().y - at.y);
    }
}

} // namespace ringland::viewer
