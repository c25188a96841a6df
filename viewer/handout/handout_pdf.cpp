#include "handout_pdf.h"

#include <algorithm>
#include <numeric>

#include "marks.h"

namespace ringland::viewer {
namespace {

struct Maker {
    // One grid: section names in the narrow left column, what they say in the wide right one; pictures over both.
    static constexpr double side = 104, gutter = 20, gap_section = 17, gap_text = 5, column_gap = 10, cell_pad = 3.2,
                            most_block = 150;

    static constexpr Type type_title{23, true, ink::text, false, false, 1.2};
    static constexpr Type type_answer{15, true, ink::text, false, false, 1.28};
    static constexpr Type type_place{10.5, false, ink::accent_text, false, false, 1.35};
    static constexpr Type type_body{9.5};
    static constexpr Type type_strong{9.5, true};
    static constexpr Type type_side{9.5, true, ink::second};
    static constexpr Type type_note{8, false, ink::second, false, false, 1.38};
    static constexpr Type type_small_head{8, true, ink::second, false, false, 1.3};
    static constexpr Type type_cell{9, false, ink::text, false, false, 1.32};

    const Handout& handout;
    PaperPlan plan;
    Setter setter;
    Pixels logo;
    std::vector<Block> blocks;

    [[nodiscard]] double x_main() const { return plan.left + side + gutter; }
    [[nodiscard]] double w_main() const { return plan.inner() - side - gutter; }

    /// A text in the right column; the name of its section, where it begins one, stands beside it.
    void add_text(const std::string& text, const Type& type, double before, const std::string& name = {},
                  bool bar = false) {
        if (text.empty()) return;
        const double indent = bar ? 12 : 0;
        // What is longer than a good part of a page goes on in pieces, so that a page can end within it.
        const auto pieces = setter.pieces(text, type, w_main() - indent, most_block);
        if (pieces.size() > 1) {
            for (std::size_t i = 0; i < pieces.size(); ++i)
                add_text(pieces[i], type, i == 0 ? before : 0, i == 0 ? name : std::string{}, bar);
            return;
        }
        Block block;
        block.before = before;
        // A long name of the section may run on beside what follows.
        block.height = setter.height(text, type, w_main() - indent);
        block.draw = [this, text, type, name, indent, height = block.height](cairo_t* page, double y) {
            if (!name.empty()) {
                // Both stand on one line of letters.
                setter.draw(page, name, type_side, plan.left, y + 0.62 * (type.size - type_side.size), side);
            }
            if (indent > 0) box(page, x_main(), y + 1, 3, height - 1, ink::accent);
            setter.draw(page, text, type, x_main() + indent, y, w_main() - indent);
        };
        blocks.push_back(std::move(block));
    }
    void add_paragraphs(const std::vector<std::string>& texts, const std::string& name, const Type& type) {
        for (std::size_t i = 0; i < texts.size(); ++i)
            add_text(texts[i], type, i == 0 ? gap_section : gap_text, i == 0 ? name : std::string{});
    }
    void keep_last_with_next() {
        if (!blocks.empty()) blocks.back().with_next = true;
    }
    void add_facts();
    void add_answer();
    void add_pictures();
    void draw_marks(cairo_t* page, const HandoutPicture& shown, double x, double y, double width, double height) const;
    void add_table(const HandoutTable& table, std::vector<double> shares, const std::string& name);
    void draw_head(cairo_t* page) const;
    [[nodiscard]] double head_height() const;
};

double Maker::head_height() const {
    const double shop = setter.height(handout.shop, {12, true}, plan.inner() * 0.5);
    return std::max({shop, logo.empty() ? 0.0 : 34.0, 16.0}) + 12;
}

void Maker::draw_head(cairo_t* page) const {
    const double height = head_height() - 12;
    double x = plan.left;
    if (!logo.empty()) {
        const double most_width = 120, scale = std::min(34.0 / logo.height, most_width / logo.width);
        picture(page, logo, x, plan.top + (height - logo.height * scale) / 2, logo.width * scale);
        x += logo.width * scale + 12;
    }
    const Type shop{12, true};
    const double shop_width = plan.left + plan.inner() * 0.66 - x;
    const double shop_height = setter.height(handout.shop, shop, shop_width);
    setter.draw(page, handout.shop, shop, x, plan.top + (height - shop_height) / 2, shop_width);
    Type report = type_body;
    report.right = true;
    report.colour = ink::second;
    const double report_height = setter.height(handout.report, report, plan.inner() * 0.3);
    setter.draw(page, handout.report, report, plan.left + plan.inner() * 0.7, plan.top + (height - report_height) / 2,
                plan.inner() * 0.3);
    rule(page, plan.left, plan.width - plan.right, plan.top + height + 9, ink::text, 0.8);
}

/// The unit's name, and below it who, when and which job, in as many columns as fit.
void Maker::add_facts() {
    Block title;
    title.height = setter.height(handout.unit, type_title, plan.inner());
    title.with_next = true;
    title.draw = [this](cairo_t* page, double y) {
        setter.draw(page, handout.unit, type_title, plan.left, y, plan.inner());
    };
    blocks.push_back(std::move(title));
    if (!handout.example.empty()) {
        Type type = type_note;
        type.colour = ink::accent_text;
        Block example;
        example.before = 2;
        example.height = setter.height(handout.example, type, plan.inner());
        example.with_next = true;
        example.draw = [this, type](cairo_t* page, double y) {
            setter.draw(page, handout.example, type, plan.left, y, plan.inner());
        };
        blocks.push_back(std::move(example));
    }
    if (handout.facts.empty()) return;
    constexpr double least = 84, gap = 14;
    const auto fit = static_cast<std::size_t>((plan.inner() + gap) / (least + gap));
    const std::size_t columns = std::min(fit, handout.facts.size());
    const double width = (plan.inner() + gap) / static_cast<double>(columns) - gap;
    for (std::size_t first = 0; first < handout.facts.size(); first += columns) {
        Block row;
        row.before = first == 0 ? 10 : 6;
        const std::size_t end = std::min(first + columns, handout.facts.size());
        for (std::size_t i = first; i < end; ++i) {
            const auto& [name, value] = handout.facts[i];
            row.height =
                std::max(row.height, setter.height(name, type_note, width) + setter.height(value, type_body, width));
        }
        row.draw = [this, first, end, width](cairo_t* page, double y) {
            for (std::size_t i = first; i < end; ++i) {
                const double x = plan.left + static_cast<double>(i - first) * (width + gap);
                const double below = setter.draw(page, handout.facts[i].first, type_note, x, y, width);
                setter.draw(page, handout.facts[i].second, type_body, x, y + below, width);
            }
        };
        blocks.push_back(std::move(row));
    }
}

/// Which seal, and where it sits: the largest words of the page after its title, with a bar beside them.
void Maker::add_answer() {
    const double indent = 13, width = w_main() - indent;
    const double h1 = setter.height(handout.finding, type_answer, width),
                 h2 = setter.height(handout.place, type_place, width),
                 h3 = setter.height(handout.divides, type_body, width);
    Block block;
    block.before = gap_section + 2;
    block.height = h1 + (h2 > 0 ? h2 + 2 : 0) + (h3 > 0 ? h3 + 1 : 0);
    block.with_next = !handout.found.empty();
    block.draw = [=, this, height = block.height](cairo_t* page, double y) {
        setter.draw(page, handout.head_found, type_side, plan.left, y + 4.4, side);
        box(page, x_main(), y + 2, 3, height - 3, ink::accent);
        setter.draw(page, handout.finding, type_answer, x_main() + indent, y, width);
        setter.draw(page, handout.place, type_place, x_main() + indent, y + h1 + 2, width);
        setter.draw(page, handout.divides, type_body, x_main() + indent, y + h1 + (h2 > 0 ? h2 + 3 : 0), width);
    };
    blocks.push_back(std::move(block));
    for (std::size_t i = 0; i < handout.found.size(); ++i)
        add_text(handout.found[i], type_body, i == 0 ? 7 : gap_text);
}

void Maker::draw_marks(cairo_t* page, const HandoutPicture& shown, double x, double y, double width,
                       double height) const {
    for (const MarkBox& place : placed_marks(setter, shown, width, height)) {
        const PictureMark& mark = shown.marks[place.mark];
        const Ink& colour = mark.main ? ink::accent : ink::text;
        const double ax = x + mark.x * width, ay = y + mark.y * height, jx = x + place.joint_x * width,
                     jy = y + place.joint_y * height;
        line(page, ax, ay, jx, jy, ink::white, mark.main ? 2.8 : 2.2);
        line(page, ax, ay, jx, jy, colour, mark.main ? 1.1 : 0.6);
        dot(page, ax, ay, mark.main ? 2.4 : 1.7, ink::white);
        dot(page, ax, ay, mark.main ? 1.8 : 1.1, colour);
        const double left = x + place.x0 * width, top = y + place.y0 * height;
        const double w = (place.x1 - place.x0) * width, h = (place.y1 - place.y0) * height;
        box(page, left, top, w, h, ink::white);
        frame(page, left, top, w, h, mark.main ? ink::accent : ink::rule, mark.main ? 0.9 : 0.5);
        setter.draw(page, mark.text, mark_type(mark), left + mark_pad_x, top + mark_pad_y, 0);
    }
}

/// Side by side, of one height, over the whole width, each with its words below.
void Maker::add_pictures() {
    std::vector<const HandoutPicture*> shown;
    double aspects = 0;
    for (const auto& p : handout.pictures) {
        if (p.pixels.empty()) continue;
        shown.push_back(&p);
        aspects += static_cast<double>(p.pixels.width) / p.pixels.height;
    }
    if (shown.empty()) return;
    constexpr double gap = 14;
    const double height = (plan.inner() - gap * static_cast<double>(shown.size() - 1)) / aspects;
    std::vector<double> widths;
    double words = 0;
    for (const auto* p : shown) {
        widths.push_back(height * p->pixels.width / p->pixels.height);
        words = std::max(words, setter.height(p->caption, type_note, widths.back()));
    }
    Block block;
    block.before = gap_section;
    block.height = height + 5 + words;
    block.draw = [this, shown, widths, height](cairo_t* page, double y) {
        double x = plan.left;
        for (std::size_t i = 0; i < shown.size(); ++i) {
            picture(page, shown[i]->pixels, x, y, widths[i]);
            frame(page, x, y, widths[i], height, ink::rule, 0.6);
            draw_marks(page, *shown[i], x, y, widths[i], height);
            setter.draw(page, shown[i]->caption, type_note, x, y + height + 5, widths[i]);
            x += widths[i] + gap;
        }
    };
    blocks.push_back(std::move(block));
}

/// A table in the right column. Columns get their share of the width; what does not fit wraps, and rows grow.
void Maker::add_table(const HandoutTable& table, std::vector<double> shares, const std::string& name) {
    const double gap = column_gap, pad = cell_pad;
    if (table.rows.empty()) {
        add_text(table.note, type_body, name.empty() ? gap_text : gap_section, name);
        return;
    }
    const double all = std::accumulate(shares.begin(), shares.end(), 0.0);
    const double room = w_main() - gap * static_cast<double>(shares.size() - 1);
    std::vector<double> x, width;
    double at = x_main();
    for (const double share : shares) {
        x.push_back(at);
        width.push_back(room * share / all);
        at += width.back() + gap;
    }
    const auto row_block = [&](const std::vector<std::string>& cells, const Type& type, bool fine, bool head) {
        auto block = std::make_shared<Block>();
        const auto type_of = [type, fine, head, judged = table.judged, last = cells.size() - 1](std::size_t i) {
            Type t = type;
            if (!head && judged && i == last) {
                t.strong = true;
                if (!fine) t.colour = ink::accent_text;
            }
            return t;
        };
        for (std::size_t i = 0; i < cells.size(); ++i)
            block->height = std::max(block->height, setter.height(cells[i], type_of(i), width[i]));
        block->height += 2 * pad;
        block->draw = [this, cells, type_of, x, width, head, pad, height = block->height](cairo_t* page, double y) {
            for (std::size_t i = 0; i < cells.size(); ++i)
                setter.draw(page, cells[i], type_of(i), x[i], y + pad, width[i]);
            rule(page, x_main(), x_main() + w_main(), y + height, head ? ink::text : ink::rule, head ? 0.7 : 0.5);
        };
        return block;
    };
    const auto head = row_block(table.heads, type_small_head, true, true);
    Block first = *head;
    first.before = name.empty() ? gap_text : gap_section;
    first.with_next = true;
    first.draw = [this, name, head, pad](cairo_t* page, double y) {
        setter.draw(page, name, type_side, plan.left, y + pad - 1.4, side);
        head->draw(page, y);
    };
    first.height = std::max(first.height, setter.height(name, type_side, side));
    if (first.height > head->height) first.height = head->height; // a long name may run on beside the rows
    blocks.push_back(std::move(first));
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
        const HandoutRow& row = table.rows[i];
        Block block = *row_block(row.cells, type_cell, row.fine, false);
        block.again = head;
        block.with_next = i + 2 == table.rows.size(); // no last row alone on the next page
        blocks.push_back(std::move(block));
    }
    add_text(table.note, type_note, gap_text);
}

} // namespace

std::string write_handout_pdf(const std::string& file, const Handout& handout, PaperSize size) {
    Maker maker{handout, paper_plan(size), {}, {}, {}};
    if (!handout.logo_file.empty()) {
        std::string error;
        maker.logo = read_logo(handout.logo_file, error);
        if (!error.empty()) return error;
    }
    maker.add_facts();
    maker.add_text(handout.complaint, Maker::type_body, Maker::gap_section, handout.head_complaint);
    maker.add_text(handout.in_short, Maker::type_body, Maker::gap_section, handout.head_in_short);
    maker.add_answer();
    maker.add_pictures();
    maker.add_paragraphs(handout.road, handout.head_road, Maker::type_body);
    maker.add_paragraphs(handout.way, handout.head_way, Maker::type_body);
    maker.add_table(handout.done, {3.1, 1.3, 0.6}, handout.head_done);
    if (!handout.measured.rows.empty()) maker.add_table(handout.measured, {2, 1, 1.6, 1}, handout.head_measured);
    std::string verdict = handout.verdict;
    maker.add_text(verdict, Maker::type_strong, Maker::gap_section, handout.head_compared);
    const bool goes_on = !handout.compared.rows.empty() || !handout.compared.note.empty();
    if (goes_on || !handout.verdict_figure.empty()) maker.keep_last_with_next();
    if (!handout.verdict_figure.empty()) maker.add_text(handout.verdict_figure, Maker::type_body, Maker::gap_text);
    if (goes_on) {
        maker.keep_last_with_next();
        maker.add_table(handout.compared, {1.5, 1.5, 1.1, 1.1, 1.1}, {});
    }
    maker.add_paragraphs(handout.cautions, handout.head_cautions, Maker::type_body);
    maker.add_paragraphs(handout.limits, handout.head_limits, Maker::type_note);

    const PaperPlan& plan = maker.plan;
    const auto furniture = [&](cairo_t* page, std::size_t number, std::size_t pages) {
        if (number == 1) maker.draw_head(page);
        Type foot = Maker::type_note;
        foot.size = 7.5;
        const double y = plan.height - plan.bottom + 18;
        rule(page, plan.left, plan.width - plan.right, y - 6, ink::rule);
        const std::string left = handout.shop.empty() ? handout.foot : handout.shop + " · " + handout.foot;
        // A long name of a shop ends on its line: the foot is one line high.
        std::string shown = left;
        while (shown.size() > 1 && maker.setter.width(shown + "…", foot) > plan.inner() * 0.75) {
            do
                shown.pop_back();
            while (!shown.empty() && (static_cast<unsigned char>(shown.back()) & 0xC0U) == 0x80U);
            if (!shown.empty() && static_cast<unsigned char>(shown.back()) >= 0xC0U) shown.pop_back();
        }
        maker.setter.draw(page, shown.size() < left.size() ? shown + "…" : left, foot, plan.left, y, 0);
        foot.right = true;
        maker.setter.draw(page, filled(handout.page_of, number, pages), foot, plan.left + plan.inner() * 0.75, y,
                          plan.inner() * 0.25);
    };
    return write_pdf(file, plan, plan.top + maker.head_height() + 12, maker.blocks, furniture,
                     {handout.report + ": " + handout.unit, handout.finding, handout.language});
}

} // namespace ringland::viewer
