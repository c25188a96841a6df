#include "actions.h"

#include <algorithm>
#include <array>
#include <cassert>

#include "outlook.h"

namespace ringland::viewer {

namespace {

namespace cmd = command;
using diagnosis::airflow::Heard;
using model::marked;
using Made = std::optional<Command>;

constexpr double key_turn_deg = 10, key_pan_share = 0.06, key_zoom = 0.85, text_step = 0.25, apart_step = 0.25;

Made nothing(const Workbench&) { return {}; }

Made swap(const Workbench& b) {
    const Document& d = b.session().document;
    if (d.air_into.empty() || d.came_out.empty()) return {};
    return cmd::SwapDirection{};
}
Made clear(const Workbench& b) {
    const Document& d = b.session().document;
    if (d.air_into.empty() && d.came_out.empty() && b.session().view.alone.empty()) return {};
    return cmd::ClearPorts{};
}
template <Heard word> Made saw(const Workbench& b) {
    const Document& d = b.session().document;
    if (d.air_into.empty() || d.came_out.empty()) return {};
    model::Seen seen;
    seen.word = word;
    return seen_word(d) == word ? cmd::Saw{d.came_out, std::nullopt} : cmd::Saw{d.came_out, seen};
}
Made back(const Workbench& b) {
    const Session& s = b.session();
    if (!s.view.alone.empty()) return cmd::Isolate{};
    if (s.view.selected.kind != model::SubjectKind::none) return cmd::Select{};
    if (!s.document.came_out.empty()) return cmd::CameOut{};
    if (!s.document.air_into.empty()) return cmd::AirInto{};
    return {};
}
Made undo(const Workbench& b) { return b.undo_name() ? Made(cmd::Undo{}) : Made(); }
Made redo(const Workbench& b) { return b.redo_name() ? Made(cmd::Redo{}) : Made(); }

template <Viewpoint viewpoint> Made show(const Workbench& b) {
    if (viewpoint == Viewpoint::follow && !b.derived().air) return {};
    return cmd::ShowView{viewpoint};
}
/// The sheet, or back to the drawing where it is shown already.
template <Sheet sheet> Made show_sheet(const Workbench& b) {
    return cmd::ShowSheet{b.session().view.sheet == sheet ? Sheet::drawing : sheet};
}
Made frame_again(const Workbench& b) { return cmd::ShowView{b.session().view.viewpoint}; }
Made cut(const Workbench& b) {
    if (b.session().view.sheet != Sheet::drawing) return {};
    return cmd::SetSection{!b.session().view.section};
}
Made lie_next(const Workbench& b) {
    const auto count = model::words_of<model::Lying>().size();
    return cmd::SetLying{static_cast<model::Lying>((static_cast<std::size_t>(b.session().view.lying) + 1) % count)};
}

template <int step> Made take_apart(const Workbench& b) {
    const double now = b.session().view.apart;
    const double next = std::clamp(now + step * apart_step, 0.0, 1.0);
    return next == now ? Made() : Made(cmd::Explode{next});
}
/// The next step of the way in, or the last one back.
template <int step> Made take_off(const Workbench& b) {
    const double next = b.session().view.taking.to + step;
    if (next == 1 && step > 0) return asked_for(b.session(), b.derived()).seals.empty() ? Made() : cmd::TakeOff{1};
    if (next < 0 || next > b.derived().way_in.steps()) return {};
    return cmd::TakeOff{next};
}
/// The circuits of what is selected, of the seal that is shown, or of the question; or everything again.
Made show_alone(const Workbench& b) {
    if (!b.session().view.alone.empty()) return cmd::Isolate{};
    auto circuits = circuits_of(b.session(), b.derived());
    return circuits.empty() ? Made() : Made(cmd::Isolate{std::move(circuits)});
}
Made turntable(const Workbench& b) { return cmd::SetTurntable{b.session().view.flight.turn_deg_per_s == 0}; }
Made ride(const Workbench& b) { return b.derived().air ? Made(cmd::Ride{}) : Made(); }
Made dimensions(const Workbench& b) { return cmd::SetDimensions{!b.session().view.dimensions}; }

template <int step> Made suspect(const Workbench& b) {
    const auto& answer = b.derived().answer;
    if (!answer || answer->seals.size() < 2) return {};
    const auto count = static_cast<int>(answer->seals.size());
    int at = 0;
    while (at < count && answer->seals[static_cast<std::size_t>(at)].seal != b.derived().suspect)
        ++at;
    return cmd::ShowSuspect{answer->seals[static_cast<std::size_t>((at + step + count) % count)].seal};
}

/// The next thing of a list after the selected one, round and round.
template <class Thing> Made select_next(const Workbench& b, const std::vector<Thing>& list, model::SubjectKind kind,
                                        bool (*wanted)(const Thing&)) {
    const model::Subject& selected = b.session().view.selected;
    const Thing* first = nullptr;
    bool passed = false;
    for (const Thing& thing : list) {
        if (!wanted(thing)) continue;
        if (passed) return cmd::Select{{kind, thing.id}};
        if (!first) first = &thing;
        passed = selected.kind == kind && selected.id == thing.id;
    }
    if (!first) return {};
    return cmd::Select{{kind, first->id}};
}
Made next_seal(const Workbench& b) {
    return select_next<model::Seal>(b, b.session().document.map.seals, model::SubjectKind::seal,
                                    [](const model::Seal&) { return true; });
}
Made next_circuit(const Workbench& b) {
    return select_next<model::Circuit>(b, b.session().document.map.circuits, model::SubjectKind::circuit,
                                       [](const model::Circuit& c) { return c.kind != model::CircuitKind::sump; });
}
Made next_part(const Workbench& b) {
    return select_next<model::Part>(b, b.session().document.map.parts, model::SubjectKind::part,
                                    [](const model::Part&) { return true; });
}
Made focus(const Workbench& b) {
    const model::Subject& selected = b.session().view.selected;
    if (selected.kind != model::SubjectKind::none) return cmd::Focus{selected};
    if (!b.derived().suspect.empty()) return cmd::Focus{{model::SubjectKind::seal, b.derived().suspect}};
    return {};
}

template <int azimuth, int elevation> Made turn_by(const Workbench&) {
    return cmd::Orbit{azimuth * key_turn_deg, elevation * key_turn_deg};
}
template <int right, int up> Made pan(const Workbench& b) {
    const double step = key_pan_share * b.session().view.flight.to.distance;
    return cmd::Pan{right * step, up * step};
}
Made nearer(const Workbench&) { return cmd::Zoom{key_zoom}; }
Made farther(const Workbench&) { return cmd::Zoom{1 / key_zoom}; }

/// The next language that the program carries.
Made language(const Workbench& b) {
    const auto codes = language_codes();
    const auto now = std::find(codes.begin(), codes.end(), b.session().view.language);
    if (codes.size() < 2 || now == codes.end()) return {};
    return cmd::SetLanguage{now + 1 == codes.end() ? codes.front() : *(now + 1)};
}
Made theme(const Workbench& b) {
    return cmd::SetTheme{b.session().view.theme == Theme::light ? Theme::dark : Theme::light};
}
Made units(const Workbench& b) {
    return cmd::SetUnits{b.session().view.units == UnitSystem::psi_inch ? UnitSystem::bar_mm : UnitSystem::psi_inch};
}
Made less_motion(const Workbench& b) { return cmd::SetReducedMotion{!b.session().view.reduced_motion}; }
template <int step> Made text(const Workbench& b) {
    const double now = b.session().view.text_scale;
    const double next = std::clamp(now + step * text_step, least_text_scale, most_text_scale);
    return next == now ? Made() : Made(cmd::SetTextScale{next});
}

constexpr auto all_actions = std::to_array<Action>({
    {"next-port", marked("Go to the next port of the list"), "Tab", nothing, InterfaceAct::next_port},
    {"previous-port", marked("Go to the port before"), "Shift+Tab", nothing, InterfaceAct::previous_port},
    {"press", marked("Press what is framed, or take the port number typed"), "Enter", nothing, InterfaceAct::press},
    {"press-too", marked("Press what is framed"), "Space", nothing, InterfaceAct::press},
    {"erase-digit", marked("Take back a digit of the port number"), "Backspace", nothing, InterfaceAct::erase_digit},
    {"next-control", marked("Go to the next button of the window"), "Ctrl+Tab", nothing, InterfaceAct::next_control},
    {"previous-control", marked("Go to the button before"), "Ctrl+Shift+Tab", nothing, InterfaceAct::previous_control},
    {"swap", marked("Swap direction"), "S", swap},
    {"saw-nothing", marked("Nothing came out there"), "F2", saw<Heard::nothing>},
    {"saw-faint", marked("Faint: a breath came out there"), "F3", saw<Heard::faint>},
    {"saw-clear", marked("Clear: it came out there plainly"), "F4", saw<Heard::clear>},
    {"saw-strong", marked("Strong: it blew out there"), "F5", saw<Heard::strong>},
    {"back", marked("One step back: what is selected, where it came out, where the air went in"), "Escape", back},
    {"clear", marked("Clear"), "C", clear},
    {"undo", marked("Undo"), "Ctrl+Z", undo},
    {"redo", marked("Redo"), "Ctrl+Y", redo},
    {"next-suspect", marked("Show the next suspect"), "N", suspect<1>},
    {"previous-suspect", marked("Show the suspect before"), "Shift+N", suspect<-1>},
    {"bench", marked("Bench"), "B", show<Viewpoint::bench>},
    {"section", marked("Section"), "X", show<Viewpoint::section>},
    {"stack", marked("Stack"), "K", show<Viewpoint::stack>},
    {"follow", marked("Follow the air"), "F", show<Viewpoint::follow>},
    {"frame", marked("Back to the whole of this view"), "Home", frame_again},
    {"ride", marked("Ride along with the air"), "G", ride},
    {"turntable", marked("Turn round slowly, until anything is touched"), "V", turntable},
    {"apart", marked("Take apart, a quarter more"), "D", take_apart<1>},
    {"together", marked("Put together, a quarter"), "Shift+D", take_apart<-1>},
    {"alone", marked("Show these circuits alone, or everything again"), "H", show_alone},
    {"dimensions", marked("Dimensions of the ring"), "Y", dimensions},
    {"cut", marked("Cut open"), "O", cut},
    {"air-check", marked("The air check: what came out where, suspects, next step"), "Q", show_sheet<Sheet::check>},
    {"chart", marked("What a healthy unit shows, every port into every other"), "E", show_sheet<Sheet::chart>},
    {"network", marked("Pressures and flows as a network"), "W", show_sheet<Sheet::network>},
    {"air-bench", marked("The shop's air, what is called faint, and leak-down"), "A", show_sheet<Sheet::bench>},
    {"road", marked("On the road: what the leak does with hot oil, and what the driver feels"), "F6",
     show_sheet<Sheet::road>},
    {"plan", marked("The way in: what comes off, what is renewed, the way back"), "F7", show_sheet<Sheet::plan>},
    {"next-off", marked("Take off the next part of the way in"), "F8", take_off<1>},
    {"last-on", marked("Put the last part of the way in back on"), "Shift+F8", take_off<-1>},
    {"job", marked("The job: complaint, findings, measurements, parts, retest"), "J", show_sheet<Sheet::job>},
    {"records", marked("The jobs of the shop: find one, and what fails on which unit"), "Ctrl+J",
     show_sheet<Sheet::records>},
    {"lie-next", marked("How is it lying now? The next way"), "L", lie_next},
    {"next-seal", marked("Select the next ring or other seal"), "R", next_seal},
    {"next-circuit", marked("Select the next circuit"), "I", next_circuit},
    {"next-part", marked("Select the next part"), "P", next_part},
    {"focus", marked("Close-up of what is selected"), "Z", focus},
    {"turn-left", marked("Turn to the left"), "Left", turn_by<-1, 0>},
    {"turn-right", marked("Turn to the right"), "Right", turn_by<1, 0>},
    {"turn-up", marked("Look from higher"), "Up", turn_by<0, 1>},
    {"turn-down", marked("Look from lower"), "Down", turn_by<0, -1>},
    {"pan-left", marked("Move to the left"), "Shift+Left", pan<-1, 0>},
    {"pan-right", marked("Move to the right"), "Shift+Right", pan<1, 0>},
    {"pan-up", marked("Move up"), "Shift+Up", pan<0, 1>},
    {"pan-down", marked("Move down"), "Shift+Down", pan<0, -1>},
    {"nearer", marked("Nearer"), "Page up", nearer},
    {"farther", marked("Farther"), "Page down", farther},
    {"units", marked("Units: psi and inches, or bar and millimetres"), "U", units},
    {"theme", marked("Light or dark"), "T", theme},
    {"language", marked("Language: the next one"), "Ctrl+L", language},
    {"save-picture", marked("Save a picture of the drawing, 1920x1080"), "Ctrl+P", nothing, InterfaceAct::save_picture},
    {"save-large-picture", marked("Save a large picture of the drawing, 3840x2160"), "Ctrl+Shift+P", nothing,
     InterfaceAct::save_large_picture},
    {"customer-page", marked("Customer's page of the job ..."), "Ctrl+H", nothing, InterfaceAct::customer_page},
    {"text-larger", marked("Larger text"), "+", text<1>},
    {"text-smaller", marked("Smaller text"), "-", text<-1>},
    {"less-motion", marked("Less motion: views change at once and the air stands still"), "Shift+M", less_motion},
    {"search", marked("Find what to do by typing it"), "Ctrl+K", nothing, InterfaceAct::search},
    {"search-too", marked("Find what to do"), "/", nothing, InterfaceAct::search},
    {"menu", marked("More: what the bar has no room for"), "M", nothing, InterfaceAct::menu},
    {"tour", marked("The tour of one minute"), "Shift+F1", nothing, InterfaceAct::tour},
    {"help", marked("All keys"), "F1", nothing, InterfaceAct::help},
});

} // namespace

std::span<const Action> actions() { return all_actions; }

const Action& action(std::string_view id) {
    const auto found =
        std::find_if(all_actions.begin(), all_actions.end(), [&](const Action& a) { return a.id == id; });
    assert(found != all_actions.end());
    return *found;
}

const Action* action_of_key(std::string_view key) {
    const auto found =
        std::find_if(all_actions.begin(), all_actions.end(), [&](const Action& a) { return a.key == key; });
    return found == all_actions.end() ? nullptr : &*found;
}

} // namespace ringland::viewer
