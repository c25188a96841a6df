// The text form of commands: one line each, readable, and exact enough that a replayed session is the same session.
#include "commands.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <locale>
#include <sstream>

#include <fmt/format.h>

#include "../../model-data/map_io.h"

namespace ringland::viewer {

namespace {

namespace cmd = command;

/// As it is where it reads back as one word, else between quotes.
std::string quoted(const std::string& text) {
    bool plain = !text.empty();
    for (const char c : text)
        plain = plain && c != '"' && c != '\\' && static_cast<unsigned char>(c) > 0x20 && c != 0x7f;
    if (plain) return text;
    std::string out = "\"";
    for (const char c : text) {
        switch (c) {
        case '"':
            out += "\\\"";
            break;
        case '\\':
            out += "\\\\";
            break;
        case '\n':
            out += "\\n";
            break;
        case '\r':
            out += "\\r";
            break;
        case '\t':
            out += "\\t";
            break;
        default:
            out += c;
        }
    }
    return out + '"';
}

/// Splits into words; false where a quote stays open.
bool split(std::string_view line, std::vector<std::string>& words) {
    std::size_t i = 0;
    const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; };
    while (true) {
        while (i < line.size() && blank(line[i]))
            ++i;
        if (i == line.size()) return true;
        std::string word;
        if (line[i] == '"') {
            ++i;
            while (i < line.size() && line[i] != '"') {
                if (line[i] == '\\' && i + 1 < line.size()) {
                    ++i;
                    const char c = line[i];
                    word += c == 'n' ? '\n' : c == 'r' ? '\r' : c == 't' ? '\t' : c;
                } else {
                    word += line[i];
                }
                ++i;
            }
            if (i == line.size()) return false;
            ++i;
        } else {
            while (i < line.size() && !blank(line[i]))
                word += line[i++];
        }
        words.push_back(std::move(word));
    }
}

std::optional<double> number(const std::string& text) {
    std::istringstream stream(text);
    stream.imbue(std::locale::classic());
    double value = 0;
    if (!(stream >> value) || stream.peek() != std::istringstream::traits_type::eof() || !std::isfinite(value))
        return {};
    return value;
}

std::string subject_text(const model::Subject& subject) {
    if (subject.kind == model::SubjectKind::none) return "none";
    return fmt::format("{} {}", model::word(subject.kind), quoted(subject.id));
}

std::string seen_text(const std::optional<model::Seen>& seen) {
    if (!seen) return "not-tested";
    if (seen->word) return std::string(model::word(*seen->word));
    if (seen->pressure) return fmt::format("{} {}", seen->pressure->value, seen->pressure->measure().suffix);
    if (seen->flow_lpm) return fmt::format("{} lpm", *seen->flow_lpm);
    if (seen->applies_after_s) return fmt::format("{} s", *seen->applies_after_s);
    return "not-sure";
}

struct Writer {
    std::string operator()(const cmd::OpenMap& c) const { return "open-map " + quoted(c.path); }
    std::string operator()(const cmd::AirInto& c) const { return "air-into " + quoted(c.port); }
    std::string operator()(const cmd::CameOut& c) const { return "came-out " + quoted(c.port); }
    std::string operator()(const cmd::Saw& c) const { return "saw " + quoted(c.at) + " " + seen_text(c.seen); }
    std::string operator()(const cmd::PlugPort& c) const {
        return fmt::format("plug {} {}", quoted(c.port), c.on ? "on" : "off");
    }
    std::string operator()(const cmd::Felt& c) const {
        return fmt::format("felt {}", c.applied ? model::word(*c.applied) : "not-said");
    }
    std::string operator()(const cmd::BeginReading& c) const {
        model::AirCheck one;
        one.readings.push_back(c.reading);
        return "begin-reading " + quoted(model::write_readings_text(one));
    }
    std::string operator()(const cmd::DropReading& c) const { return fmt::format("drop-reading {}", c.number); }
    std::string operator()(const cmd::LookedAt& c) const {
        return fmt::format("looked-at {} {}", quoted(c.seal), c.found ? model::word(*c.found) : "not-looked");
    }
    std::string operator()(const cmd::Complained& c) const {
        model::AirCheck one;
        one.complaints.push_back(c.complaint);
        return fmt::format("complained {}{}", quoted(model::write_readings_text(one)), c.on ? "" : " off");
    }
    std::string operator()(const cmd::SetSupply& c) const {
        const std::string held = c.settled ? "" : " held";
        if (!c.pressure) return "set-supply usual" + held;
        return fmt::format("set-supply {} {}{}", c.pressure->value, c.pressure->measure().suffix, held);
    }
    std::string operator()(const cmd::SetAirBench& c) const {
        return "set-air-bench " + quoted(model::write_bench_text(c.bench));
    }
    std::string operator()(const cmd::EditJob& c) const {
        std::string line = "job";
        for (const auto& word : edit_words(c.edit))
            line += " " + quoted(word);
        return line;
    }
    std::string operator()(const cmd::WhatIf& c) const { return fmt::format("what-if-hole {}", c.hole_mm); }
    std::string operator()(const cmd::ShowSheet& c) const { return fmt::format("show-sheet {}", model::word(c.sheet)); }
    std::string operator()(const cmd::SwapDirection&) const { return "swap-direction"; }
    std::string operator()(const cmd::ClearPorts&) const { return "clear-ports"; }
    std::string operator()(const cmd::ShowView& c) const {
        return fmt::format("show-view {}", model::word(c.viewpoint));
    }
    std::string operator()(const cmd::SetSection& c) const { return c.on ? "set-section on" : "set-section off"; }
    std::string operator()(const cmd::SetLying& c) const { return fmt::format("set-lying {}", model::word(c.lying)); }
    std::string operator()(const cmd::Explode& c) const { return fmt::format("explode {}", c.apart); }
    std::string operator()(const cmd::TakeOff& c) const { return fmt::format("take-off {}", c.steps); }
    std::string operator()(const cmd::Isolate& c) const {
        if (c.circuits.empty()) return "isolate none";
        if (c.circuits.size() == 1 && c.circuits[0] == "none") return "isolate none none"; // one that is called so
        std::string text = "isolate";
        for (const auto& circuit : c.circuits)
            text += " " + quoted(circuit);
        return text;
    }
    std::string operator()(const cmd::SetTurntable& c) const { return c.on ? "turntable on" : "turntable off"; }
    std::string operator()(const cmd::Ride&) const { return "ride"; }
    std::string operator()(const cmd::Stay&) const { return "stay"; }
    std::string operator()(const cmd::SetDimensions& c) const { return c.on ? "dimensions on" : "dimensions off"; }
    std::string operator()(const cmd::Orbit& c) const {
        return fmt::format("orbit {} {}", c.azimuth_deg, c.elevation_deg);
    }
    std::string operator()(const cmd::Pan& c) const { return fmt::format("pan {} {}", c.right_mm, c.up_mm); }
    std::string operator()(const cmd::Zoom& c) const { return fmt::format("zoom {}", c.factor); }
    std::string operator()(const cmd::Focus& c) const { return "focus " + subject_text(c.subject); }
    std::string operator()(const cmd::Select& c) const { return "select " + subject_text(c.subject); }
    std::string operator()(const cmd::ShowSuspect& c) const { return "show-suspect " + quoted(c.seal); }
    std::string operator()(const cmd::SetTheme& c) const { return fmt::format("set-theme {}", model::word(c.theme)); }
    std::string operator()(const cmd::SetUnits& c) const { return fmt::format("set-units {}", model::word(c.units)); }
    std::string operator()(const cmd::SetLanguage& c) const { return "set-language " + quoted(c.language); }
    std::string operator()(const cmd::SetTextScale& c) const { return fmt::format("set-text-scale {}", c.scale); }
    std::string operator()(const cmd::SetReducedMotion& c) const {
        return c.on ? "set-reduced-motion on" : "set-reduced-motion off";
    }
    std::string operator()(const cmd::Undo&) const { return "undo"; }
    std::string operator()(const cmd::Redo&) const { return "redo"; }
};

using Words = std::vector<std::string>;
using Parsed = std::optional<Command>;

template <class Enum, class Make> Parsed of_word(const std::string& text, Make make) {
    const auto value = model::from_word<Enum>(text);
    if (!value) return {};
    return make(*value);
}

template <class Make> Parsed of_subject(const Words& w, Make make) {
    if (w.size() == 2 && w[1] == "none") return make(model::Subject{});
    if (w.size() != 3) return {};
    const auto kind = model::from_word<model::SubjectKind>(w[1]);
    if (!kind || *kind == model::SubjectKind::none) return {};
    return make(model::Subject{*kind, w[2]});
}

template <class Make> Parsed of_two_numbers(const Words& w, Make make) {
    const auto a = number(w[1]), b = number(w[2]);
    if (!a || !b) return {};
    return make(*a, *b);
}

template <class Make> Parsed of_number(const Words& w, Make make) {
    const auto a = number(w[1]);
    if (!a) return {};
    return make(*a);
}

template <class Make> Parsed of_switch(const Words& w, Make make) {
    if (w[1] != "on" && w[1] != "off") return {};
    return make(w[1] == "on");
}

/// "usual", or a figure and its unit; then "held" where a slider is.
Parsed of_supply(const Words& w) {
    cmd::SetSupply made;
    std::size_t next = 2;
    if (w[1] != "usual") {
        if (w.size() < 3) return {};
        const auto figure = number(w[1]);
        const auto& units = model::PressureDimension::units;
        const auto unit = std::find_if(units.begin(), units.end(), [&](const auto& u) { return u.suffix == w[2]; });
        if (!figure || unit == units.end()) return {};
        made.pressure =
            model::GaugePressure{*figure, static_cast<model::PressureDimension::Unit>(unit - units.begin())};
        next = 3;
    }
    made.settled = w.size() == next;
    if (!made.settled && (w.size() != next + 1 || w[next] != "held")) return {};
    return made;
}

Parsed of_bench(const Words& w) {
    auto read = model::read_bench_text(w[1], "air bench");
    if (!read.bench) return {};
    return cmd::SetAirBench{std::move(*read.bench)};
}

/// A word, "not-sure", "not-tested", or a figure with psi, kpa, bar, lpm or s.
Parsed of_saw(const Words& w) {
    model::Seen seen;
    seen.at = w[1];
    if (w.size() == 3) {
        if (w[2] == "not-tested") return cmd::Saw{w[1], std::nullopt};
        seen.not_sure = w[2] == "not-sure";
        seen.word = model::from_word<model::Heard>(w[2]);
        if (!seen.word && !seen.not_sure) return {};
        return cmd::Saw{w[1], seen};
    }
    const auto figure = number(w[2]);
    if (!figure) return {};
    const auto& units = model::PressureDimension::units;
    const auto unit = std::find_if(units.begin(), units.end(), [&](const auto& u) { return u.suffix == w[3]; });
    if (unit != units.end())
        seen.pressure =
            model::GaugePressure{*figure, static_cast<model::PressureDimension::Unit>(unit - units.begin())};
    else if (w[3] == "lpm")
        seen.flow_lpm = figure;
    else if (w[3] == "s")
        seen.applies_after_s = figure;
    else
        return {};
    return cmd::Saw{w[1], seen};
}

Parsed of_plug(const Words& w) {
    if (w[2] != "on" && w[2] != "off") return {};
    return cmd::PlugPort{w[1], w[2] == "on"};
}

Parsed of_felt(const Words& w) {
    if (w[1] == "not-said") return cmd::Felt{};
    return of_word<model::Applied>(w[1], [](model::Applied a) -> Command { return cmd::Felt{a}; });
}

/// Ports are looked at when it is carried out: here the text need only be a reading.
Parsed of_begin(const Words& w) {
    auto reading = model::parse_reading(w[1]);
    if (!reading) return {};
    return cmd::BeginReading{std::move(*reading)};
}

Parsed of_drop(const Words& w) {
    const auto n = number(w[1]);
    if (!n || *n != std::floor(*n) || std::abs(*n) > 1e6) return {};
    return cmd::DropReading{static_cast<int>(*n)};
}

Parsed of_look(const Words& w) {
    if (w[2] == "not-looked") return cmd::LookedAt{w[1], std::nullopt};
    return of_word<model::Found>(w[2], [&](model::Found f) -> Command { return cmd::LookedAt{w[1], f}; });
}

Parsed of_complained(const Words& w) {
    auto complaint = model::parse_complaint(w[1]);
    if (!complaint || (w.size() == 3 && w[2] != "off")) return {};
    return cmd::Complained{std::move(*complaint), w.size() == 2};
}

Parsed of_job(const Words& w) {
    auto edit = parse_edit({w.begin() + 1, w.end()});
    if (!edit) return {};
    return cmd::EditJob{std::move(*edit)};
}

/// One kind of command: its word, how many words follow, how they are said, and how it is made of them.
struct Form {
    std::string_view name;
    std::size_t fewest, most;
    std::string_view arguments;
    Parsed (*make)(const Words&);
};

constexpr std::array<Form, 40> forms{{
    {"open-map", 1, 1, "FILE", [](const Words& w) -> Parsed { return cmd::OpenMap{w[1]}; }},
    {"air-into", 1, 1, "PORT", [](const Words& w) -> Parsed { return cmd::AirInto{w[1]}; }},
    {"came-out", 1, 1, "PORT", [](const Words& w) -> Parsed { return cmd::CameOut{w[1]}; }},
    {"saw", 2, 3, "PORT and nothing, faint, clear, strong, not-sure, not-tested, or a figure with psi, bar, lpm or s",
     of_saw},
    {"plug", 2, 2, "PORT on or off", of_plug},
    {"felt", 1, 1, "thud, soft, none or not-said", of_felt},
    {"begin-reading", 1, 1, "the text of one reading", of_begin},
    {"drop-reading", 1, 1, "NUMBER", of_drop},
    {"looked-at", 2, 2, "SEAL and sound, damaged or not-looked", of_look},
    {"complained", 1, 2, "the text of one complaint, and off to take it back", of_complained},
    {"set-supply", 1, 3, "usual, or a figure with psi, kpa or bar", of_supply},
    {"set-air-bench", 1, 1, "the text of a bench file", of_bench},
    {"job", 1, 4, edit_forms, of_job},
    {"what-if-hole", 1, 1, "MM",
     [](const Words& w) { return of_number(w, [](double f) -> Command { return cmd::WhatIf{f}; }); }},
    {"show-sheet", 1, 1, "drawing, air-check, chart, network, air-bench, road, plan, job or records",
     [](const Words& w) { return of_word<Sheet>(w[1], [](Sheet v) -> Command { return cmd::ShowSheet{v}; }); }},
    {"swap-direction", 0, 0, "", [](const Words&) -> Parsed { return cmd::SwapDirection{}; }},
    {"clear-ports", 0, 0, "", [](const Words&) -> Parsed { return cmd::ClearPorts{}; }},
    {"show-view", 1, 1, "bench, section, stack or follow",
     [](const Words& w) { return of_word<Viewpoint>(w[1], [](Viewpoint v) -> Command { return cmd::ShowView{v}; }); }},
    {"set-section", 1, 1, "on or off",
     [](const Words& w) { return of_switch(w, [](bool on) -> Command { return cmd::SetSection{on}; }); }},
    {"set-lying", 1, 1, "belly-up, bell-down, tail-down or in-vehicle",
     [](const Words& w) {
         return of_word<model::Lying>(w[1], [](model::Lying v) -> Command { return cmd::SetLying{v}; });
     }},
    {"explode", 1, 1, "how far apart, from 0, together, to 1, all free",
     [](const Words& w) { return of_number(w, [](double f) -> Command { return cmd::Explode{f}; }); }},
    {"take-off", 1, 1, "how many steps of the way in are done",
     [](const Words& w) { return of_number(w, [](double f) -> Command { return cmd::TakeOff{f}; }); }},
    {"isolate", 1, 2, "none, or one circuit or two",
     [](const Words& w) -> Parsed {
         if (w.size() == 2 && w[1] == "none") return cmd::Isolate{};
         return cmd::Isolate{{w.begin() + 1, w.end()}};
     }},
    {"turntable", 1, 1, "on or off",
     [](const Words& w) { return of_switch(w, [](bool on) -> Command { return cmd::SetTurntable{on}; }); }},
    {"ride", 0, 0, "", [](const Words&) -> Parsed { return cmd::Ride{}; }},
    {"stay", 0, 0, "", [](const Words&) -> Parsed { return cmd::Stay{}; }},
    {"dimensions", 1, 1, "on or off",
     [](const Words& w) { return of_switch(w, [](bool on) -> Command { return cmd::SetDimensions{on}; }); }},
    {"orbit", 2, 2, "DEGREES DEGREES",
     [](const Words& w) { return of_two_numbers(w, [](double a, double b) -> Command {
                              return cmd::Orbit{a, b};
                          }); }},
    {"pan", 2, 2, "MM MM",
     [](const Words& w) { return of_two_numbers(w, [](double a, double b) -> Command {
                              return cmd::Pan{a, b};
                          }); }},
    {"zoom", 1, 1, "FACTOR",
     [](const Words& w) { return of_number(w, [](double f) -> Command { return cmd::Zoom{f}; }); }},
    {"focus", 1, 2, "none, or part, seal, circuit or port with its id",
     [](const Words& w) {
         return of_subject(w, [](model::Subject s) -> Command { return cmd::Focus{std::move(s)}; });
     }},
    {"select", 1, 2, "none, or part, seal, circuit or port with its id",
     [](const Words& w) {
         return of_subject(w, [](model::Subject s) -> Command { return cmd::Select{std::move(s)}; });
     }},
    {"show-suspect", 1, 1, "SEAL", [](const Words& w) -> Parsed { return cmd::ShowSuspect{w[1]}; }},
    {"set-theme", 1, 1, "light or dark",
     [](const Words& w) { return of_word<Theme>(w[1], [](Theme v) -> Command { return cmd::SetTheme{v}; }); }},
    {"set-units", 1, 1, "psi-inch or bar-mm",
     [](const Words& w) {
         return of_word<UnitSystem>(w[1], [](UnitSystem v) -> Command { return cmd::SetUnits{v}; });
     }},
    {"set-language", 1, 1, "CODE", [](const Words& w) -> Parsed { return cmd::SetLanguage{w[1]}; }},
    {"set-text-scale", 1, 1, "1 to 2.5",
     [](const Words& w) { return of_number(w, [](double f) -> Command { return cmd::SetTextScale{f}; }); }},
    {"set-reduced-motion", 1, 1, "on or off",
     [](const Words& w) -> Parsed {
         if (w[1] != "on" && w[1] != "off") return {};
         return cmd::SetReducedMotion{w[1] == "on"};
     }},
    {"undo", 0, 0, "", [](const Words&) -> Parsed { return cmd::Undo{}; }},
    {"redo", 0, 0, "", [](const Words&) -> Parsed { return cmd::Redo{}; }},
}};
static_assert(forms.size() == std::variant_size_v<Command>);

} // namespace

std::string to_text(const Command& command) { return std::visit(Writer{}, command); }

std::optional<Command> parse_command(std::string_view line, std::string& why) {
    Words words;
    if (!split(line, words)) {
        why = "a quotation mark stays open: close it with \"";
        return {};
    }
    if (words.empty()) {
        why = "the line is empty: write a command, for example air-into P3";
        return {};
    }
    for (const Form& form : forms) {
        if (words[0] != form.name) continue;
        const std::size_t given = words.size() - 1;
        if (given >= form.fewest && given <= form.most) {
            if (auto made = form.make(words)) return made;
        }
        why = form.most == 0 ? fmt::format("{} takes nothing after it", form.name)
                             : fmt::format("after {} comes {}", form.name, form.arguments);
        return {};
    }
    std::vector<std::string> known;
    for (const Form& form : forms)
        known.emplace_back(form.name);
    const std::string near = model::nearest_word(words[0], known);
    why = near.empty() ? fmt::format("no command is called {}: the commands are {}", words[0], fmt::join(known, ", "))
                       : fmt::format("no command is called {}: {} may be meant", words[0], near);
    return {};
}

} // namespace ringland::viewer
