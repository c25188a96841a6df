#include "front_faces.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <meshoptimizer.h>

namespace ringland::viewer {

namespace {

/// The triangles of a mesh, or fewer that lie within a tolerance of them.
std::vector<std::uint32_t> simplified(const model::Mesh& mesh, double tolerance_mm) {
    if (tolerance_mm <= 0 || mesh.triangles.empty()) return mesh.triangles;
    std::vector<std::uint32_t> fewer(mesh.triangles.size());
    const float* first = &mesh.positions.front().x;
    const float scale = meshopt_simplifyScale(first, mesh.positions.size(), sizeof(glm::vec3));
    if (!(scale > 0)) return mesh.triangles;
    fewer.resize(meshopt_simplify(fewer.data(), mesh.triangles.data(), mesh.triangles.size() / 3 * 3, first,
                                  mesh.positions.size(), sizeof(glm::vec3), 0, static_cast<float>(tolerance_mm) / scale,
                                  0, nullptr));
    return fewer;
}

} // namespace

std::vector<SolidVertex> solid_vertices(const std::vector<model::Shape>& shapes) {
    constexpr float full = 32767;
    const auto packed = [](float value) {
        return static_cast<std::int16_t>(std::lround(std::clamp(value, -1.0f, 1.0f) * full));
    };
    std::vector<SolidVertex> vertices;
    std::size_t count = 0;
    for (const auto& shape : shapes)
        count += shape.mesh.positions.size();
    vertices.reserve(count);
    for (std::size_t s = 0; s < shapes.size(); ++s) {
        const auto& mesh = shapes[s].mesh;
        for (std::size_t v = 0; v < mesh.positions.size(); ++v) {
            const glm::vec3 n = v < mesh.normals.size() ? mesh.normals[v] : glm::vec3(0, 0, 1);
            vertices.push_back(
                {mesh.positions[v], {packed(n.x), packed(n.y), packed(n.z)}, static_cast<std::uint16_t>(s)});
        }
    }
    return vertices;
}

FrontFaces::FrontFaces(const std::vector<model::Shape>& shapes, double tolerance_mm) {
    std::size_t triangles = 0;
    for (const auto& shape : shapes)
        triangles += shape.mesh.triangles.size() / 3;
    for (auto* list : {&x_, &y_, &z_, &d_, &low_, &high_})
        list->reserve(triangles);
    corners_.reserve(3 * triangles);
    std::uint32_t base = 0;
    for (const auto& shape : shapes) {
        const auto& mesh = shape.mesh;
        const auto chosen = simplified(mesh, tolerance_mm);
        Entry entry{x_.size(), chosen.size() / 3, shape.section == model::SectionRule::whole, shape.glass};
        for (std::size_t t = 0; t < entry.count; ++t) {
            const auto* i = &chosen[3 * t];
            const auto &a = mesh.positions[i[0]], &b = mesh.positions[i[1]], &c = mesh.positions[i[2]];
            glm::vec3 n = glm::cross(b - a, c - a);
            const float length = glm::length(n);
            n = length > 0 ? n / length : glm::vec3(0);
            x_.push_back(n.x), y_.push_back(n.y), z_.push_back(n.z);
            d_.push_back(glm::dot(n, a));
            low_.push_back(std::min({a.y, b.y, c.y}));
            high_.push_back(std::max({a.y, b.y, c.y}));
            for (int k = 0; k < 3; ++k)
                corners_.push_back(base + i[k]);
        }
        entries_.push_back(entry);
        base += static_cast<std::uint32_t>(mesh.positions.size());
    }
}

template <bool insides>
void FrontFaces::append(FaceLists& lists, const Entry& entry, const Sight& sight, Half half, float along) const {
    // Every triangle is written down and the place goes on only where it is wanted: a jump that cannot be foretold
    // would cost more than the writing.
    const std::size_t before = lists.indices.size();
    lists.indices.resize(before + 3 * entry.count);
    auto* out = lists.indices.data() + before;
    constexpr float edge_on_mm = 1e-3f;                                 // seen from the edge: OpenGL decides
    const glm::vec3 eye(sight.eye.x - along, sight.eye.y, sight.eye.z); // as the shape sees it
    // Turned so that the half above 0 is the one that is taken away.
    const bool down = sight.side < 0;
    const bool want_crossed = half == Half::crossed || half == Half::not_taken || half == Half::both;
    const bool want_taken = half == Half::taken || half == Half::both;
    const bool want_kept = half == Half::kept || half == Half::not_taken || half == Half::both;
    for (std::size_t t = entry.first; t < entry.first + entry.count; ++t) {
        out[0] = corners_[3 * t];
        out[1] = corners_[3 * t + 1];
        out[2] = corners_[3 * t + 2];
        const float before_plane = x_[t] * eye.x + y_[t] * eye.y + z_[t] * eye.z - d_[t];
        const bool turned = insides ? before_plane < edge_on_mm : before_plane > -edge_on_mm;
        const float low = down ? -high_[t] : low_[t], high = down ? -low_[t] : high_[t];
        const bool kept = high <= 0, taken = low >= 0 && !kept;
        const bool wanted = kept ? want_kept : (taken ? want_taken : want_crossed);
        out += 3 * static_cast<int>(turned && wanted);
    }
    lists.indices.resize(static_cast<std::size_t>(out - lists.indices.data()));
}

void FrontFaces::collect(FaceLists& lists, const Sight& sight, const std::vector<Edges::Box>& boxes,
                         const std::vector<Pose>& poses) const {
    lists = {std::move(lists.indices), {}, {}, {}, {}, {}, {}, {}};
    lists.indices.clear();
    const bool section = sight.side != 0;
    std::vector<std::pair<float, std::size_t>> order;
    for (std::size_t s = 0; s < entries_.size(); ++s) {
        const auto& box = boxes[s];
        if (box.empty() || (!poses.empty() && poses[s].hidden) || !in_view(box, sight.clip_from_unit)) continue;
        const auto nearest = glm::clamp(sight.eye, box.low, box.high);
        const float middle = glm::distance(sight.eye, (box.low + box.high) * 0.5f);
        // What is cut open shows its far wall, and what is closed its near one.
        order.emplace_back(section && !entries_[s].whole ? middle + 0.25f * glm::distance(box.low, box.high)
                                                         : glm::distance(sight.eye, nearest) + 1e-3f * middle,
                           s);
    }
    std::stable_sort(order.begin(), order.end(), [](const auto& a, const auto& b) { return a.first < b.first; });

    const auto along = [&](std::size_t s) { return poses.empty() ? 0.0f : poses[s].along; };
    const auto is_glass = [&](std::size_t s) { return poses.empty() ? entries_[s].glass : poses[s].glass; };
    const auto gather = [&](FaceLists::Range& range, const auto& wanted, bool insides, Half half) {
        range.first = lists.indices.size();
        for (const auto& [distance, s] : order) {
            if (!wanted(s)) continue;
            if (insides)
                append<true>(lists, entries_[s], sight, half, along(s));
            else
                append<false>(lists, entries_[s], sight, half, along(s));
        }
        range.count = lists.indices.size() - range.first;
    };
    if (section) {
        const bool into_cut = static_cast<double>(sight.eye.y) * sight.side > 0;
        const auto is_whole = [&](std::size_t s) { return entries_[s].whole; };
        const auto is_cut = [&](std::size_t s) { return !entries_[s].whole; };
        const auto is_capped = [&](std::size_t s) {
            return !entries_[s].whole && into_cut && boxes[s].low.y < 0 && boxes[s].high.y > 0;
        };
        if (into_cut) gather(lists.foremost, is_whole, false, Half::taken);
        gather(lists.cut, is_cut, false, Half::kept);
        gather(lists.cut_through, is_cut, false, Half::crossed);
        gather(lists.inside, is_capped, true, Half::kept);
        gather(lists.inside_through, is_capped, true, Half::crossed);
        gather(lists.whole, is_whole, false, into_cut ? Half::not_taken : Half::both);
        return;
    }
    gather(
        lists.whole, [&](std::size_t s) { return !is_glass(s); }, false, Half::both);
    gather(
        lists.glass, [&](std::size_t s) { return is_glass(s); }, false, Half::both);
}

} // namespace ringland::viewer
