#include "fault.h"

#include <algorithm>

#include <fmt/format.h>

namespace ringland::model {

std::string to_string(const Fault& fault) {
    const char* mark = fault.severity == Severity::warning ? "warning: " : "";
    return fmt::format("{}:{}:{}: {}{}: {}", fault.file, fault.line, fault.column, mark, fault.what, fault.right);
}

bool has_error(const std::vector<Fault>& faults) {
    return std::any_of(faults.begin(), faults.end(), [](const Fault& f) { return f.severity == Severity::error; });
}

std::string first_errors(const std::vector<Fault>& faults) {
    std::string text;
    int shown = 0, errors = 0;
    for (const auto& fault : faults) {
        if (fault.severity != Severity::error) continue;
        ++errors;
        if (shown == 3) continue;
        ++shown;
        text += (text.empty() ? "" : "\n") + to_string(fault);
    }
    if (errors > shown) text += fmt::format("\nand {} more", errors - shown);
    return text;
}

} // namespace ringland::model
