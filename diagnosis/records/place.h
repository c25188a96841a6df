// Where records are kept, in words that may be shown: never with a password. Private to the records.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "../../model-data/phrase.h"

namespace ringland::diagnosis::records {

[[nodiscard]] bool is_server(std::string_view where);

/// The place without its password. A connection string that cannot be read is shown only as far as its scheme.
[[nodiscard]] std::string shown(std::string_view where);

/// A text of somebody else's (the server's, the driver's) without the password of this place, and on one line.
[[nodiscard]] std::string scrubbed(std::string text, std::string_view where);

/// The connection string with a limit on how long a dead server is waited for, where it names none.
[[nodiscard]] std::string with_limits(std::string_view where);

/// What is wrong with a connection string, without repeating it; empty where nothing is.
[[nodiscard]] model::Phrase complaint_about(std::string_view where);

/// `ringland` in XDG_DATA_HOME, or in .local/share of the home folder; empty where there is no such place.
[[nodiscard]] std::filesystem::path data_folder();

/// The file that keeps changes while the server of this place is away.
[[nodiscard]] std::filesystem::path queue_file(std::string_view where);

} // namespace ringland::diagnosis::records
