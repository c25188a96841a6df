#include <array>
#include <cmath>
#include <cstdint>

#include <glm/geometric.hpp>
#include <glm/trigonometric.hpp>

#include "shapes.h"

namespace ringland::model {
namespace {

/// Finds small whole numbers again by a key: an open hash table that only grows, as fast as the mesh work needs it.
template <class Key> class Finder {
public:
    explicit Finder(std::size_t expected) {
        std::size_t size = 64;
        while (size < expected * 2)
            size *= 2;
        slots_.resize(size);
    }
    /// The number stored under the key, or `fresh` stored now.
    std::uint32_t& at(const Key& key, std::uint32_t fresh) {
        std::size_t i = hash(key) & (slots_.size() - 1);
        while (slots_[i].used && !(slots_[i].key == key))
            i = (i + 1) & (slots_.size() - 1);
        if (!slots_[i].used) slots_[i] = {key, fresh, true};
        return slots_[i].number;
    }

private:
    static std::size_t hash(const Key& key) {
        std::uint64_t h = 0x9E3779B97F4A7C15u;
        for (const auto part : key)
            h = (h ^ static_cast<std::uint64_t>(part)) * 0xD6E8FEB86659FD93u, h ^= h >> 32;
        return h;
    }
    struct Slot {
        Key key{};
        std::uint32_t number = 0;
        bool used = false;
    };
    std::vector<Slot> slots_;
};

/// Corners that lie within a hundredth of a millimetre are one point.
std::vector<std::uint32_t> weld(const std::vector<glm::vec3>& corners, std::vector<glm::vec3>& points) {
    constexpr float cells_per_mm = 100.0f;
    Finder<std::array<std::int64_t, 3>> known(corners.size());
    std::vector<std::uint32_t> index;
    index.reserve(corners.size());
    for (const auto& c : corners) {
        const auto next = static_cast<std::uint32_t>(points.size());
        const auto found = known.at(
            {std::lround(c.x * cells_per_mm), std::lround(c.y * cells_per_mm), std::lround(c.z * cells_per_mm)}, next);
        if (found == next) points.push_back(c);
        index.push_back(found);
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

/// The angle of a face at each of its corners: the weight of its normal there, so that how a flat side is cut into
/// triangles does not matter.
std::vector<std::array<float, 3>> corner_angles(const Faces& faces, const std::vector<glm::vec3>& points) {
    std::vector<std::array<float, 3>> angles;
    angles.reserve(faces.corner.size());
    for (const auto& f : faces.corner) {
        std::array<float, 3> angle{};
        for (std::size_t k = 0; k < 3; ++k) {
            const auto& here = points[f[k]];
            const auto a = glm::normalize(points[f[(k + 1) % 3]] - here),
                       b = glm::normalize(points[f[(k + 2) % 3]] - here);
            angle[k] = std::acos(glm::clamp(glm::dot(a, b), -1.0f, 1.0f));
        }
        angles.push_back(angle);
    }
    return angles;
}

/// Vertices: one for each point and each smooth group of faces around it.
void add_vertices(Mesh& mesh, const Faces& faces, const std::vector<glm::vec3>& points, float smooth_cosine,
                  std::vector<std::uint32_t>& vertex_of_point) {
    constexpr std::uint32_t none = ~0u;
    const PointFaces around(faces, points.size());
    const auto angles = corner_angles(faces, points);
    vertex_of_point.assign(points.size(), none);
    std::vector<std::uint32_t> next_of_vertex; // the other vertices of the same point
    for (std::uint32_t f = 0; f < faces.corner.size(); ++f) {
        for (const auto p : faces.corner[f]) {
            glm::vec3 normal(0);
            for (auto i = around.start[p]; i < around.start[p + 1]; ++i) {
                const auto other = around.face[i];
                if (glm::dot(faces.normal[f], faces.normal[other]) < smooth_cosine) continue;
                const auto& c = faces.corner[other];
                normal += faces.normal[other] * angles[other][c[0] == p ? 0 : c[1] == p ? 1 : 2];
            }
            normal = glm::normalize(normal);
            auto found = vertex_of_point[p];
            while (found != none && glm::dot(mesh.normals[found], normal) <= 0.9999f)
                found = next_of_vertex[found];
            if (found == none) {
                found = static_cast<std::uint32_t>(mesh.positions.size());
                mesh.positions.push_back(points[p]);
                mesh.normals.push_back(normal);
                next_of_vertex.push_back(vertex_of_point[p]);
                vertex_of_point[p] = found;
            }
            mesh.triangles.push_back(found);
        }
    }
}

void add_edges(Mesh& mesh, const Faces& faces, float crease_cosine, const std::vector<std::uint32_t>& vertex_of_point) {
    constexpr std::uint32_t paired = ~0u;
    Finder<std::array<std::uint32_t, 2>> first_face(faces.corner.size() * 3);
    std::vector<std::array<std::uint32_t, 3>> single; // edges in the order of their first face
    for (std::uint32_t f = 0; f < faces.corner.size(); ++f) {
        for (std::size_t k = 0; k < 3; ++k) {
            auto a = faces.corner[f][k];
            auto b = faces.corner[f][(k + 1) % 3];
            if (a > b) std::swap(a, b);
            auto& other = first_face.at({a, b}, f);
            if (other == f) {
                single.push_back({a, b, f});
                continue;
            }
            if (other == paired)
                other = f; // a third face on the edge: it waits for a fourth
            else {
                const auto& left = faces.normal[other];
                const auto& right = faces.normal[f];
                other = paired;
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
    }
    for (const auto& [a, b, f] : single) { // an open border
        if (first_face.at({a, b}, f) == paired) continue;
        mesh.crease.push_back(vertex_of_point[a]);
        mesh.crease.push_back(vertex_of_point[b]);
    }
}

} // namespace

Mesh finish_mesh(const std::vector<glm::vec3>& corners, double crease_degrees) {
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
