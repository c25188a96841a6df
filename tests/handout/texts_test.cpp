// Texts in other languages: complete, with the same places to fill in, and numbers as the language writes them.
#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <map>
#include <set>
#include <sstream>
#include <stdexcept>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "../../viewer/app/job_edit.h"
#include "../../viewer/app/texts.h"
#include "../../viewer/handout/paper.h"
#include "said.h"

using namespace ringland;
using namespace ringland::test;
using viewer::Translator;

namespace {

/// Texts of a catalogue on one line each: original (and its plural) to translations.
std::map<std::string, std::vector<std::string>> texts_of(const std::string& po) {
    std::map<std::string, std::vector<std::string>> texts;
    std::istringstream lines(po);
    std::string original;
    const auto quoted = [](const std::string& line) {
        const auto from = line.find('"');
        return line.substr(from + 1, line.rfind('"') - from - 1);
    };
    for (std::string line; std::getline(lines, line);) {
        if (line.rfind("msgid ", 0) == 0) {
            original = quoted(line);
            if (!original.empty()) texts[original];
        } else if (line.rfind("msgstr", 0) == 0 && !original.empty()) {
            texts[original].push_back(quoted(line));
        }
    }
    return texts;
}

std::multiset<std::string> places(const std::string& text) {
    std::multiset<std::string> found;
    for (std::size_t at = text.find('{'); at != std::string::npos; at = text.find('{', at + 1))
        found.insert(text.substr(at, text.find('}', at) - at + 1));
    return found;
}

} // namespace

TEST_CASE("every text of the program is in every catalogue, with the same places to fill in, and no other") {
    const std::string root = RINGLAND_SOURCE_DIR;
    const auto asked = texts_of(said(fmt::format("'{}/viewer/texts/extract'", root)));
    CHECK(asked.size() > 800);
    std::size_t catalogues = 0;
    for (const auto& file : std::filesystem::directory_iterator(root + "/viewer/texts")) {
        if (file.path().extension() != ".po") continue;
        ++catalogues;
        const std::string po = file.path().string();
        CAPTURE(po);
        const auto has = texts_of(said(fmt::format("msgattrib --translated --no-fuzzy --no-wrap '{}'", po)));
        for (const auto& text : asked) {
            CAPTURE(text.first);
            const auto found = has.find(text.first);
            if (found == has.end()) {
                FAIL_CHECK("not translated");
                continue;
            }
            // Every place that is there is filled in; one that is missing has to be left out on purpose.
            for (const auto& translation : found->second)
                CHECK(places(translation) == places(text.first));
        }
        for (const auto& text : has)
            CHECK_MESSAGE(asked.count(text.first) == 1, "nothing says this any more: ", text.first);
        CHECK(said(fmt::format("msgattrib --only-fuzzy --no-wrap '{}'", po)).find("msgid") == std::string::npos);
        // The translator knows but this rule for plurals.
        CHECK(bytes_of(po).find("nplurals=2; plural=(n != 1);") != std::string::npos);
    }
    CHECK(catalogues == viewer::language_codes().size() - 1);
}

TEST_CASE("every word of an enumeration that the window shows is in words.inc") {
    const auto asked = texts_of(said(fmt::format("'{}/viewer/texts/extract'", RINGLAND_SOURCE_DIR)));
    const auto check = [&](auto words) {
        for (const std::string_view word : words)
            CHECK_MESSAGE(asked.count(std::string(word)) == 1, word);
    };
    check(model::words_of<model::Heard>());
    check(model::words_of<model::Applied>());
    check(model::words_of<model::Found>());
    check(model::words_of<model::JobStep>());
    check(model::words_of<viewer::Viewpoint>());
    check(model::words_of<viewer::job_edit::Field>());
    for (std::string word : std::vector<std::string>{"spring steel", "lip seal", "D-ring", "O-ring", "gasket bridge"})
        CHECK_MESSAGE(asked.count(word) == 1, word);
    for (const std::string_view word : model::words_of<model::PartKind>()) {
        std::string spaced(word);
        std::replace(spaced.begin(), spaced.end(), '-', ' ');
        CHECK_MESSAGE(asked.count(spaced) == 1, spaced);
    }
}

TEST_CASE("the language that the environment asks for is taken where there is a catalogue of it") {
    const auto asked = [](const char* all, const char* messages, const char* lang) {
        const auto set = [](const char* name, const char* value) {
            value == nullptr ? unsetenv(name) : setenv(name, value, 1);
        };
        set("LC_ALL", all);
        set("LC_MESSAGES", messages);
        set("LANG", lang);
        return viewer::language_of_environment();
    };
    CHECK(asked(nullptr, nullptr, nullptr) == "en");
    CHECK(asked(nullptr, nullptr, "es_MX.UTF-8") == "es");
    CHECK(asked(nullptr, "es", "en_GB.UTF-8") == "es");
    CHECK(asked("C.UTF-8", "es_ES", "es_ES") == "en");
    CHECK(asked("", "", "es@euro") == "es");
    CHECK(asked(nullptr, nullptr, "xx_YY") == "en");
    asked(nullptr, nullptr, "C.UTF-8");
    CHECK(viewer::language_name("es") == "Español");
    CHECK(viewer::language_name("en") == "English");
    CHECK(viewer::language_codes().front() == "en");
}

TEST_CASE("numbers, figures, dates and ordinals are written as the language writes them") {
    const Translator en, es = viewer::translator_of("es");
    CHECK(en.number(1234.5, 1) == "1234.5");
    CHECK(es.number(1234.5, 1) == "1234,5");
    CHECK(es.pressure(2.4e5, viewer::UnitSystem::bar_mm) == "2,40 bar");
    CHECK(en.pressure(model::psi(35).si(), viewer::UnitSystem::psi_inch) == "35 psi");
    CHECK(en.pressure(model::psi(34.9).si(), viewer::UnitSystem::psi_inch) == "34.9 psi");
    CHECK(en.length(0.0003048, viewer::UnitSystem::psi_inch) == "0.012 in");
    CHECK(es.length(0.0003048, viewer::UnitSystem::bar_mm) == "0,30 mm");
    const std::pair<int, const char*> ordinals[] = {{1, "1st"},   {2, "2nd"},     {3, "3rd"},     {4, "4th"},
                                                    {11, "11th"}, {12, "12th"},   {13, "13th"},   {21, "21st"},
                                                    {22, "22nd"}, {112, "112th"}, {101, "101st"}, {20, "20th"}};
    for (const auto& one : ordinals)
        CHECK(en.ordinal(one.first) == one.second);
    CHECK(es.ordinal(3) == "3.º");
    CHECK(en.date("2031-05-04T12:00:00Z") == "4 May 2031");
    CHECK(es.date("2031-05-04T12:00:00Z") == "4 de mayo de 2031");
    CHECK(en.date("yesterday") == "yesterday");
    CHECK(en.percent(0.998) == "more than 99 %");
    CHECK(en.percent(0.937) == "94 %");
    CHECK(es.percent(0.001) == "menos del 1 %");
}

TEST_CASE("one thing and several, and a word that the catalogue lacks") {
    const Translator es = viewer::translator_of("es");
    const char *one = "At {0} other place nothing differed from a good unit.",
               *many = "At {0} other places nothing differed from a good unit.";
    CHECK(viewer::filled(es(one, many, 1), 1) == "En 1 lugar más no hubo diferencia con una unidad sana.");
    CHECK(viewer::filled(es(one, many, 7), 7) == "En otros 7 lugares no hubo diferencia con una unidad sana.");
    CHECK(es.map_word("Pump end") == "lado de la bomba");
    CHECK(es.map_word("Quill shaft") == "Quill shaft");
    CHECK(Translator().map_word("pump end") == "pump end");
}

TEST_CASE("bytes that are no catalogue are refused, and one that was cut or changed never reads outside itself") {
    CHECK_THROWS_AS(model::Catalogue("no"), std::runtime_error);
    CHECK_THROWS_AS(model::Catalogue(std::string(64, 'x')), std::runtime_error);
    const auto folder = fresh_folder("catalogue");
    static_cast<void>(
        said(fmt::format("msgfmt -o '{}/es.mo' '{}/viewer/texts/es.po'", folder.string(), RINGLAND_SOURCE_DIR)));
    const std::string whole = bytes_of(folder / "es.mo");
    CHECK(model::Catalogue(whole).find("Ring") == "Anillo");
    for (std::size_t i = 4; i < 4000 && i < whole.size(); ++i) {
        std::string wrong = whole;
        wrong[i] = static_cast<char>(wrong[i] ^ 0xFF);
        const std::string cut = whole.substr(0, i);
        for (const std::string& bytes : {wrong, cut}) {
            try {
                const model::Catalogue catalogue(bytes);
                CHECK(catalogue.find("Ring").size() <= whole.size());
            } catch (const std::runtime_error&) {
                // Refused is well.
            }
        }
    }
}

TEST_CASE("no line breaks between a figure and its sign or unit, on paper at any width") {
    const std::string no_break = "\xC2\xA0";
    CHECK(viewer::unbroken("gone: 94 % of 35 psi") == "gone: 94" + no_break + "% of 35" + no_break + "psi");
    CHECK(viewer::unbroken("0,30 mm, 2.41 bar.") == "0,30" + no_break + "mm, 2.41" + no_break + "bar.");
    CHECK(viewer::unbroken("3 inside, 5 rings, P 3") == "3 inside, 5 rings, P 3");
    CHECK(viewer::unbroken("ends with 7 ") == "ends with 7 ");
    CHECK(viewer::unbroken(viewer::unbroken("94 %")) == viewer::unbroken("94 %"));
    CHECK(viewer::unbroken("").empty());
    const viewer::Setter setter;
    const std::string text =
        "The chance that the fault is gone is now 94 % at 35 psi and that is 94 % of all cases at 35 psi.";
    const viewer::Type type{10, false, {}, false, false, 1.3};
    for (double width = 60; width < 400; width += 3) {
        for (const auto& line : setter.pieces(text, type, width, 1)) {
            CAPTURE(width);
            CAPTURE(line);
            CHECK(line.compare(0, 1, "%") != 0);
            CHECK(line.compare(0, 3, "psi") != 0);
        }
    }
}
