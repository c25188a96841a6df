#include "texts.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>

#include "catalogues.h"

namespace ringland::viewer {

namespace {

std::string_view mo_of(std::string_view code) {
    for (const auto& one : catalogues) {
        if (one.code == code) return {reinterpret_cast<const char*>(one.bytes.data()), one.bytes.size()};
    }
    return {};
}

} // namespace

Translator translator_of(std::string_view code) {
    const std::string_view mo = mo_of(code);
    if (mo.empty()) return {};
    return {std::string(code), std::make_shared<model::Catalogue>(mo)};
}

std::vector<std::string> language_codes() {
    std::vector<std::string> codes{"en"};
    for (const auto& one : catalogues)
        codes.emplace_back(one.code);
    return codes;
}

std::string language_name(std::string_view code) {
    const Translator tr = translator_of(code);
    // The language by its own name, as its speakers look for it.
    return tr("English");
}

bool is_language(std::string_view code) { return code == "en" || !mo_of(code).empty(); }

std::string language_of_environment() {
    for (const char* variable : {"LC_ALL", "LC_MESSAGES", "LANG"}) {
        const char* value = std::getenv(variable);
        if (value == nullptr || *value == '\0') continue; // the first that is set decides
        const std::string_view locale(value);
        const std::string code(locale.substr(0, locale.find_first_of("_.@")));
        return is_language(code) ? code : "en";
    }
    return "en";
}

std::string Translator::pressure(double gauge_pa, UnitSystem units) const {
    if (units == UnitSystem::bar_mm) return number(gauge_pa / 1e5, 2) + " bar";
    const double psi = gauge_pa / model::psi(1).si();
    return number(psi, std::abs(psi - std::round(psi)) < 0.05 ? 0 : 1) + " psi";
}

std::string Translator::length(double metres, UnitSystem units) const {
    if (units == UnitSystem::bar_mm) return number(metres * 1e3, 2) + " mm";
    return number(metres / 0.0254, 3) + " in";
}

std::string unbroken(std::string_view text) {
    constexpr std::array<std::string_view, 6> units{"%", "psi", "bar", "mm", "in", "L/min"};
    constexpr std::string_view no_break = "\xC2\xA0";
    const auto in_word = [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || static_cast<unsigned char>(c) >= 0x80;
    };
    std::string result;
    result.reserve(text.size());
    for (std::size_t i = 0; i < text.size(); ++i) {
        const std::string_view rest = text.substr(i + 1 < text.size() ? i + 1 : text.size());
        const bool after_figure = text[i] == ' ' && i > 0 && text[i - 1] >= '0' && text[i - 1] <= '9';
        const bool holds = after_figure && std::any_of(units.begin(), units.end(), [&](std::string_view unit) {
                               return rest.substr(0, unit.size()) == unit &&
                                      (rest.size() == unit.size() || !in_word(rest[unit.size()]));
                           });
        if (holds)
            result += no_break;
        else
            result += text[i];
    }
    return result;
}

} // namespace ringland::viewer
