#include "fonts.h"

#include <array>
#include <filesystem>
#include <stdexcept>

#include <fmt/format.h>
#include <imgui_freetype.h>

#include "theme.h"

namespace ringland::viewer {

namespace {

std::string font_file(const char* name) {
    const std::array<std::filesystem::path, 4> folders{"/usr/share/fonts/opentype/inter",
                                                       "/usr/local/share/fonts/inter", "/usr/share/fonts/inter",
                                                       "/usr/share/fonts/truetype/inter"};
    for (const auto& folder : folders) {
        std::error_code error;
        const auto file = folder / name;
        if (std::filesystem::is_regular_file(file, error)) return file.string();
    }
    throw std::runtime_error(fmt::format("the font file {} is missing: install the package fonts-inter", name));
}

} // namespace

Fonts load_fonts(ImFontAtlas& atlas, double scale, const std::string& letters) {
    static constexpr std::array<ImWchar, 17> ranges{0x20,   0x17F,  0x2010, 0x2026, 0x2032, 0x2033,
                                                    0x2070, 0x2079, 0x2190, 0x2193, 0x2212, 0x2212,
                                                    0x2264, 0x2265, 0x2713, 0x2713, 0};
    atlas.Clear();
    atlas.FontBuilderIO = ImGuiFreeType::GetBuilderForFreeType();
    atlas.FontBuilderFlags = ImGuiFreeTypeBuilderFlags_LightHinting;
    ImFontGlyphRangesBuilder builder;
    builder.AddRanges(ranges.data());
    builder.AddText(letters.c_str());
    ImVector<ImWchar> wanted;
    builder.BuildRanges(&wanted);

    const std::string regular = font_file("Inter-Regular.otf"), semibold = font_file("Inter-SemiBold.otf");
    const auto add = [&](const std::string& file, float points) {
        ImFontConfig config;
        config.OversampleH = config.OversampleV = 1;
        const float pixels = static_cast<float>(static_cast<int>(points * static_cast<float>(scale) + 0.5F));
        ImFont* font = atlas.AddFontFromFileTTF(file.c_str(), pixels, &config, wanted.Data);
        if (font == nullptr) throw std::runtime_error(fmt::format("the font file {} cannot be read", file));
        return font;
    };
    Fonts fonts;
    fonts.body = add(regular, size::body);
    fonts.note = add(regular, size::note);
    fonts.strong = add(semibold, size::body);
    fonts.title = add(semibold, size::title);
    fonts.answer = add(semibold, size::answer);
    if (!atlas.Build()) throw std::runtime_error("the letters of the font Inter cannot be drawn");
    atlas.ClearInputData(); // the files: the letters are drawn
    return fonts;
}

} // namespace ringland::viewer
