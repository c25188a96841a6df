#include "job_parts.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <ctime>
#include <filesystem>
#include <locale>
#include <set>
#include <sstream>

#include <fmt/format.h>

#include "../../diagnosis/plan/aids.h"
#include "words.h"
#include "writer.h"

namespace ringland::viewer {

namespace {

namespace edit = job_edit;
using model::find;

const model::Finding* finding_of(const model::Job& job, const std::string& seal) {
    const auto at =
        std::find_if(job.findings.begin(), job.findings.end(), [&](const auto& f) { return f.seal == seal; });
    return at == job.findings.end() ? nullptr : &*at;
}

/// The name of a row and a note under it, beside what is pressed there; returns how tall the row is.
float write_name(const PanelContext& c, const ImVec2& at, float width, std::string_view title, std::string_view note) {
    const Widgets& w = c.w;
    const float name = w.text(w.fonts.strong, w.colours.ink, {}, width, title, false);
    const float below = w.text(w.fonts.note, w.colours.second_ink, {}, width, note, false);
    const float space = note.empty() ? 0 : w.px(3), all = name + space + below;
    const float top = at.y + std::max(0.0F, (w.px(size::target) - all) / 2);
    w.text(w.fonts.strong, w.colours.ink, {at.x, top}, width, title);
    w.text(w.fonts.note, w.colours.second_ink, {at.x, top + name + space}, width, note);
    return std::max(w.px(size::target), all);
}

/// Seals worth a row: found already, looked at, likely, and the one that is selected.
std::vector<std::string> seals_to_look_at(const PanelContext& c) {
    std::vector<std::string> seals;
    const auto add = [&](const std::string& id) {
        if (std::find(seals.begin(), seals.end(), id) == seals.end()) seals.push_back(id);
    };
    const Document& d = c.session().document;
    if (c.derived().weighed) {
        for (const auto& suspect : c.derived().weighed->weighing.suspects) {
            if (suspect.probability < least_chance_shown || seals.size() >= 4) break;
            for (const std::size_t s : suspect.seals)
                add(c.map().seals[s].id);
        }
    }
    for (const auto& look : d.check.looks)
        add(look.seal);
    for (const auto& finding : d.job.findings)
        add(finding.seal);
    if (c.session().view.selected.kind == model::SubjectKind::seal) add(c.session().view.selected.id);
    return seals;
}

void write_photos(PanelContext& c, Writer& out, const model::Finding& finding) {
    Widgets& w = c.w;
    const float drop = w.px(size::target);
    for (const auto& photo : finding.photos) {
        const ImVec2 at = out.at();
        w.line(w.fonts.body, w.colours.ink, {at.x, at.y + w.px(13)}, out.width() - drop - w.px(8),
               filled(c.tr("Photo: {0}"), std::filesystem::path(photo).filename().string()));
        if (w.button("drop photo " + photo, "×", {at.x + out.width() - drop, at.y}, {drop, drop}, ButtonStyle::plain,
                     true, c.tr("Takes the photo off this finding; the file stays where it is")))
            c.commands.emplace_back(command::EditJob{edit::Photo{finding.seal, photo, false}});
        out.advance(drop);
        out.gap(0.5F);
    }
}

void write_finding(PanelContext& c, Writer& out, const std::string& id) {
    Widgets& w = c.w;
    const auto* seal = find(c.map().seals, id);
    const auto* finding = finding_of(c.session().document.job, id);
    const float height = w.px(size::target), gap = w.px(4);
    const float wide = std::max(w.button_width(c.tr("damaged")), w.px(92)), name = out.width() - 2 * (wide + gap);
    const ImVec2 at = out.at();
    const std::string title = id == model::the_rig ? c.tr("The rig") : seal != nullptr ? seal_words(c.tr, *seal) : id;
    const std::string place = seal != nullptr ? place_words(c.tr, c.map(), *seal, c.session().view.lying) : "";
    const float row = write_name(c, at, name - w.px(size::unit), title, place);
    for (const model::Found found : {model::Found::sound, model::Found::damaged}) {
        const bool chosen = finding != nullptr && finding->found == found;
        const float x = at.x + name + static_cast<float>(static_cast<int>(found)) * (wide + gap);
        if (w.button(fmt::format("found {} {}", id, model::word(found)), c.tr.word(found), {x, at.y}, {wide, height},
                     chosen ? ButtonStyle::chosen : ButtonStyle::plain))
            c.commands.emplace_back(
                command::EditJob{edit::Find{id, chosen ? std::nullopt : std::optional<model::Found>(found)}});
    }
    out.advance(row);
    out.gap(0.75F);
    if (finding == nullptr) {
        if (seal != nullptr && !seal->inspect.empty()) out.note(filled(c.tr("Look for: {0}"), seal->inspect), 1);
        return;
    }
    std::string text = finding->seen;
    const float field = w.field_height(out.width(), text);
    const auto move = w.field("field seen " + id, out.at(), out.width(), text, 1, c.tr("What is to be seen there"));
    if (move.changed || move.settled) c.commands.emplace_back(command::EditJob{edit::Describe{id, text, move.settled}});
    out.advance(field);
    out.gap(0.5F);
    write_photos(c, out, *finding);
    out.gap(0.5F);
}

/// A figure as it was typed: a comma is a point.
std::optional<double> typed_figure(std::string text) {
    std::replace(text.begin(), text.end(), ',', '.');
    std::istringstream stream(text);
    stream.imbue(std::locale::classic());
    double value = 0;
    if (!(stream >> value) || !(stream >> std::ws).eof() || !std::isfinite(value)) return {};
    return value;
}

std::string limits_words(const PanelContext& c, const model::Clearance& clearance) {
    const UnitSystem units = c.session().view.units;
    if (clearance.lower && clearance.upper)
        return filled(c.tr("{0} to {1}"), length_words(c.tr, *clearance.lower, units),
                      length_words(c.tr, *clearance.upper, units));
    if (clearance.lower) return filled(c.tr("at least {0}"), length_words(c.tr, *clearance.lower, units));
    if (clearance.upper) return filled(c.tr("at most {0}"), length_words(c.tr, *clearance.upper, units));
    return c.tr("no limits in the map");
}

/// The sizes that can be had, as buttons: which one is in, and what each would give.
void write_sizes(PanelContext& c, Writer& out, const model::Clearance& clearance, const model::Measurement& measured,
                 const std::optional<diagnosis::plan::Selective>& selective) {
    if (clearance.sizes_mm.empty() || !selective) return;
    Widgets& w = c.w;
    const UnitSystem units = c.session().view.units;
    out.note(clearance.kind == model::ClearanceKind::servo_pin ? c.tr("The pin that is in now:")
                                                               : c.tr("The size that is in now:"),
             0.5F);
    Flow flow{out.at(), out.width(), w.px(size::target), w.px(4)};
    for (const double mm : clearance.sizes_mm) {
        const std::string caption = length_words(c.tr, model::mm(mm), units);
        const float wide = std::max(w.px(72), w.button_width(caption));
        const bool chosen = measured.fitted && std::abs(model::in_mm(*measured.fitted) - mm) < 1e-6;
        if (w.button(fmt::format("fitted {} {}", clearance.id, mm), caption, flow.next(wide),
                     {wide, w.px(size::target)}, chosen ? ButtonStyle::chosen : ButtonStyle::plain, true,
                     chosen ? c.tr("Press to take it back") : c.tr("This size is in the unit")))
            c.commands.emplace_back(
                command::EditJob{edit::Fitted{clearance.id, chosen ? std::nullopt : std::optional(model::mm(mm))}});
    }
    out.advance(flow.height());
    out.gap(0.5F);
    const auto words_of = [&](double metres) { return length_words(c.tr, model::mm(1e3 * metres), units); };
    if (selective->best) {
        const auto& best = selective->choices[*selective->best];
        if (selective->verdict != model::Verdict::within)
            out.text(
                w.fonts.strong, w.colours.ink,
                filled(c.tr("{0} gives {1}: within its limits."), words_of(best.size_m), words_of(best.clearance_m)),
                0.5F);
    } else if (!selective->choices.empty() && selective->verdict != model::Verdict::no_limits) {
        out.text(w.fonts.strong, w.colours.suspect_ink,
                 c.tr("None of these sizes brings it in: look for what is worn, wrong or missing."), 0.5F);
    }
}

void write_measurement(PanelContext& c, Writer& out, const model::Clearance& clearance) {
    Widgets& w = c.w;
    const UnitSystem units = c.session().view.units;
    const bool metric = units == UnitSystem::bar_mm;
    const auto& list = c.session().document.job.measurements;
    const auto measured =
        std::find_if(list.begin(), list.end(), [&](const auto& m) { return m.clearance == clearance.id; });
    const bool has = measured != list.end();
    const float wide = w.px(132), name = out.width() - wide - w.px(8);
    const ImVec2 at = out.at();
    const float row =
        write_name(c, at, name, clearance.name.empty() ? clearance.id : clearance.name, limits_words(c, clearance));
    std::string& typed = c.transient.typed_figures[clearance.id];
    const std::string label = "field measure " + clearance.id;
    if (!w.writes_in(label)) {
        typed.clear();
        if (has) {
            const double in_units = model::in_mm(measured->value) / (metric ? 1.0 : 25.4);
            const bool as_entered = (measured->value.unit == model::LengthDimension::Unit::mm) == metric;
            typed = as_entered ? fmt::format("{}", measured->value.value)
                               : fmt::format("{:.{}f}", in_units, metric ? 3 : 4);
        }
    }
    const auto move = w.field(label, {at.x + name + w.px(8), at.y}, wide, typed, 1, metric ? "mm" : "in");
    const auto figure = typed_figure(typed);
    if ((move.changed || move.settled) && (figure || typed.empty())) {
        std::optional<model::Length> value;
        if (figure)
            value =
                model::Length{*figure, metric ? model::LengthDimension::Unit::mm : model::LengthDimension::Unit::in};
        // A figure that is only shown in other units has not been measured anew.
        if (move.changed || (value && has && !(measured->value == *value) && w.writes_in(label)))
            c.commands.emplace_back(command::EditJob{edit::Measure{clearance.id, value, move.settled}});
    }
    out.advance(row);
    out.gap(0.5F);
    if (!typed.empty() && !figure) {
        out.note(filled(c.tr("\"{0}\" is no figure: write it in {1}, for example {2}."), typed, metric ? "mm" : "in",
                        metric ? "0.25" : ".010"));
    } else if (has) {
        const auto verdict = model::verdict(*measured, clearance);
        const std::string words = verdict == model::Verdict::within  ? c.tr("Within its limits.")
                                  : verdict == model::Verdict::below ? c.tr("Below its limit.")
                                  : verdict == model::Verdict::above ? c.tr("Above its limit.")
                                                                     : "";
        const bool out_of = verdict == model::Verdict::below || verdict == model::Verdict::above;
        if (out_of)
            out.text(w.fonts.strong, w.colours.suspect_ink,
                     words + (clearance.correct.empty() ? "" : " " + clearance.correct), 0.5F);
        else
            out.note(words);
        const auto place = static_cast<std::size_t>(&clearance - c.map().clearances.data());
        const auto aid =
            diagnosis::plan::measure(c.map(), place, measured->value, measured->fitted, c.session().document.bench);
        const auto words_of = [&](double metres) { return length_words(c.tr, model::mm(1e3 * metres), units); };
        if (out_of && aid.selective && (aid.selective->thicker_from_m || aid.selective->thicker_to_m)) {
            // Thicker by this much or, where the figures are below 0, thinner.
            const double from = aid.selective->thicker_from_m.value_or(*aid.selective->thicker_to_m),
                         to = aid.selective->thicker_to_m.value_or(*aid.selective->thicker_from_m);
            const bool thinner = to <= 0;
            const bool pin = clearance.kind == model::ClearanceKind::servo_pin;
            out.note(filled(pin ? (thinner ? c.tr("The part that sets it must be {0} to {1} shorter.")
                                           : c.tr("The part that sets it must be {0} to {1} longer."))
                                : (thinner ? c.tr("The part that sets it must be {0} to {1} thinner.")
                                           : c.tr("The part that sets it must be {0} to {1} thicker.")),
                            words_of(thinner ? -to : from), words_of(thinner ? -from : to)));
        }
        write_sizes(c, out, clearance, *measured, aid.selective);
        if (aid.leak)
            out.note(filled(c.tr("A sound ring with it lets {0} of air by at {1}, and {2} of hot oil at {3}."),
                            flow_words(c.tr, aid.leak->air_lpm), gauge_words(c.tr, aid.leak->supply_gauge_pa, units),
                            flow_words(c.tr, aid.leak->oil_lpm), gauge_words(c.tr, aid.leak->line_pa, units)));
    } else if (!clearance.measure.empty()) {
        out.note(clearance.measure);
    }
    out.gap(0.75F);
}

/// One thing that is renewed: how many, with less and more.
void write_renewed_row(PanelContext& c, Writer& out, const std::string& what, const model::Renewed* renewed) {
    Widgets& w = c.w;
    const auto* seal = find(c.map().seals, what);
    const auto* part = find(c.map().parts, what);
    const float side = w.px(size::target), gap = w.px(4), count = w.px(36);
    const float name = out.width() - 2 * side - count - 3 * gap;
    const ImVec2 at = out.at();
    const int quantity = renewed != nullptr ? renewed->quantity : 0;
    const std::string title = seal != nullptr                          ? seal_words(c.tr, *seal)
                              : part != nullptr && !part->name.empty() ? c.tr.map_word(part->name)
                                                                       : what;
    std::string detail = renewed != nullptr ? renewed->part_number : seal != nullptr ? seal->part_number : "";
    if (seal != nullptr && !seal->kit.empty()) detail += (detail.empty() ? "" : " · ") + seal->kit;
    if (detail.empty() && renewed == nullptr) detail = c.tr("not renewed yet");
    const float row = write_name(c, at, name, title, detail);
    const float x = at.x + name + gap;
    if (w.button("fewer " + what, "−", {x, at.y}, {side, side}, ButtonStyle::plain, quantity > 0))
        c.commands.emplace_back(command::EditJob{edit::Renew{what, quantity - 1, ""}});
    const std::string figure = fmt::format("{}", quantity);
    const float wide = Widgets::measure(w.fonts.strong, figure).x;
    w.text(w.fonts.strong, w.colours.ink,
           {x + side + gap + (count - wide) / 2, at.y + (side - w.fonts.strong->FontSize) / 2}, 0, figure);
    if (w.button("more " + what, "+", {x + side + gap + count, at.y}, {side, side}, ButtonStyle::plain))
        c.commands.emplace_back(command::EditJob{edit::Renew{what, quantity + 1, ""}});
    out.advance(row);
    out.gap(0.75F);
}

} // namespace

std::string local_time(const Translator& tr, const std::string& utc) {
    std::tm parts{};
    std::istringstream stream(utc);
    stream.imbue(std::locale::classic());
    stream >> std::get_time(&parts, "%Y-%m-%dT%H:%M:%SZ");
    if (stream.fail()) return utc;
    const std::time_t at = timegm(&parts);
    std::tm here{};
    localtime_r(&at, &here);
    constexpr std::array<std::string_view, 12> months{model::marked("Jan"), model::marked("Feb"), model::marked("Mar"),
                                                      model::marked("Apr"), model::marked("May"), model::marked("Jun"),
                                                      model::marked("Jul"), model::marked("Aug"), model::marked("Sep"),
                                                      model::marked("Oct"), model::marked("Nov"), model::marked("Dec")};
    return filled(tr("{0} {1} {2}, {3:02}:{4:02}"), here.tm_mday, tr(months.at(static_cast<std::size_t>(here.tm_mon))),
                  here.tm_year + 1900, here.tm_hour, here.tm_min);
}

void draw_tick(const Widgets& w, const ImVec2& m, float r) {
    ImDrawList* list = ImGui::GetWindowDrawList();
    list->AddCircleFilled(m, r, u32(w.colours.action), 24);
    const std::array<ImVec2, 3> tick{
        {{m.x - 0.45F * r, m.y + 0.02F * r}, {m.x - 0.1F * r, m.y + 0.4F * r}, {m.x + 0.5F * r, m.y - 0.38F * r}}};
    list->AddPolyline(tick.data(), 3, u32(w.colours.on_action), 0, w.px(1.8F));
}

void head_field(PanelContext& c, Writer& out, edit::Field field, std::string_view title, const std::string& text,
                int least_lines) {
    Widgets& w = c.w;
    w.line(w.fonts.note, w.colours.second_ink, out.at(), out.width(), title);
    out.advance(w.fonts.note->FontSize + w.px(3));
    std::string written = text;
    const float height = w.field_height(out.width(), written, least_lines);
    const auto move = w.field("field " + std::string(model::word(field)), out.at(), out.width(), written, least_lines);
    if (move.changed || move.settled)
        c.commands.emplace_back(command::EditJob{edit::Write{field, written, move.settled}});
    out.advance(height);
    out.gap(1);
}

void write_findings(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    out.heading(c.tr("Found"));
    const auto seals = seals_to_look_at(c);
    if (seals.empty()) out.note(c.tr("Suspects stand here once there are readings. Any other seal: press its name."));
    for (const auto& seal : seals)
        write_finding(c, out, seal);
    const std::string caption = c.transient.all_seals ? c.tr("Only these") : c.tr("Another seal");
    const float wide = w.button_width(caption);
    if (w.button("Another seal", caption, out.at(), {wide, w.px(size::target)},
                 c.transient.all_seals ? ButtonStyle::chosen : ButtonStyle::plain))
        c.transient.all_seals = !c.transient.all_seals;
    out.advance(w.px(size::target));
    out.gap(1);
    if (c.transient.all_seals) {
        Flow flow{out.at(), out.width(), w.px(size::target), w.px(4)};
        for (const auto& seal : c.map().seals) {
            if (std::find(seals.begin(), seals.end(), seal.id) != seals.end()) continue;
            const float one = std::min(out.width(), w.button_width(seal.id));
            if (w.button("seal " + seal.id, seal.id, flow.next(one), {one, w.px(size::target)}, ButtonStyle::plain,
                         true, model::seal_name(c.map(), seal)))
                c.commands.emplace_back(command::Select{{model::SubjectKind::seal, seal.id}});
        }
        out.advance(flow.height());
        out.gap(1);
    }
    out.note(c.tr("A photo: drag its file onto this window while the seal is selected."));
}

void write_measurements(PanelContext& c, Writer& out) {
    out.heading(c.tr("Measured"));
    if (c.map().clearances.empty()) out.note(c.tr("The map gives no clearances for this unit."));
    for (const auto& clearance : c.map().clearances)
        write_measurement(c, out, clearance);
}

void write_renewed(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const model::Job& job = c.session().document.job;
    out.heading(c.tr("Renewed"));
    std::vector<std::string> rows;
    const auto add = [&](const std::string& what) {
        if (std::find(rows.begin(), rows.end(), what) == rows.end()) rows.push_back(what);
    };
    for (const auto& finding : job.findings) {
        if (finding.found == model::Found::damaged && finding.seal != model::the_rig) add(finding.seal);
    }
    for (const auto& renewed : job.renewed)
        add(renewed.what);
    for (const auto& what : rows) {
        const auto at =
            std::find_if(job.renewed.begin(), job.renewed.end(), [&](const auto& r) { return r.what == what; });
        write_renewed_row(c, out, what, at == job.renewed.end() ? nullptr : &*at);
    }
    std::string& text = c.transient.renewed_text;
    const float button = w.button_width(c.tr("Add")), field = out.width() - button - w.px(size::unit);
    const ImVec2 at = out.at();
    const float height = w.field_height(field, text);
    static_cast<void>(w.field("field renewed", at, field, text, 1, c.tr("Anything else: gasket, filter, bushing")));
    if (w.button("Add renewed", c.tr("Add"), {at.x + field + w.px(size::unit), at.y}, {button, w.px(size::target)},
                 ButtonStyle::plain, !text.empty())) {
        c.commands.emplace_back(command::EditJob{edit::Renew{text, 1, ""}});
        text.clear();
    }
    out.advance(height);
    out.gap(1);
}

} // namespace ringland::viewer
