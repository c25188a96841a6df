// Where the panels go: beside the drawing in a wide window, below it in a narrow one.
#include "panels.h"

#include <algorithm>
#include <cmath>

namespace ringland::viewer {

WindowPlan plan_window(const PanelContext& c, float width, float height) {
    const Widgets& w = c.w;
    WindowPlan plan;
    // Large letters in a small window leave no room for all: then the bar and the strip scroll within these shares.
    plan.bar = std::round(std::min(bar_height(c, width), 0.4F * height));
    plan.strip = c.map().stacks.empty() ? 0 : std::round(std::min(strip_height(c, width, height), 0.34F * height));
    const float middle = std::max(1.0F, height - plan.bar - plan.strip);
    // A short window stays side by side however narrow: two halves of little would show nothing.
    if (width >= w.px(900) || middle < w.px(560)) {
        const float column = std::round(std::min({w.px(372), 0.5F * width, std::max(w.px(300), 0.3F * width)}));
        plan.column_at = {0, plan.bar};
        plan.column_extent = {column, middle};
        plan.drawing = {double(column), double(plan.bar), double(std::max(1.0F, width - column)), double(middle)};
    } else {
        const float drawing = std::round(0.55F * middle);
        plan.drawing = {0, double(plan.bar), double(width), double(drawing)};
        plan.column_at = {0, plan.bar + drawing};
        plan.column_extent = {width, std::max(1.0F, middle - drawing)};
    }
    return plan;
}

} // namespace ringland::viewer
