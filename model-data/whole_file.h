// Files that are complete or absent: written beside their place under another name, then moved there in one step.
#pragma once

#include <cstddef>
#include <filesystem>
#include <string>

namespace ringland::model {

/// Writes the bytes to the file, replacing what was there only once all of it is on the disk. Error text, empty on
/// success.
[[nodiscard]] std::string write_whole_file(const std::filesystem::path& file, const void* bytes, std::size_t size);

} // namespace ringland::model
