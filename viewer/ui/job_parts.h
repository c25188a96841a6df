// Parts of the job's sheet.
#pragma once

#include <string>

#include "panels.h"

namespace ringland::viewer {

/// A field of the job's head with its name above it.
void head_field(PanelContext& c, class Writer& out, job_edit::Field field, std::string_view title,
                const std::string& text, int least_lines);
/// "4 May 2031, 09:30": a job's time in the time of this place; as it stands where it is none.
[[nodiscard]] std::string local_time(const Translator& tr, const std::string& utc);

/// A disc with a tick: over, or as it should be.
void draw_tick(const Widgets& w, const ImVec2& middle, float radius);

/// The two tests of the job beside each other, where it has come so far: is the fault gone, what was heard before and
/// now at every place that tells something, which suspects are cleared.
void write_retest(PanelContext& c, Writer& out);
/// The button that begins a retest and shows its air check.
void write_begin_retest(PanelContext& c, Writer& out, ButtonStyle style);
/// What the leak does on the road, what comes off for it and what is renewed with it; nothing without a suspect.
void write_ahead(PanelContext& c, Writer& out);
/// What was found at the seals: those suspected or looked at, and any other.
void write_findings(PanelContext& c, Writer& out);
/// The clearances of the map, each with its limits, the figure that was measured, and what that means.
void write_measurements(PanelContext& c, Writer& out);
/// What was renewed, and what the findings ask to be.
void write_renewed(PanelContext& c, Writer& out);

} // namespace ringland::viewer
