// The guided tour: a few steps on the unit that is open, each done by the hand itself. It only watches; it changes
// nothing, and no step is in the way of other work.
#pragma once

#include <cstddef>
#include <optional>
#include <string>

#include "commands.h"

namespace ringland::viewer {

/// Where a step points.
struct TourAim {
    std::string item;     ///< of the window, by its label; empty: none
    model::Subject thing; ///< on the drawing; none: none
    bool drawing = false; ///< the drawing as a whole
};

class Tour {
public:
    /// A tour of the unit that is open; nothing where no two ports of it have a seal between them.
    [[nodiscard]] static std::optional<Tour> of(const Workbench& bench);

    /// Goes past every step that is done. Call it once a frame.
    void watch(const Workbench& bench);
    /// The step that only says something has been read.
    void go_on(const Workbench& bench);

    [[nodiscard]] bool over() const { return step_ >= count; }
    [[nodiscard]] std::size_t step() const { return step_; }
    [[nodiscard]] std::string title(const Workbench& bench) const;
    [[nodiscard]] std::string words(const Workbench& bench) const;
    [[nodiscard]] TourAim aim() const;
    [[nodiscard]] bool only_read() const; ///< it is passed by go_on
    [[nodiscard]] const std::string& air_into() const { return into_; }
    [[nodiscard]] const std::string& came_out() const { return out_; }

    static constexpr std::size_t count = 7;

private:
    void enter(const Workbench& bench);
    [[nodiscard]] bool done(const Workbench& bench) const;

    std::string into_, out_;
    std::size_t step_ = 0;
    Camera camera_; ///< as it was when the step began
};

} // namespace ringland::viewer
