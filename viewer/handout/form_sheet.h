// A printed sheet of the shop that is written on by hand: its title, its texts, blanks to fill in and the foot of its
// pages.
#pragma once

#include <string>
#include <vector>

#include "paper.h"

namespace ringland::viewer {

struct FormSheet {
    /// `note` is the type of its small print. Nothing that is handed in may end before the sheet.
    FormSheet(const Translator& translator, const model::UnitMap& unit_map, PaperSize size, const Type& note);

    /// `what` of the unit, as title of sheet and file: "Work sheet: {0}"; and that the unit is invented, where it is.
    void add_title(const std::string& what);
    /// Over the whole width; long texts may go on over a page.
    void add_text(const std::string& text, const Type& type, double before, bool keep = false);
    /// Job, date and by whom, with lines behind them.
    void add_blanks(const Type& type, double before);
    /// Error text, empty on success.
    [[nodiscard]] std::string write(const std::string& file) const;

    const Translator& tr;
    const model::UnitMap& map;
    PaperPlan paper;
    Setter setter;
    std::vector<Block> blocks;

private:
    Type note_;
    std::string title_;
};

} // namespace ringland::viewer
