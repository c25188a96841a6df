#include <array>
#include <cmath>
#include <unordered_map>

#include <glm/geometric.hpp>
#include <glm/trigonometric.hpp>

#include "shapes.h"

namespace ringland::model {
namespace {

struct CellKey {
    long x, y, z;
    friend bool operator==(const CellKey&, const CellKey&) = default;
};
struct CellHash {
    std::size_t operator()(const CellKey& k) const {
        return static_cast<std::size_t>(k.x) * 73856093u ^ static_cast<std::size_t>(k.y) * 19349663u ^
               static_cast<std::size_t>(k.z) * 83492791u;
    }
};

/// Corners that lie within a hundredth of a millimetre are one point.
std::vector<std::uint32_t> weld(const std::vector<glm::vec3>& corners, std::vector<glm::vec3>& points) {
    constexpr float cells_per_mm = 100.0f;
    std::unordered_map<CellKey, std::uint32_t, CellHash> known;
    known.reserve(corners.size());
    std::vector<std::uint32_t> index;
    index.reserve(corners.size());
    for (const auto& c : corners) {
        const CellKey key{std::lround(c.x * cells_per_mm), std::lround(c.y * cells_per_mm),
                          std::lround(c.z * cells_per_mm)};
        const auto [it, fresh] = known.try_emplace(key, static_cast<std::uint32_t>(points.size()));
        if (fresh) points.push_back(c);
        index.push_back(it->second);
    }
    return index;
}

struct Faces {
    std::vector<std::array<std::uint32_t, 3>> corner;
    std::vector<glm::vec3> normal;
};

Faces sound_faces(const std::vector<std::uint32_t>& index, const std::vector<glm::vec3>& points) {
    Faces faces;
    for (std::size_t i = 0; i + 2 < index.size(); i += 3) {
        const std::array<std::uint32_t, 3> f{index[i], index[i + 1], index[i + 2]};
        if (f[0] == f[1] || f[1] == f[2] || f[2] == f[0]) continue;
        const auto cross = glm::cross(points[f[1]] - points[f[0]], points[f[2]] - points[f[0]]);
        const float twice_area = glm::length(cross);
        if (twice_area < 1e-7f) continue;
        faces.corner.push_back(f);
        faces.normal.push_back(cross / twice_area);
    }
    return faces;
}

/// Faces around each point, as one flat table.
struct PointFaces {
    std::vector<std::uint32_t> start, face;
    PointFaces(const Faces& faces, std::size_t points) : start(points + 1, 0), face(faces.corner.size() * 3) {
        for (const auto& f : faces.corner) {
            for (const auto p : f)
                ++start[p + 1];
        }
        for (std::size_t p = 0; p < points; ++p)
            start[p + 1] += start[p];
        auto next = start;
        for (std::uint32_t f = 0; f < faces.corner.size(); ++f) {
            for (const auto p : faces.corner[f])
                face[next[p]++] = f;
        }
    }
};

float corner_angle(const Faces& faces, const std::vector<glm::vec3>& points, std::uint32_t face, std::uint32_t point) {
    const auto& f = faces.corner[face];
    const int k = f[0] == point ? 0 : f[1] == point ? 1 : 2;
    const auto a = glm::normalize(points[f[static_cast<std::size_t>((k + 1) % 3)]] - points[point]);
    const auto b = glm::normalize(points[f[static_cast<std::size_t>((k + 2) % 3)]] - points[point]);
    return std::acos(glm::clamp(glm::dot(a, b), -1.0f, 1.0f));
}

void add_vertices(Mesh& mesh, const Faces& faces, const std::vector<glm::vec3>& points, float smooth_cosine,
                  std::vector<std::uint32_t>& vertex_of_point) {
    const PointFaces around(faces, points.size());
    vertex_of_point.assign(points.size(), 0);
    std::vector<std::vector<std::uint32_t>> vertices(points.size());
    for (std::uint32_t f = 0; f < faces.corner.size(); ++f) {
        for (const auto p : faces.corner[f]) {
            glm::vec3 normal(0);
            for (auto i = around.start[p]; i < around.start[p + 1]; ++i) {
                const auto other = around.face[i];
                if (glm::dot(faces.normal[f], faces.normal[other]) >= smooth_cosine) {
                    normal += faces.normal[other] * corner_angle(faces, points, other, p);
                }
            }
            normal = glm::normalize(normal);
            std::uint32_t found = ~0u;
            for (const auto v : vertices[p]) {
                if (glm::dot(mesh.normals[v], normal) > 0.9999f) found = v;
            }
            if (found == ~0u) {
                found = static_cast<std::uint32_t>(mesh.positions.size());
                mesh.positions.push_back(points[p]);
                mesh.normals.push_back(normal);
                vertices[p].push_back(found);
                vertex_of_point[p] = found;
            }
            mesh.triangles.push_back(found);
        }
    }
}

void add_edges(Mesh& mesh, const Faces& faces, float crease_cosine, const std::vector<std::uint32_t>& vertex_of_point) {
    std::unordered_map<std::uint64_t, std::uint32_t> first_face;
    first_face.reserve(faces.corner.size() * 2);
    for (std::uint32_t f = 0; f < faces.corner.size(); ++f) {
        for (int k = 0; k < 3; ++k) {
            auto a = faces.corner[f][static_cast<std::size_t>(k)];
            auto b = faces.corner[f][static_cast<std::size_t>((k + 1) % 3)];
            if (a > b) std::swap(a, b);
            const auto key = (static_cast<std::uint64_t>(a) << 32) | b;
            const auto [it, fresh] = first_face.try_emplace(key, f);
            if (fresh) continue;
            const auto& left = faces.normal[it->second];
            const auto& right = faces.normal[f];
            first_face.erase(it);
            const float cosine = glm::dot(left, right);
            if (cosine > 0.99999f) continue; // flat: nobody would ink it
            if (cosine < crease_cosine) {
                mesh.crease.push_back(vertex_of_point[a]);
                mesh.crease.push_back(vertex_of_point[b]);
            } else {
                mesh.smooth.push_back({vertex_of_point[a], vertex_of_point[b], left, right});
            }
        }
    }
    for (const auto& [key, face] : first_face) { // an open border
        (void)face;
        mesh.crease.push_back(vertex_of_point[key >> 32]);
        mesh.crease.push_back(vertex_of_point[key & 0xffffffffu]);
    }
}

} // namespace

Mesh finish_mesh(std::vector<glm::vec3> corners, double crease_degrees) {
    Mesh mesh;
    std::vector<glm::vec3> points;
    const auto index = weld(corners, points);
    const auto faces = sound_faces(index, points);
    const auto cosine = static_cast<float>(std::cos(glm::radians(crease_degrees)));
    std::vector<std::uint32_t> vertex_of_point;
    add_vertices(mesh, faces, points, cosine, vertex_of_point);
    add_edges(mesh, faces, cosine, vertex_of_point);
    return mesh;
}

} // namespace ringland::model
