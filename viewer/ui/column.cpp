// The column: what is going on now. One question, one answer, one next step.
#include "panels.h"

#include <algorithm>
#include <array>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "../app/actions.h"
#include "words.h"
#include "writer.h"

namespace ringland::viewer {

namespace {

constexpr std::string_view air_caution = model::marked(
    "Regulated air. Eyes and ears covered. Fingers clear of bands and servos. The maker's information decides.");
constexpr std::size_t ways_shown = 8;

void write_question(PanelContext& c, Writer& out) {
    const Widgets& w = c.w;
    const Document& d = c.session().document;
    const float from = out.at().y;
    if (!c.has_unit()) {
        out.text(w.fonts.title, w.colours.ink, c.tr("No unit is open"));
        out.body(c.tr("Drag the map of a unit onto this window: a text file that ends in .toml."));
        out.note(
            c.tr("The folder assets-demo has three invented units to begin with, and docs/map-reference.md says how to "
                 "write a map of your own."));
    } else if (d.air_into.empty() && d.came_out.empty()) {
        out.text(w.fonts.title, w.colours.ink, c.tr("Where does the air go in?"));
        out.body(c.tr("Click that port, on the drawing or in the list."));
        if (const auto& pressure = c.map().unit.air_pressure) {
            out.note(filled(c.tr("The map gives {0} for the air check of this unit."),
                            pressure_words(c.tr, *pressure, c.session().view.units)));
        }
    } else if (d.came_out.empty()) {
        out.text(w.fonts.title, w.colours.ink, filled(c.tr("Air into {0}"), port_title(c.map(), d.air_into)));
        out.body(c.tr("Where did it come out? Click that port, on the drawing or in the list."));
    } else if (d.air_into.empty()) {
        out.text(w.fonts.title, w.colours.ink, filled(c.tr("It came out of {0}"), port_title(c.map(), d.came_out)));
        out.body(c.tr("Which port got the air? Click it, on the drawing or in the list."));
    } else {
        out.text(w.fonts.title, w.colours.ink, filled(c.tr("Air into {0}"), port_title(c.map(), d.air_into)), 0.25F);
        out.text(w.fonts.body, w.colours.second_ink, filled(c.tr("came out of {0}"), port_title(c.map(), d.came_out)));
    }
    out.mark("text question", from);
}

void write_answer(PanelContext& c, Writer& out) {
    const Widgets& w = c.w;
    const auto& answer = *c.derived().answer;
    const model::UnitMap& map = c.map();
    const std::string from_name = circuit_words(c.tr, map, answer.from.circuit);
    const std::string to_name = circuit_words(c.tr, map, answer.to.circuit);
    out.gap(1);
    const float top = out.at().y;
    if (answer.same_circuit) {
        out.text(w.fonts.answer, w.colours.ink, c.tr("One circuit, two ports"));
        out.body(filled(c.tr("{0} and {1} both open into {2}: air from one in the other is no fault."),
                        answer.from.port, answer.to.port, from_name));
        out.mark("text answer", top);
        return;
    }
    const auto shown = std::find_if(answer.seals.begin(), answer.seals.end(),
                                    [&](const auto& d) { return d.seal == c.derived().suspect; });
    if (shown == answer.seals.end()) {
        out.text(w.fonts.answer, w.colours.ink, filled(c.tr("No one seal divides {0} from {1}"), from_name, to_name));
        out.body(answer.ways_round.empty()
                     ? c.tr("The map shows no way for the air between them: read the ports once more.")
                     : c.tr("The air must have come round through another circuit."));
        out.mark("text answer", top);
        return;
    }
    out.text(w.fonts.answer, w.colours.ink, diagnosis::headline(map, *shown, c.tr));
    const auto* seal = model::find(map.seals, shown->seal);
    if (shown->position) {
        out.text(w.fonts.body, w.colours.second_ink,
                 both_ends_lying(c.tr, map, *shown->position, c.session().view.lying), 0.25F);
    } else if (seal) {
        out.text(w.fonts.body, w.colours.second_ink, place_words(c.tr, map, *seal, c.session().view.lying), 0.25F);
    }
    out.body(filled(c.tr("divides {0} from {1}"), from_name, to_name));
    if (shown->one_way) {
        out.note(shown->against_it ? c.tr("It seals one way: this is the direction that it holds back.")
                                   : c.tr("It seals one way, and this is not the direction that it holds back."));
    }
    out.mark("text answer", top);
}

void write_suspects(PanelContext& c, Writer& out) {
    const auto& answer = *c.derived().answer;
    if (answer.seals.empty()) return;
    out.heading(answer.seals.size() == 1 ? c.tr("The only seal between them") : c.tr("Seals that divide them"));
    for (const auto& divider : answer.seals) {
        const auto* seal = model::find(c.map().seals, divider.seal);
        if (!seal) continue;
        const bool chosen = divider.seal == c.derived().suspect;
        std::string title = divider.seal + "  " + kind_words(c.tr, *seal);
        const std::string place = place_words(c.tr, c.map(), *seal, c.session().view.lying);
        const std::string detail = seal->name.empty() ? place : seal->name + " · " + place;
        if (out.card("suspect " + divider.seal, title, detail, chosen) && !chosen) {
            c.commands.emplace_back(command::ShowSuspect{divider.seal});
        }
    }
}

void write_by_design(PanelContext& c, Writer& out) {
    const auto& answer = *c.derived().answer;
    if (answer.same_circuit) return;
    const auto some = [&](diagnosis::Direction direction) {
        return std::any_of(answer.by_design.begin(), answer.by_design.end(),
                           [&](const auto& d) { return d.direction == direction; });
    };
    const float top = out.at().y;
    out.heading(c.tr("By design, in this direction"));
    if (!some(diagnosis::Direction::asked)) out.body(c.tr("Nothing: a good unit shows no more than a breath here."));
    for (const auto& flow : answer.by_design) {
        if (flow.direction == diagnosis::Direction::asked)
            out.card("", c.tr("A good unit shows air here"), flow.reason, false);
    }
    if (some(diagnosis::Direction::reverse)) {
        out.heading(c.tr("By design, in reverse"));
        for (const auto& flow : answer.by_design) {
            if (flow.direction == diagnosis::Direction::reverse)
                out.card("", c.tr("Only the other way"), flow.reason, false);
        }
    }
    out.mark("text by design", top);
}

void write_ways_round(PanelContext& c, Writer& out) {
    const auto& answer = *c.derived().answer;
    if (answer.ways_round.empty()) return;
    out.heading(c.tr("Ways round, with the fewest failed seals"));
    for (std::size_t i = 0; i < std::min(ways_shown, answer.ways_round.size()); ++i) {
        const auto& way = answer.ways_round[i];
        std::vector<std::string> through;
        for (std::size_t k = 1; k + 1 < way.circuits.size(); ++k)
            through.push_back(circuit_words(c.tr, c.map(), way.circuits[k]));
        const std::string title = way.seals.empty() ? c.tr("No failed seal") : joined(c.tr, way.seals);
        std::string detail =
            through.empty() ? "" : filled(c.tr("through {0}"), fmt::format("{}", fmt::join(through, c.tr(", then "))));
        for (const auto& id : way.by_design) {
            const auto* flow = model::find(c.map().by_design, id);
            if (flow == nullptr) continue;
            detail += (detail.empty() ? "" : "; ") + filled(c.tr("by design from {0} into {1}"),
                                                            circuit_words(c.tr, c.map(), flow->from),
                                                            circuit_words(c.tr, c.map(), flow->to));
        }
        // The card picks out the first seal of the way, so that it can be found on the drawing.
        const std::string label = way.seals.empty() ? "" : fmt::format("way {}", i + 1);
        if (out.card(label, title, detail, false)) {
            c.commands.emplace_back(command::Select{{model::SubjectKind::seal, way.seals.front()}});
        }
    }
    const std::size_t more = answer.ways_round.size() - std::min(ways_shown, answer.ways_round.size());
    if (answer.ways_round_cut_off)
        out.note(filled(c.tr("and more than {0} others"), more));
    else if (more > 0)
        out.note(filled(c.tr("and {0} others"), more));
}

void write_selected(PanelContext& c, Writer& out) {
    Widgets& w = c.w;
    const model::Subject& selected = c.session().view.selected;
    if (selected.kind == model::SubjectKind::none) return;
    const auto said = subject_words(c.tr, c.session(), selected);
    const UnitSystem units = c.session().view.units;
    out.heading(filled(c.tr("Selected: {0}"), said.title));
    out.body(said.detail);
    if (const auto* seal =
            selected.kind == model::SubjectKind::seal ? model::find(c.map().seals, selected.id) : nullptr) {
        std::string facts = kind_words(c.tr, *seal);
        if (seal->end_gap) facts += ", " + filled(c.tr("end gap {0}"), length_words(c.tr, *seal->end_gap, units));
        if (seal->side_clearance)
            facts += ", " + filled(c.tr("side clearance {0}"), length_words(c.tr, *seal->side_clearance, units));
        out.note(facts);
        if (!seal->inspect.empty()) out.note(filled(c.tr("Look for: {0}"), seal->inspect));
        if (!seal->fit.empty()) out.note(filled(c.tr("Fitting: {0}"), seal->fit));
    }
    if (const auto* circuit =
            selected.kind == model::SubjectKind::circuit ? model::find(c.map().circuits, selected.id) : nullptr) {
        out.note(circuit->note);
    }
    const float close = w.button_width(c.tr("Close-up")), off = w.button_width(c.tr("Leave it"));
    Flow flow{out.at(), out.width(), w.px(size::target), w.px(size::unit)};
    c.action_button("focus", flow.next(close), {close, w.px(size::target)}, ButtonStyle::plain, c.tr("Close-up"));
    if (w.button("Leave it", c.tr("Leave it"), flow.next(off), {off, w.px(size::target)}, ButtonStyle::plain)) {
        c.commands.emplace_back(command::Select{});
    }
    out.advance(flow.height());
    out.gap(1);
}

constexpr std::array<const char*, 4> step_ids{"swap", "clear", "undo", "redo"};

/// What undo and redo would do, where the row has room to name it under them.
struct StepButton {
    std::string id, caption, name;
    float width = 0;
};

std::vector<StepButton> step_buttons(const PanelContext& c, float width) {
    const Widgets& w = c.w;
    std::vector<StepButton> buttons;
    float free = width - 3 * w.px(size::unit);
    for (const char* id : step_ids) {
        buttons.push_back({id, std::string(id) == "swap" ? c.tr("Swap") : c.tr(action(id).title), "", 0});
        buttons.back().width = std::min(width, w.button_width(buttons.back().caption));
        free -= buttons.back().width;
    }
    const auto name = [&](StepButton& button, const std::optional<std::string>& step) {
        if (!step) return;
        const float more = Widgets::measure(w.fonts.note, *step).x + 2 * w.px(size::unit) + 1 - button.width;
        if (more > free) return;
        button.name = *step;
        button.width += std::max(0.0F, more);
        free -= std::max(0.0F, more);
    };
    name(buttons[2], c.bench.undo_name());
    name(buttons[3], c.bench.redo_name());
    const float swap = w.button_width(c.tr(action("swap").title)) - buttons[0].width;
    if (swap <= free) {
        buttons[0].caption = c.tr(action("swap").title);
        buttons[0].width += swap;
    }
    return buttons;
}

/// The buttons that are always there: the next step is to test the other direction.
float draw_steps(PanelContext& c, const ImVec2& at, float width) {
    Widgets& w = c.w;
    Flow flow{at, width, w.px(size::target), w.px(size::unit)};
    for (const StepButton& button : step_buttons(c, width)) {
        const bool primary = button.id == "swap" && action("swap").make(c.bench).has_value();
        const ImVec2 p = flow.next(button.width), extent{button.width, w.px(size::target)};
        c.action_button(button.id, p, extent, primary ? ButtonStyle::primary : ButtonStyle::plain,
                        button.name.empty() ? std::string_view(button.caption) : std::string_view(" "));
        if (button.name.empty()) continue;
        const float top = p.y + (extent.y - w.fonts.strong->FontSize - w.fonts.note->FontSize) / 2;
        const float a = Widgets::measure(w.fonts.strong, button.caption).x,
                    b = Widgets::measure(w.fonts.note, button.name).x;
        w.text(w.fonts.strong, w.colours.ink, {p.x + (extent.x - a) / 2, top}, 0, button.caption);
        w.text(w.fonts.note, w.colours.second_ink, {p.x + (extent.x - b) / 2, top + w.fonts.strong->FontSize}, 0,
               button.name);
    }
    const float y = flow.height() + w.px(size::unit);
    return y + w.text(w.fonts.note, w.colours.second_ink, {at.x, at.y + y}, width, c.tr(air_caution));
}

float steps_height(const PanelContext& c, float width) {
    Flow flow{{0, 0}, width, c.w.px(size::target), c.w.px(size::unit)};
    for (const StepButton& button : step_buttons(c, width))
        static_cast<void>(flow.next(button.width));
    return flow.height() + c.w.px(size::unit) + c.w.text(c.w.fonts.note, {}, {}, width, c.tr(air_caution), false);
}

void write_all(PanelContext& c, Writer& out) {
    write_question(c, out);
    if (c.session().document.came_out.empty()) write_air_in(c, out);
    if (c.derived().answer) {
        write_answer(c, out);
        write_air(c, out);
        write_suspects(c, out);
        write_by_design(c, out);
        write_ways_round(c, out);
    }
    // On its own sheet the air check has them beside it.
    if (c.session().view.sheet != Sheet::check && !c.session().document.check.readings.empty())
        write_suspected(c, out, 3);
    write_selected(c, out);
    if (!c.map().ports.empty()) {
        out.heading(c.tr("Ports"));
        out.advance(draw_ports(c, out.at(), out.width()));
    }
    if (c.has_unit()) write_view_tools(c, out);
}

/// The word that a healthy unit has at a port with the air where it is now.
std::optional<diagnosis::airflow::Heard> healthy_at(const PanelContext& c, const std::string& port) {
    if (!c.derived().healthy) return {};
    for (const auto& at : c.derived().healthy->at) {
        if (c.map().ports[static_cast<std::size_t>(at.port)].id == port) return at.word;
    }
    return {};
}

} // namespace

void draw_column(PanelContext& c, const ImVec2& at, const ImVec2& extent) {
    Widgets& w = c.w;
    const float pad = w.px(size::padding), inner = extent.x - 2 * pad;
    const float fixed = steps_height(c, inner) + 2 * w.px(1.5F * size::unit);
    // Where there is no room for a foot that stands still, it goes to the end of what scrolls.
    const bool foot = extent.y > 2 * fixed;
    const ImVec2 upper{extent.x, foot ? extent.y - fixed : extent.y};
    if (w.begin_region("column", at, upper, w.colours.panel, true)) {
        const ImVec2 origin = ImGui::GetCursorScreenPos();
        Writer out(c, {origin.x + pad, origin.y + pad}, inner);
        write_all(c, out);
        if (!foot) {
            out.gap(1.5F);
            out.advance(draw_steps(c, out.at(), out.width()));
        }
        out.gap(1);
        w.content_ends_at({origin.x + pad, out.at().y});
    }
    w.end_region();
    if (!foot) return;
    const ImVec2 low{at.x, at.y + upper.y};
    if (w.begin_region("column foot", low, {extent.x, fixed}, w.colours.panel, false)) {
        ImGui::GetWindowDrawList()->AddLine({low.x + pad, low.y}, {low.x + extent.x - pad, low.y}, u32(w.colours.rule),
                                            w.px(1));
        draw_steps(c, {low.x + pad, low.y + w.px(1.5F * size::unit)}, inner);
    }
    w.end_region();
}

float draw_ports(PanelContext& c, const ImVec2& at, float width) {
    Widgets& w = c.w;
    const Document& d = c.session().document;
    const float gap = w.px(size::unit), row = w.px(52);
    const int columns = std::max(1, static_cast<int>((width + gap) / (w.px(150) + gap)));
    const float cell = (width - gap * static_cast<float>(columns - 1)) / static_cast<float>(columns);
    int i = 0;
    for (const auto& port : c.map().ports) {
        const ImVec2 p{at.x + static_cast<float>(i % columns) * (cell + gap),
                       at.y + static_cast<float>(i / columns) * (row + gap)};
        ++i;
        const bool in = port.id == d.air_into, out = port.id == d.came_out;
        const std::string circuit = circuit_words(c.tr, c.map(), port.circuit);
        const std::string tip = fmt::format("{}: {}{}", port_title(c.map(), port.id), circuit,
                                            in    ? ", " + c.tr("gets the air")
                                            : out ? ", " + c.tr("here it came out")
                                                  : "");
        if (w.pressed("port " + port.id, p, {cell, row}, true, tip))
            c.commands.push_back(port_clicked(c.session(), port.id));
        if (w.hovered()) c.transient.pointed = {model::SubjectKind::port, port.id};
        const bool hovered = w.hovered() || on_trace(c, port.circuit);
        ImVec4 ground = in || out ? mix(w.colours.raised, w.colours.action, 0.14F) : w.colours.raised;
        if (hovered) ground = mix(ground, w.colours.action, 0.1F);
        w.card(p, {cell, row}, ground, in || out ? w.colours.action : w.colours.border, w.px(in || out ? 2.0F : 1.0F));
        const float pad = w.px(size::unit), swatch = w.px(34);
        draw_swatch(c, {p.x + pad, p.y + w.px(10)}, {swatch, row - w.px(20)}, port.circuit, w.fonts.note,
                    model::circuit_tag(c.map(), port.circuit));
        const float x = p.x + pad + swatch + pad, room = cell - 3 * pad - swatch;
        const auto healthy = healthy_at(c, port.id);
        const std::string state = in        ? c.tr("air goes in")
                                  : out     ? c.tr("came out here")
                                  : healthy ? filled(c.tr("healthy: {0}"), c.tr.word(*healthy))
                                            : "";
        const Widgets::Lines title = Widgets::in_lines(w.fonts.strong, room, 2, port_title(c.map(), port.id));
        const float lines = title.height + (state.empty() ? 0 : w.fonts.note->FontSize);
        const float y = p.y + (row - lines) / 2;
        w.lines(w.fonts.strong, w.colours.ink, {x, y}, room, title);
        if (!state.empty()) w.line(w.fonts.note, w.colours.second_ink, {x, y + title.height}, room, state);
    }
    const int rows = (i + columns - 1) / columns;
    return static_cast<float>(rows) * (row + gap);
}

void draw_swatch(const PanelContext& c, const ImVec2& at, const ImVec2& extent, const std::string& circuit,
                 ImFont* font, const std::string& words) {
    const Widgets& w = c.w;
    const CircuitColour look = circuit_look(c.derived(), c.map(), circuit);
    const ImVec4 ground = colour(look.colour);
    ImDrawList* list = ImGui::GetWindowDrawList();
    const ImVec2 end{at.x + extent.x, at.y + extent.y};
    list->AddRectFilled(at, end, u32(ground));
    if (look.dashed) {
        // Stripes along the lower edge tell a colour that comes round from its first use.
        for (float x = at.x; x < end.x; x += w.px(10)) {
            list->AddRectFilled({x, end.y - w.px(5)}, {std::min(x + w.px(5), end.x), end.y - w.px(1)},
                                u32(colour(rgb(0x1D2228))));
        }
    }
    list->AddRect(at, end, u32(faded(w.colours.ink, 0.65F)), 0, 0, w.px(1));
    const float room = extent.x - w.px(6), wide = std::min(Widgets::measure(font, words).x, room);
    w.line(font, ink_on(ground), {at.x + (extent.x - wide) / 2, at.y + (extent.y - font->FontSize) / 2}, room, words);
}

} // namespace ringland::viewer
