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

std::string percent(const Translator& tr, double p) {
    if (p > 0.995) return tr("over 99 %");
    if (p < 0.01) return tr("below 1 %");
    return fmt::format("{:.0f} %", p * 100);
}

std::string names_of(const Translator& tr, const model::UnitMap& map, const suspects::Suspect& suspect) {
    std::vector<std::string> names;
    names.reserve(suspect.seals.size());
    for (const std::size_t s : suspect.seals)
        names.push_back(map.seals[s].id);
    return joined(tr, names);
}

std::string size_words(const Translator& tr, const suspects::Suspect& suspect, UnitSystem units) {
    if (suspect.seals.size() > 1) return tr("two faults together");
    const std::string size = length_words(tr, model::mm(suspect.hole_mm), units);
    if (suspect.hole_mm_high <= suspect.hole_mm_low * 1.01) return filled(tr("hole of about {0}"), size);
    return filled(tr("hole of about {0}, between {1} and {2}"), size,
                  length_words(tr, model::mm(suspect.hole_mm_low), units),
                  length_words(tr, model::mm(suspect.hole_mm_high), units));
}

/// One suspect: id, chance as bar and figure, place, size; its reasons where it is the one that is looked at.
void write_suspect(PanelContext& c, Writer& out, std::size_t n, bool open) {
    Widgets& w = c.w;
    const auto& weighed = *c.derived().weighed;
    const auto& suspect = weighed.weighing.suspects[n];
    const auto& seal = c.map().seals[suspect.seals.front()];
    const float pad = w.px(1.25F * size::unit), inner = out.width() - 2 * pad;
    std::string detail =
        suspect.seals.size() == 1 ? place_words(c.tr, c.map(), seal, c.session().view.lying) + " · " : "";
    detail += size_words(c.tr, suspect, c.session().view.units);
    // The strip shows each seal with all that it may be part of.
    const double at_all = weighed.weighing.seal_probability[suspect.seals.front()];
    if (suspect.seals.size() == 1 && at_all > suspect.probability + 0.02)
        detail += " · " + filled(c.tr("{0} counting two faults together"), percent(c.tr, at_all));
    for (const auto& line : c.bench.shop()) {
        if (suspect.seals.size() == 1 && line.seal == seal.id)
            detail += " · " + filled(c.tr("your shop: {0} of {1}"), line.failed, line.jobs);
    }
    std::string reasons;
    if (open && n < weighed.reasons.size()) {
        for (const auto& line : weighed.reasons[n].for_it)
            reasons += "\n+ " + line;
        for (const auto& line : weighed.reasons[n].against_it)
            reasons += "\n− " + line;
    }
    const std::string names = names_of(c.tr, c.map(), suspect);
    const float title_h = w.fonts.title->FontSize + w.px(4);
    const float detail_h = w.text(w.fonts.note, {}, {}, inner, detail + reasons, false);
    const ImVec2 at = out.at(), extent{out.width(), title_h + detail_h + 2 * pad};
    const bool now = w.pressed("weighed " + names_of({}, c.map(), suspect), at, extent);
    const bool hovered = w.hovered();
    if (hovered) c.transient.pointed_suspect = seal.id;
    const bool chosen = c.session().view.selected == model::Subject{model::SubjectKind::seal, seal.id};
    w.card(at, extent, hovered ? mix(w.colours.raised, w.colours.action, 0.08F) : w.colours.raised,
           n == 0   ? w.colours.suspect
           : chosen ? w.colours.action
                    : w.colours.border,
           w.px(n == 0 || chosen ? 2.0F : 1.0F));
    w.line(w.fonts.title, w.colours.ink, {at.x + pad, at.y + pad}, 0.42F * inner, names);
    draw_chance(c.tr, w, {at.x + pad + 0.44F * inner, at.y + pad}, 0.56F * inner, suspect.probability,
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
    const std::string off = suspects::group_words(c.map(), group, c.tr);
    const bool done = weighed.advised && weighed.advice.exhausted;
    if (w.enough) {
        const auto unblown = suspects::ports_without_air(c.map(), c.session().document.check);
        std::string more;
        if (!unblown.empty())
            more = " " + filled(c.tr("No air went into {0} yet: a second fault there would stay unseen."),
                                fmt::format("{}", fmt::join(unblown, ", ")));
        out.card("", filled(c.tr("Enough: {0} it is there"), percent(c.tr, best.probability)),
                 filled(c.tr("Take off: {0}. About {1:.0f} min.{2}"), off, group.minutes, more), true);
    } else if (w.nothing_wrong > 0.95 && suspects::ports_without_air(c.map(), c.session().document.check).empty()) {
        out.card("", filled(c.tr("Nothing wrong: {0}"), percent(c.tr, w.nothing_wrong)),
                 c.tr("As far as air can tell."), false);
    } else if (done && best.probability > 0.3) {
        out.card("", c.tr("Air can tell no more"),
                 filled(c.tr("What is left sounds alike. Begin with: {0}. {1}, about {2:.0f} min."), off,
                        percent(c.tr, best.probability), group.minutes),
                 false);
    }
}

void write_next(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const auto& weighed = *c.derived().weighed;
    if (!weighed.advised) {
        out.note(c.tr("The next step is being worked out ..."));
        return;
    }
    if (weighed.advice.steps.empty()) return;
    const auto& step = weighed.advice.steps.front();
    const bool second = weighed.advice.second;
    out.heading(second                    ? c.tr("Is there a second fault?")
                : weighed.weighing.enough ? c.tr("To be surer still")
                                          : c.tr("Next"));
    out.body(step.words);
    const bool reading = step.into >= 0;
    if (reading) {
        const float wide = std::min(out.width(), w.button_width(c.tr("Set it up")));
        if (w.button("Set it up", c.tr("Set it up"), out.at(), {wide, w.px(size::target)},
                     weighed.weighing.enough || second ? ButtonStyle::plain : ButtonStyle::primary, true,
                     c.tr("Puts this reading into the air check")))
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
                rig ? (found == model::Found::sound ? c.tr("The rig is tight") : c.tr("The rig leaks"))
                    : (found == model::Found::sound ? c.tr("It is sound") : c.tr("It is damaged"));
            const float wide = w.button_width(caption);
            if (w.button("looked " + std::string(model::word(found)), caption, flow.next(wide),
                         {wide, w.px(size::target)}, ButtonStyle::plain))
                c.commands.emplace_back(command::LookedAt{what, found});
        }
        out.advance(flow.height());
        out.gap(0.5F);
    }
    out.note(filled(second ? c.tr("Tells {0} of {1} bits about all that comes off, in {2} min.")
                           : c.tr("Tells {0} of {1} bits about what comes off first, in {2} min."),
                    c.tr.number(step.bits, 2), c.tr.number(weighed.advice.entropy_bits, 2),
                    c.tr.number(step.minutes, 1)));
}

} // namespace

void draw_chance(const Translator& tr, const Widgets& w, const ImVec2& at, float width, double probability,
                 const ImVec4& ink) {
    ImDrawList* list = ImGui::GetWindowDrawList();
    const std::string words = percent(tr, probability);
    const float room = Widgets::measure(w.fonts.strong, tr("below 1 %")).x + w.px(8),
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
        if (c.bench.weighing()) out.note(c.tr("The readings are being weighed ..."));
        return;
    }
    const auto& weighed = *c.derived().weighed;
    const auto& w = weighed.weighing;
    const float top = out.at().y;
    if (!d.check.readings.empty()) {
        out.heading(c.tr("Suspects after these readings"));
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
        std::vector<std::string> rest{filled(c.tr("nothing wrong {0}"), percent(c.tr, w.nothing_wrong)),
                                      filled(c.tr("the rig {0}"), percent(c.tr, w.rig)),
                                      filled(c.tr("not on the map {0}"), percent(c.tr, w.unmapped))};
        out.note(fmt::format("{}", fmt::join(rest, " · ")));
        if (!w.contradiction.empty())
            out.card("", c.tr("Something does not fit"), suspects::contradiction_words(w, weighed.check, c.tr), true);
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
        const std::string title = rig ? c.tr("The rig") : look.seal;
        const std::string found =
            rig ? (look.found == model::Found::sound ? c.tr("proved tight") : c.tr("leaks"))
                : (look.found == model::Found::sound ? c.tr("looked sound") : c.tr("looked damaged"));
        const float drop = w.px(size::target);
        Writer card(c, out.at(), out.width() - drop - w.px(4));
        const ImVec2 at = out.at();
        card.card("", title, found, false);
        if (w.button("drop look " + look.seal, "×", {at.x + out.width() - drop, at.y}, {drop, drop}, ButtonStyle::plain,
                     true, c.tr("Take this look out; undo brings it back")))
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
    out.heading(check.looks.empty() ? c.tr("Readings") : c.tr("Readings and looks"));
    write_looks(c, out);
    for (std::size_t n = readings.size(); n-- > 0;) {
        const auto& reading = readings[n];
        std::vector<std::string> seen;
        std::size_t nothing = 0;
        for (const auto& s : reading.seen) {
            if (s.word && *s.word == model::Heard::nothing)
                ++nothing;
            else if (s.word)
                seen.push_back(fmt::format("{} {}", s.at, c.tr.word(*s.word)));
            else if (s.pressure)
                seen.push_back(fmt::format("{} {}", s.at, gauge_words(c.tr, s.pressure->si(), c.session().view.units)));
            else if (s.flow_lpm)
                seen.push_back(fmt::format("{} {}", s.at, flow_words(c.tr, *s.flow_lpm)));
            else if (s.applies_after_s)
                seen.push_back(*s.applies_after_s >= suspects::longest_wait_s
                                   ? filled(c.tr("{0} never applies"), s.at)
                                   : filled(c.tr("{0} applies after {1} s"), s.at, c.tr.number(*s.applies_after_s, 1)));
        }
        if (nothing > 0) seen.push_back(filled(c.tr("nothing at {0} port", "nothing at {0} ports", nothing), nothing));
        std::string title = filled(c.tr("{0}. Air into {1}"), n + 1, port_title(c.map(), reading.into));
        if (!reading.plugged.empty())
            title += ", " + filled(c.tr("{0} closed"), fmt::format("{}", fmt::join(reading.plugged, ", ")));
        if (reading.wet) title += ", " + c.tr("wet");
        if (reading.shaft_turned_deg) title += ", " + c.tr("shaft turned");
        if (reading.pushed) title += ", " + c.tr("shaft pushed");
        if (reading.plate_resnugged) title += ", " + c.tr("plate snugged");
        const std::string detail = seen.empty() ? c.tr("nothing said yet") : fmt::format("{}", fmt::join(seen, ", "));
        const float drop = w.px(size::target);
        Writer card(c, out.at(), out.width() - drop - w.px(4));
        const ImVec2 at = out.at();
        card.card("", title, detail, false);
        if (w.button(fmt::format("drop reading {}", n + 1), "×", {at.x + out.width() - drop, at.y}, {drop, drop},
                     ButtonStyle::plain, true, c.tr("Take this reading out; undo brings it back")))
            c.commands.emplace_back(command::DropReading{static_cast<int>(n) + 1});
        out.advance(card.at().y - at.y);
    }
}

} // namespace ringland::viewer
