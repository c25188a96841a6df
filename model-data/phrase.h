// A sentence that does not know yet in which language it will be said: its text as the catalogues have it, and what
// fills its places.
//
// Readers and the records make sentences where no translator is at hand; who shows one says it by `in(tr)`. xgettext
// finds the texts by the calls of phrase(). Nothing turns into a Phrase by itself, so a text that no translator would
// see does not compile.
#pragma once

#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <variant>
#include <vector>

#include <fmt/format.h>

namespace ringland::model {

class Translator;

class Phrase {
public:
    /// Says nothing.
    Phrase() = default;
    [[nodiscard]] bool empty() const;
    [[nodiscard]] std::string english() const;
    /// A text that the catalogue lacks stays English, and so does what was never to be translated.
    [[nodiscard]] std::string in(const Translator& tr) const;

    /// A text of the user, a key, a figure in its unit: the same in every language.
    [[nodiscard]] static Phrase as_is(std::string text) { return Phrase(std::move(text), false); }
    /// A text without places that is marked elsewhere: by `marked("...")`, or in viewer/texts/words.inc.
    [[nodiscard]] static Phrase of_marked(std::string_view text) { return Phrase(std::string(text), true); }
    /// A marked text whose places {0}, {1} are filled; phrase() holds the places against what fills them.
    [[nodiscard]] static Phrase of_places(std::string_view text, std::vector<Phrase> words);
    /// What fills a place: a number, a text that stays as it is, or another phrase.
    template <class Value> [[nodiscard]] static Phrase of(const Value& value) {
        if constexpr (std::is_same_v<Value, Phrase>)
            return value;
        else if constexpr (std::is_integral_v<Value>)
            return Phrase(static_cast<long long>(value), false);
        else if constexpr (std::is_floating_point_v<Value>)
            return Phrase(static_cast<double>(value), false);
        else
            return as_is(std::string(std::string_view(value)));
    }

    friend bool operator==(const Phrase& a, const Phrase& b) {
        return a.what_ == b.what_ && a.marked_ == b.marked_ && a.words_ == b.words_;
    }

private:
    using What = std::variant<std::string, long long, double>;
    Phrase(What what, bool marked) : what_(std::move(what)), marked_(marked) {}

    What what_;
    bool marked_ = false; ///< looked up in the catalogue
    std::vector<Phrase> words_;
};

/// How a value that fills a place is written, for the compiler to hold the places against.
template <class Value> using FillsPlace =
    std::conditional_t<std::is_integral_v<Value>, long long,
                       std::conditional_t<std::is_floating_point_v<Value>, double, std::string_view>>;

/// phrase("{0} is plugged twice", port); texts and phrases, numbers with a format as in {0:.4g}.
template <class... Values>
[[nodiscard]] Phrase phrase(fmt::format_string<FillsPlace<Values>...> text, const Values&... values) {
    const fmt::string_view marked = text;
    return Phrase::of_places({marked.data(), marked.size()}, {Phrase::of(values)...});
}

} // namespace ringland::model
