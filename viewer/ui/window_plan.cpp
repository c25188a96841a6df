// Where the panels go: beside the drawing in a wide window, below it in a narrow one.
#include "panels.h"

#include <algorithm>
#include <cmath>

namespace ringland::viewer {

WindowPlan plan_window(const PanelContext& c, float width, float height) {
    const Widgets& w = c.w;
    WindowPlan plan;
    plan.bar = std::round(bar_height(c));
    // Large letters in a small window leave no room for all: then the strip scrolls within its share.
    plan.strip = c.map().stacks.empty() ? 0 : std::round(std::min(strip_height(c, width, height), 0.34F * height));
    plan.tour = std::round(std::min(tour_height(c, width), 0.4F * height));
    // In a window this low the strip would leave no drawing; what it says stands on the drawing and in the column.
    if (height < w.px(plan.tour > 0 ? 480 : 420)) plan.strip = 0;
    const float middle = std::max(1.0F, height - plan.bar - plan.strip - plan.tour);
    if (c.session().view.sheet != Sheet::drawing && width < w.px(900)) {
        // A sheet wants its whole width; what stands in the column is one press away, on the drawing.
        plan.drawing = {0, double(plan.bar), double(width), double(middle)};
        plan.column_at = {0, plan.bar};
        return plan;
    }
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
