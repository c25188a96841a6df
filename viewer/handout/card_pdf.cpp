#include "card_pdf.h"

#include <algorithm>
#include <array>

#include "content.h"
#include "form_sheet.h"

namespace ringland::viewer {
namespace {

using diagnosis::airflow::ExpectedRow;

/// Reasons of what is by design, numbered as they are met.
struct Notes {
    const model::UnitMap& map;
    std::vector<int> flows;

    std::string mark(const std::vector<int>& by_design) {
        std::string text;
        for (const int flow : by_design) {
            auto found = std::find(flows.begin(), flows.end(), flow);
            if (found == flows.end()) {
                flows.push_back(flow);
                found = flows.end() - 1;
            }
            text += (text.empty() ? " [" : ",") + std::to_string(found - flows.begin() + 1);
        }
        return text.empty() ? text : text + ']';
    }
};

/// A line of a reading: a place and what to tick there.
struct Line {
    std::string place;
    int expected = -1;                ///< which box a good unit ticks; -1: none
    std::vector<std::string> choices; ///< their words stand in the line itself; empty: nothing to strong, headed above
    bool figure = false;              ///< a figure is written down, instead
    std::string note;                 ///< in place of boxes
};

struct Reading {
    std::string title, under;
    std::vector<Line> lines;
};

Reading reading_of(const Translator& tr, const model::UnitMap& map, const ExpectedRow& row, std::size_t number,
                   UnitSystem units, Notes& notes) {
    Reading reading;
    reading.title = filled(tr("{0}  Air into {1}"), number, port_or_case_title(tr, map, row.into));
    reading.under = filled(tr("{0} at the regulator, all other ports open"), tr.pressure(row.supply_gauge_pa, units));
    Line gauge;
    gauge.place = filled(tr("own gauge, good: {0}"), tr.pressure(row.port_gauge_pa, units));
    gauge.figure = true;
    reading.lines.push_back(gauge);
    for (const auto& at : row.at) {
        Line line;
        line.place = port_or_case_title(tr, map, at.port);
        if (at.same_circuit)
            line.note = tr("same circuit");
        else {
            line.place += notes.mark(at.by_design);
            line.expected = static_cast<int>(at.word);
        }
        reading.lines.push_back(line);
    }
    Line in_case;
    in_case.place = tr("inside the case") + notes.mark(row.case_by_design);
    in_case.expected = static_cast<int>(row.case_word);
    reading.lines.push_back(in_case);
    const std::string& circuit = map.ports[static_cast<std::size_t>(row.into)].circuit;
    for (const auto& element : map.elements) {
        if (std::find(element.applied_by.begin(), element.applied_by.end(), circuit) == element.applied_by.end())
            continue;
        Line line;
        line.place = tr.map_word(element.name.empty() ? element.id : element.name);
        line.choices = {tr("thud"), tr("soft"), tr("none")};
        reading.lines.push_back(line);
    }
    return reading;
}

struct Card : FormSheet {
    static constexpr Type type_body{8.5, false, ink::text, false, false, 1.36};
    static constexpr Type type_note{7.5, false, ink::second, false, false, 1.34};
    static constexpr Type type_head{10.5, true, ink::text, false, false, 1.25};
    static constexpr Type type_place{8, false, ink::text, false, false, 1.2};
    static constexpr Type type_box_head{6.8, false, ink::second, false, true, 1.2};
    static constexpr std::size_t columns = 3; ///< a unit with a dozen ports then fits two sides of one sheet
    static constexpr double column_gap = 13, box_size = 9, box_step = 23.5, row_pad = 1;

    using FormSheet::FormSheet;

    [[nodiscard]] double column() const { return (paper.inner() - (columns - 1) * column_gap) / columns; }
    [[nodiscard]] double place_width() const { return column() - 4 * box_step - 3; }
    /// A figure is written on a short line; the words before it have the rest.
    static constexpr double figure_width = 44;
    [[nodiscard]] double words_width(const Line& line) const {
        return line.figure ? column() - figure_width : place_width();
    }

    /// A box to tick with words beside it.
    void add_tick(const std::string& text) {
        Block block;
        block.before = 6;
        block.height = std::max(12.0, setter.height(text, type_body, paper.inner() - 18));
        block.draw = [this, text](cairo_t* page, double y) {
            frame(page, paper.left + 0.5, y + 1.5, box_size, box_size, ink::text, 0.8);
            setter.draw(page, text, type_body, paper.left + 18, y, paper.inner() - 18);
        };
        blocks.push_back(std::move(block));
    }
    [[nodiscard]] double line_height(const Line& line) const {
        return std::max(box_size + 1, setter.height(line.place, type_place, words_width(line))) + 2 * row_pad;
    }
    [[nodiscard]] double reading_height(const Reading& reading) const {
        double height =
            setter.height(reading.title, type_head, column()) + setter.height(reading.under, type_note, column()) + 15;
        for (const Line& line : reading.lines)
            height += line_height(line);
        return height;
    }
    void draw_line(cairo_t* page, const Line& line, double x, double y) const {
        const double height = line_height(line);
        setter.draw(page, line.place, type_place, x, y + row_pad, words_width(line));
        const double left = x + column() - 4 * box_step;
        const double top = y + (height - box_size) / 2;
        if (line.figure) {
            rule(page, x + column() - figure_width + 6, x + column(), y + height - row_pad, ink::text, 0.6);
        } else if (!line.note.empty()) {
            setter.draw(page, line.note, type_note, left + 11, y + row_pad, 4 * box_step - 11);
        } else {
            const std::size_t boxes = line.choices.empty() ? 4 : line.choices.size();
            const double step = 4 * box_step / static_cast<double>(boxes);
            for (std::size_t i = 0; i < boxes; ++i) {
                const double at = line.choices.empty() ? left + step * static_cast<double>(i) + (step - box_size) / 2
                                                       : left + step * static_cast<double>(i) + 4;
                const bool good = static_cast<int>(i) == line.expected;
                if (good) box(page, at, top, box_size, box_size, ink::ground);
                frame(page, at, top, box_size, box_size, ink::text, good ? 1.8 : 0.5);
                if (!line.choices.empty()) {
                    Type type = type_box_head;
                    type.centred = false;
                    setter.draw(page, line.choices[i], type, at + box_size + 3, top, 0);
                }
            }
        }
        rule(page, x, x + column(), y + height, ink::rule, 0.4);
    }
    void draw_reading(cairo_t* page, const Reading& reading, double x, double y) const {
        rule(page, x, x + column(), y, ink::text, 1.2);
        y += 4;
        y += setter.draw(page, reading.title, type_head, x, y, column());
        y += setter.draw(page, reading.under, type_note, x, y, column());
        const std::array<std::string, 4> heads{heard_word(tr, model::Heard::nothing),
                                               heard_word(tr, model::Heard::faint), heard_word(tr, model::Heard::clear),
                                               heard_word(tr, model::Heard::strong)};
        // Over the middle of its box: a word may be wider than the step from box to box, its neighbours are not.
        for (std::size_t i = 0; i < heads.size(); ++i) {
            const double middle = x + column() - (3.5 - static_cast<double>(i)) * box_step;
            setter.draw(page, heads[i], type_box_head, middle - setter.width(heads[i], type_box_head) / 2, y + 1, 0);
        }
        y += 11;
        for (const Line& line : reading.lines) {
            draw_line(page, line, x, y);
            y += line_height(line);
        }
    }
    /// Readings side by side, row by row.
    void add_readings(const std::vector<Reading>& readings) {
        for (std::size_t i = 0; i < readings.size(); i += columns) {
            const auto first = readings.begin() + static_cast<std::ptrdiff_t>(i);
            const auto count = static_cast<std::ptrdiff_t>(std::min(columns, readings.size() - i));
            const std::vector<Reading> row(first, first + count);
            Block block;
            block.before = 12;
            for (const Reading& reading : row)
                block.height = std::max(block.height, reading_height(reading));
            block.draw = [this, row](cairo_t* page, double y) {
                double x = paper.left;
                for (const Reading& reading : row) {
                    draw_reading(page, reading, x, y);
                    x += column() + column_gap;
                }
            };
            blocks.push_back(std::move(block));
        }
    }
};

} // namespace

std::string write_card_pdf(const std::string& file, const Translator& tr, const model::UnitMap& map,
                           const diagnosis::suspects::Coverage& coverage, const diagnosis::airflow::ExpectedChart& rows,
                           const CardWords& words) {
    Card card{tr, map, words.paper, Card::type_note};
    card.add_title(tr("Bench card: air check of {0}"));
    if (rows.rows.empty()) card.add_text(tr("No check of this unit by air is worth making."), Card::type_body, 8);
    card.add_blanks(Card::type_body, 10);
    card.add_text(
        filled(tr("{0} reading finds a hole of {1} in any of the seals that air can find.",
                  "{0} readings find a hole of {1} in any of the seals that air can find.", rows.rows.size()),
               rows.rows.size(), tr.length(coverage.reference_mm / 1e3, words.units)) +
            ' ' +
            tr("Tick what is heard; the heavy box is what a good unit does. Louder than that: blow the other way round "
               "as "
               "well."),
        Card::type_body, 10);
    card.add_tick(
        tr("Rig proved: new plate gasket, bolts snugged in their pattern; nozzle closed, the gauge stands; oil "
           "along the edge of the plate, no bubbles (common practice, no source)."));
    card.add_tick(tr("Eyes and ears covered; fingers out of bands, servos and pistons; regulator before the nozzle, "
                     "never air at skin; pressure down before a port is plugged or a bolt touched."));
    card.add_tick(tr("The shafts turn freely both ways."));
    Notes notes{map, {}};
    std::vector<Reading> readings;
    for (std::size_t i = 0; i < rows.rows.size(); ++i)
        readings.push_back(reading_of(tr, map, rows.rows[i], i + 1, words.units, notes));
    card.add_readings(readings);
    for (std::size_t i = 0; i < notes.flows.size(); ++i) {
        const auto& flow = map.by_design[static_cast<std::size_t>(notes.flows[i])];
        card.add_text(fmt::format("[{}] {} → {}: {}", i + 1, model::circuit_name(map, flow.from),
                                  model::circuit_name(map, flow.to), flow.reason),
                      Card::type_note, i == 0 ? 14 : 1);
    }
    card.add_text(words.own_figures, Card::type_note, 8);
    if (!rows.converged)
        card.add_text(tr("Not balanced in at least one case: do not trust this card."), Card::type_body, 6);

    return card.write(file);
}

} // namespace ringland::viewer
