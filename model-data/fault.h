// A complaint about a file, written for the person who can mend it.
#pragma once

#include <string>
#include <vector>

#include "phrase.h"

namespace ringland::model {

enum class Severity { warning, error };

/// One complaint: where, what is wrong, and what would be right. Reading a map collects all of them before it gives up.
struct Fault {
    std::string file;
    int line = 0;   ///< 1-based; 0 where the fault is of the file as a whole
    int column = 0; ///< 1-based
    Severity severity = Severity::error;
    Phrase what;
    Phrase right;

    friend bool operator==(const Fault&, const Fault&) = default;
};

/// `file:line:column: what is wrong: what would be right`; a warning says so before the text.
[[nodiscard]] std::string to_string(const Fault& fault);
/// The same in a language; keys, ids and what the file says stay as they are written there.
[[nodiscard]] std::string to_string(const Fault& fault, const Translator& tr);

/// True when a fault is an error, so that the file cannot be used.
[[nodiscard]] bool has_error(const std::vector<Fault>& faults);

/// The first three errors, a line each, and how many more there are: what a person is told at once.
[[nodiscard]] std::string first_errors(const std::vector<Fault>& faults, const Translator& tr);

} // namespace ringland::model
