#include "place.h"

#include <cstdlib>
#include <optional>

#include <unistd.h>

#include <fmt/format.h>

#include "records.h"
#include "sha256.h"

namespace ringland::diagnosis::records {
namespace {

constexpr std::string_view schemes[] = {"postgresql://", "postgres://"};

std::string environment(const char* name) {
    const char* value = std::getenv(name); // NOLINT(concurrency-mt-unsafe)
    return value == nullptr ? std::string() : value;
}

std::size_t scheme_length(std::string_view where) {
    for (const auto scheme : schemes) {
        if (where.substr(0, scheme.size()) == scheme) return scheme.size();
    }
    return 0;
}

std::optional<std::string> percent_decoded(std::string_view text) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] != '%') {
            out += text[i];
            continue;
        }
        const std::string digits(text.substr(i + 1, 2));
        if (digits.size() < 2 || digits.find_first_not_of("0123456789abcdefABCDEF") != std::string::npos) return {};
        out += static_cast<char>(std::stoi(digits, nullptr, 16));
        i += 2;
    }
    return out;
}

struct Span {
    std::size_t begin = 0, end = 0;
};

/// Where passwords stand: behind the user's name, and as a parameter.
std::vector<Span> passwords(std::string_view where) {
    std::vector<Span> found;
    const std::size_t begin = scheme_length(where);
    // An @ (or a ?) that was not written as %40 belongs to the password: rather hide too much than too little.
    const std::size_t at = where.rfind('@');
    if (at != std::string_view::npos && at > begin) {
        const std::size_t colon = where.find(':', begin);
        if (colon < at) found.push_back({colon + 1, at});
    }
    for (std::size_t from = where.find('?', begin); from != std::string_view::npos; from = where.find('&', from + 1)) {
        const std::string_view rest = where.substr(from + 1);
        constexpr std::string_view keys[] = {"password=", "sslpassword="};
        for (const auto key : keys) {
            if (rest.substr(0, key.size()) != key) continue;
            const std::size_t start = from + 1 + key.size();
            found.push_back({start, std::min(where.find('&', start), where.size())});
        }
    }
    return found;
}

void replace_all(std::string& text, const std::string& what, const std::string& by) {
    if (what.empty()) return;
    for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + by.size()))
        text.replace(at, what.size(), by);
}

} // namespace

bool is_server(std::string_view where) { return scheme_length(where) > 0; }

std::string shown(std::string_view where) {
    if (!is_server(where)) return std::string(where);
    std::string out;
    std::size_t from = 0;
    for (const auto& span : passwords(where)) {
        if (span.begin < from) continue;
        out += where.substr(from, span.begin - from);
        out += "...";
        from = span.end;
    }
    return out += where.substr(from);
}

std::string scrubbed(std::string text, std::string_view where) {
    if (is_server(where)) {
        for (const auto& span : passwords(where)) {
            const std::string raw(where.substr(span.begin, span.end - span.begin));
            replace_all(text, raw, "...");
            if (const auto plain = percent_decoded(raw)) replace_all(text, *plain, "...");
        }
    }
    replace_all(text, environment("PGPASSWORD"), "...");
    while (!text.empty() && (text.back() == '\n' || text.back() == ' '))
        text.pop_back();
    replace_all(text, "\n", "; ");
    replace_all(text, "\t", " ");
    return text;
}

std::string with_limits(std::string_view where) {
    std::string out(where);
    const auto add = [&](std::string_view key, std::string_view value) {
        if (where.find(fmt::format("{}=", key)) != std::string_view::npos) return;
        out += fmt::format("{}{}={}", out.find('?') == std::string::npos ? '?' : '&', key, value);
    };
    add("connect_timeout", "3");
    add("tcp_user_timeout", "10000");
    add("application_name", "ringland");
    return out;
}

model::Phrase complaint_about(std::string_view where) {
    if (!percent_decoded(where))
        return model::phrase("a percent sign in it is not followed by two hexadecimal digits (write {0})", "%25");
    if (where.find_first_of(" \t\n'\\") != std::string_view::npos)
        return model::phrase("it has a blank, a quote or a backslash in it (write them as {0})", "%20, %27, %5C");
    return {};
}

std::filesystem::path data_folder() {
    std::filesystem::path folder = environment("XDG_DATA_HOME");
    if (!folder.is_absolute()) {
        folder = environment("HOME");
        if (!folder.is_absolute()) return {};
        folder = folder / ".local" / "share";
    }
    return folder / "ringland";
}

std::filesystem::path queue_file(std::string_view where) {
    const auto folder = data_folder();
    return folder.empty() ? folder : folder / fmt::format("queue-{}.sqlite", sha256(shown(where)).substr(0, 16));
}

Place usual_place() {
    Place place;
    place.where = environment("RINGLAND_RECORDS");
    if (!place.where.empty()) return place;
    const auto folder = data_folder();
    if (!folder.empty()) place.where = (folder / "records.sqlite").string();
    return place;
}

} // namespace ringland::diagnosis::records
