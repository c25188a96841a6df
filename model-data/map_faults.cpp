#include "map_faults.h"

#include <algorithm>
#include <tuple>

#include <fmt/format.h>

#include "toml_guard.h"

namespace ringland::model {

Phrase either(const std::vector<std::string>& words) {
    std::vector<Phrase> phrases;
    phrases.reserve(words.size());
    for (const auto& word : words)
        phrases.push_back(Phrase::as_is(word));
    return either(phrases);
}

Phrase either(const std::vector<Phrase>& words) {
    Phrase text;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (i == 0)
            text = words[i];
        else
            text = i + 1 == words.size() ? phrase("{0} or {1}", text, words[i]) : phrase("{0}, {1}", text, words[i]);
    }
    return text;
}

std::string shown(std::string_view text) {
    constexpr std::size_t most = 60;
    std::string out;
    for (const char c : text.substr(0, most))
        out += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
    while (!is_utf8(out))
        out.pop_back(); // never half a character
    return fmt::format("\"{}{}\"", out, text.size() > most ? "..." : "");
}

std::string path_of(std::string_view list, std::size_t index) { return fmt::format("{}/{}", list, index); }

std::string path_of(std::string_view list, std::size_t index, std::string_view key) {
    return fmt::format("{}/{}/{}", list, index, key);
}

SourceSpot FaultBook::spot(const std::string& path, SourceSpot otherwise) const {
    for (std::string p = path;;) {
        if (const auto found = spots_.find(p); found != spots_.end()) return found->second;
        const auto slash = p.rfind('/');
        // Above the keys stands the thing itself, and its own spot is the better one.
        if (slash == std::string::npos) return otherwise;
        p.resize(slash);
    }
}

bool FaultBook::spoilt(const std::string& path) const {
    for (std::string p = path;;) {
        if (spoilt_.count(p) != 0) return true;
        const auto slash = p.rfind('/');
        if (slash == std::string::npos) return false;
        p.resize(slash);
    }
}

void FaultBook::add(SourceSpot at, Severity severity, Phrase what, Phrase right) {
    if (full()) {
        ++left_out_;
        return;
    }
    faults_.push_back({file_, at.line, at.column, severity, std::move(what), std::move(right)});
}

void FaultBook::error(SourceSpot at, Phrase what, Phrase right) {
    add(at, Severity::error, std::move(what), std::move(right));
}

void FaultBook::warning(SourceSpot at, Phrase what, Phrase right) {
    add(at, Severity::warning, std::move(what), std::move(right));
}

void FaultBook::error(const std::string& path, SourceSpot otherwise, Phrase what, Phrase right) {
    if (spoilt(path)) return;
    spoil(path);
    error(spot(path, otherwise), std::move(what), std::move(right));
}

std::vector<Fault> FaultBook::take() {
    std::stable_sort(faults_.begin(), faults_.end(), [](const Fault& a, const Fault& b) {
        return std::tie(a.line, a.column) < std::tie(b.line, b.column);
    });
    if (full()) {
        // Warnings alone may fill the book; an error among those left out, or that no check came to since the book was
        // full, must still refuse the file.
        faults_.push_back({file_, 0, 0, Severity::error,
                           left_out_ > 0 ? phrase("{0} more faults are not listed", left_out_)
                                         : phrase("after {0} faults the checks went no further", most_),
                           phrase("mend the first ones and check again")});
    }
    left_out_ = 0;
    return std::move(faults_);
}

} // namespace ringland::model
