// Sentences that wait for their language.
#include <doctest/doctest.h>

#include <cstdint>
#include <map>
#include <memory>
#include <string>

#include "../../model-data/fault.h"
#include "../../model-data/texts.h"

using namespace ringland::model;

namespace {

/// A catalogue of a few texts, as msgfmt would write it (GNU gettext manual, section "The Format of GNU MO Files").
Translator speaks(const std::map<std::string, std::string>& texts) {
    struct Held {
        std::string bytes;
        std::unique_ptr<Catalogue> catalogue;
    };
    const auto held = std::make_shared<Held>();
    std::string table, words;
    const auto number = [](std::string& to, std::size_t value) {
        for (int shift = 0; shift < 32; shift += 8)
            to += static_cast<char>((value >> shift) & 0xFF);
    };
    const std::size_t head = 28, originals = head, translations = originals + 8 * texts.size(),
                      begin = translations + 8 * texts.size();
    for (const bool translated : {false, true}) {
        for (const auto& text : texts) {
            const std::string& word = translated ? text.second : text.first;
            number(table, word.size());
            number(table, begin + words.size());
            words += word + '\0';
        }
    }
    for (const std::size_t value : {std::size_t{0x950412de}, std::size_t{0}, texts.size(), originals, translations,
                                    std::size_t{0}, std::size_t{0}})
        number(held->bytes, value);
    held->bytes += table + words;
    held->catalogue = std::make_unique<Catalogue>(held->bytes);
    return {"xx", std::shared_ptr<const Catalogue>(held, held->catalogue.get())};
}

} // namespace

TEST_CASE("a phrase is said in English by itself, and in a language with its words in another order") {
    const Translator other = speaks({{"a list", "una lista"},
                                     {"{0} has {1} of {2}", "{2}: {1} en {0}"},
                                     {"{0:.2f} or {1}", "{1} o {0:.1f}"},
                                     {"plain", "llano"}});
    const Phrase nested = phrase("{0} has {1} of {2}", phrase("a list"), 12, std::string("pumps"));
    CHECK(nested.english() == "a list has 12 of pumps");
    CHECK(nested.in(other) == "pumps: 12 en una lista");
    CHECK(phrase("{0:.2f} or {1}", 1.25, "a list").english() == "1.25 or a list");
    // A text of the user stays as it is, though the catalogue happens to have it.
    CHECK(phrase("{0:.2f} or {1}", 2.0, "a list").in(other) == "a list o 2.0");
    CHECK(Phrase::of_marked("plain").in(other) == "llano");
    CHECK(Phrase::as_is("plain").in(other) == "plain");
    CHECK(Phrase::as_is("{\"n\": 1}").english() == "{\"n\": 1}");
    CHECK(phrase("nobody translated {0}", 7).in(other) == "nobody translated 7");
    CHECK(Phrase().empty());
    CHECK(Phrase().english().empty());
    CHECK_FALSE(Phrase::of(0).empty());
    CHECK(nested == phrase("{0} has {1} of {2}", phrase("a list"), 12, "pumps"));
    CHECK_FALSE(nested == phrase("{0} has {1} of {2}", phrase("a list"), 13, "pumps"));
    CHECK_FALSE(Phrase::as_is("plain") == Phrase::of_marked("plain"));
}

TEST_CASE("faults are told in a language, with the place and what the file says as they are") {
    const Translator other = speaks({{"warning: ", "aviso: "},
                                     {"{0} is plugged twice", "{0} está tapado dos veces"},
                                     {"name it once", "nómbrelo una sola vez"},
                                     {"and {0} more", "y {0} más"}});
    Fault fault{"readings.toml", 3, 7, Severity::error, phrase("{0} is plugged twice", "P1"), phrase("name it once")};
    CHECK(to_string(fault) == "readings.toml:3:7: P1 is plugged twice: name it once");
    CHECK(to_string(fault, other) == "readings.toml:3:7: P1 está tapado dos veces: nómbrelo una sola vez");
    const std::vector<Fault> five(5, fault);
    const std::string line = to_string(fault, other);
    CHECK(first_errors(five, other) == line + "\n" + line + "\n" + line + "\ny 2 más");
    CHECK(first_errors(five, Translator()).find("\nand 2 more") != std::string::npos);
    fault.severity = Severity::warning;
    CHECK(to_string(fault, other).find("aviso: P1") != std::string::npos);
    CHECK(first_errors({fault}, other).empty());
}
