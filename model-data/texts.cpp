#include "texts.h"

#include <algorithm>
#include <array>
#include <cstring>
#include <ctime>
#include <stdexcept>
#include <utility>

namespace ringland::model {

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

Translator::Translator(std::string language, std::shared_ptr<const Catalogue> catalogue)
    : language_(std::move(language)), catalogue_(std::move(catalogue)) {}

std::string Translator::operator()(std::string_view text) const {
    if (!catalogue_) return std::string(text);
    const std::string_view found = catalogue_->find(text);
    return found.empty() ? std::string(text) : std::string(found.substr(0, found.find('\0')));
}

std::string Translator::operator()(std::string_view one, std::string_view many, std::size_t n) const {
    if (!catalogue_) return std::string(n == 1 ? one : many);
    const std::string_view found = catalogue_->find(one);
    const std::size_t split = found.find('\0');
    if (found.empty() || split == std::string_view::npos) return std::string(n == 1 ? one : many);
    return std::string(n == 1 ? found.substr(0, split) : found.substr(split + 1));
}

std::string Translator::meant(std::string_view context, std::string_view text) const {
    if (!catalogue_) return std::string(text);
    // gettext keeps the two as one text with this sign between them.
    const std::string_view found = catalogue_->find(fmt::format("{}\x04{}", context, text));
    return std::string(found.empty() ? text : found);
}

std::string Translator::map_word(const std::string& word) const {
    if (!catalogue_ || word.empty()) return word;
    std::string small = word;
    if (small[0] >= 'A' && small[0] <= 'Z') small[0] = static_cast<char>(small[0] - 'A' + 'a');
    const std::string_view found = catalogue_->find(small);
    return found.empty() ? word : std::string(found);
}

std::string Translator::ordinal(int n) const {
    const Translator& tr = *this;
    const int tens = n % 100, ones = n % 10;
    const bool teen = tens >= 11 && tens <= 13;
    // Four texts, since English has four; a language with one says it four times.
    if (teen || ones > 3 || ones == 0) return filled(tr("{0}th"), n);
    return filled(ones == 1 ? tr("{0}st") : ones == 2 ? tr("{0}nd") : tr("{0}rd"), n);
}

std::string Translator::number(double value, int decimals) const {
    std::string text = fmt::format("{:.{}f}", value, decimals);
    const Translator& tr = *this;
    // What stands between the whole and the rest of a number, between these two figures.
    const std::string half = tr("0.5");
    const std::size_t point = text.find('.');
    if (point != std::string::npos) {
        const std::size_t from = half.find('0') + 1, to = std::max(from, std::min(half.rfind('5'), half.size()));
        text.replace(point, 1, half.substr(from, to - from));
    }
    return text;
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

} // namespace ringland::model
