// The rules of one key by itself, for maps and bench files alike. Private to model-data.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "map_fields.h"
#include "phrase.h"

namespace ringland::model {

/// What is wrong, and what would be right.
struct FieldComplaint {
    Phrase what, right;
};

/// A figure against the bounds of its field, both in the unit named.
[[nodiscard]] std::optional<FieldComplaint> complaint_about_figure(double value, double low, double high,
                                                                   const Field& field, std::string_view unit);

/// A free text: its length, and what may stand in it.
[[nodiscard]] std::optional<FieldComplaint> complaint_about_text(const std::string& text, const Field& field);

} // namespace ringland::model
