// The air bench of a shop: what its air is like, what its hose passes, what its ears call faint.
//
// One small TOML file, the same for every unit; a shop without one uses these defaults. None of them is published: they
// are common practice, no source, and each can be measured (docs/physics.md says how).
#pragma once

#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "fault.h"
#include "quantity.h"

namespace ringland::model {

struct AirBench {
    std::string name;
    std::string note;
    GaugePressure pressure = psi(35);         ///< at the regulator where the map names none
    double temperature_c = 20;                ///< of air and unit
    double altitude_m = 0;                    ///< sets the local pressure by the standard atmosphere
    std::optional<double> local_pressure_kpa; ///< absolute, from a barometer that is not reduced to sea level; wins
    /// Regulator, hose and nozzle together as one ISO 6358 part, dm³/(s bar): by default a common rubber-tipped nozzle.
    double hose_conductance = 1.0;
    double hose_critical_ratio = 0.35;
    double towel_share = 0.3; ///< of the flow that a towel over an open port lets through
    /// Least flow, normal litres a minute, that sounds faint, clear, strong.
    std::array<double, 3> heard_from_lpm{0.4, 6.0, 25.0};
    friend bool operator==(const AirBench&, const AirBench&) = default;
};

/// A bench where there was no error, and every fault found either way.
struct ReadBenchResult {
    std::optional<AirBench> bench;
    std::vector<Fault> faults;
};

/// Reads a bench file. Never throws for what a file holds.
[[nodiscard]] ReadBenchResult read_bench(const std::filesystem::path& path);
[[nodiscard]] ReadBenchResult read_bench_text(std::string_view toml, std::string file);

/// True where the file reads as a bench file and not as a unit map; what is wrong with it is for read_bench to say.
[[nodiscard]] bool holds_bench(const std::filesystem::path& path);

/// The bench as TOML, complete, with a comment on each figure. Reading it gives an equal bench.
[[nodiscard]] std::string write_bench_text(const AirBench& bench);

} // namespace ringland::model
