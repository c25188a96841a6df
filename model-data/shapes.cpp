#include "shapes.h"

#include <algorithm>

#include "all_threads.h"
#include "gltf_io.h"
#include "shape_build.h"

namespace ringland::model {
namespace build {

TurningAxis along_x(const Vec3& axis) { return {axis, {1, 0, 0}, {0, 0, -1}}; }

Subject part_subject(const std::string& id) { return id.empty() ? Subject{} : Subject{SubjectKind::part, id}; }

const Stack* stack_of(const Workshop& shop, const StackPlace& place) { return find(shop.map.stacks, place.stack); }

void finish(Workshop& shop, Shape shape, Soup soup, const Finish& rule) {
    if (soup.empty()) return;
    shop.unfinished.push_back({shop.shapes.size(), std::move(soup), rule});
    shop.shapes.push_back(std::move(shape));
}

void finish_all(Workshop& shop) {
    on_all_threads(shop.unfinished.size(), [&shop](std::size_t i) {
        auto& [index, soup, rule] = shop.unfinished[i];
        Mesh& mesh = shop.shapes[index].mesh;
        mesh = finish_mesh(soup, rule.crease_degrees);
        soup = Soup();
        if (!rule.inked) mesh.crease = mesh.smooth = std::vector<Mesh::Edge>();
    });
    shop.unfinished.clear();
    const auto nothing = [](const Shape& shape) { return shape.mesh.triangles.empty(); };
    shop.shapes.erase(std::remove_if(shop.shapes.begin(), shop.shapes.end(), nothing), shop.shapes.end());
}

Material usual_material(const UnitMap& map, const std::string& part, Material otherwise) {
    const auto* p = find(map.parts, part);
    return p != nullptr && p->material ? *p->material : otherwise;
}

} // namespace build

namespace {

/// Puts the meshes of a file in the place of automatic ones.
void use_file_shapes(const UnitMap& map, const Layout& layout, const std::filesystem::path& folder,
                     std::vector<Shape>& shapes, std::vector<Fault>& faults) {
    if (map.unit.shapes.empty()) return;
    auto nodes = read_glb_nodes(folder / map.unit.shapes, faults);
    if (nodes.empty()) return;
    for (const auto& part : map.parts) {
        auto it = nodes.find(part.node.empty() ? part.id : part.node);
        if (it == nodes.end()) {
            if (!part.node.empty()) {
                faults.push_back({map.unit.shapes, part.where.line, part.where.column, Severity::warning,
                                  phrase("there is no node '{0}' for part '{1}'", part.node, part.id),
                                  phrase("the automatic shape is drawn; name a node of the file")});
            }
            continue;
        }
        const Subject subject{SubjectKind::part, part.id};
        // The face with its tracks comes from the ports, whatever the casting looks like.
        const auto mine = [&](const Shape& s) { return s.subject == subject && s.name != build::case_face; };
        Shape shape;
        const auto old = std::find_if(shapes.begin(), shapes.end(), mine);
        if (old != shapes.end()) shape = *old;
        shape.name = part.id;
        shape.subject = subject;
        shape.glass = part.kind == PartKind::case_;
        if (part.material) shape.material = *part.material;
        shape.from_file = true;
        auto soup = it->second;
        if (part.kind == PartKind::case_) build::make_seat_for_face(layout, soup);
        shape.mesh = finish_mesh(soup, build::crease_degrees);
        shapes.erase(std::remove_if(shapes.begin(), shapes.end(), mine), shapes.end());
        if (!shape.mesh.triangles.empty()) shapes.push_back(std::move(shape));
    }
}

void make_names_unique(std::vector<Shape>& shapes) {
    std::map<std::string, int> seen;
    for (auto& shape : shapes) {
        const int n = ++seen[shape.name];
        if (n > 1) shape.name += " " + std::to_string(n);
    }
}

} // namespace

std::vector<Shape> make_shapes(const UnitMap& map, const Layout& layout, const std::filesystem::path& folder,
                               std::vector<Fault>& faults) {
    std::vector<Shape> shapes;
    build::Workshop shop{map, layout, shapes, {}};
    build::add_turned_parts(shop);
    build::add_bands_and_servos(shop);
    build::add_seals(shop);
    build::add_circuits(shop);
    build::add_ports(shop);
    build::add_case(shop);
    build::finish_all(shop);
    use_file_shapes(map, layout, folder, shapes, faults);
    build::add_band_anchors(shop);
    build::add_servo_bosses(shop);
    build::finish_all(shop);
    make_names_unique(shapes);
    build::choose_hatches(shapes);
    return shapes;
}

} // namespace ringland::model
