// On the road: what the leak does with hot oil, range by range, what to do about it, and what the driver complains of.
#include "panels.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "../app/outlook.h"
#include "words.h"
#include "writer.h"

namespace ringland::viewer {

namespace {

namespace road = diagnosis::road;

std::string range_name(const model::UnitMap& map, std::size_t range) {
    return map.ranges[range].name.empty() ? map.ranges[range].id : map.ranges[range].name;
}
std::string element_name(const model::UnitMap& map, std::size_t element) {
    return map.elements[element].name.empty() ? map.elements[element].id : map.elements[element].name;
}

std::string seal_ids(const model::UnitMap& map, const std::vector<std::size_t>& seals) {
    std::vector<std::string> ids;
    ids.reserve(seals.size());
    for (const std::size_t seal : seals)
        ids.push_back(map.seals[seal].id);
    return fmt::format("{}", fmt::join(ids, ", "));
}

/// The hole that is imagined, as a slider; and the size that the readings say.
void write_hole(PanelContext& c, Writer& out, std::size_t seal) {
    Widgets& w = c.w;
    const View& view = c.session().view;
    const std::string figure = length_words(c.tr, model::mm(view.what_if_mm), view.units);
    const float words = Widgets::measure(w.fonts.strong, figure).x;
    w.line(w.fonts.body, w.colours.ink, out.at(), out.width() - words - w.px(size::unit),
           c.tr("Hole, as the air showed it"));
    w.text(w.fonts.strong, w.colours.ink, {out.at().x + out.width() - words, out.at().y}, 0, figure);
    out.advance(w.fonts.body->FontSize);
    const auto move = w.slider("slider road hole", out.at(), {out.width(), w.px(size::target)}, view.what_if_mm, 0, 5,
                               0.1, 1.6, c.tr("How large a sharp hole would let as much air by"));
    if (move.changed) c.commands.emplace_back(command::WhatIf{move.value});
    out.advance(w.px(size::target));
    if (!c.derived().weighed) return;
    for (const auto& suspect : c.derived().weighed->weighing.suspects) {
        if (suspect.seals.size() != 1 || suspect.seals[0] != seal || suspect.probability < least_chance_shown) continue;
        if (std::abs(suspect.hole_mm - view.what_if_mm) < 0.005) continue;
        const std::string caption =
            filled(c.tr("As the readings say: {0}"), length_words(c.tr, model::mm(suspect.hole_mm), view.units));
        const float wide = std::min(out.width(), w.button_width(caption));
        out.gap(0.5F);
        if (w.button("road hole of readings", caption, out.at(), {wide, w.px(size::target)}, ButtonStyle::plain))
            c.commands.emplace_back(command::WhatIf{suspect.hole_mm});
        out.advance(w.px(size::target));
        out.gap(0.75F);
    }
    out.gap(0.75F);
}

/// The scale of what to do, the present place filled; a word in each, so that nothing hangs on colour.
void write_scale(PanelContext& c, Writer& out, road::Advice advice) {
    Widgets& w = c.w;
    const float gap = w.px(3), tall = w.px(40);
    const ImVec2 at = out.at();
    const auto words = model::words_of<road::Advice>();
    const float wide = (out.width() - gap * static_cast<float>(words.size() - 1)) / static_cast<float>(words.size());
    ImDrawList* list = ImGui::GetWindowDrawList();
    float tallest = tall;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const std::string said = c.tr(road::advice_words(static_cast<road::Advice>(i)));
        tallest = std::max(tallest, w.text(w.fonts.strong, {}, {}, wide - w.px(12), said, false) + w.px(14));
    }
    for (std::size_t i = 0; i < words.size(); ++i) {
        const ImVec2 low{at.x + static_cast<float>(i) * (wide + gap), at.y}, high{low.x + wide, low.y + tallest};
        const bool now = static_cast<std::size_t>(advice) == i;
        const ImVec4 ground = now ? (i >= 2 ? w.colours.suspect_ink : w.colours.action) : w.colours.raised;
        list->AddRectFilled(low, high, u32(ground), w.px(3));
        if (!now) list->AddRect(low, high, u32(w.colours.border), w.px(3), 0, w.px(1));
        const std::string said = c.tr(road::advice_words(static_cast<road::Advice>(i)));
        const float h = w.text(w.fonts.strong, {}, {}, wide - w.px(12), said, false);
        w.text(w.fonts.strong, now ? ink_on(ground) : w.colours.second_ink,
               {low.x + w.px(7), low.y + (tallest - h) / 2}, wide - w.px(12), said);
    }
    out.advance(tallest);
    out.gap(1);
}

void write_verdict(PanelContext& c, Writer& out, const OnTheRoad& there) {
    const auto& verdict = there.answer->verdict;
    const float top = out.at().y;
    if (!verdict.known) {
        out.body(c.tr("The map has no clutch application chart, so what this leak does cannot be said."));
    } else {
        write_scale(c, out, verdict.advice);
        for (const auto& ground : verdict.grounds)
            out.body(ground.words, 0.5F);
        std::vector<std::string> borders;
        for (const auto& step : there.borders)
            borders.push_back(filled(c.tr("{0} from {1}"), c.tr(road::advice_words(step.to)),
                                     length_words(c.tr, model::mm(step.hole_mm), c.session().view.units)));
        if (!borders.empty())
            out.note(filled(c.tr("For this seal: {0}."), fmt::format("{}", fmt::join(borders, ", "))));
        else if (!there.whole)
            out.note(c.tr("Where the border lies is being worked out."));
        out.note(c.tr(road::maker_decides), 0.5F);
    }
    out.mark("text verdict", top);
}

std::string percent(double share) { return fmt::format("{:.0f} %", 100 * share); }

/// "Low clutch clamps with 62 % of its force; it needs 65 % here."
std::string element_words(const PanelContext& c, const road::ElementOnRoad& e) {
    const auto units = c.session().view.units;
    const std::string name = element_name(c.map(), e.element);
    if (e.commanded) {
        const double low = std::min(e.clamp_share, e.clamp_share_slot),
                     high = std::max(e.clamp_share, e.clamp_share_slot);
        std::string share = percent(low);
        if (std::abs(high - low) > 0.015) share = filled(c.tr("{0} to {1}"), percent(low), percent(high));
        return e.needed_share > 0 ? filled(c.tr("{0} clamps with {1} of its force; it slips below {2}."), name, share,
                                           percent(e.needed_share))
                                  : filled(c.tr("{0} clamps with {1} of its force."), name, share);
    }
    return filled(c.tr("{0} should be off: {1} behind its piston, its spring lets go at {2}."), name,
                  gauge_words(c.tr, e.apply_pa, units), gauge_words(c.tr, e.spring_pa, units));
}

/// What is said of a range below its name.
std::string range_detail(const PanelContext& c, const road::RangeOnRoad& range) {
    std::string detail;
    const auto add = [&](const std::string& line) { detail += (detail.empty() ? "" : "\n") + line; };
    for (const auto& effect : range.effects)
        add(effect.reason);
    if (detail.empty()) {
        for (const auto& element : range.elements)
            add(element_words(c, element));
    }
    if (range.leak_lpm > 0.005)
        add(filled(c.tr("{0} L/min of oil through the leak as a hole, {1} as a slot; {2} of the pump's at idle."),
                   c.tr.number(range.leak_lpm, 2), c.tr.number(range.leak_lpm_slot, 2), percent(range.pump_share)));
    return detail;
}

void write_ranges(PanelContext& c, Writer& out, const road::RoadAnswer& answer) {
    if (answer.ranges.empty()) return;
    const auto& map = c.map();
    out.heading(c.tr("Range by range"));
    if (!answer.complaint.empty()) out.body(answer.complaint, 1);
    std::vector<std::string> good, masked;
    // Ranges of which the same is to be said share a card.
    struct Card {
        std::vector<std::string> names;
        std::string id, words, detail;
    };
    std::vector<Card> cards;
    for (const auto& range : answer.ranges) {
        const std::string name = range_name(map, range.range);
        if (range.effects.empty()) {
            (range.exposure == road::Exposure::masked ? masked : good).push_back(name);
            continue;
        }
        const std::string detail = range_detail(c, range);
        const auto same = std::find_if(cards.begin(), cards.end(), [&](const Card& card) {
            return card.words == range.words && card.detail == detail;
        });
        if (same != cards.end())
            same->names.push_back(name);
        else
            cards.push_back({{name}, map.ranges[range.range].id, range.words, detail});
    }
    for (const auto& card : cards) {
        const float top = out.at().y;
        out.card("", fmt::format("{}: {}", fmt::join(card.names, ", "), card.words), card.detail, true,
                 c.w.colours.suspect);
        out.mark("text range " + card.id, top);
    }
    if (!masked.empty())
        out.note(
            filled(c.tr("Both circuits are on, so nothing crosses: {0}."), fmt::format("{}", fmt::join(masked, ", "))));
    if (!good.empty()) out.note(filled(c.tr("Nothing is felt: {0}."), fmt::format("{}", fmt::join(good, ", "))));
}

void write_basis(PanelContext& c, Writer& out, const road::RoadAnswer& answer) {
    if (answer.missing.empty() && answer.assumed.empty() && answer.warnings.empty() && answer.converged) return;
    out.heading(c.tr("What this rests on"));
    if (!answer.converged)
        out.text(c.w.fonts.body, c.w.colours.suspect_ink,
                 c.tr("Not every case came to a balance: take these figures with care."));
    for (const auto& warning : answer.warnings)
        out.body(warning);
    for (const auto& missing : answer.missing)
        out.note(missing);
    if (!answer.assumed.empty())
        out.note(
            filled(c.tr("Taken where the map is silent: {0}."), fmt::format("{}", fmt::join(answer.assumed, "; "))));
}

/// What was said of a symptom in a range; nullptr: not asked.
const model::Complaint* said_of(const PanelContext& c, const std::string& range, model::Symptom symptom) {
    const auto& list = c.session().document.check.complaints;
    const auto at = std::find_if(list.begin(), list.end(), [&](const model::Complaint& said) {
        return said.range == range && said.symptom == symptom;
    });
    return at == list.end() ? nullptr : &*at;
}

std::string said_words(const PanelContext& c, const model::Complaint& said) {
    const std::string symptom = c.tr(road::symptom_words(said.symptom));
    if (said.absent) return filled(c.tr("not: {0}"), symptom);
    std::string text = symptom;
    if (const auto* like = model::find(c.map().ranges, said.starts_in))
        text += ", " + filled(c.tr("feels like {0}"), like->name.empty() ? like->id : like->name);
    if (said.hot_only) text += ", " + c.tr("only hot");
    return text;
}

void write_said(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const auto& map = c.map();
    const float drop = w.px(size::target);
    for (const auto& said : c.session().document.check.complaints) {
        const auto* range = model::find(map.ranges, said.range);
        const ImVec2 at = out.at();
        Writer card(c, at, out.width() - drop - w.px(4));
        card.card("", (range == nullptr || range->name.empty() ? said.range : range->name) + ": " + said_words(c, said),
                  said.note, false);
        if (w.button(fmt::format("drop complaint {} {}", said.range, model::word(said.symptom)), "×",
                     {at.x + out.width() - drop, at.y}, {drop, drop}, ButtonStyle::plain, true,
                     c.tr("Take it back; undo brings it in again")))
            c.commands.emplace_back(command::Complained{said, false});
        out.advance(card.at().y - at.y);
    }
}

/// Once it is said that he feels something: only with hot oil, and which gear a wrong one feels like.
void write_refinements(PanelContext& c, Writer& out, const std::string& range) {
    Widgets& w = c.w;
    const auto& map = c.map();
    std::vector<const model::Complaint*> felt;
    for (const auto& said : c.session().document.check.complaints) {
        if (said.range == range && !said.absent) felt.push_back(&said);
    }
    if (felt.empty()) return;
    const bool hot = std::all_of(felt.begin(), felt.end(), [](const auto* said) { return said->hot_only; });
    Flow flow{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
    const std::string caption = c.tr("Only with hot oil");
    const float wide = w.button_width(caption);
    if (w.button("complaint hot", caption, flow.next(wide), {wide, w.px(size::target)},
                 hot ? ButtonStyle::chosen : ButtonStyle::plain)) {
        for (const auto* said : felt) {
            model::Complaint changed = *said;
            changed.hot_only = !hot;
            c.commands.emplace_back(command::Complained{std::move(changed)});
        }
    }
    out.advance(flow.height());
    out.gap(1);
    const auto* wrong = said_of(c, range, model::Symptom::wrong_gear);
    if (wrong == nullptr || wrong->absent) return;
    out.body(c.tr("The wrong gear feels like:"), 0.5F);
    Flow gears{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
    for (const auto& other : map.ranges) {
        if (other.id == range || other.on.empty()) continue;
        const std::string name = other.name.empty() ? other.id : other.name;
        const float button = std::max(w.px(size::target), w.button_width(name));
        const bool chosen = wrong->starts_in == other.id;
        if (w.button("complaint like " + other.id, name, gears.next(button), {button, w.px(size::target)},
                     chosen ? ButtonStyle::chosen : ButtonStyle::plain)) {
            model::Complaint changed = *wrong;
            changed.starts_in = chosen ? std::string() : other.id;
            c.commands.emplace_back(command::Complained{std::move(changed)});
        }
    }
    out.advance(gears.height());
    out.gap(1);
}

/// The range first, then what he feels in it: big words, and each press goes on from not asked to yes to no.
void write_complaints(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const auto& map = c.map();
    out.heading(c.tr("What the driver feels"));
    if (map.ranges.empty()) {
        out.note(c.tr("The map has no ranges: with its clutch application chart, complaints can be entered here."));
        return;
    }
    std::string& chosen = c.transient.complaint_range;
    if (model::find(map.ranges, chosen) == nullptr) chosen.clear();
    Flow ranges{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
    for (const auto& range : map.ranges) {
        const std::string caption = range.name.empty() ? range.id : range.name;
        const float wide = std::max(w.px(size::target), w.button_width(caption));
        if (w.button("complaint in " + range.id, caption, ranges.next(wide), {wide, w.px(size::target)},
                     chosen == range.id ? ButtonStyle::chosen : ButtonStyle::plain))
            chosen = chosen == range.id ? std::string() : range.id;
    }
    out.advance(ranges.height());
    out.gap(1);
    if (chosen.empty()) {
        if (c.session().document.check.complaints.empty())
            out.note(
                c.tr("In which range? Press it, then what he feels there. It moves the chances of the seals before the "
                     "first air goes on."));
    } else {
        Flow symptoms{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
        for (std::size_t i = 0; i < model::words_of<model::Symptom>().size(); ++i) {
            const auto symptom = static_cast<model::Symptom>(i);
            const auto* said = said_of(c, chosen, symptom);
            std::string caption = c.tr(road::symptom_words(symptom));
            if (said != nullptr && said->absent) caption = filled(c.tr("not: {0}"), caption);
            const float wide = std::max(w.px(92), w.button_width(caption));
            if (w.button(
                    fmt::format("complaint {}", model::word(symptom)), caption, symptoms.next(wide),
                    {wide, w.px(size::target)},
                    said == nullptr ? ButtonStyle::plain
                    : said->absent  ? ButtonStyle::quiet
                                    : ButtonStyle::chosen,
                    true,
                    c.tr("Once: he feels it. Twice: he was asked, and it does not show. Three times: not asked"))) {
                model::Complaint complaint;
                complaint.range = chosen;
                complaint.symptom = symptom;
                complaint.absent = said != nullptr;
                c.commands.emplace_back(command::Complained{complaint, said == nullptr || !said->absent});
            }
        }
        out.advance(symptoms.height());
        out.gap(1);
        write_refinements(c, out, chosen);
    }
    write_said(c, out);
}

/// Which seals would make him feel this, and which air tests them first.
void write_fits(PanelContext& c, Writer& out) {
    const OnTheRoad* there = c.derived().road.get();
    if (c.session().document.check.complaints.empty()) return;
    out.heading(c.tr("What would do this"));
    if (there == nullptr || !there->fits) {
        out.note(c.tr("This is being worked out."));
        return;
    }
    const auto& map = c.map();
    const auto& fits = *there->fits;
    constexpr std::size_t most = 6;
    for (std::size_t i = 0; i < std::min(most, fits.suspects.size()); ++i) {
        const auto& suspect = fits.suspects[i];
        const auto& seal = map.seals[suspect.seal];
        std::string detail = place_words(c.tr, map, seal, c.session().view.lying);
        for (const auto& line : suspect.told.fits)
            detail += "\n+ " + line;
        for (const auto& line : suspect.told.against)
            detail += "\n− " + line;
        const bool chosen = c.session().view.selected == model::Subject{model::SubjectKind::seal, seal.id};
        if (out.card("fits " + seal.id, fmt::format("{} · {:.0f} %", seal.id, 100 * suspect.probability), detail,
                     chosen))
            c.commands.emplace_back(
                command::Select{chosen ? model::Subject{} : model::Subject{model::SubjectKind::seal, seal.id}});
    }
    out.note(filled(c.tr("Another cause than a seal, such as valve body, converter or engine: {0:.0f} %."),
                    100 * fits.no_seal),
             1);
    if (!fits.tests.empty()) {
        out.body(c.tr("Air that tests these first:"), 0.5F);
        for (std::size_t i = 0; i < std::min<std::size_t>(3, fits.tests.size()); ++i) {
            const auto& test = fits.tests[i];
            if (test.into < 0 || test.watch.empty()) continue;
            const auto& into = map.ports[static_cast<std::size_t>(test.into)];
            std::vector<std::string> places;
            places.reserve(test.watch.size());
            for (const int port : test.watch)
                places.push_back(
                    port < 0 ? c.tr("in the open case")
                             : filled(c.tr("at {0}"), port_title(map, map.ports[static_cast<std::size_t>(port)].id)));
            const int first = test.watch.front();
            if (out.card("test " + into.id,
                         filled(c.tr("Air into {0}, listen {1}"), port_title(map, into.id), joined(c.tr, places)),
                         filled(c.tr("tests {0}: {1:.0f} % by the complaints alone"), seal_ids(map, test.seals),
                                100 * test.probability),
                         false)) {
                c.commands.emplace_back(command::AirInto{into.id});
                if (first >= 0)
                    c.commands.emplace_back(command::CameOut{map.ports[static_cast<std::size_t>(first)].id});
                c.commands.emplace_back(command::ShowSheet{Sheet::drawing});
            }
        }
    }
    for (const auto& missing : fits.missing)
        out.note(missing);
}

void write_left(PanelContext& c, Writer& out, const Asked& asked) {
    const OnTheRoad* there = c.derived().road.get();
    if (asked.seals.empty()) {
        out.body(c.tr(
            "Which seal leaks? Make the air check, ask about two ports, or press a seal in the strip below: what it "
            "does with hot oil stands here then."));
        return;
    }
    const float top = out.at().y;
    out.note(place_words(c.tr, c.map(), c.map().seals[asked.seals.front()], c.session().view.lying), 1);
    out.mark("text road seal", top);
    write_hole(c, out, asked.seals.front());
    if (there == nullptr || !there->answer) {
        out.body(c.tr("The road is being worked out."));
        return;
    }
    if (there->answer->leak.hole_mm != c.session().view.what_if_mm)
        out.note(filled(c.tr("Still for a hole of {0}; the new one is being worked out."),
                        length_words(c.tr, model::mm(there->answer->leak.hole_mm), c.session().view.units)));
    write_verdict(c, out, *there);
    write_ranges(c, out, *there->answer);
}

} // namespace

void draw_road(PanelContext& c, const ImVec2& at, const ImVec2& extent) {
    Widgets& w = c.w;
    const float pad = w.px(size::padding), gap = w.px(4 * size::unit);
    if (w.begin_region("road", at, extent, w.colours.panel, true)) {
        const ImVec2 origin = ImGui::GetCursorScreenPos();
        const float inner = extent.x - 2 * pad - w.px(12);
        Writer top(c, {origin.x + pad, origin.y + pad}, inner);
        if (!c.has_unit()) {
            top.text(w.fonts.title, w.colours.ink, c.tr("No unit is open"));
            top.body(c.tr("Drag its map onto this window first."));
        } else {
            const Asked asked = asked_for(c.session(), c.derived());
            top.text(w.fonts.answer, w.colours.ink,
                     asked.seals.empty() ? c.tr("On the road")
                                         : filled(c.tr("{0} on the road"), c.map().seals[asked.seals.front()].id));
            const bool two = extent.x > w.px(820);
            const float wide = two ? (inner - gap) / 2 : inner;
            const ImVec2 below = top.at();
            Writer left(c, below, wide);
            write_left(c, left, asked);
            Writer right(c, two ? ImVec2{below.x + wide + gap, below.y} : left.at(), wide);
            write_complaints(c, right);
            write_fits(c, right);
            if (const OnTheRoad* there = c.derived().road.get(); there != nullptr && there->answer)
                write_basis(c, right, *there->answer);
            top.advance(std::max(left.at().y, right.at().y) - below.y);
        }
        top.gap(2);
        w.content_ends_at({origin.x + pad, top.at().y});
    }
    w.end_region();
}

} // namespace ringland::viewer
