// A job as one JSON file.
#include <fstream>
#include <set>

#include <fmt/format.h>

#include "job_content.h"
#include "job_entries.h"
#include "toml_guard.h"
#include "whole_file.h"

namespace ringland::model {
namespace {

constexpr const char* marker = "ringland-job";
constexpr int version = 1;

ReadJobResult refused(const std::string& file, Phrase what, Phrase right) {
    return {std::nullopt, {Fault{file, 0, 0, Severity::error, std::move(what), std::move(right)}}};
}

/// Reads entries of the list, with a fault for each that is none.
class EntriesReader {
public:
    explicit EntriesReader(std::string file) : file_(std::move(file)) {}

    void take(const Json& json, std::size_t nth) {
        JobEntry entry;
        Phrase wrong;
        if (!json.is_object()) return complain(nth, phrase("is not an object"));
        const ContentReader reader(json, wrong);
        reader("kind", entry.kind);
        reader("id", entry.id);
        if (!wrong.empty()) return complain(nth, phrase("is wrong: {0}", wrong));
        if (entry.kind.empty() || entry.id.empty() || entry.id.size() > job_limits::id_bytes)
            return complain(nth, phrase("has no kind, or no id of at most 200 bytes"));
        const auto content = json.find("content");
        if (content == json.end() || !content->is_object()) return complain(nth, phrase("has no content"));
        if (!seen_.insert({entry.kind, entry.id}).second)
            return complain(nth, phrase("is there twice: {0} {1}", entry.kind, entry.id));
        entry.order = static_cast<double>(nth);
        entry.content = content->dump(-1, ' ', false, Json::error_handler_t::replace);
        list.push_back(std::move(entry));
    }

    std::vector<JobEntry> list;
    std::vector<Fault> faults;

private:
    void complain(std::size_t nth, const Phrase& what) {
        constexpr std::size_t most = 20;
        if (faults.size() >= most) return;
        faults.push_back({file_, 0, 0, Severity::error, phrase("entry {0} {1}", nth + 1, what),
                          Phrase::as_is(R"({"kind": "note", "id": "...", "content": {...}})")});
    }

    std::string file_;
    std::set<std::pair<std::string, std::string>> seen_;
};

bool good_job_id(const std::string& id) {
    return id.size() == 32 && id.find_first_not_of("0123456789abcdef") == std::string::npos;
}

} // namespace

std::optional<Phrase> guard_json(std::string_view text, std::size_t most_bytes, int most_depth) {
    if (text.size() > most_bytes)
        return phrase("it is larger than {0} MB", static_cast<double>(most_bytes) / (1u << 20));
    if (!is_utf8(text)) return phrase("it is not UTF-8 text");
    int depth = 0;
    bool quoted = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (quoted) {
            if (c == '\\') ++i;
            if (c == '"') quoted = false;
        } else if (c == '"') {
            quoted = true;
        } else if (c == '[' || c == '{') {
            if (++depth > most_depth) return phrase("it is nested too deep");
        } else if (c == ']' || c == '}') {
            --depth;
        }
    }
    return std::nullopt;
}

ReadJobResult read_job_text(std::string_view text, const std::string& file) {
    if (auto wrong = guard_json(text, job_limits::file_bytes, job_limits::depth))
        return refused(file, phrase("this is no job file: {0}", *wrong),
                       phrase("a file that `ringland jobs show --json` wrote"));
    const Json json = Json::parse(text, nullptr, false);
    const auto mark = json.is_object() ? json.find(marker) : json.end();
    if (!json.is_object() || mark == json.end() || !mark->is_number_integer())
        return refused(file, phrase("this is no job file"),
                       phrase("JSON that begins with {0}", fmt::format(R"({{"{}": {})", marker, version)));
    if (*mark != version)
        return refused(file, phrase("this job file is of version {0}", mark->dump()),
                       phrase("version {0}, or a newer program", version));
    std::string id;
    Phrase wrong;
    ContentReader(json, wrong)("id", id);
    if (!good_job_id(id))
        return refused(file, phrase("the job has no id"), phrase("\"id\" with 32 digits, 0 to 9 and a to f"));
    const auto list = json.find("entries");
    if (list == json.end() || !list->is_array())
        return refused(file, phrase("the job has no entries"), Phrase::as_is("\"entries\": [...]"));
    if (list->size() > job_limits::entries)
        return refused(file, phrase("the job has {0} entries", list->size()),
                       phrase("{0} at most", job_limits::entries));
    EntriesReader reader(file);
    for (std::size_t i = 0; i < list->size(); ++i)
        reader.take((*list)[i], i);
    std::vector<Phrase> passed_over;
    Job job = job_from_entries(id, std::move(reader.list), &passed_over);
    for (const auto& what : passed_over)
        reader.faults.push_back({file, 0, 0, Severity::error, what, phrase("an entry as docs/command-line.md has it")});
    if (!reader.faults.empty()) return {std::nullopt, std::move(reader.faults)};
    return {std::move(job), {}};
}

ReadJobResult read_job_file(const std::filesystem::path& path) {
    const std::string name = path.string();
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(path, ignored))
        return refused(
            name, std::filesystem::exists(path, ignored) ? phrase("this is no file") : phrase("there is no such file"),
            phrase("a job file (.json)"));
    std::ifstream in(path, std::ios::binary);
    if (!in) return refused(name, phrase("this file cannot be read"), phrase("a job file (.json)"));
    std::string text(job_limits::file_bytes + 1, '\0');
    in.read(text.data(), static_cast<std::streamsize>(text.size()));
    text.resize(static_cast<std::size_t>(in.gcount()));
    return read_job_text(text, name);
}

std::string write_job_text(const Job& job) {
    Json json{{marker, version}, {"id", job.id}, {"entries", Json::array()}};
    for (const auto& entry : entries(job))
        json["entries"].push_back({{"kind", entry.kind}, {"id", entry.id}, {"content", Json::parse(entry.content)}});
    return json.dump(1, ' ', false, Json::error_handler_t::replace) + '\n';
}

std::string write_job_file(const std::filesystem::path& path, const Job& job) {
    const std::string text = write_job_text(job);
    return write_whole_file(path, text.data(), text.size());
}

bool holds_job(const std::filesystem::path& path) {
    std::ifstream in(path, std::ios::binary);
    char begin[64]{};
    in.read(begin, sizeof begin);
    const std::string_view text(begin, static_cast<std::size_t>(in.gcount()));
    return text.find("\"ringland-job\"") != std::string_view::npos;
}

} // namespace ringland::model
