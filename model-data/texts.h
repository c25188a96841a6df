// Texts in the language of the reader: tr("Found") is the text itself in English, and its translation in another.
//
// The translator is a value that is handed on, under the name `tr`, so that xgettext finds the texts by its calls and
// nothing is kept between calls. One made of nothing says everything in English. Catalogues are gettext's; which there
// are is the viewer's business (viewer/app/texts.h). A text that a catalogue lacks stays English.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

#include <fmt/format.h>

#include "enum_names.h"

namespace ringland::model {

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
    /// English.
    Translator() = default;
    /// Of a language by its code, "es".
    Translator(std::string language, std::shared_ptr<const Catalogue> catalogue);

    /// Code of the language, "en".
    [[nodiscard]] const std::string& language() const { return language_; }
    [[nodiscard]] std::string operator()(std::string_view text) const;
    /// One of two forms by a count; languages of these catalogues use the first for one thing alone.
    [[nodiscard]] std::string operator()(std::string_view one, std::string_view many, std::size_t n) const;
    /// A text that means different things at different places: which one is meant.
    [[nodiscard]] std::string meant(std::string_view context, std::string_view text) const;
    /// The word of an enumeration's value: tr.word(Heard::faint). These words stand in viewer/texts/words.inc.
    template <class Enum> [[nodiscard]] std::string word(Enum value) const { return (*this)(model::word(value)); }
    /// A word of a map ("pump end") where the catalogue happens to have it; else as the map says it.
    [[nodiscard]] std::string map_word(const std::string& word) const;

    /// "3rd", "3.º".
    [[nodiscard]] std::string ordinal(int n) const;
    /// A number with so many decimals, written as the language does.
    [[nodiscard]] std::string number(double value, int decimals) const;
    /// "4 May 2031" of "2031-05-04T09:30:00Z", as the clock on the wall had it; the text itself where it is no time.
    [[nodiscard]] std::string date(const std::string& utc) const;
    /// "64 %", "more than 99 %".
    [[nodiscard]] std::string percent(double probability) const;

    /// The same language by the same catalogue: what is composed by one is what the other composes.
    friend bool operator==(const Translator&, const Translator&) = default;

private:
    std::string language_ = "en";
    std::shared_ptr<const Catalogue> catalogue_; ///< nothing for English
};

/// Marks a text for the catalogues that is looked up later, as texts in tables are.
[[nodiscard]] constexpr std::string_view marked(std::string_view text) { return text; }

/// Puts words into a text with places {0}, {1}.
template <class... Words> [[nodiscard]] std::string filled(const std::string& text, const Words&... words) {
    return fmt::vformat(text, fmt::make_format_args(words...));
}

} // namespace ringland::model
