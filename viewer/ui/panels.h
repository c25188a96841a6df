// The panels of the window. Each reads the workbench, draws itself at a place, and adds the commands that were asked
// for.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "../app/commands.h"
#include "widgets.h"

namespace ringland::viewer {

/// What lasts only while the window is open: which menu is down, what is being typed.
struct Transient {
    bool help_open = false;
    bool lying_open = false;
    std::string typed;               ///< digits of a port number
    std::string notice;              ///< a refusal, in words
    std::string gauge_at;            ///< port whose gauge is being set in the air check
    std::optional<int> save_picture; ///< one is to be saved, of that height
    bool chart_gauges = false;       ///< the chart's figures are gauges that close the port, not flows
    /// Words for the drilled holes of the calibration, by their place in the list; what was not tried has none.
    std::map<int, diagnosis::airflow::Heard> trials;
    double leak_supply_pa = 0, leak_reading_pa = 0, orifice_mm = 1; ///< leak-down; 0: not set yet
};

/// Heights of the pictures that the window saves, pixels; they are 16:9.
inline constexpr int picture_height = 1080, large_picture_height = 2160;

struct PanelContext {
    Widgets& w;
    const Workbench& bench;
    std::vector<Command>& commands;
    Transient& transient;

    [[nodiscard]] const Session& session() const { return bench.session(); }
    [[nodiscard]] const model::UnitMap& map() const { return bench.session().document.map; }
    [[nodiscard]] const Derived& derived() const { return bench.derived(); }
    /// A button for an action: its title, its key as tooltip, off where it has no sense now.
    bool action_button(std::string_view id, const ImVec2& at, const ImVec2& extent, ButtonStyle style,
                       std::string_view caption = {});
    [[nodiscard]] ImVec4 circuit_ground(std::string_view circuit) const;
};

/// Height that the bar needs at a width.
[[nodiscard]] float bar_height(const PanelContext& c, float width);
void draw_bar(PanelContext& c, const ImVec2& at, const ImVec2& extent);
/// The open menu and the list of keys, over everything else.
void draw_menus(PanelContext& c, const ImVec2& drawing_at, const ImVec2& drawing_extent);

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
void draw_chance(const Widgets& w, const ImVec2& at, float width, double probability, const ImVec4& ink);
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

/// The ports as large buttons in rows; returns the height.
float draw_ports(PanelContext& c, const ImVec2& at, float width);

[[nodiscard]] float strip_height(const PanelContext& c, float width, float window_height);
void draw_strip(PanelContext& c, const ImVec2& at, const ImVec2& extent);

/// Where the panels and the drawing go in a window.
struct WindowPlan {
    float bar = 0, strip = 0;
    Viewport drawing;
    ImVec2 column_at, column_extent;
};
[[nodiscard]] WindowPlan plan_window(const PanelContext& c, float width, float height);

/// The small outline of a unit as it lies, the engine end marked by a heavy bar.
void draw_lying_mark(const Widgets& w, const ImVec2& at, const ImVec2& extent, model::Lying lying, const ImVec4& ink);
/// A swatch in the colour of a circuit with its tag on it, striped where the palette has come round.
void draw_swatch(const PanelContext& c, const ImVec2& at, const ImVec2& extent, const std::string& circuit,
                 ImFont* font, const std::string& words);

} // namespace ringland::viewer
