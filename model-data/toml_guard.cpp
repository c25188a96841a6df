#include "toml_guard.h"

#include <cstddef>
#include <cstdint>

#include <fmt/format.h>

namespace ringland::model {

namespace {

/// No key of a file of ours has more than two parts; brackets go three deep.
constexpr int most_key_parts = 16;
constexpr int most_brackets = 32;

/// Length of the UTF-8 sequence that begins here, or 0 where none does.
std::size_t sequence_length(std::string_view s) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(s[i]); };
    const unsigned char first = byte(0);
    if (first < 0x80) return 1;
    const std::size_t length = first >= 0xC2 && first <= 0xDF   ? 2
                               : (first & 0xF0) == 0xE0         ? 3
                               : first >= 0xF0 && first <= 0xF4 ? 4
                                                                : 0;
    if (length == 0 || s.size() < length) return 0;
    for (std::size_t i = 1; i < length; ++i) {
        if ((byte(i) & 0xC0) != 0x80) return 0;
    }
    const bool overlong = (first == 0xE0 && byte(1) < 0xA0) || (first == 0xF0 && byte(1) < 0x90);
    const bool surrogate = first == 0xED && byte(1) > 0x9F;
    const bool beyond = first == 0xF4 && byte(1) > 0x8F;
    return overlong || surrogate || beyond ? 0 : length;
}

/// Walks over TOML text far enough to know what is key or bracket and what lies in a string or comment.
///
/// Where the text is no TOML the walk may lose its step, but then the parser stops at that place too, and all that it
/// has built by then was walked over rightly.
class Walk {
public:
    Walk(std::string_view text, const FileKind& kind) : text_(text), kind_(kind) {
        if (text.substr(0, 3) == "\xEF\xBB\xBF") at_ = 3; // a byte order mark may stand in front
    }

    std::optional<Fault> first_fault(const std::string& file) {
        while (at_ < text_.size()) {
            const char c = text_[at_];
            if (awaits_value_ && (c == ']' || c == '}' || c == ',' || c == '#')) {
                return fault(file, phrase("nothing stands behind this \"=\""), phrase("a value, or no such line"));
            }
            awaits_value_ = c == '=' || (awaits_value_ && (c == ' ' || c == '\t'));
            if (c == '"' || c == '\'') {
                skip_string(c);
                continue;
            }
            if (c == '#') {
                while (at_ < text_.size() && text_[at_] != '\n')
                    step();
                continue;
            }
            if ((static_cast<unsigned char>(c) & 0x80) != 0) {
                return fault(file, phrase("a letter beyond ASCII stands outside quotes"),
                             phrase("keys are plain ASCII; texts stand in quotes"));
            }
            count(c);
            if (brackets_ > most_brackets) {
                return fault(file, phrase("brackets are nested more than {0} deep", most_brackets),
                             phrase("{0} needs three at most", Phrase::of_marked(kind_.a)));
            }
            if (parts_ > most_key_parts) {
                return fault(file, phrase("a key has more than {0} parts", most_key_parts),
                             phrase("{0} needs two at most", Phrase::of_marked(kind_.a)));
            }
            step();
        }
        return std::nullopt;
    }

private:
    void count(char c) {
        if (c == '[' || c == '{') ++brackets_;
        if ((c == ']' || c == '}') && brackets_ > 0) --brackets_;
        // A dot adds a part to a key; blanks and the letters of the key itself change nothing; all else begins a new
        // one.
        const bool letter =
            (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
        if (c == '.')
            ++parts_;
        else if (!letter && c != ' ' && c != '\t')
            parts_ = 1;
    }
    void skip_string(char quote) {
        const std::string_view rest = text_.substr(at_);
        const bool long_one = rest.size() >= 3 && rest[1] == quote && rest[2] == quote;
        for (int i = 0; i < (long_one ? 3 : 1); ++i)
            step();
        while (at_ < text_.size()) {
            const char c = text_[at_];
            if (c == '\\' && quote == '"') {
                step();
                if (at_ < text_.size()) step();
                continue;
            }
            if (!long_one && c == '\n') return; // not closed: the parser will say so
            if (c == quote && !long_one) return step();
            if (c == quote && text_.substr(at_, 3) == std::string(3, quote)) {
                // Up to two quotes may stand before the closing three.
                while (at_ < text_.size() && text_[at_] == quote)
                    step();
                return;
            }
            step();
        }
    }
    void step() {
        const char c = text_[at_++];
        if (c == '\n') {
            ++line_;
            column_ = 1;
        } else if ((static_cast<unsigned char>(c) & 0xC0) != 0x80) {
            ++column_;
        }
    }
    [[nodiscard]] Fault fault(const std::string& file, Phrase what, Phrase right) const {
        return {file, line_, column_, Severity::error, std::move(what), std::move(right)};
    }

    std::string_view text_;
    const FileKind& kind_;
    std::size_t at_ = 0;
    int line_ = 1, column_ = 1;
    int brackets_ = 0, parts_ = 1;
    bool awaits_value_ = false; ///< right behind "=", where the parser takes a closing bracket for granted not to be
};

Fault fault_of_file(const std::string& file, Phrase what, Phrase right) {
    return {file, 0, 0, Severity::error, std::move(what), std::move(right)};
}

} // namespace

bool is_utf8(std::string_view bytes) {
    while (!bytes.empty()) {
        const std::size_t length = sequence_length(bytes);
        if (length == 0) return false;
        bytes.remove_prefix(length);
    }
    return true;
}

std::optional<Fault> guard_text(std::string_view text, const std::string& file, const FileKind& kind) {
    if (text.size() > kind.most_bytes) {
        return fault_of_file(file, phrase("the file has {0} bytes", text.size()),
                             phrase("{0} has {1} at most", Phrase::of_marked(kind.a), kind.most_bytes));
    }
    if (text.find_first_not_of(" \t\r\n") == std::string_view::npos) {
        return fault_of_file(file, phrase("the file is empty"),
                             phrase("begin with {0}", Phrase::of_marked(kind.begin)));
    }
    if (text.find('\0') != std::string_view::npos) {
        return fault_of_file(file, phrase("the file is not text"),
                             phrase("{0} is a TOML text file", Phrase::of_marked(kind.a)));
    }
    int line = 1, column = 1;
    for (std::string_view rest = text; !rest.empty();) {
        const std::size_t length = sequence_length(rest);
        if (length == 0) {
            return Fault{file,
                         line,
                         column,
                         Severity::error,
                         phrase("these bytes are not UTF-8 text"),
                         phrase("save the file as UTF-8")};
        }
        ++column;
        if (rest.front() == '\n') {
            ++line;
            column = 1;
        }
        rest.remove_prefix(length);
    }
    return Walk(text, kind).first_fault(file);
}

} // namespace ringland::model
