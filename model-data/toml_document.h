// A file of ours as a TOML document: looked over, read, parsed; the first thing that stops it is the fault.
//
// Private to model-data, like field_reader.h.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

#include "fault.h"
#include "toml_guard.h"
#include "toml_library.h"

namespace ringland::model {

/// The text of a file. A missing, unreadable or oversized file, a folder or a pipe is the fault.
[[nodiscard]] std::optional<Fault> read_file_text(const std::filesystem::path& path, const FileKind& kind,
                                                  std::string& text);

/// The text as a document, or why it is none. `file` is what the fault calls it.
[[nodiscard]] std::optional<Fault> parse_document(std::string_view text, const std::string& file, const FileKind& kind,
                                                  toml::table& root);

} // namespace ringland::model
