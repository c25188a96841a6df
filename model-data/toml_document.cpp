#include "toml_document.h"

#include <fstream>
#include <system_error>

#include <fmt/format.h>

namespace ringland::model {

namespace {

namespace fs = std::filesystem;

Fault of_file(const std::string& file, std::string what, std::string right) {
    return {file, 0, 0, Severity::error, std::move(what), std::move(right)};
}

} // namespace

std::optional<Fault> read_file_text(const fs::path& path, const FileKind& kind, std::string& text) {
    const std::string file = path.string();
    std::error_code error;
    const auto status = fs::status(path, error);
    if (status.type() == fs::file_type::not_found)
        return of_file(file, "there is no such file", "check the name and the folder");
    if (fs::is_directory(status))
        return of_file(file, "this is a folder", fmt::format("name {}{} in it", kind.a, kind.named));
    // Pipes and devices may never end.
    if (!fs::is_regular_file(status)) {
        return of_file(file, "this cannot be read as a file",
                       fmt::format("{} is a plain text file that you may read", kind.a));
    }
    const auto size = fs::file_size(path, error);
    if (!error && size > kind.most_bytes) {
        return of_file(file, fmt::format("the file has {} bytes", size),
                       fmt::format("{} has {} at most", kind.a, kind.most_bytes));
    }
    std::ifstream in(path, std::ios::binary);
    if (!in) return of_file(file, "the file cannot be opened", "check that you may read it");
    text.assign(error ? kind.most_bytes + 1 : static_cast<std::size_t>(size), '\0');
    in.read(text.data(), static_cast<std::streamsize>(text.size()));
    if (in.bad()) return of_file(file, "reading the file broke off", "check the disk or the connection to it");
    text.resize(static_cast<std::size_t>(in.gcount()));
    return std::nullopt;
}

std::optional<Fault> parse_document(std::string_view text, const std::string& file, const FileKind& kind,
                                    toml::table& root) {
    if (auto fault = guard_text(text, file, kind)) return fault;
    try {
        root = toml::parse(text, file);
    } catch (const toml::parse_error& error) {
        return Fault{file,
                     static_cast<int>(error.source().begin.line),
                     static_cast<int>(error.source().begin.column),
                     Severity::error,
                     fmt::format("this is not TOML: {}", error.description()),
                     "mend this place first; what follows could not be read"};
    } catch (const ParserLost&) {
        return of_file(file, "this is not TOML", "look for a bracket, comma or quote too many");
    }
    return std::nullopt;
}

} // namespace ringland::model
