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

ReadJobResult refused(const std::string& file, std::string what, std::string right) {
    return {std::nullopt, {Fault{file, 0, 0, Severity::error, std::move(what), std::move(right)}}};
}

/// Reads entries of the list, with a fault for each that is none.
class EntriesReader {
public:
    explicit EntriesReader(std::string file) : file_(std::move(file)) {}

    void take(const Json& json, std::size_t nth) {
        JobEntry entry;
        std::string wrong;
        if (!json.is_object()) return complain(nth, "is not an object");
        const ContentReader reader(json, wrong);
        reader("kind", entry.kind);
        reader("id", entry.id);
        if (!wrong.empty()) return complain(nth, "is wrong: " + wrong);
        if (entry.kind.empty() || entry.id.empty() || entry.id.size() > job_limits::id_bytes)
            return complain(nth, "has no kind, or no id of at most 200 bytes");
        const auto content = json.find("content");
        if (content == json.end() || !content->is_object()) return complain(nth, "has no content");
        if (!seen_.insert({entry.kind, entry.id}).second)
            return complain(nth, fmt::format("is there twice: {} {}", entry.kind, entry.id));
        entry.order = static_cast<double>(nth);
        entry.content = content->dump(-1, ' ', false, Json::error_handler_t::replace);
        list.push_back(std::move(entry));
    }

    std::vector<JobEntry> list;
    std::vector<Fault> faults;

private:
    void complain(std::size_t nth, const std::string& what) {
        constexpr std::size_t most = 20;
        if (faults.size() >= most) return;
        faults.push_back({file_, 0, 0, Severity::error, fmt::format("entry {} {}", nth + 1, what),
                          R"({"kind": "note", "id": "...", "content": {...}})"});
    }

    std::string file_;
    std::set<std::pair<std::string, std::string>> seen_;
};

bool good_job_id(const std::string& id) {
    return id.size() == 32 && id.find_first_not_of("0123456789abcdef") == std::string::npos;
}

} // namespace

std::optional<std::string> guard_json(std::string_view text, std::size_t most_bytes, int most_depth) {
    if (text.size() > most_bytes)
        return fmt::format("it is larger than {} MB", static_cast<double>(most_bytes) / (1u << 20));
    if (!is_utf8(text)) return "it is not UTF-8 text";
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
            if (++depth > most_depth) return "it is nested too deep";
        } else if (c == ']' || c == '}') {
            --depth;
        }
    }
    return std::nullopt;
}

ReadJobResult read_job_text(std::string_view text, const std::string& file) {
    if (auto wrong = guard_json(text, job_limits::file_bytes, job_limits::depth))
        return refused(file, "this is no job file: " + *wrong, "a file that `ringland jobs show --json` wrote");
    const Json json = Json::parse(text, nullptr, false);
    const auto mark = json.is_object() ? json.find(marker) : json.end();
    if (!json.is_object() || mark == json.end() || !mark->is_number_integer())
        return refused(file, "this is no job file",
                       fmt::format(R"(JSON that begins with {{"{}": {})", marker, version));
    if (*mark != version)
        return refused(file, fmt::format("this job file is of version {}", mark->dump()),
                       fmt::format("version {}, or a newer program", version));
    std::string id, wrong;
    ContentReader(json, wrong)("id", id);
    if (!good_job_id(id)) return refused(file, "the job has no id", "\"id\" with 32 digits, 0 to 9 and a to f");
    const auto list = json.find("entries");
    if (list == json.end() || !list->is_array()) return refused(file, "the job has no entries", "\"entries\": [...]");
    if (list->size() > job_limits::entries)
        return refused(file, fmt::format("the job has {} entries", list->size()),
                       fmt::format("{} at most", job_limits::entries));
    EntriesReader reader(file);
    for (std::size_t i = 0; i < list->size(); ++i)
        reader.take((*list)[i], i);
    std::vector<std::string> passed_over;
    Job job = job_from_entries(id, std::move(reader.list), &passed_over);
    for (const auto& what : passed_over)
        reader.faults.push_back({file, 0, 0, Severity::error, what, "an entry as docs/command-line.md has it"});
    if (!reader.faults.empty()) return {std::nullopt, std::move(reader.faults)};
    return {std::move(job), {}};
}

ReadJobResult read_job_file(const std::filesystem::path& path) {
    const std::string name = path.string();
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(path, ignored))
        return refused(name, std::filesystem::exists(path, ignored) ? "this is no file" : "there is no such file",
                       "a job file (.json)");
    std::ifstream in(path, std::ios::binary);
    if (!in) return refused(name, "this file cannot be read", "a job file (.json)");
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
