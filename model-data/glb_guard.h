// A .glb file read with distrust, before the glTF library sees it.
//
// The library trusts more than an unknown file deserves: it follows nested values by recursion and would open other
// files. So the frame of the file is checked first, and only the tables that shapes need are handed on.
#pragma once

#include <filesystem>
#include <string>

#include "phrase.h"

namespace ringland::model {

/// Limits of a .glb file.
namespace limits {
inline constexpr std::size_t glb_bytes = 64u << 20;
inline constexpr std::size_t glb_json_bytes = 8u << 20;
inline constexpr int glb_json_depth = 32;
} // namespace limits

/// The file as a .glb of nodes, meshes and buffers alone; `why` says what is wrong with it otherwise.
[[nodiscard]] std::string read_guarded_glb(const std::filesystem::path& file, Phrase& why);

} // namespace ringland::model
