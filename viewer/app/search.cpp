#include "search.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "actions.h"

namespace ringland::viewer {

namespace {

namespace cmd = command;
using model::marked;
using model::SubjectKind;

/// Other words for an action than those of its title.
struct Alias {
    std::string_view action, words;
};
constexpr std::array<Alias, 34> aliases{{
    {"bench", marked("view whole unit overview case")},
    {"section", marked("view half cut")},
    {"stack", marked("view rings shaft")},
    {"follow", marked("view ride way path")},
    {"frame", marked("reset view home whole")},
    {"cut", marked("open close glass half")},
    {"swap", marked("reverse other way round direction")},
    {"clear", marked("start again new empty reset")},
    {"undo", marked("take back")},
    {"redo", marked("do again")},
    {"air-check", marked("readings suspects next step test")},
    {"chart", marked("expected healthy table matrix")},
    {"network", marked("pressure flow circuits")},
    {"road", marked("oil hot cold symptom complaint driver gear drags slips binds verdict harm")},
    {"plan", marked("teardown disassembly order minutes parts kit spares reassembly tools")},
    {"next-off", marked("teardown disassemble animate step")},
    {"last-on", marked("reassemble animate step back")},
    {"air-bench", marked("altitude temperature hose nozzle calibrate hearing leak-down leakdown orifice")},
    {"lie-next", marked("lying turn over belly bell tail")},
    {"units", marked("metric imperial psi bar inch mm millimetre")},
    {"theme", marked("dark light night day colours")},
    {"save-picture", marked("image png screenshot photo export print")},
    {"save-large-picture", marked("image png screenshot photo export print big")},
    {"text-larger", marked("bigger letters font size scale")},
    {"text-smaller", marked("letters font size scale")},
    {"help", marked("keyboard shortcuts list help")},
    {"tour", marked("help introduction lesson show me start")},
    {"less-motion", marked("animation reduced still quiet flights")},
    {"nearer", marked("zoom in")},
    {"farther", marked("zoom out")},
    {"focus", marked("zoom close")},
    {"next-suspect", marked("other ring")},
    {"menu", marked("settings options more")},
    {"saw-strong", "word heard"},
}};

std::string_view alias_of(std::string_view id) {
    const auto found = std::find_if(aliases.begin(), aliases.end(), [&](const Alias& a) { return a.action == id; });
    return found == aliases.end() ? std::string_view() : found->words;
}

bool is_letter(char c) {
    return std::isalpha(static_cast<unsigned char>(c)) != 0 || static_cast<unsigned char>(c) > 127;
}
bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// A text of the table in the language and in English: either is found.
std::string both(const Translator& tr, std::string_view text) {
    std::string words(text);
    if (!text.empty()) words += " " + tr(text);
    return words;
}

/// Letters with marks as those without, so that either is found; what has none stays.
std::string without_marks(std::string_view text) {
    // Latin-1's small and capital letters in UTF-8: 0xC3 and one of these.
    constexpr std::string_view plain = "aaaaaaaceeeeiiiidnooooo*ouuuuyts";
    std::string letters;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const auto next = i + 1 < text.size() ? static_cast<unsigned char>(text[i + 1]) : 0U;
        if (text[i] == '\xC3' && next >= 0x80 && next < 0xC0 && next % 0x20 != 0x17) {
            letters += plain[next % 0x20];
            ++i;
        } else {
            letters += text[i];
        }
    }
    return letters;
}

/// Words in small letters. "R3" is "r3" and, to be found by its number alone, "3".
std::vector<std::string> words_of(std::string_view written) {
    const std::string text = without_marks(written);
    std::vector<std::string> words;
    std::size_t i = 0;
    while (i < text.size()) {
        if (!is_letter(text[i]) && !is_digit(text[i])) {
            ++i;
            continue;
        }
        std::string word, number;
        while (i < text.size() && (is_letter(text[i]) || is_digit(text[i]))) {
            word += static_cast<char>(std::tolower(static_cast<unsigned char>(text[i])));
            if (is_digit(text[i])) number += text[i];
            ++i;
        }
        if (!number.empty() && number != word) words.push_back(number);
        words.push_back(std::move(word));
    }
    return words;
}

/// Letters to change, to put in, to leave out or to exchange with their neighbour until one word is the other.
int slips(std::string_view a, std::string_view b) {
    const std::size_t n = a.size(), m = b.size();
    std::vector<std::vector<int>> d(n + 1, std::vector<int>(m + 1));
    for (std::size_t i = 0; i <= n; ++i) {
        for (std::size_t k = 0; k <= m; ++k) {
            if (i == 0 || k == 0) {
                d[i][k] = static_cast<int>(i + k);
                continue;
            }
            const int same = a[i - 1] == b[k - 1] ? 0 : 1;
            d[i][k] = std::min({d[i - 1][k] + 1, d[i][k - 1] + 1, d[i - 1][k - 1] + same});
            if (i > 1 && k > 1 && a[i - 1] == b[k - 2] && a[i - 2] == b[k - 1])
                d[i][k] = std::min(d[i][k], d[i - 2][k - 2] + 1);
        }
    }
    return d[n][m];
}

int best_match(std::string_view typed, const std::vector<std::string>& words) {
    int best = 0;
    for (const auto& word : words)
        best = std::max(best, word_match(typed, word));
    return best;
}

/// 0 where a typed word is found nowhere.
double score_of(const ToDo& what, std::string_view more, const std::vector<std::string>& typed) {
    const auto title = words_of(what.title), detail = words_of(what.detail), other = words_of(more);
    double score = 0;
    for (const auto& word : typed) {
        const double found =
            std::max({1.0 * best_match(word, title), 0.75 * best_match(word, other), 0.6 * best_match(word, detail)});
        if (found <= 0) return 0;
        score += found;
    }
    score /= static_cast<double>(typed.size());
    // Of two titles that hold the words the shorter one says less that was not asked for.
    score -= 0.8 * static_cast<double>(title.size() > typed.size() ? title.size() - typed.size() : 0);
    if (!title.empty() && !typed.empty() && word_match(typed.front(), title.front()) >= 60) score += 6;
    if (!what.possible) score -= 25;
    return std::max(score, 1.0);
}

bool moves_the_frame(InterfaceAct act) {
    switch (act) {
    case InterfaceAct::next_port:
    case InterfaceAct::previous_port:
    case InterfaceAct::next_control:
    case InterfaceAct::previous_control:
    case InterfaceAct::press:
    case InterfaceAct::erase_digit:
    case InterfaceAct::search:
        return true;
    default:
        return false;
    }
}

ToDo of_action(const Workbench& bench, const Action& what) {
    const Translator& tr = bench.translator();
    ToDo made{tr(what.title), "", std::string(what.key), std::string(what.id), {}, true};
    made.possible = what.act != InterfaceAct::none || what.make(bench).has_value();
    if (what.id == "undo" && bench.undo_name()) made.detail = *bench.undo_name();
    if (what.id == "redo" && bench.redo_name()) made.detail = *bench.redo_name();
    if (!made.possible)
        made.detail = what.id == "undo" || what.id == "redo" ? tr("there is nothing") : tr("not as things stand");
    return made;
}

std::string place_of(const Translator& tr, const model::UnitMap& map, const model::Seal& seal) {
    if (const auto at = diagnosis::stack_position(map, seal))
        return filled(tr("{0}: {1} from the {2}, {3} from the {4}"), tr.map_word(at->stack_name),
                      tr.ordinal(at->nth_from_first_end), tr.map_word(at->first_end),
                      tr.ordinal(at->nth_from_second_end), tr.map_word(at->second_end));
    return filled(tr("divides {0} from {1}"), model::circuit_name(map, seal.between[0]),
                  model::circuit_name(map, seal.between[1]));
}

/// Selects a thing and goes close to it, on the drawing.
std::vector<Command> show(const Workbench& bench, const model::Subject& subject) {
    if (subject.kind == SubjectKind::seal && bench.derived().answer) {
        for (const auto& divider : bench.derived().answer->seals) {
            if (divider.seal == subject.id) return {cmd::ShowSheet{Sheet::drawing}, cmd::ShowSuspect{subject.id}};
        }
    }
    // A ring in its stack is hidden by everything around it until the unit is cut open there.
    if (subject.kind == SubjectKind::seal) {
        std::vector<Command> commands{cmd::Select{subject}, cmd::ShowView{Viewpoint::stack}};
        // Where a hand had turned that view it comes back as it was left, perhaps at another ring.
        if (bench.session().view.left[static_cast<std::size_t>(Viewpoint::stack)])
            commands.emplace_back(cmd::Focus{subject});
        return commands;
    }
    return {cmd::ShowSheet{Sheet::drawing}, cmd::Select{subject}, cmd::Focus{subject}};
}

void add_things(const Workbench& bench, std::vector<std::pair<ToDo, std::string>>& list) {
    const Translator& tr = bench.translator();
    const Document& d = bench.session().document;
    const model::UnitMap& map = d.map;
    for (const auto& port : map.ports) {
        const std::string name = fmt::format("{} {}", port.id, model::port_label(map, port));
        const std::string into = filled(tr("port into {0}"), model::circuit_name(map, port.circuit));
        if (port.id != d.air_into)
            list.push_back({{filled(tr("Air into {0}"), name), into, "", "", {cmd::AirInto{port.id}}}, ""});
        if (!d.air_into.empty() && port.id != d.air_into && port.id != d.came_out)
            list.push_back({{filled(tr("It came out of {0}"), name), into, "", "", {cmd::CameOut{port.id}}},
                            both(tr, marked("show at"))});
        if (d.air_into.empty() || port.id == d.air_into) continue;
        for (const auto heard :
             {model::Heard::nothing, model::Heard::faint, model::Heard::clear, model::Heard::strong}) {
            model::Seen seen;
            seen.word = heard;
            list.push_back({{filled(tr("At {0}: {1}"), name, tr.word(heard)),
                             tr("what came out there, for the reading"),
                             "",
                             "",
                             {cmd::Saw{port.id, seen}}},
                            both(tr, marked("saw heard seen"))});
        }
    }
    for (const auto& seal : map.seals)
        list.push_back({{filled(tr("Show {0}"), model::seal_name(map, seal)), place_of(tr, map, seal), "", "",
                         show(bench, {SubjectKind::seal, seal.id})},
                        seal.id + " " + both(tr, model::word(seal.kind))});
    for (const auto& circuit : map.circuits) {
        if (circuit.kind == model::CircuitKind::sump) continue;
        list.push_back({{filled(tr("Show circuit {0}"), model::circuit_name(map, circuit.id)), circuit.note, "", "",
                         show(bench, {SubjectKind::circuit, circuit.id})},
                        ""});
    }
    for (const auto& part : map.parts)
        list.push_back({{filled(tr("Show {0}"), tr.map_word(part.name.empty() ? part.id : part.name)), part.note, "",
                         "", show(bench, {SubjectKind::part, part.id})},
                        both(tr, marked("part"))});
}

void add_choices(const Workbench& bench, std::vector<std::pair<ToDo, std::string>>& list) {
    const Translator& tr = bench.translator();
    const View& view = bench.session().view;
    const auto add = [&](std::string title, Command command, bool now, std::string_view more) {
        list.push_back(
            {{std::move(title), now ? tr("so it is now") : "", "", "", {std::move(command)}}, both(tr, more)});
    };
    add(tr("Light"), cmd::SetTheme{Theme::light}, view.theme == Theme::light, marked("theme ground day"));
    add(tr("Dark"), cmd::SetTheme{Theme::dark}, view.theme == Theme::dark, marked("theme ground night"));
    add(tr("Units psi and inches"), cmd::SetUnits{UnitSystem::psi_inch}, view.units == UnitSystem::psi_inch,
        marked("imperial"));
    add(tr("Units bar and millimetres"), cmd::SetUnits{UnitSystem::bar_mm}, view.units == UnitSystem::bar_mm,
        marked("metric mm"));
    add(tr("Lying belly up"), cmd::SetLying{model::Lying::belly_up}, view.lying == model::Lying::belly_up,
        marked("turn over"));
    add(tr("Lying bell down"), cmd::SetLying{model::Lying::bell_down}, view.lying == model::Lying::bell_down,
        marked("turn over"));
    add(tr("Lying tail down"), cmd::SetLying{model::Lying::tail_down}, view.lying == model::Lying::tail_down,
        marked("turn over"));
    add(tr("Lying as in the vehicle"), cmd::SetLying{model::Lying::in_vehicle}, view.lying == model::Lying::in_vehicle,
        marked("turn over"));
    for (const int percent : {100, 125, 150, 200, 250})
        add(filled(tr("Letters {0} %"), percent), cmd::SetTextScale{percent / 100.0},
            std::abs(view.text_scale * 100 - percent) < 0.5, marked("text size larger smaller scale font"));
    for (const std::string& code : language_codes())
        add(filled(tr("Language: {0}"), language_name(code)), cmd::SetLanguage{code}, view.language == code,
            marked("language speak tongue"));
    add(tr("Back to the drawing"), cmd::ShowSheet{Sheet::drawing}, view.sheet == Sheet::drawing,
        marked("picture unit 3d"));
}

/// "40 psi", "2.5 bar": the air at the regulator.
std::optional<ToDo> pressure_typed(const Translator& tr, std::string_view typed) {
    std::string figure, unit;
    for (const char c : typed) {
        if (is_digit(c) || c == '.' || c == ',')
            figure += c == ',' ? '.' : c;
        else if (is_letter(c))
            unit += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    }
    if (figure.empty() || figure.size() > 6 || (unit != "psi" && unit != "bar")) return {};
    if (figure.front() == '.' || std::count(figure.begin(), figure.end(), '.') > 1) return {};
    double value = 0, place = 1;
    bool after = false;
    for (const char c : figure) {
        if (c == '.') {
            after = true;
            continue;
        }
        value = value * 10 + (c - '0');
        if (after) place *= 10;
    }
    value /= place;
    const auto measure = unit == "psi" ? model::PressureDimension::Unit::psi : model::PressureDimension::Unit::bar;
    const model::GaugePressure pressure{value, measure};
    if (!(pressure.si() > 0 && pressure.si() <= most_supply_pa)) return {};
    return ToDo{
        filled(tr("Air at the regulator: {0} {1}"), figure, unit), "", "", "", {cmd::SetSupply{pressure}}, true};
}

} // namespace

int word_match(std::string_view typed, std::string_view word) {
    if (typed.empty() || word.empty()) return 0;
    if (typed == word) return 100;
    const bool number = std::all_of(typed.begin(), typed.end(), is_digit);
    const bool begins = word.size() > typed.size() && word.substr(0, typed.size()) == typed;
    if (number) { // 3 is not 13, but it is the 3rd
        const std::string_view rest = begins ? word.substr(typed.size()) : std::string_view();
        return rest == "st" || rest == "nd" || rest == "rd" || rest == "th" ? 50 : 0;
    }
    if (begins) return 85;
    if (typed.size() >= 3 && word.find(typed) != std::string_view::npos) return 45;
    // A slip of the finger; while a word is still being typed, in its beginning.
    const int allowed = typed.size() >= 7 ? 2 : typed.size() >= 4 ? 1 : 0;
    if (allowed == 0 || std::any_of(typed.begin(), typed.end(), is_digit)) return 0;
    int least = slips(typed, word);
    for (const std::size_t end : {typed.size() - 1, typed.size(), typed.size() + 1}) {
        if (end < word.size()) least = std::min(least, slips(typed, word.substr(0, end)));
    }
    return least <= allowed ? 45 - 10 * least : 0;
}

std::vector<ToDo> find_to_do(const Workbench& bench, std::string_view typed, std::size_t most) {
    std::vector<ToDo> result;
    const auto words = words_of(typed);
    if (words.empty()) {
        // What is wanted most as things stand comes first, then what people look for.
        for (const char* id : {"swap", "undo", "air-check", "chart", "stack", "section", "bench", "clear", "tour",
                               "help", "units", "theme"}) {
            ToDo one = of_action(bench, action(id));
            if (one.possible && result.size() < most) result.push_back(std::move(one));
        }
        return result;
    }
    std::vector<std::pair<ToDo, std::string>> all;
    for (const Action& what : actions()) {
        if (!moves_the_frame(what.act))
            all.emplace_back(of_action(bench, what),
                             both(bench.translator(), alias_of(what.id)) + " " + std::string(what.title));
    }
    add_things(bench, all);
    add_choices(bench, all);
    std::vector<std::pair<double, std::size_t>> order;
    for (std::size_t i = 0; i < all.size(); ++i) {
        const double score = score_of(all[i].first, all[i].second, words);
        if (score > 0) order.emplace_back(score, i);
    }
    std::stable_sort(order.begin(), order.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    if (auto pressure = pressure_typed(bench.translator(), typed)) result.push_back(std::move(*pressure));
    for (const auto& [score, i] : order) {
        if (result.size() < most) result.push_back(std::move(all[i].first));
    }
    return result;
}

std::string search_help(const Workbench& bench) {
    const Translator& tr = bench.translator();
    const auto& map = bench.session().document.map;
    std::vector<std::string> examples;
    if (!map.ports.empty())
        examples.push_back(
            filled(tr("a port ({0}, {1})"), map.ports.front().id, model::port_label(map, map.ports.front())));
    if (!map.seals.empty()) examples.push_back(filled(tr("a ring or seal ({0})"), map.seals.front().id));
    if (!map.circuits.empty())
        examples.push_back(filled(tr("a circuit ({0})"), model::circuit_name(map, map.circuits.front().id)));
    const bool bar = bench.session().view.units == UnitSystem::bar_mm;
    examples.push_back(
        filled(tr("a view (stack), a sheet (chart), a pressure ({0}), or a word such as dark, undo, keys"),
               bar ? tr.number(2.5, 1) + " bar" : "40 psi"));
    return filled(tr("Nothing is called that. Type {0}."), fmt::format("{}", fmt::join(examples, ", ")));
}

} // namespace ringland::viewer
