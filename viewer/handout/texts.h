// Texts in the language of the reader: tr("Found") is the text itself in English, and its translation in another.
//
// The translator is a value that is handed on, under the name `tr`, so that xgettext finds the texts by its calls and
// nothing is kept between calls. Catalogues are gettext's: viewer/texts/LANGUAGE.po, compiled by msgfmt and carried
// inside the program. A text that a catalogue lacks stays English.
#pragma once

#include <array>
#include <memory>
#include <string>
#include <string_view>

#include <fmt/format.h>

#include "../../model-data/enum_names.h"
#include "../app/session.h"

namespace ringland::viewer {

enum class Language { en, es };

/// A compiled catalogue (gettext's .mo file): looks texts up, and the right one of several for a count.
class Catalogue {
public:
    /// Throws std::runtime_error where the bytes are no catalogue. The bytes must outlive it.
    explicit Catalogue(std::string_view mo);
    /// The translation; empty where there is none. Plural forms follow the text, divided by a zero byte.
    [[nodiscard]] std::string_view find(std::string_view text) const;
    [[nodiscard]] std::size_t size() const { return count_; }

private:
    [[nodiscard]] std::uint32_t number(std::size_t at) const;
    [[nodiscard]] std::string_view text(std::size_t table, std::size_t index) const;
    std::string_view bytes_;
    bool swapped_ = false;
    std::size_t count_ = 0, originals_ = 0, translations_ = 0;
};

class Translator {
public:
    explicit Translator(Language language);

    [[nodiscard]] Language language() const { return language_; }
    [[nodiscard]] std::string operator()(const char* text) const;
    /// One of two forms by a count; languages of these catalogues use the first for one thing alone.
    [[nodiscard]] std::string operator()(const char* one, const char* many, std::size_t n) const;
    /// A word of a map ("pump end") where the catalogue happens to have it; else as the map says it.
    [[nodiscard]] std::string map_word(const std::string& word) const;

    /// "3rd", "3.º".
    [[nodiscard]] std::string ordinal(int n) const;
    /// A number with so many decimals, written as the language does.
    [[nodiscard]] std::string number(double value, int decimals) const;
    /// "34.9 psi", "2.41 bar".
    [[nodiscard]] std::string pressure(double gauge_pa, UnitSystem units) const;
    /// "0.012 in", "0.30 mm".
    [[nodiscard]] std::string length(double metres, UnitSystem units) const;
    /// "4 May 2031" of "2031-05-04T09:30:00Z", as the clock on the wall had it; the text itself where it is no time.
    [[nodiscard]] std::string date(const std::string& utc) const;
    /// "64 %", "more than 99 %".
    [[nodiscard]] std::string percent(double probability) const;

private:
    Language language_;
    std::shared_ptr<const Catalogue> catalogue_; ///< nothing for English
};

/// The text with blanks that no line breaks at between a figure and its sign or unit: "94 %", "35 psi", "0.30 mm".
[[nodiscard]] std::string unbroken(std::string_view text);

/// Puts words into a text with places {0}, {1}.
template <class... Words> [[nodiscard]] std::string filled(const std::string& text, const Words&... words) {
    return fmt::vformat(text, fmt::make_format_args(words...));
}

} // namespace ringland::viewer

namespace ringland::model {
template <> struct EnumNames<viewer::Language> { static constexpr std::array<std::string_view, 2> words{"en", "es"}; };
} // namespace ringland::model
