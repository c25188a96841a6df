// The customer's page and the bench card on paper, read back by poppler's tools.
#include <algorithm>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "../../model-data/map_io.h"
#include "../../viewer/platform/answers_plan.h"
#include "../../viewer/platform/answers_weigh.h"
#include "../demo_job.h"
#include "said.h"

using namespace ringland;
using namespace ringland::test;
using ringland::tests::demo_job;
using viewer::Exit;

namespace {

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

viewer::HandoutOptions options_for(const std::filesystem::path& file) {
    viewer::HandoutOptions options;
    options.file = file.string();
    options.shop = "Millrace Gearbox Works (invented)";
    return options;
}

} // namespace

TEST_CASE("the page on letter paper says who, what was found, where from both ends, what was done, before and after") {
    const auto file = fresh_folder("english") / "page.pdf";
    REQUIRE(viewer::make_handout(demo_job(), options_for(file)) == Exit::answered);
    const std::string text = pdf_text(file);
    CAPTURE(text);
    for (const char* fact : {"Millrace Gearbox Works (invented)",
                             "Larch Five",
                             "An invented example",
                             "A. Sample (invented)",
                             "DEMO-1",
                             "5 May 2031",
                             "7 May 2031",
                             "second comes in late",
                             "Ring 3 of 5 on the input shaft",
                             "3rd from the pump end · 3rd from the drum end",
                             "It keeps Low and Coast apart",
                             "R3 was found damaged: a step worn into one flank",
                             "R1, R2, R3, R4, R5",
                             "LF-R-103",
                             "plate gasket",
                             "Input end play",
                             "On the road",
                             "1st, 2nd, 3rd, 2nd held, 1st held: slips.",
                             "for a leak as large as a hole of",
                             "To reach it these parts come off, in this order: Test plate",
                             "at all 132 places",
                             "Chance that the fault is gone",
                             "Please note",
                             "service information",
                             "Page 2 of 2"})
        CHECK_MESSAGE(has(text, fact), fact);
    for (const char* row : {"P3 LOW P4 COAST faint strong faint", "P4 COAST P3 LOW faint strong faint"})
        CHECK_MESSAGE(has(text, row), row);
    CHECK(foreign_fonts(file) == "");
    CHECK(misplaced(pdf_words(file)) == "");
    const std::string info = said(fmt::format("pdfinfo '{}'", file.string()));
    CHECK(has(info, "612 x 792 pts (letter)"));
    CHECK(has(info, "Workshop report: Larch Five"));
    CHECK(said(fmt::format("pdfimages -list '{}' | grep -c ' image '", file.string())) == "2\n");
}

TEST_CASE("the page on A4 in Spanish with bar and mm: decimal comma, words of the language, ends of the shaft too") {
    const auto file = fresh_folder("spanish") / "page.pdf";
    auto options = options_for(file);
    options.language = "es";
    options.paper = "a4";
    options.units = "bar-mm";
    REQUIRE(viewer::make_handout(demo_job(), options) == Exit::answered);
    const std::string text = pdf_text(file);
    CAPTURE(text);
    for (const char* fact : {"Informe de taller", "Anillo 3 de 5, eje de entrada",
                             "3.º desde el lado de la bomba · 3.º desde el lado del tambor", "5 de mayo de 2031",
                             "En ruta", "Para llegar a él se desmontan", "de 0,25 mm a 0,80 mm",
                             "en los 132 lugares probados", "fuerte", "Página 1 de 2"})
        CHECK_MESSAGE(has(text, fact), fact);
    CHECK(!has(text, "What we"));
    CHECK(!has(text, " psi"));
    CHECK(has(said(fmt::format("pdfinfo '{}'", file.string())), "(A4)"));
    CHECK(misplaced(pdf_words(file)) == "");
    CHECK(foreign_fonts(file) == "");
}

TEST_CASE("long names, long words of German and Spanish, and a long story wrap and go on: nothing over the edge") {
    model::Job job = demo_job();
    const std::string word =
        "Doppelkupplungsgetriebesteuergerätegehäuseabdichtungsprüfvorrichtungsbeauftragtenstellvertretung";
    job.head.customer = "Transportes Internacionales de Maquinaria Agropecuaria y Forestal Hermanos Ejemplo (invented)";
    job.head.number = word;
    job.head.who = "Maximiliana Ejemplo-Beispielhausen von und zu Überlangnamensdorf (invented)";
    job.head.complaint.clear();
    for (int i = 0; i < 60; ++i)
        job.head.complaint += "Bei warmem Getriebeöl schaltet der zweite Gang verspätet, y a veces patina del todo. ";
    job.head.conclusion = word + word;
    job.findings[0].seen = word + " desgastado en un flanco";
    job.renewed[0].note = "Sicherungsringeinpressvorrichtungsverlängerung " + word;
    job.renewed[1].part_number = "INVENTED-0000000000000000000000000000000000000001";
    for (int i = 0; i < 40; ++i)
        job.renewed.push_back({fmt::format("more{}", i), fmt::format("{} {}", word, i), "", 123456, "", "", ""});
    for (const char* paper : {"letter", "a4"}) {
        CAPTURE(paper);
        const auto file = fresh_folder(fmt::format("long-{}", paper)) / "page.pdf";
        auto options = options_for(file);
        options.paper = paper;
        options.shop = "Getriebeinstandsetzungswerkstattgenossenschaft Beispielhausen an der Erfundenen (invented)";
        options.language = "es";
        REQUIRE(viewer::make_handout(job, options) == Exit::answered);
        CHECK(misplaced(pdf_words(file)) == "");
        const std::string text = pdf_text(file);
        CHECK(has(text, "123456"));
        std::string letters = text; // a word that is longer than its column is broken
        letters.erase(std::remove(letters.begin(), letters.end(), ' '), letters.end());
        CHECK(has(letters, "Überlangnamensdorf"));
        CHECK(has(letters, word + word));
    }
}

TEST_CASE("a job that has only begun gives a page that says so, and names no seal") {
    model::Job job = demo_job();
    job.checks.resize(1);
    job.checks[0].readings.clear();
    job.findings.clear();
    job.renewed.clear();
    job.measurements.clear();
    job.ticks.clear();
    job.head.conclusion.clear();
    const auto file = fresh_folder("begun") / "page.pdf";
    REQUIRE(viewer::make_handout(job, options_for(file)) == Exit::answered);
    const std::string text = pdf_text(file);
    CHECK(has(text, "Nothing has been found yet."));
    CHECK(has(text, "has not been tested again"));
    CHECK(!has(text, "Ring 3 of 5"));
    CHECK(!has(text, "Finished"));
    CHECK(misplaced(pdf_words(file)) == "");
}

TEST_CASE("before anything was opened the page says what the air check points to, and that nobody has seen it") {
    model::Job job = demo_job();
    job.checks.resize(1);
    job.findings.clear();
    job.renewed.clear();
    const auto file = fresh_folder("pointed") / "page.pdf";
    REQUIRE(viewer::make_handout(job, options_for(file)) == Exit::answered);
    const std::string text = pdf_text(file);
    CAPTURE(text);
    CHECK(has(text, "Ring 3 of 5 on the input shaft"));
    CHECK(has(text, "The air check points to it, with a chance of"));
    CHECK(has(text, "It has not been seen yet."));
    CHECK(has(text, "P3 LOW P4 COAST faint strong not tested"));
    CHECK(!has(text, "Chance that the fault is gone"));
}

TEST_CASE("what cannot be: another ending, a logo that is no picture, a folder that is not there") {
    const auto folder = fresh_folder("refused");
    auto options = options_for(folder / "page.docx");
    CHECK(viewer::make_handout(demo_job(), options) == Exit::wrong_usage);
    options.file = (folder / "page.pdf").string();
    options.logo = RINGLAND_SOURCE_DIR "/README.md";
    CHECK(viewer::make_handout(demo_job(), options) == Exit::input_fault);
    CHECK(!std::filesystem::exists(folder / "page.pdf"));
    options.logo.clear();
    options.file = (folder / "nowhere" / "page.pdf").string();
    CHECK(viewer::make_handout(demo_job(), options) == Exit::input_fault);
}

TEST_CASE("the bench card has every reading of the shortest check, with every other port and the open case to tick") {
    for (const char* language : {"en", "es"}) {
        CAPTURE(language);
        const auto file = fresh_folder(fmt::format("card-{}", language)) / "card.pdf";
        viewer::CoverOptions options;
        options.map = RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml";
        options.card = true;
        options.card_file = file.string();
        options.language = language;
        options.paper = "a4";
        REQUIRE(viewer::run_cover(options) == Exit::answered);
        const std::string text = pdf_text(file);
        CAPTURE(text);
        const bool english = std::string(language) == "en";
        CHECK(has(text,
                  english ? "Bench card: air check of Larch Five" : "Tarjeta de banco: prueba de aire de Larch Five"));
        CHECK(has(text,
                  english ? "11 readings find a hole of 0.069 in" : "11 lecturas encuentran un agujero de 0,069 in"));
        CHECK(has(text, english ? "11 Air into P12 LOW-" : "11 Aire en P12 LOW-"));
        CHECK(has(text, "[1]"));
        const auto words = pdf_words(file);
        CHECK(misplaced(words) == "");
        CHECK(words.back().page == 2); // both sides of one sheet
        CHECK(foreign_fonts(file) == "");
    }
}

TEST_CASE("the work sheet has what comes off, tools, cautions, parts, figures to take, the way back and the retest") {
    const std::string map = RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml";
    const auto folder = fresh_folder("work-sheet");
    for (const bool spanish : {false, true}) {
        CAPTURE(spanish);
        viewer::PlanOptions options;
        options.map = map;
        options.what = {"R3"};
        options.file = (folder / (spanish ? "es.pdf" : "en.pdf")).string();
        options.language = spanish ? "es" : "en";
        options.paper = spanish ? "a4" : "letter";
        options.units = spanish ? "bar-mm" : "psi-inch";
        REQUIRE(viewer::run_plan(options) == Exit::answered);
        const std::string text = pdf_text(options.file);
        CAPTURE(text);
        // The map's own words, in either language.
        const auto read = model::read_map(map);
        REQUIRE(read.map);
        for (const auto& seal : read.map->seals) {
            if (seal.stack == "input-rings") CHECK_MESSAGE(has(text, seal.id), seal.id);
        }
        for (const char* fact : {"R3", "LF-R-103"})
            CHECK_MESSAGE(has(text, fact), fact);
        if (spanish) {
            for (const char* fact : {"Hoja de trabajo: Larch Five", "Anillo 3 de 5", "El montaje", "Página 1 de"})
                CHECK_MESSAGE(has(text, fact), fact);
            CHECK_FALSE(has(text, " psi"));
            CHECK_FALSE(has(text, "What comes off"));
        } else {
            for (const char* fact : {"Work sheet: Larch Five", "An invented example", "3rd from the pump end",
                                     "What comes off", "29 min in all", "Tools:", "Here is R3", "Measure on the way",
                                     "Input end play", "Parts", "The way back", "The retest that proves it",
                                     "Air into P3 LOW", "Proves R", "Eye protection", "service information"})
                CHECK_MESSAGE(has(text, fact), fact);
        }
        CHECK(misplaced(pdf_words(options.file)) == "");
        CHECK(foreign_fonts(options.file) == "");
    }
    viewer::PlanOptions wrong;
    wrong.map = map;
    wrong.what = {"R3"};
    wrong.file = (folder / "sheet.odt").string();
    CHECK(viewer::run_plan(wrong) == Exit::wrong_usage);
}
