// Looks over the text of a map or bench file before it is parsed: is it text at all, and is it nested no deeper than a
// parser can stand?
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "fault.h"
#include "map_io.h"
#include "texts.h"

namespace ringland::model {

/// True when the bytes are UTF-8 as RFC 3629 has it.
[[nodiscard]] bool is_utf8(std::string_view bytes);

/// A kind of file, as complaints about it say; texts that are marked for the catalogues.
struct FileKind {
    std::string_view a;       ///< with its article
    std::string_view begin;   ///< how it begins
    std::size_t most_bytes{}; ///< beyond which it is refused unread
    std::string_view one = a; ///< how one is asked for
};
inline constexpr FileKind map_file{marked("a map"), marked("[unit] and its name"), limits::file_bytes,
                                   marked("a map file")};
inline constexpr FileKind bench_file{marked("a bench"), "[bench]", 1u << 16, marked("a bench file")};

/// The first reason why this cannot be a file of that kind, or nothing. Runs in one pass and needs no memory.
[[nodiscard]] std::optional<Fault> guard_text(std::string_view text, const std::string& file, const FileKind& kind);

} // namespace ringland::model
