#include "picture_text.h"

#include <algorithm>

#include <fmt/format.h>

#include "../ui/words.h"

namespace ringland::viewer {
namespace {

/// The suspect with its place, counted from both ends.
std::string suspect_words(const Translator& tr, const model::UnitMap& map, const Derived& derived) {
    const auto* seal = model::find(map.seals, derived.suspect);
    if (seal == nullptr || !derived.answer) return {};
    std::string words = seal_words(tr, *seal);
    const auto& seals = derived.answer->seals;
    const auto it = std::find_if(seals.begin(), seals.end(), [&](const auto& d) { return d.seal == seal->id; });
    if (it != seals.end()) {
        words = diagnosis::headline(map, *it, tr);
        if (it->position)
            words +=
                ", " + filled(tr("{0} from the {1} · {2} from the {3}"), tr.ordinal(it->position->nth_from_first_end),
                              tr.map_word(it->position->first_end), tr.ordinal(it->position->nth_from_second_end),
                              tr.map_word(it->position->second_end));
    }
    return filled(tr("Suspect {0}: {1}; divides {2} from {3}."), seal->id, words,
                  circuit_words(tr, map, seal->between[0]), circuit_words(tr, map, seal->between[1]));
}

void append(std::string& text, const std::string& sentence) {
    if (!text.empty() && !sentence.empty()) text += ' ';
    text += sentence;
}

} // namespace

std::string selection_words(const Session& session, const Derived& derived, const Translator& tr) {
    const Document& document = session.document;
    std::string words;
    if (!document.air_into.empty()) {
        words = filled(tr("Air into {0}"), port_title(document.map, document.air_into));
        if (!document.came_out.empty())
            words += ", " + filled(tr("came out at {0}"), port_title(document.map, document.came_out));
        words += '.';
    }
    append(words, suspect_words(tr, document.map, derived));
    if (session.view.selected.kind != model::SubjectKind::none) {
        const std::string title = subject_words(tr, session, session.view.selected).title;
        if (!title.empty()) append(words, filled(tr("Selected: {0}."), title));
    }
    return words;
}

std::vector<PictureText> picture_texts(const Session& session, const Derived& derived, const Translator& tr) {
    const model::UnitInfo& unit = session.document.map.unit;
    std::string described = selection_words(session, derived, tr);
    append(described, filled(session.view.section ? tr("View: {0}, cut open, lying {1}.") : tr("View: {0}, lying {1}."),
                             tr.word(session.view.viewpoint), lying_words(tr, session.view.lying)));
    return {{"Title", unit.name.empty() ? unit.id : unit.name},
            {"Description", described},
            {"Software", "Ringland"},
            {"Comment", unit.invented ? tr("Demo unit, invented.") : ""}};
}

} // namespace ringland::viewer
