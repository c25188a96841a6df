// What a hand does on the drawing: turn, move, zoom, click, double click.
#pragma once

#include "panels.h"

namespace ringland::viewer {

/// Follows presses and drags over the drawing and turns them into commands.
class Pointer {
public:
    /// Call once a frame inside the drawing's region. Returns true while the pointer is on the drawing itself.
    bool follow(PanelContext& c, const Viewport& drawing, const model::Subject& hover, bool shift, double now_s,
                double pixels_per_point);
    [[nodiscard]] bool dragging() const { return moved_; }

private:
    void clicked(PanelContext& c, const model::Subject& subject, double now_s, float reach);

    int button_ = -1;
    bool moved_ = false, panning_ = false;
    ImVec2 pressed_at_{}, last_click_at_{};
    double last_click_s_ = -1;
};

} // namespace ringland::viewer
