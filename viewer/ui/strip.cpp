// The flat drawing of every stack: ring, circuit, ring, ... It works without the 3D drawing, and prints.
#include "panels.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "../app/camera.h"
#include "words.h"

namespace ringland::viewer {

namespace {

/// Sizes of one stack's row.
struct RowSizes {
    float ring, circuit, end_first, end_second, name_h, ids_h, cell_h, width, height;
};

struct EndWords {
    std::string name, beyond;
};

EndWords end_of(const PanelContext& c, const model::Stack& stack, bool first) {
    const bool engine = first == stack.first_end_to_engine;
    EndWords words{end_with_lie(c.tr, first ? stack.first_end : stack.second_end, c.session().view.lying, engine), ""};
    const std::string& beyond = stack.outside[first ? 0 : 1];
    if (beyond != model::sump_id) words.beyond = circuit_words(c.tr, c.map(), beyond);
    return words;
}

RowSizes sizes_of(const PanelContext& c, const model::Stack& stack) {
    const Widgets& w = c.w;
    RowSizes s{};
    s.ring = w.px(size::target);
    s.circuit = w.px(size::target);
    for (const auto& circuit : stack.circuits) {
        const float words = Widgets::measure(w.fonts.strong, circuit_words(c.tr, c.map(), circuit)).x;
        s.circuit = std::max(s.circuit, std::min(words + w.px(size::unit), w.px(180)));
    }
    const auto end_width = [&](bool first) {
        const EndWords words = end_of(c, stack, first);
        return w.px(size::unit) +
               std::max(Widgets::measure(w.fonts.note, words.name).x, Widgets::measure(w.fonts.note, words.beyond).x);
    };
    s.end_first = end_width(true);
    s.end_second = end_width(false);
    s.name_h = w.fonts.note->FontSize + w.px(4);
    s.ids_h = w.fonts.note->FontSize + w.px(4);
    s.cell_h = w.px(size::target);
    s.width =
        s.end_first + s.end_second + s.ring * float(stack.seals.size()) + s.circuit * float(stack.circuits.size());
    s.height = s.name_h + s.ids_h + s.cell_h + (c.derived().weighed ? w.fonts.note->FontSize : 0);
    return s;
}

void draw_end(const PanelContext& c, const model::Stack& stack, const RowSizes& s, const ImVec2& at, bool first) {
    const Widgets& w = c.w;
    const EndWords words = end_of(c, stack, first);
    const float lines = words.beyond.empty() ? 1.0F : 2.0F;
    const float top = at.y + (s.cell_h - lines * w.fonts.note->FontSize) / 2;
    const auto put = [&](const std::string& text, float y, const ImVec4& ink) {
        const float x = first ? at.x + s.end_first - w.px(size::unit) - Widgets::measure(w.fonts.note, text).x
                              : at.x + w.px(size::unit);
        w.text(w.fonts.note, ink, {x, y}, 0, text);
    };
    put(words.name, top, w.colours.ink);
    if (!words.beyond.empty()) put(words.beyond, top + w.fonts.note->FontSize, w.colours.second_ink);
}

/// A ring or other seal of the stack: a tall bar across the bore, heavy and vermillion where it is the suspect.
void draw_ring(PanelContext& c, const model::Stack& stack, const RowSizes& s, const std::string& id,
               const ImVec2& cell) {
    Widgets& w = c.w;
    const Derived& derived = c.derived();
    const auto* seal = model::find(c.map().seals, id);
    const auto said = subject_words(c.tr, c.session(), {model::SubjectKind::seal, id});
    const bool suspect = derived.suspect == id;
    const bool selected = c.session().view.selected == model::Subject{model::SubjectKind::seal, id};
    if (w.pressed("ring " + id, cell, {s.ring, s.cell_h}, true, said.title + ": " + said.detail)) {
        const bool divides = derived.answer && std::any_of(derived.answer->seals.begin(), derived.answer->seals.end(),
                                                           [&](const auto& d) { return d.seal == id; });
        if (divides && !suspect)
            c.commands.emplace_back(command::ShowSuspect{id});
        else
            c.commands.emplace_back(command::Select{{model::SubjectKind::seal, id}});
    }
    const float bar = w.px(suspect ? 14.0F : 11.0F), out = w.px(suspect ? 4.0F : 2.0F);
    const float x = cell.x + (s.ring - bar) / 2;
    if (w.hovered()) c.transient.pointed = {model::SubjectKind::seal, id};
    ImDrawList* list = ImGui::GetWindowDrawList();
    const ImVec2 low{x, cell.y - out}, high{x + bar, cell.y + s.cell_h + out};
    ImVec4 ground = seal && seal->material == model::Material::iron ? colour(rgb(0x8F9496)) : colour(rgb(0xF1EEE5));
    if (w.hovered()) ground = mix(ground, w.colours.action, 0.25F);
    list->AddRectFilled(low, high, u32(suspect ? w.colours.suspect : ground), w.px(2));
    const ImVec4 edge = suspect    ? mix(w.colours.suspect, colour(rgb(0x1D2228)), 0.45F)
                        : selected ? w.colours.action
                                   : w.colours.ink;
    list->AddRect(low, high, u32(edge), w.px(2), 0, w.px(suspect || selected ? 2.5F : 1.2F));
    // A ring id shorter than its place stands above it; ids of others are cut there and full on hover.
    ImFont* font = suspect ? w.fonts.strong : w.fonts.note;
    const float words = std::min(Widgets::measure(font, id).x, s.ring);
    w.line(font, suspect ? w.colours.suspect_ink : w.colours.second_ink,
           {cell.x + (s.ring - words) / 2, cell.y - s.ids_h - w.px(suspect ? 3.0F : 0.0F)}, s.ring, id);
    if (const double chance = chance_of(derived, c.map(), id); chance >= least_chance_shown) {
        // Filled from below as far as the chance goes, and the figure under it.
        const float level = high.y - (high.y - low.y) * static_cast<float>(chance);
        if (!suspect) list->AddRectFilled({low.x, level}, high, u32(w.colours.suspect), w.px(2));
        const std::string percent = fmt::format("{:.0f} %", 100 * chance);
        const float wide = std::min(Widgets::measure(w.fonts.note, percent).x, s.ring);
        w.line(w.fonts.note, w.colours.ink, {cell.x + (s.ring - wide) / 2, cell.y + s.cell_h + out}, s.ring, percent);
    }
    static_cast<void>(stack);
}

void draw_circuit(PanelContext& c, const model::Stack& stack, const RowSizes& s, const std::string& id,
                  const ImVec2& cell) {
    Widgets& w = c.w;
    const auto said = subject_words(c.tr, c.session(), {model::SubjectKind::circuit, id});
    const auto& ports = c.map().ports;
    const auto port = std::find_if(ports.begin(), ports.end(), [&](const auto& p) { return p.circuit == id; });
    if (w.pressed("circuit " + stack.id + "/" + id, cell, {s.circuit, s.cell_h}, true,
                  said.title + ": " + said.detail)) {
        if (port != ports.end())
            c.commands.push_back(port_clicked(c.session(), port->id));
        else
            c.commands.emplace_back(command::Select{{model::SubjectKind::circuit, id}});
    }
    if (w.hovered()) c.transient.pointed = {model::SubjectKind::circuit, id};
    const bool hovered = w.hovered() || on_trace(c, id);
    // The space reaches under the ring places to the rings themselves.
    const float reach = s.ring / 2 - w.px(7);
    const ImVec2 low{cell.x - reach, cell.y + w.px(3)}, extent{s.circuit + 2 * reach, s.cell_h - w.px(6)};
    draw_swatch(c, low, extent, id, w.fonts.strong, circuit_words(c.tr, c.map(), id));
    const Document& d = c.session().document;
    const auto circuit_of = [&](const std::string& p) {
        const auto* found = model::find(ports, p);
        return found ? found->circuit : std::string();
    };
    const bool asked = circuit_of(d.air_into) == id || circuit_of(d.came_out) == id;
    const bool selected = c.session().view.selected == model::Subject{model::SubjectKind::circuit, id};
    if (asked || selected || hovered) {
        ImGui::GetWindowDrawList()->AddRect(low, {low.x + extent.x, low.y + extent.y},
                                            u32(asked ? w.colours.ink : w.colours.action), 0, 0,
                                            w.px(asked ? 2.2F : 1.6F));
    }
}

void draw_stack(PanelContext& c, const model::Stack& stack, const RowSizes& s, const ImVec2& at) {
    Widgets& w = c.w;
    const ImVec2 cells{at.x, at.y + s.name_h + s.ids_h};
    w.line(w.fonts.note, w.colours.second_ink, at, s.width, c.tr.map_word(stack.name.empty() ? stack.id : stack.name));
    draw_end(c, stack, s, cells, true);
    float x = at.x + s.end_first + s.ring;
    for (const auto& circuit : stack.circuits) {
        draw_circuit(c, stack, s, circuit, {x, cells.y});
        x += s.circuit + s.ring;
    }
    x = at.x + s.end_first;
    for (const auto& seal : stack.seals) {
        draw_ring(c, stack, s, seal, {x, cells.y});
        x += s.ring + s.circuit;
    }
    draw_end(c, stack, s, {x - s.circuit, cells.y}, false);
}

/// Rows of stacks at a width: where each goes, and how tall all are together.
struct StripPlan {
    std::vector<ImVec2> at;
    std::vector<RowSizes> sizes;
    float width = 0, height = 0, row = 0;
};

StripPlan plan_of(const PanelContext& c, float width) {
    StripPlan plan;
    const float pad = c.w.px(size::padding), gap = c.w.px(3 * size::unit);
    float x = pad, y = c.w.px(1.25F * size::unit);
    for (const auto& stack : c.map().stacks) {
        const RowSizes s = sizes_of(c, stack);
        plan.row = s.height;
        if (x > pad && x + s.width > width - pad) {
            x = pad;
            y += s.height + c.w.px(1.5F * size::unit);
        }
        plan.at.push_back({x, y});
        plan.sizes.push_back(s);
        x += s.width + gap;
        plan.width = std::max(plan.width, x - gap + pad);
    }
    plan.height = y + plan.row + c.w.px(1.5F * size::unit);
    return plan;
}

} // namespace

float strip_height(const PanelContext& c, float width, float window_height) {
    const StripPlan p = plan_of(c, width);
    // One row always; a second one where the window is tall enough, the rest by scrolling.
    const float one_row = p.row + c.w.px(3.5F * size::unit);
    return std::min(p.height, std::max(one_row, 0.24F * window_height));
}

void draw_strip(PanelContext& c, const ImVec2& at, const ImVec2& extent) {
    const StripPlan p = plan_of(c, extent.x);
    if (c.w.begin_region("strip", at, extent, mix(c.w.colours.panel, c.w.colours.rule, 0.25F), true)) {
        ImGui::GetWindowDrawList()->AddLine(at, {at.x + extent.x, at.y}, u32(c.w.colours.rule), c.w.px(1));
        const ImVec2 origin = ImGui::GetCursorScreenPos();
        for (std::size_t i = 0; i < p.at.size(); ++i) {
            draw_stack(c, c.map().stacks[i], p.sizes[i], {origin.x + p.at[i].x, origin.y + p.at[i].y});
        }
        c.w.content_ends_at({origin.x + p.width, origin.y + p.height});
    }
    c.w.end_region();
}

} // namespace ringland::viewer
