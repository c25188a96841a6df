// The languages that the program carries, and the translator with the figures of the bench.
//
// English is in the code; every other language is a catalogue viewer/texts/CODE.po, compiled by msgfmt and carried
// inside the program: one more file is one more language.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "../../model-data/texts.h"
#include "session.h"

namespace ringland::viewer {

using model::filled;

class Translator : public model::Translator {
public:
    using model::Translator::Translator;

    /// "34.9 psi", "2.41 bar".
    [[nodiscard]] std::string pressure(double gauge_pa, UnitSystem units) const;
    /// "0.012 in", "0.30 mm".
    [[nodiscard]] std::string length(double metres, UnitSystem units) const;
};

/// Of a language by its code; English where there is no catalogue of it.
[[nodiscard]] Translator translator_of(std::string_view code);
/// "en" first, then those of the catalogues.
[[nodiscard]] std::vector<std::string> language_codes();
/// By its own name: "English", "Español".
[[nodiscard]] std::string language_name(std::string_view code);
[[nodiscard]] bool is_language(std::string_view code);
/// The language that the first of LC_ALL, LC_MESSAGES and LANG asks for that is set; English where that is none of
/// these.
[[nodiscard]] std::string language_of_environment();

/// The text with blanks that no line breaks at between a figure and its sign or unit: "94 %", "35 psi", "0.30 mm".
[[nodiscard]] std::string unbroken(std::string_view text);

} // namespace ringland::viewer
