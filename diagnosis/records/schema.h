// The tables of the records, version by version. Private to the records.
//
// What was entered stands in `change` and `change_entry` (append-only) and, as it stands now, in `entry`; maps stand
// once each in `unit_map`. All other tables are made from these and can be made anew at any time.
#pragma once

#include <string>
#include <vector>

namespace ringland::diagnosis::records {

inline constexpr int schema_version = 2;
/// Marks a SQLite file as ours: "Ring".
inline constexpr int application_id = 0x52696e67;

/// The few words in which the two databases differ.
struct Dialect {
    bool server = false;
    /// A table's definition in the words of this database.
    [[nodiscard]] std::string in_words(std::string sql) const;
};

/// The statements that lead from one version to the next.
[[nodiscard]] std::vector<std::string> steps_to(int version);

} // namespace ringland::diagnosis::records
