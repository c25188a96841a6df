#include "fault.h"

#include <algorithm>

#include <fmt/format.h>

#include "texts.h"

namespace ringland::model {

std::string to_string(const Fault& fault) { return to_string(fault, Translator()); }

std::string to_string(const Fault& fault, const Translator& tr) {
    const std::string mark = fault.severity == Severity::warning ? tr("warning: ") : "";
    return fmt::format("{}:{}:{}: {}{}: {}", fault.file, fault.line, fault.column, mark, fault.what.in(tr),
                       fault.right.in(tr));
}

bool has_error(const std::vector<Fault>& faults) {
    return std::any_of(faults.begin(), faults.end(), [](const Fault& f) { return f.severity == Severity::error; });
}

std::string first_errors(const std::vector<Fault>& faults, const Translator& tr) {
    std::string text;
    int shown = 0, errors = 0;
    for (const auto& fault : faults) {
        if (fault.severity != Severity::error) continue;
        ++errors;
        if (shown == 3) continue;
        ++shown;
        text += (text.empty() ? "" : "\n") + to_string(fault, tr);
    }
    if (errors > shown) text += "\n" + filled(tr("and {0} more"), errors - shown);
    return text;
}

} // namespace ringland::model
