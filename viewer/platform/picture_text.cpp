#include "picture_text.h"

#include <algorithm>

#include <fmt/format.h>

#include "../ui/words.h"

namespace ringland::viewer {
namespace {

/// The suspect with its place, counted from both ends.
std::string suspect_words(const model::UnitMap& map, const Derived& derived) {
    const auto* seal = model::find(map.seals, derived.suspect);
    if (seal == nullptr || !derived.answer) return {};
    std::string words = model::seal_name(map, *seal);
    const auto& seals = derived.answer->seals;
    const auto it = std::find_if(seals.begin(), seals.end(), [&](const auto& d) { return d.seal == seal->id; });
    if (it != seals.end()) {
        words = diagnosis::headline(map, *it);
        if (it->position) words += ", " + diagnosis::both_ends(*it->position);
    }
    return fmt::format("Suspect {}: {}; divides {} from {}.", seal->id, words,
                       model::circuit_name(map, seal->between[0]), model::circuit_name(map, seal->between[1]));
}

void append(std::string& text, const std::string& sentence) {
    if (!text.empty() && !sentence.empty()) text += ' ';
    text += sentence;
}

} // namespace

std::string selection_words(const Session& session, const Derived& derived) {
    const Document& document = session.document;
    std::string words;
    if (!document.air_into.empty()) {
        words = fmt::format("Air into {}", port_title(document.map, document.air_into));
        if (!document.came_out.empty())
            words += fmt::format(", came out at {}", port_title(document.map, document.came_out));
        words += '.';
    }
    append(words, suspect_words(document.map, derived));
    if (session.view.selected.kind != model::SubjectKind::none) {
        const std::string title = subject_words(session, session.view.selected).title;
        if (!title.empty()) append(words, fmt::format("Selected: {}.", title));
    }
    return words;
}

std::vector<PictureText> picture_texts(const Session& session, const Derived& derived) {
    const model::UnitInfo& unit = session.document.map.unit;
    std::string described = selection_words(session, derived);
    append(described, fmt::format("View: {}{}, lying {}.", model::word(session.view.viewpoint),
                                  session.view.section ? ", cut open" : "", lying_words(session.view.lying)));
    return {{"Title", unit.name.empty() ? unit.id : unit.name},
            {"Description", described},
            {"Software", "Ringland"},
            {"Comment", unit.invented ? "Demo unit, invented." : ""}};
}

} // namespace ringland::viewer
