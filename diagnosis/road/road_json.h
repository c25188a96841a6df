// The answers of `road` as JSON for programs, with the field names that docs/command-line.md lists.
#pragma once

#include <string>
#include <vector>

#include "complaints.h"
#include "road.h"

namespace ringland::diagnosis::road {

/// One hole, or a table over several of one seal; `borders` are those of the seal.
[[nodiscard]] std::string to_json(const model::UnitMap& map, const std::vector<RoadAnswer>& answers,
                                  const std::vector<BorderStep>& borders);
[[nodiscard]] std::string to_json(const model::UnitMap& map, const std::vector<model::Complaint>& complaints,
                                  const ComplaintAnswer& answer);

} // namespace ringland::diagnosis::road
