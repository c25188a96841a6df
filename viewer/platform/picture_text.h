// What a picture's file says of itself in words: which unit, and what of it is shown.
#pragma once

#include <string>
#include <vector>

#include "../app/derived.h"
#include "../app/session.h"
#include "picture.h"

namespace ringland::viewer {

/// "Air into P3 LOW, came out at P4 COAST. Suspect: Ring 3 of 5 on the input shaft, 3rd from the pump end · 3rd from
/// the drum end." and what is selected; empty where nothing is asked.
[[nodiscard]] std::string selection_words(const Session& session, const Derived& derived, const Translator& tr = {});

/// Title: the unit; Description: the selection and the view; Software; and a Comment on invented units.
[[nodiscard]] std::vector<PictureText> picture_texts(const Session& session, const Derived& derived,
                                                     const Translator& tr = {});

} // namespace ringland::viewer
