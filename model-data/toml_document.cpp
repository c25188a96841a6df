#include "toml_document.h"

#include <fstream>
#include <system_error>

#include <fmt/format.h>

namespace ringland::model {

namespace {

namespace fs = std::filesystem;

Fault of_file(const std::string& file, Phrase what, Phrase right) {
    return {file, 0, 0, Severity::error, std::move(what), std::move(right)};
}

} // namespace

std::optional<Fault> read_file_text(const fs::path& path, const FileKind& kind, std::string& text) {
    const std::string file = path.string();
    std::error_code error;
    const auto status = fs::status(path, error);
    if (status.type() == fs::file_type::not_found)
        return of_file(file, phrase("there is no such file"), phrase("check the name and the folder"));
    if (fs::is_directory(status))
        return of_file(file, phrase("this is a folder"), phrase("name {0} in it", Phrase::of_marked(kind.one)));
    // Pipes and devices may never end.
    if (!fs::is_regular_file(status)) {
        return of_file(file, phrase("this cannot be read as a file"),
                       phrase("{0} is a plain text file that you may read", Phrase::of_marked(kind.a)));
    }
    const auto size = fs::file_size(path, error);
    if (!error && size > kind.most_bytes) {
        return of_file(file, phrase("the file has {0} bytes", size),
                       phrase("{0} has {1} at most", Phrase::of_marked(kind.a), kind.most_bytes));
    }
    std::ifstream in(path, std::ios::binary);
    if (!in) return of_file(file, phrase("the file cannot be opened"), phrase("check that you may read it"));
    text.assign(error ? kind.most_bytes + 1 : static_cast<std::size_t>(size), '\0');
    in.read(text.data(), static_cast<std::streamsize>(text.size()));
    if (in.bad())
        return of_file(file, phrase("reading the file broke off"), phrase("check the disk or the connection to it"));
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
                     phrase("this is not TOML: {0}", error.description()),
                     phrase("mend this place first; what follows could not be read")};
    } catch (const ParserLost&) {
        return of_file(file, phrase("this is not TOML"), phrase("look for a bracket, comma or quote too many"));
    }
    return std::nullopt;
}

} // namespace ringland::model
