#include "form_sheet.h"

#include <algorithm>
#include <utility>

namespace ringland::viewer {

namespace {

constexpr Type type_title{20, true, ink::text, false, false, 1.2};

} // namespace

FormSheet::FormSheet(const Translator& translator, const model::UnitMap& unit_map, PaperSize size, const Type& note)
    : tr(translator), map(unit_map), paper(paper_plan(size)), note_(note) {
    paper.top = 35;
    paper.bottom = 41;
}

void FormSheet::add_title(const std::string& what) {
    title_ = filled(what, map.unit.name.empty() ? map.unit.id : map.unit.name);
    add_text(title_, type_title, 0, true);
    if (!map.unit.invented) return;
    Type type = note_;
    type.colour = ink::accent_text;
    add_text(tr("An invented example: no real unit, customer or shop."), type, 1, true);
}

void FormSheet::add_text(const std::string& text, const Type& type, double before, bool keep) {
    if (text.empty()) return;
    for (const auto& piece : setter.pieces(text, type, paper.inner(), 120)) {
        Block block;
        block.before = before;
        block.with_next = keep;
        block.height = setter.height(piece, type, paper.inner());
        block.draw = [this, piece, type](cairo_t* page, double y) {
            setter.draw(page, piece, type, paper.left, y, paper.inner());
        };
        blocks.push_back(std::move(block));
        before = 0;
    }
}

void FormSheet::add_blanks(const Type& type, double before) {
    Block block;
    block.before = before;
    block.height = 18;
    block.draw = [this, type, names = std::vector<std::string>{tr("Job"), tr("Date"), tr("By")}](cairo_t* page,
                                                                                                 double y) {
        const double step = paper.inner() / static_cast<double>(names.size());
        for (std::size_t i = 0; i < names.size(); ++i) {
            const double x = paper.left + step * static_cast<double>(i);
            const double w = std::min(setter.width(names[i], type), step * 0.6);
            setter.draw(page, names[i], type, x, y + 3.5, 0);
            rule(page, x + w + 6, x + step - 14, y + 15.5, ink::text, 0.6);
        }
    };
    blocks.push_back(std::move(block));
}

std::string FormSheet::write(const std::string& file) const {
    const auto foot = [this](cairo_t* page, std::size_t number, std::size_t pages) {
        const double y = paper.height - paper.bottom + 16;
        rule(page, paper.left, paper.width - paper.right, y - 6, ink::rule);
        Type type = note_;
        setter.draw(page, tr("The maker's service information decides."), type, paper.left, y, paper.inner() * 0.7);
        type.right = true;
        setter.draw(page, filled(tr("Page {0} of {1}"), number, pages), type, paper.left + paper.inner() * 0.7, y,
                    paper.inner() * 0.3);
    };
    return write_pdf(file, paper, paper.top, blocks, foot, {title_, {}, tr.language()});
}

} // namespace ringland::viewer
