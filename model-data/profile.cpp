#include "profile.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace ringland::model {
namespace {

constexpr double same = 1e-6;

std::vector<double> grid_lines(const std::vector<SectionRect>& add, const std::vector<SectionRect>& cut, bool along_x) {
    std::vector<double> lines;
    for (const auto* list : {&add, &cut}) {
        for (const auto& rect : *list) {
            lines.push_back(along_x ? rect.x0 : rect.r0);
            lines.push_back(along_x ? rect.x1 : rect.r1);
        }
    }
    std::sort(lines.begin(), lines.end());
    lines.erase(std::unique(lines.begin(), lines.end(), [](double a, double b) { return b - a < same; }), lines.end());
    return lines;
}

std::size_t line_index(const std::vector<double>& lines, double value) {
    const auto it = std::lower_bound(lines.begin(), lines.end(), value - same);
    return static_cast<std::size_t>(it - lines.begin());
}

/// Cells of the grid between neighbouring lines; true where there is metal.
struct CellGrid {
    std::vector<double> xs, rs;
    std::vector<char> metal;
    [[nodiscard]] std::size_t columns() const { return xs.empty() ? 0 : xs.size() - 1; }
    [[nodiscard]] std::size_t rows() const { return rs.empty() ? 0 : rs.size() - 1; }
    [[nodiscard]] bool at(long column, long row) const {
        if (column < 0 || row < 0 || column >= static_cast<long>(columns()) || row >= static_cast<long>(rows()))
            return false;
        return metal[static_cast<std::size_t>(row) * columns() + static_cast<std::size_t>(column)] != 0;
    }
    void fill(const SectionRect& rect, char value) {
        const auto c1 = std::min(line_index(xs, rect.x1), columns());
        const auto r1 = std::min(line_index(rs, rect.r1), rows());
        for (auto row = line_index(rs, rect.r0); row < r1; ++row) {
            for (auto column = line_index(xs, rect.x0); column < c1; ++column)
                metal[row * columns() + column] = value;
        }
    }
};

using GridPoint = std::pair<long, long>;

/// Directed border steps with metal on the left, by their starting point.
std::multimap<GridPoint, GridPoint> border_steps(const CellGrid& grid) {
    std::multimap<GridPoint, GridPoint> steps;
    for (long row = 0; row < static_cast<long>(grid.rows()); ++row) {
        for (long column = 0; column < static_cast<long>(grid.columns()); ++column) {
            if (!grid.at(column, row)) continue;
            if (!grid.at(column, row - 1)) steps.insert({{column, row}, {column + 1, row}});
            if (!grid.at(column + 1, row)) steps.insert({{column + 1, row}, {column + 1, row + 1}});
            if (!grid.at(column, row + 1)) steps.insert({{column + 1, row + 1}, {column, row + 1}});
            if (!grid.at(column - 1, row)) steps.insert({{column, row + 1}, {column, row}});
        }
    }
    return steps;
}

/// Of the steps that leave a point, the one that turns most to the left: touching corners then stay separate solids.
std::multimap<GridPoint, GridPoint>::iterator next_step(std::multimap<GridPoint, GridPoint>& steps, GridPoint from,
                                                        GridPoint at) {
    const auto [first, last] = steps.equal_range(at);
    auto best = first;
    for (auto it = first; it != last; ++it) {
        const long ax = at.first - from.first, ay = at.second - from.second;
        const long bx = it->second.first - at.first, by = it->second.second - at.second;
        if (ax * by - ay * bx > 0) best = it;
    }
    return best;
}

ProfileLoop without_straight_points(const ProfileLoop& loop) {
    ProfileLoop kept;
    const auto n = loop.size();
    for (std::size_t i = 0; i < n; ++i) {
        const auto a = loop[i] - loop[(i + n - 1) % n];
        const auto b = loop[(i + 1) % n] - loop[i];
        if (std::abs(a.x * b.y - a.y * b.x) > 1e-9) kept.push_back(loop[i]);
    }
    return kept;
}

} // namespace

std::vector<ProfileLoop> trace_region(const std::vector<SectionRect>& add, const std::vector<SectionRect>& cut) {
    CellGrid grid;
    grid.xs = grid_lines(add, cut, true);
    grid.rs = grid_lines(add, cut, false);
    grid.metal.assign(grid.columns() * grid.rows(), 0);
    for (const auto& rect : add)
        grid.fill(rect, 1);
    for (const auto& rect : cut)
        grid.fill(rect, 0);

    auto steps = border_steps(grid);
    std::vector<ProfileLoop> loops;
    while (!steps.empty()) {
        auto step = steps.begin();
        const GridPoint start = step->first;
        ProfileLoop loop;
        while (true) {
            const GridPoint from = step->first;
            const GridPoint to = step->second;
            loop.emplace_back(grid.xs[static_cast<std::size_t>(from.first)],
                              grid.rs[static_cast<std::size_t>(from.second)]);
            steps.erase(step);
            if (to == start) break;
            step = next_step(steps, from, to);
            if (step == steps.end() || step->first != to) break;
        }
        loop = without_straight_points(loop);
        if (loop.size() >= 4) loops.push_back(std::move(loop));
    }
    return loops;
}

ProfileLoop chamfered(const ProfileLoop& loop, double leg) {
    ProfileLoop result;
    const auto n = loop.size();
    for (std::size_t i = 0; i < n; ++i) {
        const auto here = loop[i];
        const auto before = loop[(i + n - 1) % n];
        const auto after = loop[(i + 1) % n];
        const auto a = here - before;
        const auto b = after - here;
        const bool convex = a.x * b.y - a.y * b.x > 0;
        const double a_length = std::hypot(a.x, a.y), b_length = std::hypot(b.x, b.y);
        const double use = std::min({leg, a_length * 0.3, b_length * 0.3});
        if (!convex || here.y < 1e-6 || use < 0.02) {
            result.push_back(here);
            continue;
        }
        result.push_back(here - a * (use / a_length));
        result.push_back(here + b * (use / b_length));
    }
    return result;
}

ProfileLoop filleted(const ProfileLoop& loop, double radius) {
    ProfileLoop result;
    const auto n = loop.size();
    for (std::size_t i = 0; i < n; ++i) {
        const auto here = loop[i], a = here - loop[(i + n - 1) % n], b = loop[(i + 1) % n] - here;
        const bool concave = a.x * b.y - a.y * b.x < 0, right = std::abs(a.x * b.x + a.y * b.y) < same;
        const double a_length = std::hypot(a.x, a.y), b_length = std::hypot(b.x, b.y);
        if (!concave || !right || radius <= 0 || std::min(a_length, b_length) < 2.5 * radius || here.y < radius) {
            result.push_back(here);
            continue;
        }
        const auto in = a / a_length, out = b / b_length;
        // A quarter of a circle about the point that lies one radius from both edges.
        const auto middle = here - in * radius + out * radius;
        constexpr int steps = 3; // flat enough at each that nobody would ink it
        for (int k = 0; k <= steps; ++k) {
            const double t = k * std::acos(0.0) / steps;
            result.push_back(middle - out * (radius * std::cos(t)) + in * (radius * std::sin(t)));
        }
    }
    return result;
}

} // namespace ringland::model
