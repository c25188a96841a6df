// The answers of `road` in the words of the bench, for a terminal and for paper.
#pragma once

#include <string>
#include <vector>

#include "../../diagnosis/road/complaints.h"
#include "../../diagnosis/road/road.h"

namespace ringland::viewer {

/// One hole in full.
[[nodiscard]] std::string road_text(const model::UnitMap& map, const diagnosis::road::RoadAnswer& answer,
                                    const std::vector<diagnosis::road::BorderStep>& borders);
/// Several holes of one seal, a line for each.
[[nodiscard]] std::string road_table_text(const model::UnitMap& map,
                                          const std::vector<diagnosis::road::RoadAnswer>& answers,
                                          const std::vector<diagnosis::road::BorderStep>& borders);
/// Which seals fit what a driver says.
[[nodiscard]] std::string complaints_text(const model::UnitMap& map, const std::vector<model::Complaint>& complaints,
                                          const diagnosis::road::ComplaintAnswer& answer,
                                          const std::string& priors_file);

} // namespace ringland::viewer
