#include "edges.h"

#include <array>

#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/vec4.hpp>

namespace ringland::viewer {

namespace {

using model::Mesh;

/// Appends the lines in which the plane y = 0 cuts the triangles of a mesh.
void cut_lines(const Mesh& mesh, std::uint16_t shape, std::vector<LineInstance>& lines) {
    for (std::size_t t = 0; t + 2 < mesh.triangles.size(); t += 3) {
        std::array<glm::vec3, 3> p;
        for (std::size_t k = 0; k < 3; ++k)
            p[k] = mesh.positions[mesh.triangles[t + k]];
        // A corner in the plane counts as beside it: each contour then comes exactly once from a closed mesh.
        const std::array<bool, 3> over{p[0].y > 0, p[1].y > 0, p[2].y > 0};
        std::array<glm::vec3, 2> ends;
        std::size_t found = 0;
        for (std::size_t k = 0; k < 3 && found < 2; ++k) {
            const auto &a = p[k], &b = p[(k + 1) % 3];
            if (over[k] != over[(k + 1) % 3]) ends[found++] = glm::mix(a, b, a.y / (a.y - b.y));
        }
        if (found == 2 && ends[0] != ends[1]) lines.push_back({ends[0], ends[1], shape, 2});
    }
}

} // namespace

Edges::Edges(const std::vector<model::Shape>& shapes) {
    std::size_t corners = 0, faces = 0, edges = 0;
    for (const auto& shape : shapes) {
        corners += shape.mesh.positions.size();
        faces += shape.mesh.triangles.size() / 3;
        edges += shape.mesh.crease.size() + shape.mesh.smooth.size();
    }
    corners_.reserve(corners);
    for (auto* list : {&x_, &y_, &z_, &d_})
        list->reserve(faces);
    edges_.reserve(edges);
    for (const auto& shape : shapes)
        add_shape(shape);
}

void Edges::add_shape(const model::Shape& shape) {
    const auto& mesh = shape.mesh;
    Box box{glm::vec3(1e9f), glm::vec3(-1e9f)};
    for (const auto& p : mesh.positions) {
        box.low = glm::min(box.low, p);
        box.high = glm::max(box.high, p);
    }
    Range range;
    range.cut = shape.section == model::SectionRule::cut;
    range.glass = shape.glass;
    range.first_corner = corners_.size();
    corners_.insert(corners_.end(), mesh.positions.begin(), mesh.positions.end());
    range.first_face = x_.size();
    range.faces = mesh.triangles.size() / 3;
    for (std::size_t t = 0; t + 2 < mesh.triangles.size(); t += 3) {
        const auto& a = mesh.positions[mesh.triangles[t]];
        const auto n = glm::cross(mesh.positions[mesh.triangles[t + 1]] - a, mesh.positions[mesh.triangles[t + 2]] - a);
        const float length = glm::length(n);
        const auto unit = length > 0 ? n / length : glm::vec3(0);
        x_.push_back(unit.x), y_.push_back(unit.y), z_.push_back(unit.z);
        d_.push_back(glm::dot(unit, a));
    }
    range.first = edges_.size();
    edges_.insert(edges_.end(), mesh.crease.begin(), mesh.crease.end());
    range.smooth = edges_.size();
    edges_.insert(edges_.end(), mesh.smooth.begin(), mesh.smooth.end());
    range.end = edges_.size();
    ContourRange contour{contours_.size(), 0};
    if (range.cut && box.low.y < 0 && box.high.y > 0)
        cut_lines(mesh, static_cast<std::uint16_t>(ranges_.size()), contours_);
    contour.count = contours_.size() - contour.first;
    boxes_.push_back(box);
    ranges_.push_back(range);
    contour_ranges_.push_back(contour);
}

void Edges::collect_shape(std::vector<LineInstance>& lines, std::size_t shape, const glm::vec3& unit_eye, double side,
                          float along) const {
    const glm::vec3 eye(unit_eye.x - along, unit_eye.y, unit_eye.z); // as the shape sees it
    const std::size_t before = lines.size();
    const auto& range = ranges_[shape];
    const bool cut = range.cut && side != 0;
    if (cut && (side > 0 ? boxes_[shape].low.y : -boxes_[shape].high.y) > 0) return; // wholly taken away
    const auto sign = static_cast<float>(side);
    std::vector<std::uint8_t> turned(range.faces);
    const float *x = &x_[range.first_face], *y = &y_[range.first_face], *z = &z_[range.first_face],
                *d = &d_[range.first_face];
    for (std::size_t f = 0; f < range.faces; ++f)
        turned[f] = x[f] * eye.x + y[f] * eye.y + z[f] * eye.z > d[f] ? 1 : 0;
    const auto* corners = &corners_[range.first_corner];
    for (std::size_t e = range.first; e < range.end; ++e) {
        const auto& edge = edges_[e];
        const bool smooth = e >= range.smooth;
        if (smooth ? turned[edge.left] == turned[edge.right]
                   : edge.left != edge.right && !(turned[edge.left] || turned[edge.right]))
            continue;
        const auto &from = corners[edge.a], &to = corners[edge.b];
        if (cut && from.y * sign > 0 && to.y * sign > 0) continue;
        lines.push_back({from, to, static_cast<std::uint16_t>(shape), static_cast<std::uint16_t>(smooth ? 1 : 0)});
    }
    if (cut && eye.y * sign > 0) {
        const auto first = contours_.begin() + static_cast<std::ptrdiff_t>(contour_ranges_[shape].first);
        lines.insert(lines.end(), first, first + static_cast<std::ptrdiff_t>(contour_ranges_[shape].count));
    }
    if (along == 0) return;
    for (std::size_t i = before; i < lines.size(); ++i) {
        lines[i].from.x += along;
        lines[i].to.x += along;
    }
}

std::size_t Edges::collect(std::vector<LineInstance>& lines, const glm::vec3& eye, double side,
                           const glm::mat4& clip_from_unit, const std::vector<Pose>& poses) const {
    lines.clear();
    std::size_t before_glass = 0;
    for (const bool glass : {false, true}) {
        before_glass = lines.size();
        for (std::size_t s = 0; s < ranges_.size(); ++s) {
            const Pose pose = poses.empty() ? Pose{0, false, ranges_[s].glass} : poses[s];
            if (pose.glass != glass || pose.hidden || boxes_[s].empty() ||
                !in_view(boxes_[s].moved(pose.along), clip_from_unit))
                continue;
            collect_shape(lines, s, eye, side, pose.along);
        }
    }
    return before_glass;
}

bool in_view(const Edges::Box& box, const glm::mat4& clip_from_unit) {
    std::array<int, 5> outside{};
    for (int corner = 0; corner < 8; ++corner) {
        const glm::vec3 p((corner & 1) ? box.high.x : box.low.x, (corner & 2) ? box.high.y : box.low.y,
                          (corner & 4) ? box.high.z : box.low.z);
        const glm::vec4 c = clip_from_unit * glm::vec4(p, 1);
        outside[0] += c.x < -c.w;
        outside[1] += c.x > c.w;
        outside[2] += c.y < -c.w;
        outside[3] += c.y > c.w;
        outside[4] += c.w <= 0;
    }
    for (const int count : outside) {
        if (count == 8) return false;
    }
    return true;
}

} // namespace ringland::viewer
