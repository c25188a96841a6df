// Faults of files as text, and cases of one fault each.
#pragma once

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "../../model-data/fault.h"

namespace ringland::tests {

/// All faults, one a line.
inline std::string all_of(const std::vector<model::Fault>& faults) {
    std::string text;
    for (const auto& fault : faults)
        text += to_string(fault) + "\n";
    return text;
}

inline bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

/// A text that has one fault, or the part of it that has it.
struct FaultCase {
    std::string text;
    int line, column;
    std::string what, right; ///< parts of the two texts of the fault
};

/// These faults are the one that was expected.
inline void check_single_fault(const std::vector<model::Fault>& faults, const std::string& file,
                               const FaultCase& expected, model::Severity severity) {
    CAPTURE(expected.text);
    CAPTURE(all_of(faults));
    REQUIRE(faults.size() == 1);
    const auto& fault = faults[0];
    CHECK(fault.severity == severity);
    CHECK(fault.file == file);
    CHECK(fault.line == expected.line);
    CHECK(fault.column == expected.column);
    CHECK_MESSAGE(holds(fault.what.english(), expected.what), fault.what.english());
    CHECK_MESSAGE(holds(fault.right.english(), expected.right), fault.right.english());
}

} // namespace ringland::tests
