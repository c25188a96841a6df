// The handout for a browser: one file that holds everything and asks the network for nothing.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "content.h"

namespace ringland::viewer {

/// The unit in three dimensions: binary glTF, and words at points of it.
struct PageModel {
    struct Spot {
        std::array<double, 3> at{}; ///< metres, y up
        std::string text;
        bool main = false;
    };
    std::string glb; ///< empty: the page has no model
    std::vector<Spot> spots;
};

/// A picture of the page as a file of its kind, ready to stand in it.
struct PagePicture {
    std::string type; ///< "image/webp"
    std::string bytes;
};

/// The page. `pictures` go with handout.pictures, in their order; `logo` may be empty.
[[nodiscard]] std::string handout_html(const Handout& handout, const std::vector<PagePicture>& pictures,
                                       const PagePicture& logo, const PageModel& model);

/// Whether this program carries the script that turns a model.
[[nodiscard]] bool has_model_script();

/// Text that means itself in HTML, between tags and in attributes.
[[nodiscard]] std::string html_escaped(std::string_view text);
[[nodiscard]] std::string base64(std::string_view bytes);

} // namespace ringland::viewer
