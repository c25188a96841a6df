#include "edges.h"

#include <array>
#include <cstring>
#include <unordered_map>

#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/vec4.hpp>

namespace ringland::viewer {

namespace {

using model::Mesh;

/// Bits of a position, so that vertices split for their normals are one corner again.
struct Corner {
    std::array<std::uint32_t, 3> bits{};
    friend bool operator==(const Corner&, const Corner&) = default;
};

Corner corner_of(const glm::vec3& p) {
    Corner corner;
    for (int i = 0; i < 3; ++i) {
        const float value = p[i] + 0.0f; // minus zero becomes zero
        std::memcpy(&corner.bits[static_cast<std::size_t>(i)], &value, sizeof value);
    }
    return corner;
}

struct CornerHash {
    std::size_t operator()(const Corner& c) const {
        std::uint64_t h = 1469598103934665603ull;
        for (const auto bits : c.bits)
            h = (h ^ bits) * 1099511628211ull;
        return static_cast<std::size_t>(h ^ (h >> 29));
    }
};

/// Normals of the faces on both sides of every edge of a mesh, by welded corners.
class FaceNormals {
public:
    explicit FaceNormals(const Mesh& mesh) {
        corner_.reserve(mesh.positions.size());
        std::unordered_map<Corner, std::uint32_t, CornerHash> welded;
        welded.reserve(mesh.positions.size());
        for (const auto& p : mesh.positions) {
            corner_.push_back(welded.emplace(corner_of(p), static_cast<std::uint32_t>(welded.size())).first->second);
        }
        sides_.reserve(mesh.triangles.size() / 2);
        for (std::size_t t = 0; t + 2 < mesh.triangles.size(); t += 3) {
            const auto* i = &mesh.triangles[t];
            const auto n =
                glm::cross(mesh.positions[i[1]] - mesh.positions[i[0]], mesh.positions[i[2]] - mesh.positions[i[0]]);
            const float length = glm::length(n);
            if (!(length > 0)) continue;
            for (int k = 0; k < 3; ++k)
                add(i[k], i[(k + 1) % 3], n / length);
        }
    }

    struct Sides {
        glm::vec3 first{0}, second{0};
        int count = 0;
    };
    [[nodiscard]] Sides of(std::uint32_t a, std::uint32_t b) const {
        const auto found = sides_.find(key(a, b));
        return found == sides_.end() ? Sides{} : found->second;
    }

private:
    [[nodiscard]] std::uint64_t key(std::uint32_t a, std::uint32_t b) const {
        const std::uint64_t low = glm::min(corner_[a], corner_[b]), high = glm::max(corner_[a], corner_[b]);
        return (high << 32) | low;
    }
    void add(std::uint32_t a, std::uint32_t b, const glm::vec3& normal) {
        auto& sides = sides_[key(a, b)];
        (sides.count == 0 ? sides.first : sides.second) = normal;
        ++sides.count;
    }
    std::vector<std::uint32_t> corner_;
    std::unordered_map<std::uint64_t, Sides> sides_;
};

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
    const auto add = [&](const Mesh& mesh, std::uint32_t a, std::uint32_t b, glm::vec3 left, glm::vec3 right,
                         std::uint16_t shape, std::uint16_t kind) {
        const auto &p = mesh.positions[a], &q = mesh.positions[b];
        if (p == q) return;
        left_x_.push_back(left.x), left_y_.push_back(left.y), left_z_.push_back(left.z);
        left_d_.push_back(glm::dot(left, p));
        right_x_.push_back(right.x), right_y_.push_back(right.y), right_z_.push_back(right.z);
        right_d_.push_back(glm::dot(right, p));
        lines_.push_back({p, q, shape, kind});
    };
    for (std::size_t s = 0; s < shapes.size(); ++s) {
        const auto& mesh = shapes[s].mesh;
        const auto shape = static_cast<std::uint16_t>(s);
        const bool cut = shapes[s].section == model::SectionRule::cut;
        Box box{glm::vec3(1e9f), glm::vec3(-1e9f)};
        for (const auto& p : mesh.positions) {
            box.low = glm::min(box.low, p);
            box.high = glm::max(box.high, p);
        }
        boxes_.push_back(box);
        Range range{lines_.size(), 0, cut, shapes[s].glass};
        if (!mesh.crease.empty()) {
            const FaceNormals faces(mesh);
            for (std::size_t e = 0; e + 1 < mesh.crease.size(); e += 2) {
                auto sides = faces.of(mesh.crease[e], mesh.crease[e + 1]);
                if (sides.count < 2) sides.second = -sides.first; // an open edge: seen from either side
                add(mesh, mesh.crease[e], mesh.crease[e + 1], sides.first, sides.second, shape, 0);
            }
        }
        for (const auto& edge : mesh.smooth)
            add(mesh, edge.a, edge.b, edge.normal_left, edge.normal_right, shape, 1);
        range.count = lines_.size() - range.first;
        ranges_.push_back(range);
        Range contour{contours_.size(), 0, cut, false};
        if (cut && box.low.y < 0 && box.high.y > 0) cut_lines(mesh, shape, contours_);
        contour.count = contours_.size() - contour.first;
        contour_ranges_.push_back(contour);
    }
}

void Edges::collect_shape(std::vector<LineInstance>& lines, std::size_t shape, const glm::vec3& unit_eye, double side,
                          float along) const {
    const glm::vec3 eye(unit_eye.x - along, unit_eye.y, unit_eye.z); // as the shape sees it
    const std::size_t before = lines.size();
    const auto& range = ranges_[shape];
    const bool cut = range.cut && side != 0;
    if (cut && (side > 0 ? boxes_[shape].low.y : -boxes_[shape].high.y) > 0) return; // wholly taken away
    const auto sign = static_cast<float>(side);
    for (std::size_t i = range.first; i < range.first + range.count; ++i) {
        const bool left = left_x_[i] * eye.x + left_y_[i] * eye.y + left_z_[i] * eye.z > left_d_[i];
        const bool right = right_x_[i] * eye.x + right_y_[i] * eye.y + right_z_[i] * eye.z > right_d_[i];
        const auto& line = lines_[i];
        if (line.kind == 1 ? left == right : !(left || right)) continue;
        if (cut && line.from.y * sign > 0 && line.to.y * sign > 0) continue;
        lines.push_back(line);
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
