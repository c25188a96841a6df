#include "texts.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <ctime>
#include <stdexcept>

#include "catalogue_es.h"

namespace ringland::viewer {

// A .mo file: magic number, revision, count of texts, place of the table of originals, of translations; a table holds
// length and place of each text, originals sorted by bytes (gettext manual, "The Format of GNU MO Files").
Catalogue::Catalogue(std::string_view mo) : bytes_(mo) {
    constexpr std::uint32_t magic = 0x950412de, swapped_magic = 0xde120495;
    if (mo.size() < 28) throw std::runtime_error("a catalogue of texts is too short");
    const std::uint32_t found = number(0);
    if (found != magic && found != swapped_magic) throw std::runtime_error("a catalogue of texts is none");
    swapped_ = found == swapped_magic;
    count_ = number(8);
    originals_ = number(12);
    translations_ = number(16);
    for (const std::size_t table : {originals_, translations_}) {
        if (table > mo.size() || count_ > (mo.size() - table) / 8)
            throw std::runtime_error("a catalogue of texts is cut short");
    }
}

std::uint32_t Catalogue::number(std::size_t at) const {
    std::uint32_t value = 0;
    std::memcpy(&value, bytes_.data() + at, sizeof value);
    if (!swapped_) return value;
    return value >> 24U | (value >> 8U & 0xff00U) | (value << 8U & 0xff0000U) | value << 24U;
}

std::string_view Catalogue::text(std::size_t table, std::size_t index) const {
    const std::size_t length = number(table + 8 * index), at = number(table + 8 * index + 4);
    if (at > bytes_.size() || length > bytes_.size() - at) return {};
    return bytes_.substr(at, length);
}

std::string_view Catalogue::find(std::string_view wanted) const {
    std::size_t low = 0, high = count_;
    while (low < high) {
        const std::size_t middle = (low + high) / 2;
        // An original with a plural is looked up by its first form.
        std::string_view original = text(originals_, middle);
        original = original.substr(0, original.find('\0'));
        if (original == wanted) return text(translations_, middle);
        if (original < wanted)
            low = middle + 1;
        else
            high = middle;
    }
    return {};
}

Translator::Translator(Language language) : language_(language) {
    if (language == Language::es)
        catalogue_ = std::make_shared<Catalogue>(
            std::string_view(reinterpret_cast<const char*>(catalogue_es.data()), catalogue_es.size()));
}

std::string Translator::operator()(const char* text) const {
    if (!catalogue_) return text;
    const std::string_view found = catalogue_->find(text);
    return found.empty() ? std::string(text) : std::string(found.substr(0, found.find('\0')));
}

std::string Translator::operator()(const char* one, const char* many, std::size_t n) const {
    if (!catalogue_) return n == 1 ? one : many;
    const std::string_view found = catalogue_->find(one);
    const std::size_t split = found.find('\0');
    if (found.empty() || split == std::string_view::npos) return n == 1 ? one : many;
    return std::string(n == 1 ? found.substr(0, split) : found.substr(split + 1));
}

std::string Translator::map_word(const std::string& word) const {
    if (!catalogue_ || word.empty()) return word;
    std::string small = word;
    if (small[0] >= 'A' && small[0] <= 'Z') small[0] = static_cast<char>(small[0] - 'A' + 'a');
    const std::string_view found = catalogue_->find(small);
    return found.empty() ? word : std::string(found);
}

std::string Translator::ordinal(int n) const {
    if (language_ == Language::es) return fmt::format("{}.º", n);
    const int tens = n % 100, ones = n % 10;
    const bool teen = tens >= 11 && tens <= 13;
    return fmt::format("{}{}", n, teen || ones > 3 || ones == 0 ? "th" : ones == 1 ? "st" : ones == 2 ? "nd" : "rd");
}

std::string Translator::number(double value, int decimals) const {
    std::string text = fmt::format("{:.{}f}", value, decimals);
    if (language_ == Language::es) {
        for (char& c : text)
            c = c == '.' ? ',' : c;
    }
    return text;
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

std::string Translator::date(const std::string& utc) const {
    std::tm time{};
    const char* rest = strptime(utc.c_str(), "%Y-%m-%dT%H:%M:%SZ", &time);
    if (rest == nullptr || *rest != '\0') return utc;
    const std::time_t seconds = timegm(&time);
    if (localtime_r(&seconds, &time) == nullptr) return utc;
    const Translator& tr = *this;
    const std::array<std::string, 12> months{tr("January"),   tr("February"), tr("March"),    tr("April"),
                                             tr("May"),       tr("June"),     tr("July"),     tr("August"),
                                             tr("September"), tr("October"),  tr("November"), tr("December")};
    // The order of day, month and year is the translation's to choose.
    return filled(tr("{0} {1} {2}"), time.tm_mday, months[static_cast<std::size_t>(time.tm_mon)], time.tm_year + 1900);
}

std::string Translator::percent(double probability) const {
    const Translator& tr = *this;
    if (probability > 0.99) return tr("more than 99 %");
    if (probability < 0.01) return tr("less than 1 %");
    return fmt::format("{:.0f} %", probability * 100);
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
