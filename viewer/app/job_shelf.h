// The shelf where the shop's jobs stand, as the window sees it: what was asked, and what came of it.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "../../diagnosis/records/records.h"

namespace ringland::viewer {

/// One answer of the records. It stands until a newer one comes; nothing waits for it.
struct ShelfPage {
    diagnosis::records::Search search; ///< that it is the answer to
    std::vector<diagnosis::records::JobLine> lines;
    std::size_t total = 0; ///< jobs in the records
    diagnosis::records::Statistics statistics;
    std::string trouble; ///< why nothing is kept; empty: all is well
    bool away = false;   ///< the server is away
    std::size_t waiting = 0;
};

} // namespace ringland::viewer
