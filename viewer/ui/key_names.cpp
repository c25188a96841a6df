#include "key_names.h"

#include <array>
#include <string_view>

namespace ringland::viewer {

namespace {

constexpr std::array<std::string_view, 27> plain_names{
    "Tab",       "Left",   "Right", "Up",     "Down",  "Page up", "Page down", "Home", "End",
    "Backspace", "Delete", "Enter", "Escape", "Space", "",        "",          "+",    "-",
    "/",         "F1",     "F2",    "F3",     "F4",    "F5",      "F6",        "F7",   "F8"};
static_assert(plain_names.size() == static_cast<std::size_t>(Key::f8) + 1);

std::string without_leading_zeros(std::string digits) {
    const auto first = digits.find_first_not_of('0');
    return first == std::string::npos ? "0" : digits.substr(first);
}

std::string trailing_number(const std::string& id) {
    std::size_t at = id.size();
    while (at > 0 && id[at - 1] >= '0' && id[at - 1] <= '9')
        --at;
    return at == id.size() ? "" : without_leading_zeros(id.substr(at));
}

} // namespace

std::string key_name(const input::KeyPress& press) {
    if (press.alt) return "";
    const bool sign = press.key == Key::plus || press.key == Key::minus;
    std::string name = press.ctrl ? "Ctrl+" : "";
    // A plus needs Shift on many keyboards, and is a plus all the same.
    if (press.shift && !sign) name += "Shift+";
    if (press.key == Key::letter || press.key == Key::digit) return name + press.character;
    return name + std::string(plain_names[static_cast<std::size_t>(press.key)]);
}

std::string port_of_number(const model::UnitMap& map, const std::string& digits) {
    const std::string wanted = without_leading_zeros(digits);
    std::string found;
    for (const auto& port : map.ports) {
        if (port.id == digits) return port.id;
        if (trailing_number(port.id) != wanted) continue;
        if (!found.empty()) return "";
        found = port.id;
    }
    return found;
}

} // namespace ringland::viewer
