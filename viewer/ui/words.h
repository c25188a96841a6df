// What the panels say: names of things in the words of the bench, in the language of the translator. No toolkit in
// here.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "../app/derived.h"
#include "../app/session.h"
#include "../app/texts.h"

namespace ringland::viewer {

/// "Shift+Page up": a key as the list of keys has it.
[[nodiscard]] std::string key_words(const Translator& tr, std::string_view key);
/// Name of a circuit, or the sump in the words of the language.
[[nodiscard]] std::string circuit_words(const Translator& tr, const model::UnitMap& map, std::string_view circuit);
/// Name of a seal, or its id and kind.
[[nodiscard]] std::string seal_words(const Translator& tr, const model::Seal& seal);
/// "A, B and C".
[[nodiscard]] std::string joined(const Translator& tr, const std::vector<std::string>& names);
/// "P3 LOW".
[[nodiscard]] std::string port_title(const model::UnitMap& map, const std::string& port);
/// "lip seal", "O-ring": the kind of a seal as the bench says it.
[[nodiscard]] std::string kind_word(const Translator& tr, model::SealKind kind);
/// "ring, PTFE, scarf joint"; "gasket bridge".
[[nodiscard]] std::string kind_words(const Translator& tr, const model::Seal& seal);
[[nodiscard]] std::string material_words(const Translator& tr, model::Material material);
/// "on the stack", "on the case face", "inside a shaft", "inside a drum or servo".
[[nodiscard]] std::string relation_words(const Translator& tr, model::Relation relation);
/// "3rd from the pump end (down) · 3rd from the drum end (up)".
[[nodiscard]] std::string both_ends_lying(const Translator& tr, const model::UnitMap& map,
                                          const diagnosis::StackPosition& position, model::Lying lying);
/// Where a seal sits: its place in the stack, or the part it is in with the relation.
[[nodiscard]] std::string place_words(const Translator& tr, const model::UnitMap& map, const model::Seal& seal,
                                      model::Lying lying);
/// "40 psi" or "2.8 bar".
[[nodiscard]] std::string pressure_words(const Translator& tr, const model::GaugePressure& pressure, UnitSystem units);
/// A gauge's reading in pascal: "34.9 psi", "2.41 bar".
[[nodiscard]] std::string gauge_words(const Translator& tr, double gauge_pa, UnitSystem units);
/// What was seen at a place: "strong", "31.0 psi", "0.4 s" until it applies, "never", "not sure".
[[nodiscard]] std::string seen_words(const Translator& tr, const model::Seen& seen, UnitSystem units);
/// "2.4 L/min", normal litres.
[[nodiscard]] std::string flow_words(const Translator& tr, double lpm);
/// What of the circuits and seals the case that is set makes: "31 psi", "147 L/min from Low into Coast"; empty where no
/// air goes in.
[[nodiscard]] std::string air_words(const Translator& tr, const Session& session, const Derived& derived,
                                    const model::Subject& subject);
/// "2.4 mm" or "0.094 in".
[[nodiscard]] std::string length_words(const Translator& tr, const model::Length& length, UnitSystem units);
/// "belly up".
[[nodiscard]] std::string lying_words(const Translator& tr, model::Lying lying);

/// A thing of the drawing: its name, and one line about it.
struct SubjectWords {
    std::string title, detail;
};
[[nodiscard]] SubjectWords subject_words(const Translator& tr, const Session& session, const model::Subject& subject);

} // namespace ringland::viewer
