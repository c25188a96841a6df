// Hatches of cut faces, as in drawing practice: parts that touch in the cut differ, thin ones are solid ink.

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>
#include <utility>

#include <glm/geometric.hpp>

#include "shape_build.h"

namespace ringland::model::build {
namespace {

constexpr double touching_mm = 4.0; ///< what is nearer than that counts as touching: the eye takes it so
constexpr double step_mm = 2.0;     ///< between the places at which outlines are compared
constexpr double thin_mm = 1.5;     ///< a wall thinner than that has no room for hatch lines

struct CutLine {
    glm::dvec2 from, to; ///< x and z in the plane y = 0, metal to one side
};

std::vector<CutLine> outline_in_cut(const Mesh& mesh) {
    std::vector<CutLine> lines;
    for (std::size_t t = 0; t + 2 < mesh.triangles.size(); t += 3) {
        std::array<glm::dvec3, 3> p;
        for (std::size_t k = 0; k < 3; ++k)
            p[k] = mesh.positions[mesh.triangles[t + k]];
        // A corner in the plane counts as beside it: each outline then comes exactly once from a closed mesh.
        CutLine line{};
        int ends = 0;
        for (std::size_t k = 0; k < 3; ++k) {
            const auto &a = p[k], &b = p[(k + 1) % 3];
            if ((a.y > 0) == (b.y > 0)) continue;
            const double at = a.y / (a.y - b.y);
            const glm::dvec2 place(a.x + (b.x - a.x) * at, a.z + (b.z - a.z) * at);
            (a.y > 0 ? line.to : line.from) = place;
            ++ends;
        }
        if (ends == 2) lines.push_back(line);
    }
    return lines;
}

/// Twice the area over the outline: for a long strip about its thickness.
double thickness(const std::vector<CutLine>& lines) {
    double area = 0, length = 0;
    for (const auto& line : lines) {
        area += (line.from.x * line.to.y - line.to.x * line.from.y) / 2;
        length += glm::length(line.to - line.from);
    }
    return length > 0 ? 2 * std::abs(area) / length : 0;
}

/// Which of the outlines come near each other, found by cells of a grid.
std::set<std::pair<std::size_t, std::size_t>> touching(const std::vector<std::vector<CutLine>>& outlines) {
    struct Place {
        glm::dvec2 at;
        std::size_t shape;
    };
    std::map<std::pair<long, long>, std::vector<Place>> cells;
    for (std::size_t s = 0; s < outlines.size(); ++s) {
        for (const auto& line : outlines[s]) {
            const int steps = 1 + static_cast<int>(glm::length(line.to - line.from) / step_mm);
            for (int i = 0; i < steps; ++i) {
                const auto at = line.from + (line.to - line.from) * (static_cast<double>(i) / steps);
                auto& cell = cells[{std::lround(at.x / touching_mm), std::lround(at.y / touching_mm)}];
                // One place of a shape is enough for a cell.
                if (cell.empty() || cell.back().shape != s) cell.push_back({at, s});
            }
        }
    }
    std::set<std::pair<std::size_t, std::size_t>> pairs;
    for (const auto& [cell, places] : cells) {
        for (long dx = 0; dx <= 1; ++dx) {
            for (long dy = -1; dy <= 1; ++dy) {
                if (dx == 0 && dy < 0) continue;
                const auto beside = cells.find({cell.first + dx, cell.second + dy});
                if (beside == cells.end()) continue;
                for (const auto& a : places) {
                    for (const auto& b : beside->second) {
                        if (a.shape != b.shape) pairs.insert(std::minmax(a.shape, b.shape));
                    }
                }
            }
        }
    }
    return pairs;
}

bool is_hatched(const Shape& shape) {
    return shape.section == SectionRule::cut && !shape.circuit_space && shape.subject.kind != SubjectKind::seal &&
           shape.material != Material::rubber && shape.material != Material::friction;
}

} // namespace

void choose_hatches(std::vector<Shape>& shapes) {
    std::vector<std::vector<CutLine>> outlines(shapes.size());
    std::vector<std::size_t> piece(shapes.size()); // the first shape of the same casting
    for (std::size_t s = 0; s < shapes.size(); ++s) {
        piece[s] = s;
        if (!is_hatched(shapes[s])) continue;
        outlines[s] = outline_in_cut(shapes[s].mesh);
        const double t = thickness(outlines[s]);
        if (t > 0 && t < thin_mm) {
            shapes[s].hatch = solid_ink;
            outlines[s].clear();
        }
        for (std::size_t other = 0; other < s && shapes[s].glass; ++other) {
            if (shapes[other].glass && shapes[other].subject == shapes[s].subject &&
                shapes[s].subject.kind == SubjectKind::part && is_hatched(shapes[other]))
                piece[s] = piece[other];
        }
    }
    std::map<std::size_t, std::set<std::size_t>> beside;
    for (const auto& [a, b] : touching(outlines)) {
        if (piece[a] == piece[b]) continue;
        beside[piece[a]].insert(piece[b]);
        beside[piece[b]].insert(piece[a]);
    }
    // The piece with the fewest hatches left goes first, of equals the one with the most neighbours.
    std::map<std::size_t, int> chosen;
    const auto taken = [&](std::size_t p) {
        std::set<int> hatches;
        for (const auto n : beside[p]) {
            if (const auto found = chosen.find(n); found != chosen.end()) hatches.insert(found->second);
        }
        return hatches;
    };
    std::set<std::size_t> open;
    for (std::size_t s = 0; s < shapes.size(); ++s) {
        if (!outlines[s].empty()) open.insert(piece[s]);
    }
    while (!open.empty()) {
        const auto next = *std::max_element(open.begin(), open.end(), [&](std::size_t a, std::size_t b) {
            const auto left = std::pair(taken(a).size(), beside[a].size());
            const auto right = std::pair(taken(b).size(), beside[b].size());
            return left != right ? left < right : a > b;
        });
        const auto used = taken(next);
        int hatch = 0;
        while (used.count(hatch) > 0)
            ++hatch;
        chosen[next] = hatch;
        open.erase(next);
    }
    // The plain hatches for those that have most to hatch.
    std::map<int, double> length;
    for (std::size_t s = 0; s < shapes.size(); ++s) {
        for (const auto& line : outlines[s])
            length[chosen[piece[s]]] += glm::length(line.to - line.from);
    }
    std::vector<std::pair<double, int>> order;
    order.reserve(length.size());
    for (const auto& [hatch, sum] : length)
        order.emplace_back(-sum, hatch);
    std::sort(order.begin(), order.end());
    std::map<int, int> name;
    for (std::size_t i = 0; i < order.size(); ++i)
        name[order[i].second] = static_cast<int>(i);
    for (std::size_t s = 0; s < shapes.size(); ++s) {
        if (!outlines[s].empty()) shapes[s].hatch = name[chosen[piece[s]]];
    }
}

} // namespace ringland::model::build
