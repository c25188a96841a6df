// What the commands about air do once their words are understood: expect, air, leak-down, calibrate.
#pragma once

#include <string>
#include <vector>

#include "answers.h"

namespace ringland::viewer {

/// What `expect` and `air` have in common. Figures are as typed: "35psi", "3mm".
struct AirOptions {
    std::string map, into, pressure, bench;
    std::vector<std::string> seals, holes; ///< a hole for each seal, in order
    bool json = false;
};

struct AirCaseOptions : AirOptions {
    std::vector<std::string> plugged, towels;
    double seconds = 3;
};

struct LeakDownOptions {
    std::string supply, orifice, reading, leak, bench;
    bool ideal = false;
    bool json = false;
};

struct CalibrateOptions {
    std::string pressure, bench, file;
    std::vector<std::string> trials; ///< "1mm=faint"
    bool replace = false;
    bool json = false;
};

[[nodiscard]] Exit run_expect(const AirOptions& options);
[[nodiscard]] Exit run_air(const AirCaseOptions& options);
[[nodiscard]] Exit run_leak_down(const LeakDownOptions& options);
[[nodiscard]] Exit run_calibrate(const CalibrateOptions& options);

} // namespace ringland::viewer
