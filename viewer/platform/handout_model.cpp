#include "handout_model.h"

#include <algorithm>
#include <stdexcept>

#include <glm/mat3x3.hpp>
#include <meshoptimizer.h>

#include "../../model-data/gltf_io.h"
#include "../app/camera.h"
#include "../app/commands.h"
#include "export_materials.h"

namespace ringland::viewer {
namespace {

/// As the shape lies on the bench, with about a quarter of its triangles.
model::Shape reduced(const model::Shape& shape, const glm::dmat4& lying) {
    constexpr float keep = 0.2F, most_error = 0.015F; // of the shape's size
    model::Shape small = shape;
    small.mesh = {};
    const model::Mesh& mesh = shape.mesh;
    if (mesh.positions.empty() || mesh.triangles.size() < 3) return small;
    std::vector<std::uint32_t> triangles(mesh.triangles.size());
    const auto wanted = static_cast<std::size_t>(static_cast<float>(mesh.triangles.size() / 3) * keep) * 3;
    triangles.resize(meshopt_simplify(triangles.data(), mesh.triangles.data(), mesh.triangles.size(),
                                      &mesh.positions[0].x, mesh.positions.size(), sizeof(glm::vec3),
                                      std::max<std::size_t>(wanted, 36), most_error));
    std::vector<unsigned> place(mesh.positions.size());
    const std::size_t used =
        meshopt_optimizeVertexFetchRemap(place.data(), triangles.data(), triangles.size(), mesh.positions.size());
    small.mesh.triangles.resize(triangles.size());
    meshopt_remapIndexBuffer(small.mesh.triangles.data(), triangles.data(), triangles.size(), place.data());
    small.mesh.positions.resize(used);
    meshopt_remapVertexBuffer(small.mesh.positions.data(), mesh.positions.data(), mesh.positions.size(),
                              sizeof(glm::vec3), place.data());
    if (mesh.normals.size() == mesh.positions.size()) {
        small.mesh.normals.resize(used);
        meshopt_remapVertexBuffer(small.mesh.normals.data(), mesh.normals.data(), mesh.normals.size(),
                                  sizeof(glm::vec3), place.data());
    }
    const glm::dmat3 turn(lying);
    for (auto& position : small.mesh.positions)
        position = glm::vec3(glm::dvec3(lying * glm::dvec4(glm::dvec3(position), 1)));
    for (auto& normal : small.mesh.normals)
        normal = glm::vec3(turn * glm::dvec3(normal));
    return small;
}

} // namespace

PageModel handout_model(const Translator& tr, const model::Job& job, const std::string& seal_id) {
    model::Job plain = job;
    plain.checks.assign(1, model::JobCheck{});
    plain.checks[0].id = "model";
    Workbench bench;
    if (const std::string why = bench.open_job(plain, 0); !why.empty()) throw std::runtime_error(why);
    const auto& map = bench.session().document.map;
    const auto& layout = bench.derived().layout;
    const glm::dmat4 lying = lying_matrix(bench.session().view.lying);
    std::vector<model::Shape> shapes;
    for (const auto& shape : bench.derived().shapes)
        shapes.push_back(reduced(shape, lying));
    const auto material_of = [&](const model::Shape& shape) {
        model::ExportMaterial material = export_material(map, shape);
        if (!seal_id.empty() && shape.subject.kind == model::SubjectKind::seal && shape.subject.id == seal_id) {
            material.name = "the place";
            material.base_colour = {0.665, 0.112, 0, 1}; // vermillion, linear
            material.metallic = 0;
        }
        if (shape.glass) material.base_colour[3] = 0.16;
        return material;
    };
    PageModel model;
    model.glb = model::glb_bytes(map, shapes, material_of);
    const auto in_page = [&](const model::Vec3& point) {
        const glm::dvec3 w{lying * glm::dvec4(point, 1)};
        return std::array<double, 3>{w.x / 1e3, w.z / 1e3, -w.y / 1e3};
    };
    for (const auto& place : layout.seals) {
        if (place.seal == seal_id) model.spots.push_back({in_page(place.at), seal_id, true});
    }
    const auto& housing = layout.housing;
    if (housing.x1 > housing.x0)
        model.spots.push_back({in_page({housing.x0, 0, -housing.bell_radius}), tr("engine end"), false});
    return model;
}

} // namespace ringland::viewer
