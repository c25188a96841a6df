// The panels of the window. Each reads the workbench, draws itself at a place, and adds the commands that were asked
// for.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "../app/commands.h"
#include "../app/job_shelf.h"
#include "../app/tour.h"
#include "notices.h"
#include "widgets.h"

namespace ringland::viewer {

/// The button that has the customer's page made.
inline constexpr std::string_view make_page_label = model::marked("Make the customer's page");

/// The four words for what is heard, from nothing to the loudest.
inline constexpr std::array<model::Heard, 4> four_words{model::Heard::nothing, model::Heard::faint, model::Heard::clear,
                                                        model::Heard::strong};

/// What lasts only while the window is open: which menu is down, what is being typed.
struct Transient {
    bool help_open = false;
    model::Subject hover;   ///< what the pointer is on, in the drawing or in a panel
    model::Subject pointed; ///< in a panel, found while this frame is built
    bool lying_open = false;
    bool more_open = false;
    /// The field for what is to be done.
    struct Search {
        bool open = false;
        std::string typed;
        std::size_t at = 0;      ///< which of the found things is framed
        bool eat_letter = false; ///< the letter of the key that opened it is still to come
    } search;
    std::optional<Tour> tour;
    bool tour_ended = false;    ///< in this frame, by its end or by hand
    std::size_t tour_shown = 0; ///< step of the tour whose item was brought into sight, counted from 1
    Notices notices;
    std::string typed;               ///< digits of a port number
    std::string gauge_at;            ///< port whose gauge or time is being set in the air check
    bool look_again = false;         ///< what was drawn early in this frame is out of date: draw another
    std::string pointed_suspect;     ///< seal of the suspect under the pointer: what would it show?
    std::optional<int> save_picture; ///< one is to be saved, of that height
    bool chart_gauges = false;       ///< the chart's figures are gauges that close the port, not flows
    /// Words for the drilled holes of the calibration, by their place in the list; what was not tried has none.
    std::map<int, diagnosis::airflow::Heard> trials;
    std::string note_text, renewed_text;              ///< what is being written for the job and not added yet
    std::string complaint_range;                      ///< whose symptoms are asked about; a range of the map, or empty
    std::map<std::string, std::string> typed_figures; ///< by clearance: as it is being typed
    diagnosis::records::Search job_search;            ///< as it is being typed
    bool jobs_asked = false;                          ///< since the records were shown
    std::optional<diagnosis::records::Search> ask_jobs;
    std::optional<std::string> open_job; ///< id of a job that is wanted
    bool all_seals = false;              ///< the job's sheet lists every seal to choose from
    PageWish page;                       ///< how the customer's page is to be
    std::optional<bool> page_a4;         ///< paper as it was chosen; nothing: as the units ask for it
    std::optional<PageWish> make_page;   ///< it is wanted now
    bool print_plan = false;             ///< the plan is wanted on paper now
    model::ShopSign sign;                ///< at the head of the page, as it is being typed
    bool keep_sign = false;              ///< it has been changed and is to be kept
    double leak_supply_pa = 0, leak_reading_pa = 0, orifice_mm = 1; ///< leak-down; 0: not set yet
};

/// Heights of the pictures that the window saves, pixels; they are 16:9.
inline constexpr int picture_height = 1080, large_picture_height = 2160;

struct PanelContext {
    Widgets& w;
    const Workbench& bench;
    std::vector<Command>& commands;
    Transient& transient;
    const Translator& tr;             ///< of the language that the window speaks
    const ShelfPage* shelf = nullptr; ///< the newest answer of the records; nullptr before the first
    bool alone = false;               ///< a sheet has the whole width: no column stands beside it

    [[nodiscard]] const Session& session() const { return bench.session(); }
    [[nodiscard]] const model::UnitMap& map() const { return bench.session().document.map; }
    [[nodiscard]] const Derived& derived() const { return bench.derived(); }
    /// A button for an action: its title, its key as tooltip, off where it has no sense now.
    bool action_button(std::string_view id, const ImVec2& at, const ImVec2& extent, ButtonStyle style,
                       std::string_view caption = {});
    [[nodiscard]] ImVec4 circuit_ground(std::string_view circuit) const;
    /// Does what an action does: adds its command, or opens and closes what it opens.
    void act(const struct Action& what);
    [[nodiscard]] bool has_unit() const { return !map().circuits.empty(); }
};

/// One thing in the bar: what it is pressed for, and how wide it is.
struct BarItem {
    enum class Kind { unit, action, lying } kind;
    std::string id, label, caption;
    float width;
    bool chosen;
};
/// What of the bar there is room for at a width; the rest is in the menu.
struct BarPlan {
    std::vector<BarItem> shown, in_menu;
};
[[nodiscard]] BarPlan plan_bar(const PanelContext& c, float width);
[[nodiscard]] float bar_height(const PanelContext& c);
void draw_bar(PanelContext& c, const ImVec2& at, const ImVec2& extent);
/// The open menu, the list of keys and the search, over everything else; a press beside one closes it. The list of keys
/// keeps to the room given.
void draw_menus(PanelContext& c, const ImVec2& drawing_at, const ImVec2& drawing_extent);
void draw_search(PanelContext& c);
/// Opens or closes the search.
void turn_search(Transient& transient, bool open);
/// Does what is framed in the search.
void take_found(PanelContext& c);
/// Height of the band of the tour at a width; 0 without one.
[[nodiscard]] float tour_height(const PanelContext& c, float width);
/// The band of the tour, and the ring at what it speaks of.
void draw_tour(PanelContext& c, const ImVec2& at, const ImVec2& extent, const Viewport& drawing, double now_s);
/// Notices and the number of the port that is being typed, at the foot of the drawing; returns how tall they stand.
float draw_notices(PanelContext& c, const ImVec2& drawing_at, const ImVec2& drawing_extent, double now_s);

/// How the drawing is looked at.
void write_view_tools(PanelContext& c, class Writer& out);
void draw_column(PanelContext& c, const ImVec2& at, const ImVec2& extent);
/// How much came out, what a healthy unit shows there, and what a hole of a chosen size would show.
void write_air(PanelContext& c, class Writer& out);
/// The command that says a word at a port, or takes it back.
[[nodiscard]] Command saw(const std::string& at, std::optional<diagnosis::airflow::Heard> word);
/// Who is suspected after the readings so far, and what to do next.
void write_suspected(PanelContext& c, Writer& out, std::size_t most);
/// Readings so far as cards, the newest first.
void write_readings(PanelContext& c, Writer& out);
/// A bar and a percentage.
void draw_chance(const Translator& tr, const Widgets& w, const ImVec2& at, float width, double probability,
                 const ImVec4& ink);
void draw_air_check(PanelContext& c, const ImVec2& at, const ImVec2& extent);
/// The air of the whole case where only the port under air is known.
void write_air_in(PanelContext& c, Writer& out);
/// The mark of a word, the same everywhere: a dot, a ring, a half and a full disc.
void draw_heard_mark(const Widgets& w, const ImVec2& middle, float radius, diagnosis::airflow::Heard word,
                     const ImVec4& ink, const ImVec4& ground);
/// The sheets that stand in place of the drawing.
void draw_chart(PanelContext& c, const ImVec2& at, const ImVec2& extent);
void draw_network(PanelContext& c, const ImVec2& at, const ImVec2& extent);
void draw_air_bench(PanelContext& c, const ImVec2& at, const ImVec2& extent);
void draw_road(PanelContext& c, const ImVec2& at, const ImVec2& extent);
void draw_plan(PanelContext& c, const ImVec2& at, const ImVec2& extent);
void draw_job(PanelContext& c, const ImVec2& at, const ImVec2& extent);
void draw_records(PanelContext& c, const ImVec2& at, const ImVec2& extent);

/// The ports as large buttons in rows; returns the height.
float draw_ports(PanelContext& c, const ImVec2& at, float width);

[[nodiscard]] float strip_height(const PanelContext& c, float width, float window_height);
void draw_strip(PanelContext& c, const ImVec2& at, const ImVec2& extent);

/// Where the panels and the drawing go in a window.
struct WindowPlan {
    float bar = 0, strip = 0, tour = 0;
    Viewport drawing;
    ImVec2 column_at, column_extent; ///< no extent: a sheet has the whole width
};
[[nodiscard]] WindowPlan plan_window(const PanelContext& c, float width, float height);

/// The small outline of a unit as it lies, the engine end marked by a heavy bar.
void draw_lying_mark(const Widgets& w, const ImVec2& at, const ImVec2& extent, model::Lying lying, const ImVec4& ink);
/// Whether a circuit is the one that the pointer traces.
[[nodiscard]] bool on_trace(const PanelContext& c, const std::string& circuit);
/// A swatch in the colour of a circuit with its tag on it, striped where the palette has come round.
void draw_swatch(const PanelContext& c, const ImVec2& at, const ImVec2& extent, const std::string& circuit,
                 ImFont* font, const std::string& words);

} // namespace ringland::viewer
