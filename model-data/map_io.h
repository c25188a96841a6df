// Unit maps as TOML files: reading with every fault named, and writing.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "fault.h"
#include "unit_map.h"

namespace ringland::model {

/// Limits that no honest map comes near. Beyond them a file is refused before it can cost time or memory.
namespace limits {
inline constexpr std::size_t file_bytes = 4u << 20;
inline constexpr std::size_t things_per_list = 2000;
inline constexpr std::size_t circuits_per_stack = 64;
inline constexpr std::size_t text_bytes = 4000;
inline constexpr double length_mm = 20000.0;
inline constexpr int shaft_lines = 20;
} // namespace limits

/// A map where there was no error, and every fault found either way. A map with warnings is a good map.
struct ReadResult {
    std::optional<UnitMap> map;
    std::vector<Fault> faults;
};

/// Reads, completes and validates a map file. Never throws for what a file holds; a missing, unreadable, empty, binary
/// or oversized file is a fault like any other.
[[nodiscard]] ReadResult read_map(const std::filesystem::path& path);

/// The same for text in memory; `file` is what faults call it.
[[nodiscard]] ReadResult read_map_text(std::string_view toml, std::string file);

/// Every fault of the map as a whole: references, counts, ids, ranges of figures. read_map has done this already.
[[nodiscard]] std::vector<Fault> validate(const UnitMap& map, const std::string& file);

/// The map as TOML in full: what was implied (ring ids, circuits named only in a row) stands explicit. Reading it gives
/// an equal map.
[[nodiscard]] std::string write_map_text(const UnitMap& map);

/// The JSON Schema (draft 2020-12) of the file format as text, made from the same tables as the reader.
[[nodiscard]] std::string map_schema_text();

/// The known word nearest to a mistyped one by edit distance, or empty where none is near.
[[nodiscard]] std::string nearest_word(std::string_view typed, const std::vector<std::string>& known);

} // namespace ringland::model
