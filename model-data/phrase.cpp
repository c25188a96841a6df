#include "phrase.h"

#include <fmt/args.h>

#include "texts.h"

namespace ringland::model {

Phrase Phrase::of_places(std::string_view text, std::vector<Phrase> words) {
    Phrase result = of_marked(text);
    result.words_ = std::move(words);
    return result;
}

bool Phrase::empty() const {
    const auto* text = std::get_if<std::string>(&what_);
    return text != nullptr && text->empty();
}

std::string Phrase::english() const { return in(Translator()); }

std::string Phrase::in(const Translator& tr) const {
    const auto* text = std::get_if<std::string>(&what_);
    if (text == nullptr) return std::visit([](const auto& value) { return fmt::format("{}", value); }, what_);
    if (!marked_) return *text;
    std::string said = tr(*text);
    if (words_.empty()) return said;
    fmt::dynamic_format_arg_store<fmt::format_context> words;
    for (const Phrase& word : words_) {
        if (const auto* whole = std::get_if<long long>(&word.what_))
            words.push_back(*whole);
        else if (const auto* real = std::get_if<double>(&word.what_))
            words.push_back(*real);
        else
            words.push_back(word.in(tr));
    }
    return fmt::vformat(said, words);
}

} // namespace ringland::model
