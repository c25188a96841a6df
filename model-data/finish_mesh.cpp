#include <array>
#include <cmath>
#include <cstdint>
#include <utility>

#include <glm/geometric.hpp>
#include <glm/trigonometric.hpp>

#include "shapes.h"

namespace ringland::model {
namespace {

constexpr std::uint32_t none = ~0u;

/// Finds small whole numbers again by a key: an open hash table for at most so many keys, as fast as the mesh work
/// needs it.
template <class Key> class Finder {
public:
    explicit Finder(std::size_t most) {
        std::size_t size = 64;
        while (size <= most)
            size *= 2;
        slots_.resize(size);
    }
    /// The number stored under the key, or `fresh` stored now; `fresh` is not `none`.
    std::uint32_t& at(const Key& key, std::uint32_t fresh) {
        std::size_t i = hash(key) & (slots_.size() - 1);
        while (slots_[i].number != none && !(slots_[i].key == key))
            i = (i + 1) & (slots_.size() - 1);
        if (slots_[i].number == none) slots_[i] = {key, fresh};
        return slots_[i].number;
    }

private:
    static std::size_t hash(const Key& key) {
        std::uint64_t h = 0x9E3779B97F4A7C15u;
        for (const auto part : key)
            h = (h ^ static_cast<std::uint32_t>(part)) * 0xD6E8FEB86659FD93u, h ^= h >> 32;
        return h;
    }
    struct Slot {
        Key key{};
        std::uint32_t number = none;
    };
    std::vector<Slot> slots_;
};

std::int32_t nearest(float value) { return static_cast<std::int32_t>(value + std::copysign(0.5f, value)); }

/// Corners that lie within a hundredth of a millimetre are one point.
std::vector<std::uint32_t> weld(const std::vector<glm::vec3>& corners, std::vector<glm::vec3>& points) {
    constexpr float cells_per_mm = 100.0f, farthest_mm = 1e7f;
    Finder<std::array<std::int32_t, 3>> known(corners.size());
    std::vector<std::uint32_t> index;
    index.reserve(corners.size());
    points.reserve(corners.size() / 5); // a closed surface has half as many points as triangles
    for (const auto& corner : corners) {
        const auto c = glm::clamp(corner, -farthest_mm, farthest_mm) * cells_per_mm;
        const auto next = static_cast<std::uint32_t>(points.size());
        const auto found = known.at({nearest(c.x), nearest(c.y), nearest(c.z)}, next);
        if (found == next) points.push_back(corner);
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
    faces.corner.reserve(index.size() / 3);
    faces.normal.reserve(index.size() / 3);
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

/// The corners of faces at each point, as one flat table: three corners a face.
struct PointCorners {
    std::vector<std::uint32_t> start, corner;
    PointCorners(const Faces& faces, std::size_t points) : start(points + 2, 0), corner(faces.corner.size() * 3) {
        // One place too far on, so that filling the table moves every start to where it belongs.
        for (const auto& f : faces.corner) {
            for (const auto p : f)
                ++start[p + 2];
        }
        for (std::size_t p = 0; p < points; ++p)
            start[p + 2] += start[p + 1];
        std::uint32_t c = 0;
        for (const auto& f : faces.corner) {
            for (const auto p : f)
                corner[start[p + 1]++] = c++;
        }
    }
};

/// Each face's normal at each of its corners, weighted by its angle there, so that how a flat side is cut into
/// triangles does not matter.
std::vector<glm::vec3> weighted_normals(const Faces& faces, const std::vector<glm::vec3>& points) {
    std::vector<glm::vec3> weighted;
    weighted.reserve(3 * faces.corner.size());
    for (std::size_t f = 0; f < faces.corner.size(); ++f) {
        const auto& corner = faces.corner[f];
        std::array<glm::vec3, 3> side;
        for (std::size_t k = 0; k < 3; ++k)
            side[k] = glm::normalize(points[corner[(k + 1) % 3]] - points[corner[k]]);
        for (std::size_t k = 0; k < 3; ++k) {
            const float cosine = glm::clamp(-glm::dot(side[k], side[(k + 2) % 3]), -1.0f, 1.0f);
            weighted.push_back(faces.normal[f] * std::acos(cosine));
        }
    }
    return weighted;
}

/// The normal of the surface at each corner: of those faces around its point that go on smoothly from its own face.
std::vector<glm::vec3> corner_normals(const Faces& faces, const std::vector<glm::vec3>& points, float smooth_cosine) {
    const PointCorners around(faces, points.size());
    const auto weighted = weighted_normals(faces, points);
    std::vector<glm::vec3> normals(weighted.size());
    for (std::size_t p = 0; p < points.size(); ++p) {
        const auto* first = around.corner.data() + around.start[p];
        const std::size_t count = around.start[p + 1] - around.start[p];
        for (std::size_t i = 0; i < count; ++i) {
            const auto& own = faces.normal[first[i] / 3];
            glm::vec3 normal(0);
            for (std::size_t j = 0; j < count; ++j) {
                if (glm::dot(own, faces.normal[first[j] / 3]) >= smooth_cosine) normal += weighted[first[j]];
            }
            normals[first[i]] = glm::normalize(normal);
        }
    }
    return normals;
}

/// Vertices: one for each point and each smooth group of faces around it.
void add_vertices(Mesh& mesh, const Faces& faces, const std::vector<glm::vec3>& points, float smooth_cosine,
                  std::vector<std::uint32_t>& vertex_of_point) {
    const auto normals = corner_normals(faces, points, smooth_cosine);
    vertex_of_point.assign(points.size(), none);
    std::vector<std::uint32_t> next_of_vertex; // the other vertices of the same point
    mesh.triangles.reserve(normals.size());
    for (const auto vector : {&mesh.positions, &mesh.normals})
        vector->reserve(points.size() * 3 / 2);
    next_of_vertex.reserve(points.size() * 3 / 2);
    std::size_t c = 0;
    for (const auto& face : faces.corner) {
        for (const auto p : face) {
            const auto& normal = normals[c++];
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
    constexpr std::uint32_t paired = none - 1;
    Finder<std::array<std::uint32_t, 2>> first_face(faces.corner.size() * 3);
    std::size_t waiting = 0; // edges with one face so far, or three
    for (std::uint32_t f = 0; f < faces.corner.size(); ++f) {
        for (std::size_t k = 0; k < 3; ++k) {
            auto a = faces.corner[f][k];
            auto b = faces.corner[f][(k + 1) % 3];
            if (a > b) std::swap(a, b);
            auto& other = first_face.at({a, b}, f);
            if (other == f || other == paired) {
                other = f; // where it is a third face, it waits for a fourth
                ++waiting;
                continue;
            }
            --waiting;
            const std::uint32_t left = std::exchange(other, paired);
            const float cosine = glm::dot(faces.normal[left], faces.normal[f]);
            if (cosine > 0.99999f) continue; // flat: nobody would ink it
            (cosine < crease_cosine ? mesh.crease : mesh.smooth)
                .push_back({vertex_of_point[a], vertex_of_point[b], left, f});
        }
    }
    for (std::uint32_t f = 0; f < faces.corner.size() && waiting > 0; ++f) { // an open border
        for (std::size_t k = 0; k < 3; ++k) {
            auto a = faces.corner[f][k];
            auto b = faces.corner[f][(k + 1) % 3];
            if (a > b) std::swap(a, b);
            auto& other = first_face.at({a, b}, paired);
            if (other == paired) continue;
            mesh.crease.push_back({vertex_of_point[a], vertex_of_point[b], other, other});
            other = paired;
            --waiting;
        }
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
    mesh.positions.shrink_to_fit(); // it stays as long as the unit is open
    mesh.normals.shrink_to_fit();
    mesh.crease.shrink_to_fit();
    mesh.smooth.shrink_to_fit();
    return mesh;
}

} // namespace ringland::model
