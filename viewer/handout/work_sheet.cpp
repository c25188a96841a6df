#include "work_sheet.h"

#include <algorithm>
#include <utility>

#include "content.h"
#include "form_sheet.h"

namespace ringland::viewer {
namespace {

namespace plan = diagnosis::plan;

/// A cell of a row; a blank is a line to write on.
struct Cell {
    double share = 1;
    std::vector<std::pair<std::string, Type>> texts;
    bool blank = false, right = false;
};

struct WorkSheet : FormSheet {
    static constexpr Type type_section{12, true, ink::text, false, false, 1.25};
    static constexpr Type type_body{9, false, ink::text, false, false, 1.36};
    static constexpr Type type_strong{9.5, true, ink::text, false, false, 1.3};
    static constexpr Type type_note{8, false, ink::second, false, false, 1.36};
    static constexpr Type type_caution{8, true, ink::accent_text, false, false, 1.36};
    static constexpr double box_size = 10, box_room = 20, gap = 10, row_pad = 3.5;

    WorkSheet(const Translator& translator, const model::UnitMap& unit_map, const plan::PlanAnswer& plan,
              const WorkSheetWords& said)
        : FormSheet(translator, unit_map, said.paper, type_note), answer(plan), words(said) {}

    const plan::PlanAnswer& answer;
    const WorkSheetWords& words;

    [[nodiscard]] std::string minutes(double value) const {
        return filled(tr("{0} min"), tr.number(value, value < 10 && value != static_cast<int>(value) ? 1 : 0));
    }
    [[nodiscard]] std::string ids(const std::vector<std::size_t>& seals) const {
        std::string text;
        for (const std::size_t s : seals)
            text += (text.empty() ? "" : ", ") + map.seals[s].id;
        return text;
    }
    [[nodiscard]] std::string part(std::size_t p) const { return part_title(tr, map, map.parts[p].id); }

    void add_section(const std::string& name, const std::string& beside = {}) {
        Block block;
        block.before = 15;
        block.with_next = true;
        block.height = setter.height(name, type_section, paper.inner()) + 5;
        block.draw = [this, name, beside](cairo_t* page, double y) {
            const double h = setter.draw(page, name, type_section, paper.left, y, paper.inner() * 0.6);
            Type type = type_note;
            type.right = true;
            setter.draw(page, beside, type, paper.left + paper.inner() * 0.6, y + 3, paper.inner() * 0.4);
            rule(page, paper.left, paper.left + paper.inner(), y + h + 3, ink::text, 1);
        };
        blocks.push_back(std::move(block));
    }
    /// Cells side by side, with a box to tick before them.
    void add_row(const std::vector<Cell>& cells, bool tick, bool keep = false) {
        const double left = paper.left + (tick ? box_room : 0),
                     room = paper.inner() - (tick ? box_room : 0) - gap * static_cast<double>(cells.size() - 1);
        double shares = 0;
        for (const Cell& cell : cells)
            shares += cell.share;
        Block block;
        block.height = box_size;
        for (const Cell& cell : cells) {
            double height = 0;
            for (const auto& [text, type] : cell.texts)
                height += setter.height(text, type, room * cell.share / shares);
            block.height = std::max(block.height, height);
        }
        block.height += 2 * row_pad;
        block.with_next = keep;
        block.draw = [this, cells, tick, left, room, shares, height = block.height](cairo_t* page, double y) {
            if (tick) frame(page, paper.left + 0.5, y + row_pad + 1, box_size, box_size, ink::text, 0.8);
            double x = left;
            for (const Cell& cell : cells) {
                const double width = room * cell.share / shares;
                double at = y + row_pad;
                for (auto [text, type] : cell.texts) {
                    type.right = cell.right;
                    at += setter.draw(page, text, type, x, at, width);
                }
                if (cell.blank) rule(page, x, x + width, y + row_pad + 12, ink::text, 0.6);
                x += width + gap;
            }
            rule(page, paper.left, paper.left + paper.inner(), y + height, ink::rule, 0.4);
        };
        blocks.push_back(std::move(block));
    }
    void add_head();
    void add_search();
    void add_steps();
    void add_parts();
    void add_measures();
    void add_way_back();
    void add_retest();
    void add_cautions();
};

void WorkSheet::add_head() {
    add_title(tr("Work sheet: {0}"));
    for (const std::size_t s : answer.teardown.seals) {
        const std::string place = seal_place(tr, map, map.seals[s]);
        add_text(fmt::format("{}: {}{}{}", map.seals[s].id, seal_title(tr, map, map.seals[s]),
                             place.empty() ? "" : " · ", place),
                 type_strong, 4);
    }
    for (const auto& missing : answer.teardown.missing)
        add_text(tr.map_word(missing), type_note, 3);
    add_blanks(type_body, 8);
}

void WorkSheet::add_search() {
    if (!answer.search || answer.search->steps.size() < 2) return;
    add_section(tr("To find it soonest"),
                filled(tr("{0} on average, {1} at worst"), minutes(answer.search->expected_minutes),
                       minutes(answer.search->worst_minutes)));
    for (const auto& step : answer.search->steps) {
        std::string off;
        for (const std::size_t p : step.parts)
            off += (off.empty() ? "" : ", ") + part(p);
        const bool look = step.kind == plan::SearchStep::Kind::look;
        const std::string what = look                 ? filled(tr("Look at {0}"), ids(step.seals))
                                 : step.seals.empty() ? filled(tr("{0} off"), off)
                                 : off.empty()        ? filled(tr("See {0}"), ids(step.seals))
                                                      : filled(tr("{0} off, then see {1}"), off, ids(step.seals));
        add_row({{5, {{what, type_body}}},
                 {1, {{minutes(step.minutes), type_body}}, false, true},
                 {1.6, {{filled(tr("found by then: {0}"), tr.percent(step.found_so_far)), type_note}}, false, true}},
                true);
    }
}

void WorkSheet::add_steps() {
    const plan::Teardown& teardown = answer.teardown;
    if (teardown.steps.empty()) return;
    add_section(tr("What comes off"), teardown.untimed.empty()
                                          ? filled(tr("{0} in all"), minutes(teardown.minutes))
                                          : filled(tr("{0} and more in all"), minutes(teardown.minutes)));
    for (const auto& step : teardown.steps) {
        Cell what{5, {{part(step.part), type_strong}}};
        if (!step.tools.empty()) what.texts.emplace_back(filled(tr("Tools: {0}"), tr.map_word(step.tools)), type_note);
        if (!step.caution.empty()) what.texts.emplace_back(tr.map_word(step.caution), type_caution);
        for (const std::size_t s : step.uncovers)
            what.texts.emplace_back(filled(tr("Here is {0}: {1}"), map.seals[s].id, seal_place(tr, map, map.seals[s])),
                                    type_strong);
        if (!step.disturbs.empty())
            what.texts.emplace_back(filled(tr("Renewed as well: {0}"), ids(step.disturbs)), type_body);
        add_row({std::move(what),
                 {1, {{step.minutes ? minutes(*step.minutes) : tr("not timed"), type_body}}, false, true},
                 {1, {{filled(tr("so far {0}"), minutes(step.minutes_so_far)), type_note}}, false, true}},
                true);
    }
}

void WorkSheet::add_measures() {
    if (answer.measures.empty()) return;
    add_section(tr("Measure on the way"), filled("{0} / {1}", tr("before"), tr("after")));
    for (const auto& measure : answer.measures) {
        const auto& clearance = map.clearances[measure.clearance];
        std::string when;
        const auto add = [&](bool so, const std::string& word) {
            if (so) when += (when.empty() ? "" : ", ") + word;
        };
        add(measure.before, tr("before"));
        add(measure.open, tr("while it is out"));
        add(measure.after, tr("after"));
        add_row(
            {{3, {{tr.map_word(clearance.name.empty() ? clearance.id : clearance.name), type_body}, {when, type_note}}},
             {2, {{limits_title(tr, clearance, words.units), type_body}}},
             {1, {}, measure.before},
             {1, {}, measure.open || measure.after}},
            false);
    }
}

void WorkSheet::add_parts() {
    if (answer.parts.kits.empty()) return;
    add_section(tr("Parts"));
    for (const auto& kit : answer.parts.kits) {
        std::string name = kit.kit.empty() ? tr("In no kit") : kit.kit;
        if (kit.in_stock) name += " · " + filled(tr("{0} in stock"), *kit.in_stock);
        add_text(name, type_note, 5, true);
        for (const auto& line : kit.lines) {
            const std::string count =
                line.extra > 0 ? fmt::format("{} + {}", line.quantity, line.extra) : fmt::format("{}", line.quantity);
            std::string stock = line.in_stock ? filled(tr("{0} in stock"), *line.in_stock) : std::string();
            if (line.short_by > 0) stock += (stock.empty() ? "" : ", ") + filled(tr("short by {0}"), line.short_by);
            add_row({{0.8, {{count, type_strong}}},
                     {3.6, {{tr.map_word(line.name), line.asked ? type_strong : type_body}}},
                     {1.6, {{line.part_number.empty() ? tr("no number") : line.part_number, type_body}}},
                     {1.6, {{stock, line.short_by > 0 ? type_caution : type_note}}, false, true}},
                    true);
        }
    }
    add_text(tr("4 + 1: one more at hand, since it often spoils when it is fitted (common practice, no source)."),
             type_note, 4);
}

void WorkSheet::add_way_back() {
    if (answer.back.empty()) return;
    add_section(tr("The way back"));
    for (const auto& step : answer.back) {
        Cell what{1, {{part(step.part), type_strong}}};
        for (const auto& note : step.notes)
            what.texts.emplace_back(fmt::format("{}: {}", ids(note.seals), tr.map_word(note.words)), type_body);
        for (const std::size_t c : step.clearances) {
            const auto& clearance = map.clearances[c];
            what.texts.emplace_back(filled(tr("Measure {0}: {1}"),
                                           tr.map_word(clearance.name.empty() ? clearance.id : clearance.name),
                                           limits_title(tr, clearance, words.units)),
                                    type_body);
        }
        add_row({std::move(what)}, true);
    }
}

void WorkSheet::add_retest() {
    if (!answer.proof || answer.proof->readings.empty()) return;
    add_section(tr("The retest that proves it"), filled(tr("{0} at the regulator, all other ports open"),
                                                        tr.pressure(answer.proof->supply_gauge_pa, words.units)));
    for (const auto& reading : answer.proof->readings) {
        std::string shows;
        const auto add = [&](const std::string& place, model::Heard word, bool by_design) {
            if (word == model::Heard::nothing) return;
            shows += (shows.empty() ? "" : ", ") + place + ' ' + heard_word(tr, word) +
                     (by_design ? ' ' + tr("by design") : std::string());
        };
        for (const auto& at : reading.expected.at)
            add(port_or_case_title(tr, map, at.port), at.word, !at.by_design.empty());
        add(tr("inside the case"), reading.expected.case_word, !reading.expected.case_by_design.empty());
        add_row({{2, {{filled(tr("Air into {0}"), port_or_case_title(tr, map, reading.into)), type_strong}}},
                 {4,
                  {{shows.empty() ? tr("A good unit shows nothing anywhere.")
                                  : filled(tr("A good unit shows: {0}; nothing elsewhere."), shows),
                    type_body},
                   {filled(tr("Proves {0}"), ids(reading.proves)), type_note}}}},
                true);
    }
    for (const auto& seal : answer.proof->unproved)
        add_text(filled(tr("{0} is proved by no reading: {1}"), map.seals[seal.seal].id, tr.map_word(seal.why)),
                 type_note, 4);
    if (!answer.proof->converged)
        add_text(tr("Not balanced in at least one case: do not trust this card."), type_caution, 4);
    add_text(tr("Where the map has no figures, the leaks of sound seals are defaults of their kind: common "
                "practice, no source."),
             type_note, 4);
}

void WorkSheet::add_cautions() {
    add_section(tr("Please note"));
    for (const auto& caution : answer.cautions)
        add_text(tr.map_word(caution), type_body, 4);
}

} // namespace

std::string write_work_sheet(const std::string& file, const Translator& tr, const model::UnitMap& map,
                             const plan::PlanAnswer& plan, const WorkSheetWords& words) {
    WorkSheet sheet(tr, map, plan, words);
    sheet.add_head();
    sheet.add_cautions();
    sheet.add_search();
    sheet.add_steps();
    sheet.add_measures();
    sheet.add_parts();
    sheet.add_way_back();
    sheet.add_retest();
    return sheet.write(file);
}

} // namespace ringland::viewer
