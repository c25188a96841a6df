// What other programs read in a page that was made.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "../../model-data/job.h"
#include "../../viewer/platform/answers_handout.h"

namespace ringland::test {

/// A folder of its own under the build folder, empty.
[[nodiscard]] std::filesystem::path fresh_folder(const std::string& name);

/// What a command line prints; the exit code is checked to be 0.
[[nodiscard]] std::string said(const std::string& command_line);

/// All words of a page twice, blanks made one: line by line over the whole width, and column by column.
[[nodiscard]] std::string pdf_text(const std::filesystem::path& file);

/// A word with its box, points from the top left, and its page from 1.
struct PdfWord {
    int page = 0;
    double x0 = 0, y0 = 0, x1 = 0, y1 = 0, page_width = 0, page_height = 0;
    std::string text;
};
[[nodiscard]] std::vector<PdfWord> pdf_words(const std::filesystem::path& file);

/// What is wrong with where words stand: outside the margins, or on one another. Empty: nothing.
[[nodiscard]] std::string misplaced(const std::vector<PdfWord>& words);

/// Fonts that are not embedded or are none of ours; empty: all good.
[[nodiscard]] std::string foreign_fonts(const std::filesystem::path& file);

/// The whole file.
[[nodiscard]] std::string bytes_of(const std::filesystem::path& file);

} // namespace ringland::test
