// Commands: the only way to change a session. Panels, keys, the command line, replayed sessions and tests all use
// these.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "../../diagnosis/records/records.h"
#include "derived.h"
#include "job_edit.h"
#include "session.h"
#include "texts.h"

namespace ringland::model {
struct Stock;
}
namespace ringland::diagnosis::plan {
struct Teardown;
}

namespace ringland::viewer {

struct Outlook; // outlook.h

namespace command {
// Document: undoable.
struct OpenMap {
    std::string path;
}; ///< replaces the document's map; the answer is cleared
struct AirInto {
    std::string port;
}; ///< this port gets the air; empty: none does
struct CameOut {
    std::string port;
}; ///< here it came out; empty: not seen yet
/// What came out at a port with the air where it is now, or at the open case; nothing: not tested. It goes into the
/// current reading, which begins with it.
struct Saw {
    std::string at;
    std::optional<model::Seen> seen; ///< its own `at` is not looked at
};
/// A port is closed by hand or plug in the current reading.
struct PlugPort {
    std::string port;
    bool on;
};
/// How the element of the port under air felt.
struct Felt {
    std::optional<model::Applied> applied;
};
/// A reading is set up: its air is put on, nothing is seen yet.
struct BeginReading {
    model::Reading reading;
};
/// A reading is taken out of the air check, counted from 1.
struct DropReading {
    int number;
};
/// What was found at a seal; nothing: it was not looked at.
struct LookedAt {
    std::string seal;
    std::optional<model::Found> found;
};
/// What the driver felt in a range, or that it does not show there; it takes the place of what was said of the same
/// symptom in the same range. Off: he was not asked.
struct Complained {
    model::Complaint complaint;
    bool on = true;
};
/// At the regulator; nothing: the usual one. While a slider is held its steps are not settled, and all of them are one
/// step to undo.
struct SetSupply {
    std::optional<model::GaugePressure> pressure;
    bool settled = true;
};
struct SetAirBench {
    model::AirBench bench;
};
/// The job's own entries.
struct EditJob {
    JobEdit edit;
};
struct SwapDirection {};
struct ClearPorts {};
// View: not undoable.
/// Shows a view as a hand left it; shown already, or never turned by a hand, it frames its subject anew.
struct ShowView {
    Viewpoint viewpoint;
};
struct SetSection {
    bool on;
};
struct SetLying {
    model::Lying lying;
};
/// Takes the unit apart along its axis: 0 together, 1 all free.
struct Explode {
    double apart;
};
/// So many steps of the way in are done: the parts come off one after the other, 0 puts all together again.
struct TakeOff {
    double steps;
};
/// Shows one circuit or two alone; none: everything again.
struct Isolate {
    std::vector<std::string> circuits;
};
/// The unit goes round slowly, until a hand touches anything.
struct SetTurntable {
    bool on;
};
/// Rides along the way of the air, from the port to the seal and out again.
struct Ride {};
/// Any move of the camera ends where it is.
struct Stay {};
/// Figures with arrows at the ring that is shown.
struct SetDimensions {
    bool on;
};
struct Orbit {
    double azimuth_deg, elevation_deg;
};
struct Pan {
    double right_mm, up_mm;
};
struct Zoom {
    double factor;
}; ///< below 1: nearer
struct Focus {
    model::Subject subject;
};
struct Select {
    model::Subject subject;
};
struct ShowSuspect {
    std::string seal;
}; ///< one of the dividing seals
/// The hole that is imagined in the shown seal, mm.
struct WhatIf {
    double hole_mm;
};
struct ShowSheet {
    Sheet sheet;
};
struct SetTheme {
    Theme theme;
};
struct SetUnits {
    UnitSystem units;
};
/// Of the window: "es".
struct SetLanguage {
    std::string language;
};
struct SetTextScale {
    double scale;
};
struct SetReducedMotion {
    bool on;
};
// The stack itself.
struct Undo {};
struct Redo {};
} // namespace command

using Command =
    std::variant<command::OpenMap, command::AirInto, command::CameOut, command::Saw, command::PlugPort, command::Felt,
                 command::BeginReading, command::DropReading, command::LookedAt, command::Complained,
                 command::SetSupply, command::SetAirBench, command::EditJob, command::SwapDirection,
                 command::ClearPorts, command::ShowView, command::SetSection, command::SetLying, command::Explode,
                 command::TakeOff, command::Isolate, command::SetTurntable, command::Ride, command::Stay,
                 command::SetDimensions, command::Orbit, command::Pan, command::Zoom, command::Focus, command::Select,
                 command::ShowSuspect, command::WhatIf, command::ShowSheet, command::SetTheme, command::SetUnits,
                 command::SetLanguage, command::SetTextScale, command::SetReducedMotion, command::Undo, command::Redo>;

/// Moves of the camera take this long, and at most this many steps can be taken back.
inline constexpr double flight_s = 0.6;
/// A part takes this long to come off.
inline constexpr double take_off_s = 0.9;
inline constexpr double turntable_deg_per_s = 9;
inline constexpr std::size_t most_undo_steps = 200;
inline constexpr double most_supply_pa = 10e5, most_hole_mm = 10;
inline constexpr double least_text_scale = 1, most_text_scale = 2.5;

/// The command as one line of text, `air-into P3`; parse_command reads it back.
[[nodiscard]] std::string to_text(const Command& command);
/// The command of a line, or nothing where it is none; `why` then says what would be right.
[[nodiscard]] std::optional<Command> parse_command(std::string_view line, std::string& why);

/// A session with its history and what follows from it; the one place where commands take effect.
class Workbench {
public:
    /// Opens a map; throws nothing: faults() says what is wrong, and an unusable file leaves the session as it was.
    bool open(const std::string& path, std::string& why);

    /// Opens a job: its own copy of the map, and its last air check. The session before can be had back by Undo. Empty,
    /// or why it cannot be.
    std::string open_job(const model::Job& job, double now_s);

    /// What somebody else made of the open job since both had `base`; it holds in every step of the history too, so
    /// that Undo takes back what was entered here only. True where it shows.
    bool take_over(const model::Job& base, const model::Job& theirs, double now_s);

    /// Carries a command out at a time. Returns an empty text, or why it was refused; a refused command changes
    /// nothing.
    std::string dispatch(const Command& command, double now_s);

    [[nodiscard]] const Session& session() const { return session_; }
    [[nodiscard]] const Derived& derived() const { return derived_; }
    /// In the language of the view.
    [[nodiscard]] const Translator& translator() const { return tr_; }
    [[nodiscard]] const std::vector<model::Fault>& faults() const { return faults_; }
    [[nodiscard]] std::optional<std::string> undo_name() const; ///< what Undo would take back, in words
    [[nodiscard]] std::optional<std::string> redo_name() const;
    /// The job that the last Undo took back altogether: its first entry was taken back. Empty: it did not.
    [[nodiscard]] const std::string& taken_back_job() const { return taken_back_job_; }
    [[nodiscard]] unsigned long revision() const { return revision_; } ///< grows with every change of anything
    void set_aspect(double aspect) { aspect_ = aspect; } ///< of the drawing, for views that frame a subject
    /// Works on what the shown sheet still lacks; false where nothing is left. Call it once a frame.
    bool work_on();
    /// Where air checks are weighed; by default where they are asked, without a thread.
    void use_desk(std::shared_ptr<WeighDesk> desk) { desk_ = std::move(desk); }
    [[nodiscard]] bool weighing() const { return desk_->working(); }
    /// Where the two tests of a job are held against each other and a full check is found; by default where they are
    /// asked, without a thread.
    void use_side_desks(std::shared_ptr<SideDesks> desks) { side_ = std::move(desks); }
    /// Whether the job has come so far that its two tests are held against each other.
    [[nodiscard]] bool compares_tests() const;
    /// The document's map with what this shop has found on it before.
    [[nodiscard]] std::shared_ptr<const model::UnitMap> weighed_map();
    /// The shop's bench, before the first map is opened.
    void set_bench(const model::AirBench& bench, const model::Priors& priors = {}) {
        session_.document.bench = bench;
        session_.document.priors = priors;
    }
    /// Speaks by this catalogue and not by that of the language.
    void use_translator(Translator tr);
    void set_room(const DrawingRoom& room) { session_.view.room = room; } ///< for views that frame a subject
    /// Where plan and road are worked out; by default where they are asked, without a thread.
    void use_outlook(std::shared_ptr<Outlook> outlook);
    /// What lies on the shop's shelf.
    void set_stock(const model::Stock& stock);
    /// What the shop has found on this unit before, this job left out: weighing starts from it.
    void set_shop(std::vector<diagnosis::records::SealStatistics> failures);
    [[nodiscard]] const std::vector<diagnosis::records::SealStatistics>& shop() const { return shop_; }

private:
    std::string change_ports(std::string air_into, std::string came_out, std::string name, double now_s);
    std::string change_document(Document after, std::string name, double now_s, bool merges);
    std::string step_through(bool back, double now_s);
    std::string open_map(const std::string& path, double now_s);
    void opened(Document before, std::string name, bool first, double now_s);
    std::string change_check(model::AirCheck check, std::string name, double now_s);
    std::string set_up(const model::Reading& reading, double now_s);
    void ask_desk();
    void forget_side_answers(const Document& before, bool other_map);
    bool work_beside();
    struct Ahead; ///< the outlook, and what it was asked last
    Ahead& ahead();
    void forget_outlook();
    bool look_ahead();
    void take_way_in(const diagnosis::plan::Teardown& teardown);
    void plan_way_in();
    void document_changed(const Document& before, double now_s);
    void fly_to_view(Viewpoint viewpoint, double now_s, double duration_s);
    void remember_view(double now_s);
    void forget_views();
    [[nodiscard]] std::string unknown(const model::Subject& subject) const;
    struct Carrier; ///< one overload for every command
    struct Step {
        std::string name;
        Document before, after;
        bool open = false;  ///< a slider that is still held: its next step belongs to this one
        bool opens = false; ///< another map or job was opened
    };
    Session session_;
    Derived derived_;
    Translator tr_; ///< of the view's language
    std::vector<model::Fault> faults_;
    std::vector<Step> done_, undone_;
    std::string taken_back_job_;
    unsigned long revision_ = 0;
    double aspect_ = 16.0 / 9.0;
    std::shared_ptr<WeighDesk> desk_ = std::make_shared<WeighDesk>();
    std::shared_ptr<const model::UnitMap> weighed_map_; ///< the map as the desk has it, with the shop's weights
    std::vector<diagnosis::records::SealStatistics> shop_;
    std::shared_ptr<Ahead> ahead_; ///< made when it is first wanted
    std::shared_ptr<SideDesks> side_ = std::make_shared<SideDesks>();
    bool retest_asked_ = false, full_check_asked_ = false; ///< of the document as it is
    std::shared_ptr<const FullCheck> full_check_ready_;    ///< waits until no reading is being made
    bool ports_in_use_ = false;                            ///< somebody has pressed one since map or job was opened
};

/// What a click on a port means now: first the air, then the place where it came out. The air stays where it is while
/// other ports are watched; a second click on a port takes it back.
[[nodiscard]] Command port_clicked(const Session& session, const std::string& port);

} // namespace ringland::viewer
