// Everything that the window says goes through the translator: in a language that puts « » round every text of the
// catalogue, nothing is seen without them but data of the map and of the user, and figures with their units.
#include <algorithm>
#include <cctype>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <memory>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "../../model-data/job_entries.h"
#include "../../model-data/map_io.h"
#include "../../model-data/stock.h"
#include "../../viewer/platform/job_keeper.h"
#include "real_loop.h"
#include "window_tasks.h"

using namespace ringland;
using namespace ringland::tests;
namespace cmd = ringland::viewer::command;

namespace {

constexpr std::string_view opens = "«", closes = "»";

/// A catalogue of the texts as they stand in the source; `change` is what a sed script makes of each.
Translator pseudo_language(const std::string& name, const std::string& change) {
    struct Held {
        std::string bytes;
        std::unique_ptr<model::Catalogue> catalogue;
    };
    const std::filesystem::path folder = RINGLAND_BINARY_DIR "/every-text";
    std::filesystem::create_directories(folder);
    const std::string mo = (folder / (name + ".mo")).string();
    const std::string make = fmt::format(
        "'{}/viewer/texts/extract' | sed 's/nplurals=INTEGER; plural=EXPRESSION/nplurals=2; plural=(n != 1)/' | "
        "msgen --no-wrap - | sed -E '1,/^$/! {{ /^msgstr/ {{ {} }} }}' | msgfmt -o '{}' -",
        RINGLAND_SOURCE_DIR, change, mo);
    REQUIRE(std::system(make.c_str()) == 0); // NOLINT(concurrency-mt-unsafe): nothing else runs here
    std::ifstream in(mo, std::ios::binary);
    const auto held = std::make_shared<Held>();
    held->bytes.assign(std::istreambuf_iterator<char>(in), {});
    held->catalogue = std::make_unique<model::Catalogue>(held->bytes);
    REQUIRE(held->catalogue->size() > 500);
    return {"xx", std::shared_ptr<const model::Catalogue>(held, held->catalogue.get())};
}

/// The catalogue that decorates.
Translator decorator() { return pseudo_language("decorated", R"sed(s/^(msgstr(\[[0-9]\])? )"(.*)"$/\1"«\3»"/)sed"); }

/// The catalogue that keeps nothing but the places, so that what fills them is seen: sentences within a sentence.
Translator bare() {
    return pseudo_language("bare", R"sed(s/\\"//g; :a; s/^(msgstr(\[[0-9]\])? "(\{[^}]*\} )*)[^{"]+/\1/;)sed"
                                   R"sed( s/^(msgstr(\[[0-9]\])? "(\{[^}]*\} )*)(\{[^}]*\})([^ ]|$)/\1\4 \5/; ta;)sed"
                                   R"sed( s/^(msgstr(\[[0-9]\])? ")/\1· /)sed");
}

/// Without what stands between the signs; the depth goes on from line to line, since a text may be drawn in several.
std::string undecorated(const std::string& words, int& depth) {
    std::string rest;
    for (std::size_t i = 0; i < words.size();) {
        if (words.compare(i, opens.size(), opens) == 0) {
            ++depth;
            i += opens.size();
            rest += ' ';
        } else if (words.compare(i, closes.size(), closes) == 0) {
            depth = std::max(0, depth - 1);
            i += closes.size();
        } else {
            if (depth == 0) rest += words[i];
            ++i;
        }
    }
    return rest;
}

bool is_letter_or_digit(char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0; }

/// Takes a word or sentence out wherever it stands alone.
void take_out(std::string& text, const std::string& data) {
    if (data.empty()) return;
    for (std::size_t at = text.find(data); at != std::string::npos; at = text.find(data, at)) {
        const std::size_t end = at + data.size();
        const bool alone = (at == 0 || !is_letter_or_digit(text[at - 1]) || !is_letter_or_digit(data.front())) &&
                           (end == text.size() || !is_letter_or_digit(text[end]) || !is_letter_or_digit(data.back()));
        if (alone)
            text.replace(at, data.size(), " ");
        else
            ++at;
    }
}

/// All that a map and a job hold in words, the longest first.
std::vector<std::string> data_of(const Document& d) {
    std::vector<std::string> data;
    const auto add = [&](std::initializer_list<std::string> words) {
        data.insert(data.end(), words.begin(), words.end());
    };
    const model::UnitMap& map = d.map;
    add({map.unit.id, map.unit.name, map.unit.note});
    for (const auto& c : map.circuits)
        add({c.id, c.name, c.note, model::circuit_tag(map, c.id)});
    for (const auto& p : map.parts) {
        add({p.id, p.name, p.note, p.caution, p.tools});
        data.insert(data.end(), p.renew.begin(), p.renew.end());
    }
    for (const auto& s : map.spares)
        add({s.name, s.part_number, s.kit});
    for (const auto& s : map.stacks)
        add({s.id, s.name, s.first_end, s.second_end});
    for (const auto& s : map.seals)
        add({s.id, s.name, s.note, s.inspect, s.fit, s.look, s.cause, s.kit, s.part_number});
    for (const auto& p : map.ports)
        add({p.id, p.label, model::port_label(map, p)});
    for (const auto& f : map.by_design)
        add({f.id, f.reason});
    for (const auto& e : map.elements)
        add({e.id, e.name});
    for (const auto& r : map.ranges)
        add({r.id, r.name});
    for (const auto& c : map.clearances)
        add({c.id, c.name, c.correct, c.measure});
    const model::Job& job = d.job;
    add({job.head.number, job.head.customer, job.head.complaint, job.head.who, job.head.conclusion});
    for (const auto& f : job.findings) {
        add({f.seen});
        for (const auto& photo : f.photos)
            add({std::filesystem::path(photo).filename().string()});
    }
    for (const auto& n : job.notes)
        add({n.text});
    for (const auto& r : job.renewed)
        add({r.what, r.part_number});
    std::sort(data.begin(), data.end(), [](const std::string& a, const std::string& b) { return a.size() > b.size(); });
    return data;
}

/// What the tests themselves say in notices, records and fields.
const std::vector<std::string> said_by_tests{
    "Another invented unit with a name that goes on",
    "An invented firm with a rather long name and several branches",
    "Invented 2031-0417 / second unit of a longer order",
    "Ties up from second to third when it is hot, and comes out of it again after a while.",
    "R3, L1, O2",
    "The first of them.",
    "A second one, which is somewhat longer than the first one is.",
    "A remark of some length that says what is wrong, and then what would be right there.",
    "A remark beside the list of keys.",
    "A remark of some length that says what is wrong and what would be right.",
    "the folder /somewhere/deep/down/where/nobody/may/write/ringland cannot be written in: choose another one with "
    "--records",
    "xyzzy"};

/// Words of any language: units, materials by their short names, keys, languages by their own names.
bool of_any_language(const std::string& word) {
    static const std::set<std::string> known{"psi", "bar",     "mm",      "in", "L",  "min",  "s",
                                             "h",   "C",       "F",       "A−", "ft", "PTFE", "PEEK",
                                             "PAI", "English", "Español", "A4", "Nm", "rpm"};
    return known.count(word) != 0 || word.size() == 1 || std::regex_match(word, std::regex("F[0-9]|x[0-9]+"));
}

/// Letters that are left of a text once decoration and data are gone; empty where nothing was forgotten.
std::string forgotten(std::string rest, const std::vector<std::string>& data) {
    for (const auto& words : said_by_tests)
        take_out(rest, words);
    for (const auto& words : data)
        take_out(rest, words);
    std::string left, word;
    const auto end = [&] {
        const bool letters = std::any_of(word.begin(), word.end(),
                                         [](char c) { return std::isalpha(static_cast<unsigned char>(c)) != 0; });
        if (letters && !of_any_language(word)) left += (left.empty() ? "" : " ") + word;
        word.clear();
    };
    for (const char c : rest) {
        // Parts of a letter beyond ASCII belong to the word; signs such as · do no harm there.
        if (is_letter_or_digit(c) || (static_cast<unsigned char>(c) >= 0x80 && !word.empty()))
            word += c;
        else
            end();
    }
    end();
    return left;
}

/// Every text of the last frame, region by region.
std::vector<std::string> forgotten_in(const Window& w) {
    const auto data = data_of(w.document());
    std::vector<std::string> found;
    const auto look = [&](const std::string& words, int& depth) {
        const std::string left = forgotten(undecorated(words, depth), data);
        if (!left.empty()) found.push_back(fmt::format("\"{}\" of \"{}\"", left, words));
    };
    const auto& layout = w.interface.layout();
    for (const auto& region : layout.regions) {
        int depth = 0;
        for (const auto& thing : layout.things) {
            const bool typed = thing.region == "search" && thing.label == "ring"; // by the task itself
            if (thing.kind == Placed::Kind::text && thing.region == region.name && !typed) look(thing.label, depth);
        }
    }
    for (const auto& words : layout.beside) {
        int depth = 0;
        look(words, depth);
    }
    return found;
}

void expect_none(const Window& w, const std::string& where) {
    for (const auto& one : forgotten_in(w))
        FAIL_CHECK(where, ": ", one);
}

} // namespace

TEST_CASE("texts: in every panel and sheet everything goes through the translator") {
    const Translator decorated = decorator();
    for (const auto& map : {demo, small_demo, shift_demo}) {
        for (const tasks::Task& task : tasks::all) {
            Window w(map, 1920, 1080);
            w.bench.use_translator(decorated);
            task.set_up(w);
            work(w);
            expect_none(w, task.name);
        }
    }
}

TEST_CASE("texts: so does what stands at the pointer, over buttons and over things of the drawing") {
    const Translator decorated = decorator();
    for (const tasks::Task& task : tasks::all) {
        Window w(demo, 1920, 1080);
        w.bench.use_translator(decorated);
        task.set_up(w);
        work(w);
        const auto items = w.interface.items();
        for (const auto& item : items) {
            const Rect& r = item.second;
            w.interface.feed(input::MouseMove{r.x + r.width / 2, r.y + r.height / 2});
            w.frame();
            expect_none(w, std::string(task.name) + ", pointer on " + item.first);
        }
    }
    Window w(demo, 1920, 1080);
    w.bench.use_translator(decorated);
    tasks::ask(w);
    work(w);
    const auto& m = w.document().map;
    const std::vector<model::Subject> subjects{{model::SubjectKind::port, m.ports[0].id},
                                               {model::SubjectKind::circuit, m.circuits[1].id},
                                               {model::SubjectKind::seal, m.seals[0].id},
                                               {model::SubjectKind::seal, m.seals.back().id},
                                               {model::SubjectKind::part, m.parts[0].id}};
    const Viewport& d = w.last.drawing;
    w.interface.feed(input::MouseMove{d.x + d.width / 2, d.y + d.height / 2});
    for (const auto& subject : subjects) {
        w.hover = subject;
        w.settle();
        CHECK(w.last.pointer_on_drawing);
        expect_none(w, "pointer on " + subject.id);
    }
}

TEST_CASE("texts: the drawing of every view, its dimensions and the title of a picture") {
    const Translator decorated = decorator();
    for (const auto& map : {demo, small_demo, shift_demo}) {
        for (const Viewpoint view : {Viewpoint::bench, Viewpoint::section, Viewpoint::stack, Viewpoint::follow}) {
            Window w(map, 1920, 1080);
            w.bench.use_translator(decorated);
            tasks::check_air(w);
            tasks::say(w, cmd::ShowSheet{Sheet::drawing});
            if (view != Viewpoint::follow || w.bench.derived().air) tasks::say(w, cmd::ShowView{view});
            tasks::say(w, cmd::SetDimensions{true});
            tasks::say(w, cmd::SetLying{model::Lying::bell_down});
            work(w);
            expect_none(w, "drawing");
            CHECK(w.interface.layout().beside.size() > 2);
            w.interface.picture_frame(w.bench, 1920, 1080, w.now_s + 10, {true, true, true, false});
            expect_none(w, "picture");
        }
    }
}

TEST_CASE("texts: what is refused and what can be taken back is said in the language too") {
    const Translator decorated = decorator();
    Window w(demo, 1920, 1080);
    w.bench.use_translator(decorated);
    const std::vector<Command> wrong{cmd::AirInto{"P33"}, cmd::CameOut{"zzz"},  cmd::SwapDirection{},
                                     cmd::DropReading{9}, cmd::WhatIf{99},      cmd::TakeOff{1},
                                     cmd::Ride{},         cmd::Explode{7},      cmd::SetTextScale{9},
                                     cmd::Undo{},         cmd::SetLanguage{"q"}};
    int depth = 0;
    for (const auto& command : wrong) {
        const std::string why = w.bench.dispatch(command, 0);
        CHECK_FALSE(why.empty());
        CHECK_MESSAGE(forgotten(undecorated(why, depth), data_of(w.document())).empty(), why);
    }
    tasks::fill_job(w);
    while (const auto name = w.bench.undo_name()) {
        CHECK_MESSAGE(forgotten(undecorated(*name, depth), data_of(w.document())).empty(), *name);
        REQUIRE(w.bench.dispatch(cmd::Undo{}, 0).empty());
    }
}

namespace {

/// Words that a remark on a file may have as they are written there: those of the file and of the page that lists the
/// keys.
std::vector<std::string> words_of_file(const std::string& text, const char* reference) {
    std::ifstream page(std::string(RINGLAND_SOURCE_DIR "/docs/") + reference);
    REQUIRE(page);
    const std::string keys((std::istreambuf_iterator<char>(page)), {});
    std::vector<std::string> words;
    const auto add = [&words](const std::string& from) {
        const std::regex word("[A-Za-z0-9_-]+");
        for (auto at = std::sregex_iterator(from.begin(), from.end(), word); at != std::sregex_iterator(); ++at)
            words.push_back(at->str());
    };
    add(text);
    if (std::string_view(reference).find(".toml") != std::string_view::npos) add(keys);
    const std::regex code("`[^`\n]+`");
    for (auto at = std::sregex_iterator(keys.begin(), keys.end(), code); at != std::sregex_iterator(); ++at)
        add(at->str());
    const auto add_words = [&words](const auto& of_enumeration) {
        words.insert(words.end(), of_enumeration.begin(), of_enumeration.end());
    };
    add_words(model::words_of<model::Found>());
    add_words(model::words_of<model::Symptom>());
    add_words(model::words_of<model::SealKind>());
    words.insert(words.end(), {"into", "found", "symptom", "P1", "R1"}); // keys and ids that are missed or meant
    std::sort(words.begin(), words.end(), [](const auto& a, const auto& b) { return a.size() > b.size(); });
    return words;
}

} // namespace

TEST_CASE("texts: remarks on faulty files have nothing in English but what stands in the file") {
    const Translator only_places = bare();
    const auto expect_translated = [&](const std::vector<model::Fault>& faults, const std::string& text,
                                       const char* reference) {
        CHECK_MESSAGE(!faults.empty(), text);
        const auto data = words_of_file(text, reference);
        for (const auto& fault : faults) {
            const std::string said = fault.what.in(only_places) + " / " + fault.right.in(only_places);
            CHECK_MESSAGE(forgotten(said, data).empty(), said, " of ", model::to_string(fault));
        }
    };
    const std::string good = "[unit]\nname = \"B\"\n[[stack]]\nid = \"s\"\nrow = \"a | b | c\"\n"
                             "[[port]]\ncircuit = \"b\"\n";
    for (const std::string bad :
         {"x = ]", "unit = 3", "[unit]\nname = 3\n", "[unit]\nname = \"B\"\n", "\xff", "",
          "[unit]\nname = \"B\"\n[[stack]]\nrow = \"a\"\n", "[unit]\nname = \"B\"\n[[stack]]\nid = \"s\"\n"})
        expect_translated(model::read_map_text(bad, "m").faults, bad, "map-reference.md");
    for (const std::string added :
         {"[[seal]]\nid = \"R1\"\nmaterial = \"wood\"\n", "[[seal]]\nstack = \"s\"\nnth = 9\n",
          "[[seal]]\nid = \"q\"\n", "[[part]]\nid = \"p\"\nkind = \"drum\"\nafter = [\"q\"]\n",
          "[[part]]\nid = \"p\"\nkind = \"drum\"\nafter = [\"p\"]\n", "[[part]]\nid = \"p\"\n",
          "[[part]]\nid = \"p\"\nkind = \"drum\"\nminutes = \"long\"\n",
          "[[part]]\nid = \"p\"\nkind = \"drum\"\nminutes = -4\n", "[[part]]\nid = \"s\"\nkind = \"drum\"\n",
          "[[element]]\nid = \"e\"\nkind = \"clutch\"\n", "[[range]]\nid = \"1\"\non = [\"zz\"]\n", "[[prot]]\n",
          "[[port]]\ncircuit = \"bb\"\n", "[[port]]\ncircuit = [1]\n", "[oil]\nhot-c = 20\ncold-c = 40\n",
          "[[port]]\ncircuit = \"b\"\ncolour = \"red\"\n", "[[circuit]]\nid = \"k\"\ncolour = \"red\"\n"})
        expect_translated(model::read_map_text(good + added, "m").faults, good + added, "map-reference.md");
    const auto map = model::read_map_text(good, "m").map;
    REQUIRE(map);
    for (const std::string bad :
         {"[[reading]]\n", "[[reading]]\ninto = \"P9\"\n", "[[look]]\nseal = \"R7\"\n", "reading = 3\n",
          "[[reading]]\ninto = \"P1\"\nplugged = [\"P1\"]\n", "[[complaint]]\nrange = \"5\"\n",
          "[[reading]]\ninto = \"P1\"\n[[reading.seen]]\nat = \"case\"\nword = \"faint\"\nflow_lpm = 3\n"})
        expect_translated(model::read_readings_text(bad, "r", *map).faults, bad, "readings-reference.md");
    for (const std::string bad :
         {"bench = 3\n", "[bench]\npressure_psi = 900\n", "[bench]\nheard-from_lpm = [3, 2, 1]\n", "[other]\n"})
        expect_translated(model::read_bench_text(bad, "b").faults, bad, "command-line.md");
    for (const std::string bad : {"[priors]\nenough = 7\n", "[kind.ring]\ncut = 0.3\n", "[kind.wood]\n", "x = 1\n"})
        expect_translated(model::read_priors_text(bad, "p").faults, bad, "priors.toml");
    for (const std::string bad : {"x = 1\n", "stock = 1\n", "[[stock]]\ncount = 3\n", "[[stock]]\nshelf = 3\n"})
        expect_translated(model::read_stock_text(bad, "s").faults, bad, "command-line.md");
    expect_translated(model::read_shop_sign_text("[firm]\n", "s").faults, "[firm]", "command-line.md");
    for (const std::string bad :
         {"3", "{\"ringland-job\": 9}", "{\"ringland-job\": 1, \"id\": \"7\"}",
          "{\"ringland-job\": 1, \"id\": \"0123456789abcdef0123456789abcdef\", \"entries\": [3, {\"kind\": 4}, "
          "{\"kind\": \"note\", \"id\": \"n\"}]}",
          "{\"ringland-job\": 1, \"id\": \"0123456789abcdef0123456789abcdef\", \"entries\": [{\"kind\": \"note\", "
          "\"id\": \"n\", \"content\": {\"text\": 3}}, {\"kind\": \"song\", \"id\": \"n\", \"content\": {}}, "
          "{\"kind\": \"finding\", \"id\": \"f\", \"content\": {\"seal\": \"R1\", \"found\": \"gone\"}}]}"})
        expect_translated(model::read_job_text(bad, "j").faults, bad, "command-line.md");
}

TEST_CASE("texts: a faulty map, a job that cannot be opened and records that cannot be used are told in the language") {
    const std::string folder = RINGLAND_BINARY_DIR "/every-text",
                      bad = "[unit]\nname = 3\n[[stack]]\nrow = \"a | b\"\n";
    std::filesystem::create_directories(folder);
    std::ofstream(folder + "/bad.toml") << bad;
    RealLoop w(demo);
    auto data = words_of_file(bad, "map-reference.md");
    data.insert(data.begin(), {folder + "/bad.toml", "bad.toml", "/proc/no-such-folder"});
    const auto expect_told = [&] {
        CHECK(w.loop->notice().find("·") == 0);
        CHECK_MESSAGE(forgotten(w.loop->notice(), data).empty(), w.loop->notice());
    };
    w.loop->drop(folder + "/bad.toml", w.now_s);
    CHECK_FALSE(forgotten(w.loop->notice(), data).empty()); // in English the check finds what it looks for
    w.bench.use_translator(bare());
    w.loop->drop(folder + "/bad.toml", w.now_s);
    expect_told();
    model::Job job;
    job.map_toml = bad;
    const std::string why = w.bench.open_job(job, w.now_s);
    CHECK_MESSAGE(forgotten(why, data).empty(), why);
    // What the system says of a file is said as it says it.
    data.insert(data.begin(), std::make_error_code(std::errc::no_such_file_or_directory).message());
    JobKeeper keeper({"/proc/no-such-folder/records.sqlite", "test bench"});
    w.loop->use_keeper(&keeper);
    w.loop->dispatch(cmd::EditJob{job_edit::Note{"x"}}, w.now_s);
    w.frame();
    REQUIRE(keeper.settle(20));
    w.frame();
    expect_told();
    w.loop->dispatch(cmd::ShowSheet{Sheet::records}, w.now_s);
    w.frame();
    REQUIRE(keeper.settle(20));
    REQUIRE(keeper.page());
    CHECK_FALSE(keeper.page()->trouble.empty());
    CHECK_MESSAGE(forgotten(keeper.page()->trouble, data).empty(), keeper.page()->trouble);
    w.loop->use_keeper(nullptr);
}

TEST_CASE("texts: the check itself finds a text that was forgotten") {
    Window w(demo, 1920, 1080);
    tasks::ask(w);
    work(w);
    CHECK(forgotten_in(w).size() > 20); // in English nothing is decorated
    w.bench.use_translator(decorator());
    work(w);
    const std::size_t before = forgotten_in(w).size();
    w.interface.show_notice("No translator saw this.");
    w.settle();
    CHECK(forgotten_in(w).size() == before + 1);
    int depth = 0;
    CHECK(forgotten(undecorated("«Air into {0}» P3 LOW, 40 psi", depth), {"P3", "LOW"}).empty());
    CHECK(forgotten(undecorated("Air «into» P3", depth), {"P3"}) == "Air");
}
