// The expected chart as a matrix: air into the port of the row, what a healthy unit shows at the port of the column.
#include "panels.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "words.h"

namespace ringland::viewer {

namespace {

using diagnosis::airflow::ExpectedAt;
using diagnosis::airflow::ExpectedRow;
using diagnosis::airflow::Heard;
using diagnosis::airflow::normal_lpm;

/// Places of the matrix: one row and one column for each port, and a column for the open case.
struct Grid {
    ImVec2 origin; ///< of the first cell
    float cell = 0, row = 0, head = 0, side = 0;
    [[nodiscard]] ImVec2 at(int r, int column) const {
        return {origin.x + static_cast<float>(column) * cell, origin.y + static_cast<float>(r) * row};
    }
};

std::string reasons(const PanelContext& c, const std::vector<int>& flows) {
    std::string text;
    for (const int flow : flows)
        text += (text.empty() ? "" : " ") + c.map().by_design[static_cast<std::size_t>(flow)].reason;
    return text;
}

std::string cell_words(const PanelContext& c, const ExpectedRow& row, const ExpectedAt& at) {
    const auto& map = c.map();
    const std::string from = port_title(map, map.ports[static_cast<std::size_t>(row.into)].id);
    const std::string to = port_title(map, map.ports[static_cast<std::size_t>(at.port)].id);
    std::string text = filled(c.tr("Air into {0}, at {1}: {2}, {3}; {4} on a gauge that closes it."), from, to,
                              c.tr.word(at.word), flow_words(c.tr, normal_lpm(at.flow_kgps)),
                              gauge_words(c.tr, at.plugged_gauge_pa, c.session().view.units));
    if (at.same_circuit) text += " " + c.tr("Both ports open into one circuit.");
    if (!at.by_design.empty()) text += " " + filled(c.tr("By design: {0}"), reasons(c, at.by_design));
    return text;
}

std::string flow_figure(const Translator& tr, double lpm) {
    if (lpm < 0.05) return "";
    return tr.number(lpm, lpm < 9.95 ? 1 : 0);
}

/// As short as it can be written: "0.15", "2".
std::string plain_figure(const Translator& tr, double value) {
    const std::string shortest = fmt::format("{:g}", value);
    const std::size_t point = shortest.find('.');
    return tr.number(value, point == std::string::npos ? 0 : static_cast<int>(shortest.size() - point) - 1);
}

std::string gauge_figure(const PanelContext& c, double gauge_pa) {
    if (gauge_pa < 0.01 * c.derived().chart_gauge_pa) return "";
    const std::string words = gauge_words(c.tr, gauge_pa, c.session().view.units);
    return words.substr(0, words.find(' '));
}

/// Mark, figure, and a corner where the flow is by design.
void draw_cell(PanelContext& c, const Grid& grid, const ImVec2& at, Heard word, const std::string& figure,
               bool by_design) {
    Widgets& w = c.w;
    const float middle = at.x + grid.cell / 2;
    draw_heard_mark(w, {middle, at.y + grid.row * 0.36F}, w.px(7.5F), word, w.colours.ink, w.colours.raised);
    const float wide = Widgets::measure(w.fonts.note, figure).x;
    w.line(w.fonts.note, w.colours.second_ink, {middle - wide / 2, at.y + grid.row * 0.6F}, grid.cell, figure);
    if (by_design) {
        const float s = w.px(9);
        ImGui::GetWindowDrawList()->AddTriangleFilled({at.x + grid.cell - s - 1, at.y + 1},
                                                      {at.x + grid.cell - 1, at.y + 1},
                                                      {at.x + grid.cell - 1, at.y + s + 1}, u32(w.colours.action));
    }
}

void draw_heads(PanelContext& c, const Grid& grid) {
    Widgets& w = c.w;
    const auto& ports = c.map().ports;
    const int count = static_cast<int>(ports.size());
    for (int i = 0; i < count; ++i) {
        const auto& port = ports[static_cast<std::size_t>(i)];
        const ImVec2 top{grid.at(0, i).x, grid.origin.y - grid.head};
        const float pad = w.px(3);
        const float wide = Widgets::measure(w.fonts.strong, port.id).x;
        w.line(w.fonts.strong, w.colours.ink, {top.x + std::max(0.0F, (grid.cell - wide) / 2), top.y}, grid.cell,
               port.id);
        draw_swatch(c, {top.x + pad, top.y + w.px(20)}, {grid.cell - 2 * pad, w.px(22)}, port.circuit, w.fonts.note,
                    model::circuit_tag(c.map(), port.circuit));
        const ImVec2 left{grid.origin.x - grid.side, grid.at(i, 0).y};
        draw_swatch(c, {left.x, left.y + (grid.row - w.px(22)) / 2}, {w.px(34), w.px(22)}, port.circuit, w.fonts.note,
                    model::circuit_tag(c.map(), port.circuit));
        const bool in = port.id == c.session().document.air_into;
        w.line(in ? w.fonts.strong : w.fonts.body, w.colours.ink,
               {left.x + w.px(42), left.y + (grid.row - w.fonts.body->FontSize) / 2}, grid.side - w.px(50),
               port_title(c.map(), port.id));
    }
    const ImVec2 last{grid.at(0, count).x, grid.origin.y - grid.head};
    const float wide = Widgets::measure(w.fonts.strong, c.tr("case")).x;
    w.line(w.fonts.strong, w.colours.ink, {last.x + (grid.cell - wide) / 2, last.y + w.px(20)}, grid.cell,
           c.tr("case"));
}

void draw_row(PanelContext& c, const Grid& grid, const ExpectedRow& row) {
    Widgets& w = c.w;
    const auto& ports = c.map().ports;
    const Document& d = c.session().document;
    ImDrawList* list = ImGui::GetWindowDrawList();
    const auto& from = ports[static_cast<std::size_t>(row.into)];
    const int r = row.into, count = static_cast<int>(ports.size());
    if (from.id == d.air_into) {
        const ImVec2 a{grid.origin.x - grid.side - w.px(6), grid.at(r, 0).y}, b = grid.at(r + 1, count + 1);
        list->AddRectFilled(a, b, u32(faded(w.colours.action, 0.12F)), w.px(4));
        list->AddRect(a, b, u32(w.colours.action), w.px(4), 0, w.px(1.5F));
    }
    for (const ExpectedAt& at : row.at) {
        const auto& to = ports[static_cast<std::size_t>(at.port)];
        const ImVec2 place = grid.at(r, at.port);
        if (w.pressed(fmt::format("cell {} {}", from.id, to.id), place, {grid.cell, grid.row}, true,
                      cell_words(c, row, at))) {
            c.commands.emplace_back(command::AirInto{from.id});
            c.commands.emplace_back(command::CameOut{to.id});
        }
        if (w.hovered())
            list->AddRectFilled(place, {place.x + grid.cell, place.y + grid.row}, u32(faded(w.colours.action, 0.14F)));
        const std::string figure = c.transient.chart_gauges ? gauge_figure(c, at.plugged_gauge_pa)
                                                            : flow_figure(c.tr, normal_lpm(at.flow_kgps));
        draw_cell(c, grid, place, at.word, figure, !at.by_design.empty());
        if (from.id == d.air_into && to.id == d.came_out) {
            const auto seen = seen_word(d);
            const bool more = seen && *seen > at.word;
            list->AddRect({place.x + 1, place.y + 1}, {place.x + grid.cell - 1, place.y + grid.row - 1},
                          u32(more ? w.colours.suspect : w.colours.ink), w.px(3), 0, w.px(2.5F));
        }
    }
    const ImVec2 last = grid.at(r, count);
    w.pressed("case " + from.id, last, {grid.cell, grid.row}, true,
              filled(c.tr("Air into {0}: {1} come out in the open case, {2}. {3}"), port_title(c.map(), from.id),
                     flow_words(c.tr, normal_lpm(row.case_kgps)), c.tr.word(row.case_word),
                     reasons(c, row.case_by_design)));
    draw_cell(c, grid, last, row.case_word,
              c.transient.chart_gauges ? "" : flow_figure(c.tr, normal_lpm(row.case_kgps)),
              !row.case_by_design.empty());
    const ImVec2 own = grid.at(r, row.into);
    list->AddLine({own.x + grid.cell * 0.3F, own.y + grid.row / 2}, {own.x + grid.cell * 0.7F, own.y + grid.row / 2},
                  u32(w.colours.rule), w.px(1.5F));
}

void draw_legend(PanelContext& c, const ImVec2& at, float width) {
    Widgets& w = c.w;
    Flow flow{at, width, w.px(22), w.px(size::padding)};
    for (const Heard word : {Heard::nothing, Heard::faint, Heard::clear, Heard::strong}) {
        const auto& from = c.session().document.bench.heard_from_lpm;
        const auto k = static_cast<std::size_t>(word);
        const std::string words = k == 0
                                      ? filled(c.tr("nothing, below {0}"), plain_figure(c.tr, from[0]))
                                      : filled(c.tr("{0} from {1}"), c.tr.word(word), plain_figure(c.tr, from[k - 1]));
        const ImVec2 p = flow.next(w.px(24) + Widgets::measure(w.fonts.note, words).x);
        draw_heard_mark(w, {p.x + w.px(9), p.y + w.px(9)}, w.px(7), word, w.colours.ink, w.colours.raised);
        w.line(w.fonts.note, w.colours.second_ink, {p.x + w.px(22), p.y + w.px(2)}, width, words);
    }
    const std::string design = c.tr("by design");
    const ImVec2 p = flow.next(w.px(20) + Widgets::measure(w.fonts.note, design).x);
    ImGui::GetWindowDrawList()->AddTriangleFilled({p.x, p.y + w.px(4)}, {p.x + w.px(11), p.y + w.px(4)},
                                                  {p.x + w.px(11), p.y + w.px(15)}, u32(w.colours.action));
    w.line(w.fonts.note, w.colours.second_ink, {p.x + w.px(17), p.y + w.px(2)}, width, design);
    w.line(w.fonts.note, w.colours.second_ink, flow.next(w.px(260)), width,
           c.transient.chart_gauges ? c.tr("figures: gauge that closes the port")
                                    : c.tr("figures: normal litres a minute"));
}

} // namespace

void draw_chart(PanelContext& c, const ImVec2& at, const ImVec2& extent) {
    Widgets& w = c.w;
    const float pad = w.px(size::padding);
    if (w.begin_region("chart", at, extent, w.colours.panel, true)) {
        const ImVec2 origin = ImGui::GetCursorScreenPos();
        const int count = static_cast<int>(c.map().ports.size());
        if (count == 0) {
            w.text(w.fonts.body, w.colours.ink, {origin.x + pad, origin.y + pad}, extent.x - 2 * pad,
                   c.tr("No unit is open: drag its map onto this window first."));
            w.end_region();
            return;
        }
        float y = origin.y + pad;
        const float inner = extent.x - 2 * pad - w.px(12); // the scroll bar's
        const std::string turn = c.transient.chart_gauges ? c.tr("Show flows") : c.tr("Show gauges");
        const float wide = w.button_width(turn);
        if (w.button("chart figures", turn, {origin.x + extent.x - pad - wide, origin.y + w.px(10)},
                     {wide, w.px(size::target)}, ButtonStyle::plain, true,
                     c.tr("Flow out of the open port, or what a gauge reads that closes it")))
            c.transient.chart_gauges = !c.transient.chart_gauges;
        y += w.text(w.fonts.title, w.colours.ink, {origin.x + pad, y}, inner - wide - pad,
                    filled(c.tr("What a healthy unit shows at {0}"),
                           gauge_words(c.tr, c.derived().chart_gauge_pa, c.session().view.units)));
        y += w.px(4);
        y += w.text(
            w.fonts.body, w.colours.second_ink, {origin.x + pad, y}, inner - wide - pad,
            c.tr("Air into the port of the row, all others open; the column says where it shows. Press a cell to "
                 "ask about it."));
        y += w.px(10);
        draw_legend(c, {origin.x + pad, y}, inner);
        y += w.px(inner > w.px(760) ? 34.0F : 62.0F);

        Grid grid;
        grid.side = std::min(w.px(190), 0.3F * inner);
        grid.head = w.px(52);
        grid.cell = std::clamp((inner - grid.side) / static_cast<float>(count + 1), w.px(size::target), w.px(76));
        const float room = extent.y - (y - origin.y) - grid.head - pad - w.px(30);
        grid.row = std::clamp(room / static_cast<float>(std::max(1, count)), w.px(size::target), w.px(56));
        grid.origin = {origin.x + pad + grid.side, y + grid.head};
        draw_heads(c, grid);
        ImDrawList* list = ImGui::GetWindowDrawList();
        for (int i = 0; i <= count; ++i) {
            const float line = grid.at(i, 0).y;
            list->AddLine({grid.origin.x - grid.side, line}, {grid.at(0, count + 1).x, line}, u32(w.colours.rule),
                          w.px(1));
        }
        for (const auto& row : c.derived().chart) {
            if (row) draw_row(c, grid, *row);
        }
        const float end = grid.at(count, 0).y + w.px(8);
        w.text(w.fonts.note, w.colours.second_ink, {origin.x + pad, end}, inner,
               c.tr("Leaks of sound seals are defaults of their kind where the map has no figures: common practice, no "
                    "source."));
        w.content_ends_at({grid.at(0, count + 1).x + pad, end + w.px(44)});
    }
    w.end_region();
}

} // namespace ringland::viewer
