// What a tidy window is, checked from what a frame placed: nothing overlaps, nothing is cut off, everything is large
// enough for a gloved hand.
#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "../../viewer/ui/interface.h"

namespace ringland::tests {

struct LayoutRules {
    double least_target = 44; ///< pixels
    double width = 0, height = 0;
    /// Panels that are wider than their place by nature, and scroll sideways.
    std::vector<std::string> sideways{"strip", "chart", "network"};
};

namespace layout {

using viewer::Placed;
using viewer::PlacedRegion;
using viewer::Rect;

inline double right(const Rect& r) { return r.x + r.width; }
inline double low(const Rect& r) { return r.y + r.height; }
inline bool inside(const Rect& a, const Rect& b, double slack = 1) {
    return a.x >= b.x - slack && a.y >= b.y - slack && right(a) <= right(b) + slack && low(a) <= low(b) + slack;
}
inline bool meet(const Rect& a, const Rect& b, double slack = 1) {
    return std::min(right(a), right(b)) - std::max(a.x, b.x) > slack &&
           std::min(low(a), low(b)) - std::max(a.y, b.y) > slack;
}
inline std::string say(const Rect& r) {
    return fmt::format("[{:.0f},{:.0f} {:.0f}x{:.0f}]", r.x, r.y, r.width, r.height);
}
inline std::string say(const Placed& p) {
    const char* kind = p.kind == Placed::Kind::target ? "target" : p.kind == Placed::Kind::text ? "text" : "card";
    return fmt::format("{} \"{}\" of {} {}", kind, p.label, p.region, say(p.rect));
}

/// What is wrong with one thing in its panel.
inline void check_thing(const Placed& thing, const PlacedRegion& region, const LayoutRules& rules,
                        std::vector<std::string>& faults) {
    if (thing.cut) faults.push_back("cut off: " + say(thing));
    if (thing.kind == Placed::Kind::target &&
        (thing.rect.width < rules.least_target - 0.01 || thing.rect.height < rules.least_target - 0.01))
        faults.push_back("too small to press: " + say(thing));
    // Letters hang over their line by a hair.
    Rect room = region.rect;
    if (region.scrolls) {
        room.x = std::min(room.x, region.content.x);
        room.y = std::min(room.y, region.content.y);
        room.width = std::max(right(region.rect), right(region.content)) - room.x;
        room.height = std::max(low(region.rect), low(region.content)) - room.y;
    }
    if (!inside(thing.rect, room)) faults.push_back("beyond its panel: " + say(thing) + " in " + say(room));
}

inline void check_regions(const viewer::LayoutRecord& record, const LayoutRules& rules,
                          std::vector<std::string>& faults) {
    for (const PlacedRegion& a : record.regions) {
        if (!inside(a.rect, {0, 0, rules.width, rules.height}))
            faults.push_back("beyond the window: panel " + a.name + " " + say(a.rect));
        const bool sideways = std::find(rules.sideways.begin(), rules.sideways.end(), a.name) != rules.sideways.end();
        if (!sideways && a.scrolls && a.content.width > a.rect.width + 1)
            faults.push_back(
                fmt::format("scrolls sideways: panel {} {} holds {}", a.name, say(a.rect), say(a.content)));
        for (const PlacedRegion& b : record.regions) {
            if (&b <= &a) continue;
            if (a.name == b.name) faults.push_back("two panels called " + a.name);
            // A menu lies over the panels, but never over another menu.
            if (a.over_others == b.over_others && meet(a.rect, b.rect))
                faults.push_back("panels overlap: " + a.name + " " + say(a.rect) + " and " + b.name + " " +
                                 say(b.rect));
        }
    }
}

} // namespace layout

/// Everything that is wrong with a frame, in words; empty where it is tidy.
inline std::vector<std::string> layout_faults(const viewer::LayoutRecord& record, const LayoutRules& rules) {
    using namespace layout;
    std::vector<std::string> faults;
    check_regions(record, rules, faults);
    for (const PlacedRegion& region : record.regions) {
        std::vector<const Placed*> things;
        for (const Placed& thing : record.things) {
            // The ground of a menu stands still while what is on it scrolls.
            const bool ground = thing.kind == Placed::Kind::card && inside(region.rect, thing.rect);
            if (thing.region == region.name && !ground) things.push_back(&thing);
        }
        for (std::size_t i = 0; i < things.size(); ++i) {
            const Placed& a = *things[i];
            check_thing(a, region, rules, faults);
            for (std::size_t k = i + 1; k < things.size(); ++k) {
                const Placed& b = *things[k];
                if (!meet(a.rect, b.rect)) continue;
                // Words stand in a button or on a card; nothing else may share a place.
                const bool on = (a.kind == Placed::Kind::text) != (b.kind == Placed::Kind::text)
                                    ? inside(a.kind == Placed::Kind::text ? a.rect : b.rect,
                                             a.kind == Placed::Kind::text ? b.rect : a.rect)
                                : a.kind == Placed::Kind::text ? false
                                : a.kind == b.kind && a.kind == Placed::Kind::target
                                    ? false
                                    : inside(a.rect, b.rect) || inside(b.rect, a.rect);
                if (!on) faults.push_back("overlap: " + say(a) + " and " + say(b));
            }
        }
    }
    return faults;
}

} // namespace ringland::tests
