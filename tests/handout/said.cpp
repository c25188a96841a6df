#include "said.h"

#include <algorithm>
#include <array>
#include <cstdio>
#include <fstream>
#include <sstream>

#include <doctest/doctest.h>
#include <fmt/format.h>

namespace ringland::test {

std::filesystem::path fresh_folder(const std::string& name) {
    const auto folder = std::filesystem::path(RINGLAND_BINARY_DIR) / "handout-tests" / name;
    std::filesystem::remove_all(folder);
    std::filesystem::create_directories(folder);
    return folder;
}

std::string said(const std::string& command_line) {
    std::FILE* pipe = popen(command_line.c_str(), "r");
    REQUIRE(pipe != nullptr);
    std::string text;
    std::array<char, 4096> buffer{};
    for (std::size_t n = 0; (n = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0;)
        text.append(buffer.data(), n);
    const int status = pclose(pipe);
    CAPTURE(command_line);
    CAPTURE(text);
    CHECK(status == 0);
    return text;
}

std::string pdf_text(const std::filesystem::path& file) {
    std::string text;
    for (const char* how : {"-layout", ""}) {
        std::string all = said(fmt::format("pdftotext {} '{}' -", how, file.string()));
        constexpr std::string_view no_break = "\xC2\xA0"; // a blank for whoever reads
        for (std::size_t at = all.find(no_break); at != std::string::npos; at = all.find(no_break, at))
            all.replace(at, no_break.size(), " ");
        for (const char c : all) {
            const bool blank = c == ' ' || c == '\n' || c == '\f';
            if (!blank) text += c;
            if (blank && !text.empty() && text.back() != ' ') text += ' ';
        }
    }
    return text;
}

namespace {

std::string between(const std::string& line, const std::string& before, const std::string& after) {
    const auto from = line.find(before);
    if (from == std::string::npos) return {};
    const auto start = from + before.size();
    return line.substr(start, line.find(after, start) - start);
}

} // namespace

std::vector<PdfWord> pdf_words(const std::filesystem::path& file) {
    std::istringstream lines(said(fmt::format("pdftotext -bbox '{}' -", file.string())));
    std::vector<PdfWord> words;
    PdfWord word;
    for (std::string line; std::getline(lines, line);) {
        if (line.find("<page ") != std::string::npos) {
            ++word.page;
            word.page_width = std::stod(between(line, "width=\"", "\""));
            word.page_height = std::stod(between(line, "height=\"", "\""));
        }
        if (line.find("<word ") == std::string::npos) continue;
        word.x0 = std::stod(between(line, "xMin=\"", "\""));
        word.y0 = std::stod(between(line, "yMin=\"", "\""));
        word.x1 = std::stod(between(line, "xMax=\"", "\""));
        word.y1 = std::stod(between(line, "yMax=\"", "\""));
        word.text = between(line, "\">", "</word>");
        words.push_back(word);
    }
    return words;
}

std::string misplaced(const std::vector<PdfWord>& words) {
    constexpr double margin = 30, slack = 0.6;
    std::string wrong;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const PdfWord& a = words[i];
        if (a.x0 < margin || a.y0 < margin - 8 || a.x1 > a.page_width - margin || a.y1 > a.page_height - 12)
            wrong += fmt::format("page {}: \"{}\" at {:.1f} {:.1f} to {:.1f} {:.1f} runs over the edge\n", a.page,
                                 a.text, a.x0, a.y0, a.x1, a.y1);
        for (std::size_t k = i + 1; k < words.size(); ++k) {
            const PdfWord& b = words[k];
            if (b.page != a.page) continue;
            const double across = std::min(a.x1, b.x1) - std::max(a.x0, b.x0);
            const double down = std::min(a.y1, b.y1) - std::max(a.y0, b.y0);
            // Boxes are as high as the font's tallest letters; lines may share a little of that.
            const double least = std::min(a.y1 - a.y0, b.y1 - b.y0);
            if (across > slack && down > 0.35 * least)
                wrong += fmt::format("page {}: \"{}\" lies on \"{}\"\n", a.page, a.text, b.text);
        }
    }
    return wrong;
}

std::string foreign_fonts(const std::filesystem::path& file) {
    std::istringstream lines(said(fmt::format("pdffonts '{}'", file.string())));
    std::string line, wrong;
    std::getline(lines, line);
    const auto column = line.find("emb");
    std::getline(lines, line);
    int fonts = 0;
    while (std::getline(lines, line)) {
        ++fonts;
        if (line.find("Inter-") == std::string::npos || line.substr(column, 3) != "yes") wrong += line + '\n';
    }
    return fonts == 0 ? "no fonts at all" : wrong;
}

std::string bytes_of(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    return text.str();
}

} // namespace ringland::test
