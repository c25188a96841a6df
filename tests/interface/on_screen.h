// Where the things of a unit stand on the screen, found from the layout and the camera alone.
#pragma once

#include <string>

#include <doctest/doctest.h>

#include "../../viewer/app/camera.h"
#include "../../viewer/app/commands.h"

namespace ringland::tests {

struct Pixel {
    double x = 0, y = 0;
};

/// A point of unit space as the camera at rest sees it.
inline Pixel pixel_of(const viewer::Workbench& bench, const viewer::Viewport& drawing, const glm::dvec3& point) {
    const auto& view = bench.session().view;
    const glm::dvec3 p = viewer::project(point, view.flight.to, view.lying, drawing);
    REQUIRE(p.z > 0);
    return {p.x, p.y};
}

/// The middle of a port's open end, which stands out of the case face by nearly nine millimetres.
inline Pixel port_pixel(const viewer::Workbench& bench, const viewer::Viewport& drawing, const std::string& port) {
    for (const auto& place : bench.derived().layout.ports) {
        if (place.port == port) return pixel_of(bench, drawing, place.at + glm::dvec3(0, 0, -8.7));
    }
    FAIL("no port ", port);
    return {};
}

/// The line of a ring of a stack that looks straight out of the opened half.
inline Pixel ring_pixel(const viewer::Workbench& bench, const viewer::Viewport& drawing, const std::string& seal) {
    for (const auto& stack : bench.derived().layout.stacks) {
        for (const auto& ring : stack.rings) {
            if (ring.seal != seal) continue;
            const double out = viewer::cut_side(bench.session().view.lying) * stack.bore_radius;
            return pixel_of(bench, drawing, stack.axis + glm::dvec3(ring.x, out, 0));
        }
    }
    FAIL("no ring ", seal);
    return {};
}

} // namespace ringland::tests
