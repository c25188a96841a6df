// What a handout says, as plain values in the reader's language: the same for paper and for the browser.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "../../diagnosis/plan/teardown.h"
#include "../../diagnosis/retest.h"
#include "../../diagnosis/road/road.h"
#include "../../model-data/job.h"
#include "../../model-data/unit_map.h"
#include "../app/texts.h"

namespace ringland::viewer {

/// Pixels, rows from the top, 4 bytes each, sRGB, colour not multiplied by alpha.
struct Pixels {
    int width = 0, height = 0;
    std::vector<std::uint8_t> rgba;
    [[nodiscard]] bool empty() const { return width <= 0 || height <= 0; }
};

/// A word on a picture with a line to what it names. Places are shares of width and height from the top left.
struct PictureMark {
    double x = 0, y = 0;
    double towards_x = 0, towards_y = -1; ///< where the word would like to stand
    std::string text;
    bool main = false; ///< the place that all is about
};

/// Where the word of a mark stands and its line ends, in shares of width and height.
struct MarkBox {
    std::size_t mark = 0;
    double x0 = 0, y0 = 0, x1 = 0, y1 = 0, joint_x = 0, joint_y = 0;
};

struct HandoutPicture {
    Pixels pixels;
    std::string caption;
    std::vector<PictureMark> marks;
    std::vector<MarkBox> boxes; ///< of the marks, for a page on a screen; paper places them anew (marks.h)
};

struct HandoutRow {
    std::vector<std::string> cells;
    bool fine = true; ///< the last cell is as it should be
};

struct HandoutTable {
    std::vector<std::string> heads;
    std::vector<HandoutRow> rows;
    std::string note;    ///< below it
    bool judged = false; ///< the last cell is a verdict
};

struct Handout {
    std::string language; ///< "en"
    std::string shop;
    std::string logo_file;     ///< PNG; empty: none
    std::string report;        ///< what this sheet is
    std::string unit, example; ///< example: says that all is invented; empty where it is not
    std::vector<std::pair<std::string, std::string>> facts;
    std::string complaint, in_short;
    std::string finding, place, divides; ///< the answer: which seal, where from both ends, what it keeps apart
    std::vector<std::string> found;      ///< in sentences
    std::vector<HandoutPicture> pictures;
    std::vector<std::string> road, way; ///< what the leak does with oil, and what comes off to reach it
    HandoutTable done, measured, compared;
    std::string verdict;        ///< of the retest
    std::string verdict_figure; ///< "more than 99 %"; empty without a retest
    std::vector<std::string> cautions, limits;
    std::string foot;
    // Headings, and what stands around the parts.
    std::string head_complaint, head_in_short, head_found, head_done, head_measured, head_compared, head_cautions,
        head_limits, head_road, head_way, page_of, turn_it;
};

struct HandoutWords {
    std::string shop, logo_file;
    UnitSystem units = UnitSystem::psi_inch;
};

/// What lies ahead of the seal that the handout is about; what is not known is left out.
struct HandoutAhead {
    std::optional<diagnosis::road::RoadAnswer> road; ///< as large as the air showed it
    std::optional<diagnosis::plan::Teardown> way;
};
/// For the seal of handout_seal(); none where no seal is named, no road where air did not say how large it is.
[[nodiscard]] HandoutAhead handout_ahead(const model::UnitMap& map, const std::string& seal,
                                         const diagnosis::Retest& retest);

/// Everything but the pictures.
[[nodiscard]] Handout handout_content(const Translator& tr, const model::UnitMap& map, const model::Job& job,
                                      const diagnosis::Retest& retest, const HandoutAhead& ahead,
                                      const HandoutWords& words);
/// "On the road", "The way in"; after the table of what was done.
void add_ahead(const Translator& tr, const model::UnitMap& map, const HandoutAhead& ahead, const HandoutWords& words,
               Handout& handout);

/// "2.80 mm to 3.60 mm", "0.06 mm or less".
[[nodiscard]] std::string limits_title(const Translator& tr, const model::Clearance& clearance, UnitSystem units);
/// Name to show for a part of the map.
[[nodiscard]] std::string part_title(const Translator& tr, const model::UnitMap& map, const std::string& id);

/// The seal that the handout is about: found damaged, else likeliest before; empty where there is none.
[[nodiscard]] std::string handout_seal(const model::UnitMap& map, const model::Job& job,
                                       const diagnosis::Retest& retest);

/// "Ring 3 of 5 on the input shaft", "Lip seal L1, between the pistons".
[[nodiscard]] std::string seal_title(const Translator& tr, const model::UnitMap& map, const model::Seal& seal);
/// "3rd from the pump end · 3rd from the drum end"; for a seal outside a stack the part that it sits on.
[[nodiscard]] std::string seal_place(const Translator& tr, const model::UnitMap& map, const model::Seal& seal);
/// "P3 LOW"; the open case for the number of ports.
[[nodiscard]] std::string port_or_case_title(const Translator& tr, const model::UnitMap& map, int port);
/// What was seen, in words.
[[nodiscard]] std::string seen_on_paper(const Translator& tr, const model::Seen& seen, UnitSystem units);
[[nodiscard]] std::string heard_word(const Translator& tr, model::Heard word);

} // namespace ringland::viewer
