// Parts of the job's sheet.
#pragma once

#include <string>

#include "panels.h"

namespace ringland::viewer {

/// A field of the job's head with its name above it.
void head_field(PanelContext& c, class Writer& out, job_edit::Field field, std::string_view title,
                const std::string& text, int least_lines);
/// "4 May 2031, 09:30": a job's time in the time of this place; as it stands where it is none.
[[nodiscard]] std::string local_time(const std::string& utc);

/// What was found at the seals: those suspected or looked at, and any other.
void write_findings(PanelContext& c, Writer& out);
/// The clearances of the map, each with its limits, the figure that was measured, and what that means.
void write_measurements(PanelContext& c, Writer& out);
/// What was renewed, and what the findings ask to be.
void write_renewed(PanelContext& c, Writer& out);

} // namespace ringland::viewer
