// The air check: one port under air, and at every other port four large words or a gauge; suspects and next step beside
// it.
#include "panels.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "../../diagnosis/suspects/likelihood.h"
#include "job_parts.h"
#include "words.h"
#include "writer.h"

namespace ringland::viewer {

namespace {

using model::Heard;

constexpr double longest = diagnosis::suspects::longest_wait_s;

/// The suspect that is asked what it would show: the one under the pointer, else the selected one.
std::string asked_suspect(const PanelContext& c) {
    if (!c.transient.pointed_suspect.empty()) return c.transient.pointed_suspect;
    const auto& selected = c.session().view.selected;
    return selected.kind == model::SubjectKind::seal ? selected.id : std::string();
}

/// The longest of the four words in the language.
std::string longest_word(const PanelContext& c) {
    std::string longest_one;
    for (const Heard word : four_words) {
        const std::string one = c.tr.word(word);
        if (Widgets::measure(c.w.fonts.strong, one).x > Widgets::measure(c.w.fonts.strong, longest_one).x)
            longest_one = one;
    }
    return longest_one;
}

/// What it would show at a place of the current reading, in a word or as the gauge that was read there.
std::string predicted_at(const PanelContext& c, const std::string& at) {
    const std::string seal = asked_suspect(c);
    const auto* reading = current_reading(c.session().document);
    if (!c.derived().weighed || reading == nullptr || seal.empty()) return {};
    const Weighed& weighed = *c.derived().weighed;
    for (std::size_t n = 0; n < weighed.comparisons.size(); ++n) {
        const auto& suspect = weighed.weighing.suspects[n];
        if (suspect.seals.size() != 1 || c.map().seals[suspect.seals.front()].id != seal) continue;
        for (const auto& comparison : weighed.comparisons[n]) {
            if (comparison.reading + 1 != weighed.check.readings.size()) continue;
            const auto& seen = weighed.check.readings[comparison.reading].seen;
            if (comparison.seen >= seen.size() || seen[comparison.seen].at != at) continue;
            return filled(c.tr("{0} would: {1}"), seal,
                          seen[comparison.seen].pressure
                              ? gauge_words(c.tr, comparison.gauge_pa, c.session().view.units)
                              : c.tr.word(diagnosis::airflow::heard(comparison.flow_lpm,
                                                                    {c.session().document.bench.heard_from_lpm})));
        }
    }
    return {};
}

std::optional<Heard> healthy_word(const PanelContext& c, std::size_t port) {
    if (!c.derived().healthy) return {};
    const auto& row = *c.derived().healthy;
    if (port == c.map().ports.size()) return row.case_word;
    for (const auto& at : row.at) {
        if (static_cast<std::size_t>(at.port) == port) return at.word;
    }
    return {};
}

/// What the first test showed at a place of the reading that is being made again; empty where it is no retest.
std::string before_at(const PanelContext& c, const std::string& at) {
    const Document& d = c.session().document;
    if (d.check_at >= d.job.checks.size() || d.job.checks[d.check_at].purpose != model::CheckPurpose::retest) return {};
    const auto* first = model::last_check(d.job, model::CheckPurpose::before);
    const auto* now = current_reading(d);
    if (first == nullptr) return {};
    for (auto entry = first->readings.rbegin(); entry != first->readings.rend(); ++entry) {
        const auto& reading = entry->reading;
        if (reading.into != d.air_into || (now != nullptr && reading.plugged != now->plugged)) continue;
        for (const auto& seen : reading.seen) {
            if (seen.at == at) return filled(c.tr("before: {0}"), seen_words(c.tr, seen, c.session().view.units));
        }
    }
    return {};
}

/// What a closed port tells: what its gauge reads, and how long until its element applies where it has one.
void closed_rows(PanelContext& c, Writer& out, const std::string& at, const model::Seen* seen, float name, float height,
                 float gap) {
    Widgets& w = c.w;
    const float clear = w.px(92);
    const auto row = [&](const std::string& what, std::string_view title, bool set, double now, double most,
                         double step, const auto& seen_of) {
        const ImVec2 p = out.at();
        w.line(w.fonts.body, w.colours.ink, {p.x + w.px(42), p.y + w.px(13)}, name - w.px(46), title);
        const auto move = w.slider("slider " + what + " " + at, {p.x + name, p.y},
                                   {out.width() - name - clear - gap, height}, now, 0, most, step);
        if (move.changed) c.commands.emplace_back(command::Saw{at, seen_of(move.value)});
        if (w.button("no " + what + " " + at, c.tr("none"), {p.x + out.width() - clear, p.y}, {clear, height},
                     ButtonStyle::plain, set)) {
            c.commands.emplace_back(command::Saw{at, std::nullopt});
            c.transient.gauge_at.clear();
        }
        out.advance(height + gap);
    };
    const bool psi = c.session().view.units == UnitSystem::psi_inch;
    const auto unit = psi ? model::PressureDimension::Unit::psi : model::PressureDimension::Unit::bar;
    const double si = model::PressureDimension::units[static_cast<std::size_t>(unit)].si_per_unit;
    const bool gauged = seen != nullptr && seen->pressure;
    row("gauge", c.tr("Gauge reads"), gauged, gauged ? seen->pressure->si() / si : 0,
        supply_gauge_pa(c.session().document) / si, psi ? 0.5 : 0.02, [&](double value) {
            model::Seen s;
            s.pressure = model::GaugePressure{value, unit};
            return s;
        });
    const auto& circuit = model::find(c.map().ports, at)->circuit;
    const bool applies = std::any_of(c.map().elements.begin(), c.map().elements.end(), [&](const model::Element& e) {
        return std::find(e.applied_by.begin(), e.applied_by.end(), circuit) != e.applied_by.end();
    });
    if (!applies) return;
    const bool timed = seen != nullptr && seen->applies_after_s;
    row("time", c.tr("Applies after"), timed, timed ? std::min(*seen->applies_after_s, longest) : 0, longest, 0.1,
        [&](double value) {
            model::Seen s;
            s.applies_after_s = value;
            return s;
        });
}

/// One place of the reading: its name, four words, and a gauge or a watch that goes with a closed port.
void place_row(PanelContext& c, Writer& out, std::size_t port) {
    Widgets& w = c.w;
    const bool open_case = port == c.map().ports.size();
    const std::string at = open_case ? std::string(model::open_case) : c.map().ports[port].id;
    const model::Seen* seen = seen_at(c.session().document, at);
    const auto* reading = current_reading(c.session().document);
    const bool plugged =
        reading != nullptr && std::find(reading->plugged.begin(), reading->plugged.end(), at) != reading->plugged.end();
    const float height = w.px(size::target), gap = w.px(4), name = std::min(w.px(210), 0.3F * out.width());
    const float gauge = open_case ? 0 : w.px(92);
    const float wide = (out.width() - name - w.px(92) - 5 * gap) / 4;
    const ImVec2 p = out.at();
    if (!open_case)
        draw_swatch(c, {p.x, p.y + w.px(8)}, {w.px(34), height - w.px(16)}, c.map().ports[port].circuit, w.fonts.note,
                    model::circuit_tag(c.map(), c.map().ports[port].circuit));
    const float x = p.x + w.px(42), room = name - w.px(46);
    const auto title =
        Widgets::in_lines(w.fonts.strong, room, 2, open_case ? c.tr("Open case") : port_title(c.map(), at));
    const float top = p.y + (height - title.height - w.fonts.note->FontSize) / 2;
    w.lines(w.fonts.strong, w.colours.ink, {x, top}, room, title);
    std::string under = predicted_at(c, at);
    if (under.empty()) {
        under = before_at(c, at);
        const auto healthy = healthy_word(c, port);
        if (under.empty() && healthy) under = filled(c.tr("healthy: {0}"), c.tr.word(*healthy));
    }
    w.line(w.fonts.note, w.colours.second_ink, {x, top + title.height}, room, under);
    const auto healthy = healthy_word(c, port);
    for (std::size_t k = 0; k < four_words.size(); ++k) {
        const Heard word = four_words[k];
        const ImVec2 b{p.x + name + static_cast<float>(k) * (wide + gap), p.y};
        const bool chosen = seen != nullptr && seen->word == word;
        const bool more = chosen && healthy && word > *healthy;
        if (w.button(fmt::format("saw {} {}", at, model::word(word)), "", b, {wide, height},
                     chosen ? ButtonStyle::chosen : ButtonStyle::plain, !plugged))
            c.commands.push_back(saw(at, chosen ? std::nullopt : std::optional(word)));
        if (more)
            w.card(b, {wide, height}, mix(w.colours.raised, w.colours.suspect, 0.12F), w.colours.suspect, w.px(2));
        const std::string caption = c.tr.word(word);
        const float text = Widgets::measure(w.fonts.strong, caption).x, mark = w.px(7);
        // All four have their mark or none has: there must be room beside the longest word.
        const bool both = Widgets::measure(w.fonts.strong, longest_word(c)).x + 3.5F * mark < wide;
        const float left = b.x + (wide - text - (both ? 3 * mark : 0)) / 2;
        const ImVec4 ink = plugged ? w.colours.rule : w.colours.ink;
        if (both) draw_heard_mark(w, {left + mark, b.y + height / 2}, mark, word, ink, w.colours.raised);
        w.line(w.fonts.strong, ink,
               {std::max(b.x + w.px(2), left + (both ? 3 * mark : 0)), b.y + (height - w.fonts.strong->FontSize) / 2},
               wide, caption);
    }
    if (open_case) {
        out.advance(height + gap);
        return;
    }
    const ImVec2 g{p.x + out.width() - gauge, p.y};
    const bool read = seen != nullptr && (seen->pressure || seen->applies_after_s);
    const std::string reads = read      ? seen_words(c.tr, *seen, c.session().view.units)
                              : plugged ? c.tr("closed")
                                        : c.tr("gauge");
    if (w.button("gauge " + at, reads, g, {gauge, height}, read ? ButtonStyle::chosen : ButtonStyle::plain, true,
                 c.tr("A gauge or a plug closes this port: press to set what it reads, or when its element applies"))) {
        c.transient.gauge_at = c.transient.gauge_at == at ? "" : at;
    }
    out.advance(height + gap);
    if (c.transient.gauge_at == at) closed_rows(c, out, at, seen, name, height, gap);
}

/// The ports as buttons in the order of a full check: those of the shortest one numbered, the others behind them. A
/// tick stands where air went in already.
void write_full_check(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const Document& d = c.session().document;
    const auto& full = c.derived().full_check;
    const std::size_t ports = c.map().ports.size(), numbered = full ? full->shortest : 0;
    if (full)
        out.note(numbered == ports
                     ? c.tr("A full check blows into every port, in any order.")
                     : filled(c.tr("Air into the {0} numbered ports finds every single fault that air can "
                                   "find. The others help to tell seals apart."),
                              numbered),
                 0.75F);
    const float height = w.px(size::target), mark = w.px(9);
    Flow flow{out.at(), out.width(), height, w.px(size::unit)};
    for (std::size_t n = 0; n < ports; ++n) {
        const auto& port = c.map().ports[full ? full->order[n] : n];
        const bool in = port.id == d.air_into;
        const bool blown = std::any_of(d.check.readings.begin(), d.check.readings.end(), [&](const auto& r) {
            return r.into == port.id && (!r.seen.empty() || r.applied);
        });
        const std::string title = port_title(c.map(), port.id), number = n < numbered ? fmt::format("{}", n + 1) : "";
        const float before = blown || !number.empty() ? 2 * mark + w.px(8) : 0;
        const float one_line = Widgets::measure(w.fonts.strong, title).x + before + w.px(30);
        const float wide = std::max(height, std::min(out.width(), one_line));
        const ImVec2 at = flow.next(wide);
        // Beside the sheet the same ports have their own names.
        const std::string label = (c.alone ? "port " : "blow ") + port.id;
        if (w.button(label, "", at, {wide, height}, in ? ButtonStyle::chosen : ButtonStyle::plain, true,
                     blown ? c.tr("Air went in here already")
                     : in  ? c.tr("Gets the air: press to take it off")
                           : c.tr("Air into this port")))
            c.commands.emplace_back(command::AirInto{in ? "" : port.id});
        if (w.hovered()) c.transient.pointed = {model::SubjectKind::port, port.id};
        const ImVec2 middle{at.x + w.px(14) + mark, at.y + height / 2};
        if (blown) {
            draw_tick(w, middle, mark);
        } else if (!number.empty()) {
            const ImVec2 digits = Widgets::measure(w.fonts.note, number);
            ImGui::GetWindowDrawList()->AddCircle(middle, mark + w.px(1), u32(w.colours.border), 24, w.px(1.4F));
            w.text(w.fonts.note, w.colours.ink, {middle.x - digits.x / 2, middle.y - w.fonts.note->FontSize / 2}, 0,
                   number);
        }
        const float room = wide - before - w.px(28);
        const auto lines = Widgets::in_lines(w.fonts.strong, room, 2, title);
        w.lines(w.fonts.strong, w.colours.ink, {at.x + w.px(14) + before, at.y + (height - lines.height) / 2}, room,
                lines);
    }
    out.advance(flow.height());
    out.gap(2);
}

void write_reading(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const Document& d = c.session().document;
    if (d.air_into.empty()) {
        out.text(w.fonts.title, w.colours.ink, c.tr("Where does the air go in?"));
        if (c.map().ports.empty()) {
            out.body(c.tr("No unit is open: drag its map onto this window first."));
            return;
        }
        out.body(c.tr("Press the port that gets it, or take the next step that is worked out for you."));
        write_full_check(c, out);
        return;
    }
    const auto* reading = current_reading(d);
    std::string change;
    if (reading != nullptr && reading->wet) change += ", " + c.tr("wetted with oil");
    if (reading != nullptr && reading->shaft_turned_deg) change += ", " + c.tr("shaft turned");
    if (reading != nullptr && reading->pushed) change += ", " + c.tr("shaft pushed");
    if (reading != nullptr && reading->plate_resnugged) change += ", " + c.tr("plate snugged anew");
    out.text(w.fonts.title, w.colours.ink,
             filled(c.tr("Air into {0} at {1}{2}"), port_title(c.map(), d.air_into),
                    gauge_words(c.tr, supply_gauge_pa(d), c.session().view.units), change),
             0.25F);
    out.note(
        c.tr(
            "What comes out where? A port that is left out was not tested. Air off before a port is closed or opened."),
        0.75F);
    const float third = std::min(w.px(150), (out.width() - w.px(220)) / 3), height = w.px(size::target);
    w.line(w.fonts.body, w.colours.ink, {out.at().x, out.at().y + w.px(13)}, w.px(200), c.tr("How did it apply?"));
    for (int k = 0; k < 3; ++k) {
        const auto felt = static_cast<model::Applied>(k);
        const bool chosen = reading != nullptr && reading->applied == felt;
        const ImVec2 at{out.at().x + std::min(w.px(210), 0.3F * out.width()) +
                            static_cast<float>(k) * (third + w.px(4)),
                        out.at().y};
        if (w.button("felt " + std::string(model::word(felt)), c.tr.word(felt), at, {third, height},
                     chosen ? ButtonStyle::chosen : ButtonStyle::plain))
            c.commands.emplace_back(command::Felt{chosen ? std::nullopt : std::optional(felt)});
    }
    out.advance(height);
    out.gap(1);
    for (std::size_t p = 0; p <= c.map().ports.size(); ++p) {
        if (p < c.map().ports.size() && c.map().ports[p].id == d.air_into) continue;
        place_row(c, out, p);
    }
    const float rest = w.button_width(c.tr("Nothing at all others"));
    if (w.button("Nothing at all others", c.tr("Nothing at all others"), out.at(), {rest, height}, ButtonStyle::plain,
                 true, c.tr("Every port without a word was listened at and silent"))) {
        for (const auto& port : c.map().ports) {
            if (port.id != d.air_into && seen_at(d, port.id) == nullptr)
                c.commands.push_back(saw(port.id, Heard::nothing));
        }
    }
    out.advance(height);
    out.heading(c.tr("Then air into"));
    write_full_check(c, out);
}

} // namespace

void draw_air_check(PanelContext& c, const ImVec2& at, const ImVec2& extent) {
    Widgets& w = c.w;
    const float pad = w.px(size::padding), gap = w.px(3 * size::unit);
    if (w.begin_region("air check", at, extent, w.colours.panel, true)) {
        const ImVec2 origin = ImGui::GetCursorScreenPos();
        const bool two = extent.x > w.px(820);
        const float inner = extent.x - 2 * pad - w.px(12);
        const float left_wide = two ? 0.6F * (inner - gap) : inner;
        Writer left(c, {origin.x + pad, origin.y + pad}, left_wide);
        write_reading(c, left);
        Writer right(c, two ? ImVec2{origin.x + pad + left_wide + gap, origin.y + pad} : left.at(),
                     two ? 0.4F * (inner - gap) : inner);
        const Document& d = c.session().document;
        if (d.check_at < d.job.checks.size() && d.job.checks[d.check_at].purpose == model::CheckPurpose::retest)
            write_retest(c, right);
        write_suspected(c, right, 5);
        write_readings(c, right);
        w.content_ends_at({origin.x + pad, std::max(left.at().y, right.at().y)});
    }
    w.end_region();
}

} // namespace ringland::viewer
