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

} // namespace ringland::model
