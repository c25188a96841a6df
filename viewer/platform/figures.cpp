#include "figures.h"

#include <cmath>
#include <locale>
#include <sstream>
#include <vector>

#include <fmt/format.h>

#include "../../model-data/map_faults.h"
#include "../../model-data/map_io.h"
#include "typed_words.h"

namespace ringland::viewer {
namespace {

/// What may be typed of one dimension.
template <class Dimension> struct Typing;
template <> struct Typing<model::PressureDimension> {
    static constexpr std::string_view what = "pressure", examples = "35psi, 240kPa or 2.4bar";
    static constexpr double most_si = 10e5;
    static constexpr std::string_view most = "10 bar (145 psi)";
    static constexpr bool fractions = false;
};
template <> struct Typing<model::LengthDimension> {
    static constexpr std::string_view what = "hole", examples = "3mm, .118in or 1/8in";
    static constexpr double most_si = 10e-3;
    static constexpr std::string_view most = "10 mm (0.394 in)";
    static constexpr bool fractions = true;
};

/// The same units for what a gauge measures.
struct TypingMeasured {
    static constexpr std::string_view what = "measured figure", examples = "4.1mm, .005in or 1/8in";
    static constexpr double most_si = 0.5;
    static constexpr std::string_view most = "500 mm (19.7 in)";
    static constexpr bool fractions = true;
};

bool is_digit(char c) { return c >= '0' && c <= '9'; }

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && text.front() == ' ')
        text.remove_prefix(1);
    while (!text.empty() && text.back() == ' ')
        text.remove_suffix(1);
    return text;
}

/// Digits with at most one point among them, and at least one digit.
std::optional<double> plain_number(std::string_view text) {
    int digits = 0, points = 0;
    for (const char c : text) {
        if (!is_digit(c) && c != '.') return std::nullopt;
        ++(c == '.' ? points : digits);
    }
    // More digits than any figure of a bench has would only overflow.
    if (digits == 0 || digits > 15 || points > 1) return std::nullopt;
    std::istringstream in{std::string(text)};
    in.imbue(std::locale::classic()); // a point is a point, wherever this runs
    double value = 0;
    in >> value;
    return in ? std::optional(value) : std::nullopt;
}

std::optional<double> number(std::string_view text, bool fractions) {
    const auto slash = text.find('/');
    if (!fractions || slash == std::string_view::npos) return plain_number(text);
    const auto above = plain_number(text.substr(0, slash)), below = plain_number(text.substr(slash + 1));
    if (!above || !below || *below == 0) return std::nullopt;
    return *above / *below;
}

template <class Dimension, class Rules = Typing<Dimension>> TypedFigure<Dimension> parse(std::string_view typed) {
    const auto refuse = [&](const std::string& why) {
        return TypedFigure<Dimension>{std::nullopt, fmt::format("{}: {}", model::shown(typed), why)};
    };
    const std::string_view text = trimmed(typed);
    std::size_t end = 0;
    while (end < text.size() &&
           (is_digit(text[end]) || std::string_view(".,/-+").find(text[end]) != std::string_view::npos))
        ++end;
    const std::string_view figure = text.substr(0, end);
    const std::string unit = lower(trimmed(text.substr(end)));
    if (figure.find(',') != std::string_view::npos) return refuse("write a point for the comma, as in 2.4");
    if (!figure.empty() && figure.front() == '-') return refuse(fmt::format("a {} is not below 0", Rules::what));
    const auto value = number(figure, Rules::fractions);
    if (!value)
        return refuse(fmt::format("this is no {}; write a number with its unit: {}", Rules::what, Rules::examples));
    model::Quantity<Dimension> result{*value, {}};
    std::vector<std::string> units;
    bool known = false;
    for (std::size_t i = 0; i < Dimension::units.size(); ++i) {
        units.emplace_back(Dimension::units[i].suffix);
        if (unit != units.back() && !(unit == "\"" && units.back() == "in")) continue;
        result.unit = static_cast<typename Dimension::Unit>(i);
        known = true;
    }
    if (unit.empty() && *value != 0) return refuse(fmt::format("the unit is missing; write {}", Rules::examples));
    if (!unit.empty() && !known) {
        const std::string near = model::nearest_word(unit, units);
        const std::string meant = near.empty() ? "" : fmt::format("; {}?", near);
        return refuse(fmt::format("{} is no unit of a {} here{} Write {}", model::shown(unit), Rules::what,
                                  meant.empty() ? "." : meant, Rules::examples));
    }
    if (result.si() > Rules::most_si * (1 + 1e-9)) return refuse(fmt::format("{} at most", Rules::most));
    return {result, {}};
}

} // namespace

TypedFigure<model::PressureDimension> parse_pressure(std::string_view typed) {
    return parse<model::PressureDimension>(typed);
}
TypedFigure<model::LengthDimension> parse_hole(std::string_view typed) { return parse<model::LengthDimension>(typed); }
TypedFigure<model::LengthDimension> parse_length(std::string_view typed) {
    return parse<model::LengthDimension, TypingMeasured>(typed);
}

std::string pressure_text(double gauge_pa) {
    const double psi = gauge_pa / model::psi(1).si();
    return fmt::format("{:.{}f} psi ({:.2f} bar)", psi, std::abs(psi - std::round(psi)) < 0.005 ? 0 : 1,
                       gauge_pa / 1e5);
}

std::string hole_text(double diameter_m) {
    return fmt::format("{:.3g} mm ({:.3f} in)", diameter_m * 1e3, diameter_m / 0.0254);
}

std::string flow_text(double lpm) {
    const double size = std::abs(lpm);
    if (size < 0.005) return "0";
    return fmt::format("{:.{}f}", lpm, size < 0.995 ? 2 : size < 9.95 ? 1 : 0);
}

} // namespace ringland::viewer
