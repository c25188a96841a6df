// The unit as a model that turns in a page: the exported shapes, lying as on the bench, with fewer triangles.
#pragma once

#include <array>
#include <string>

#include "../../model-data/job.h"
#include "../handout/handout_html.h"

namespace ringland::viewer {

/// The model with the seal picked out; nothing where the job has no map that can be drawn.
[[nodiscard]] PageModel handout_model(const Translator& tr, const model::Job& job, const std::string& seal);

} // namespace ringland::viewer
