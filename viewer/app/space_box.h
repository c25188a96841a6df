// Boxes around what stands in unit space.
#pragma once

#include <limits>
#include <vector>

#include <glm/common.hpp>
#include <glm/mat4x4.hpp>
#include <glm/vec3.hpp>
#include <glm/vec4.hpp>

namespace ringland::viewer {

/// A box along the axes of unit space, mm, that grows by what it has to hold.
struct SpaceBox {
    glm::dvec3 low{std::numeric_limits<double>::max()}, high{std::numeric_limits<double>::lowest()};

    [[nodiscard]] bool empty() const { return low.x > high.x; }
    void add(const glm::dvec3& p, double around = 0) {
        low = glm::min(low, p - glm::dvec3(around));
        high = glm::max(high, p + glm::dvec3(around));
    }
    void add(const SpaceBox& more) {
        low = glm::min(low, more.low);
        high = glm::max(high, more.high);
    }
    /// A cylinder along x.
    void add(double x0, double x1, const glm::dvec3& axis, double radius) {
        add({x0, axis.y - radius, axis.z - radius});
        add({x1, axis.y + radius, axis.z + radius});
    }
    [[nodiscard]] std::vector<glm::dvec3> corners(const glm::dmat4& to_world) const {
        std::vector<glm::dvec3> points;
        for (int i = 0; i < 8; ++i) {
            const glm::dvec3 p{(i & 1) != 0 ? high.x : low.x, (i & 2) != 0 ? high.y : low.y,
                               (i & 4) != 0 ? high.z : low.z};
            points.emplace_back(to_world * glm::dvec4(p, 1));
        }
        return points;
    }
};

} // namespace ringland::viewer
