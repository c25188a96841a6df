// What the panels say: names of things in the words of the bench. No toolkit in here.
#pragma once

#include <string>
#include <string_view>

#include "../app/derived.h"
#include "../app/session.h"

namespace ringland::viewer {

/// "P3 LOW".
[[nodiscard]] std::string port_title(const model::UnitMap& map, const std::string& port);
/// "lip seal", "O-ring": the kind of a seal as the bench says it.
[[nodiscard]] std::string_view kind_word(model::SealKind kind);
/// "ring, PTFE, scarf joint"; "gasket bridge".
[[nodiscard]] std::string kind_words(const model::Seal& seal);
[[nodiscard]] std::string_view material_words(model::Material material);
/// "on the stack", "on the case face", "inside a shaft", "inside a drum or servo".
[[nodiscard]] std::string_view relation_words(model::Relation relation);
/// "3rd from the pump end (down) · 3rd from the drum end (up)".
[[nodiscard]] std::string both_ends_lying(const model::UnitMap& map, const diagnosis::StackPosition& position,
                                          model::Lying lying);
/// Where a seal sits: its place in the stack, or the part it is in with the relation.
[[nodiscard]] std::string place_words(const model::UnitMap& map, const model::Seal& seal, model::Lying lying);
/// "40 psi" or "2.8 bar".
[[nodiscard]] std::string pressure_words(const model::GaugePressure& pressure, UnitSystem units);
/// A gauge's reading in pascal: "34.9 psi", "2.41 bar".
[[nodiscard]] std::string gauge_words(double gauge_pa, UnitSystem units);
/// What was seen at a place: "strong", "31.0 psi", "0.4 s" until it applies, "never", "not sure".
[[nodiscard]] std::string seen_words(const model::Seen& seen, UnitSystem units);
/// "2.4 L/min", normal litres.
[[nodiscard]] std::string flow_words(double lpm);
/// What of the circuits and seals the case that is set makes: "31 psi", "147 L/min from Low into Coast"; empty where no
/// air goes in.
[[nodiscard]] std::string air_words(const Session& session, const Derived& derived, const model::Subject& subject);
/// "2.4 mm" or "0.094 in".
[[nodiscard]] std::string length_words(const model::Length& length, UnitSystem units);
/// "belly up".
[[nodiscard]] std::string_view lying_words(model::Lying lying);

/// A thing of the drawing: its name, and one line about it.
struct SubjectWords {
    std::string title, detail;
};
[[nodiscard]] SubjectWords subject_words(const Session& session, const model::Subject& subject);

} // namespace ringland::viewer
