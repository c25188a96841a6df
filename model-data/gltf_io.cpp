#include "gltf_io.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <fstream>
#include <limits>
#include <sstream>

#include <fmt/format.h>
#include <glm/gtc/quaternion.hpp>
#include <glm/gtc/type_ptr.hpp>
#include <glm/mat4x4.hpp>
#include <tiny_gltf.h>

#include "glb_guard.h"
#include "map_io.h"
#include "whole_file.h"

namespace ringland::model {
namespace {

/// More than any drawing of a unit needs, and few enough to be refused before they cost memory: 96 MB of corners.
constexpr std::size_t most_corners = 8'000'000;

glm::dvec3 to_unit_space(const glm::dvec3& metres) { return glm::dvec3(metres.x, -metres.z, metres.y) * 1000.0; }
glm::dvec3 from_unit_space(const glm::dvec3& mm) { return glm::dvec3(mm.x, mm.z, -mm.y) * 0.001; }

/// A part of a buffer that is known to lie inside it.
struct Reach {
    const unsigned char* data = nullptr;
    std::size_t stride = 0;
    std::size_t count = 0;
};

/// What stops a mesh or a file from being used, in words.
struct Refusal {
    Phrase what;
};

class GlbReader {
public:
    GlbReader(const tinygltf::Model& file, std::string name, std::vector<Fault>& faults)
        : file_(file), name_(std::move(name)), faults_(faults) {}

    std::map<std::string, std::vector<glm::vec3>> read() {
        std::vector<char> is_child(file_.nodes.size(), 0);
        for (const auto& node : file_.nodes) {
            for (const int child : node.children) {
                if (child < 0 || static_cast<std::size_t>(child) >= file_.nodes.size())
                    throw Refusal{phrase("a node names child {0}, which is not there", child)};
                if (is_child[static_cast<std::size_t>(child)]++ != 0)
                    throw Refusal{phrase("node {0} has two parents", child)};
            }
        }
        struct Open {
            std::size_t node;
            glm::dmat4 parent;
        };
        std::vector<Open> open;
        for (std::size_t i = file_.nodes.size(); i-- > 0;) {
            if (is_child[i] == 0) open.push_back({i, glm::dmat4(1)});
        }
        std::size_t visited = 0;
        while (!open.empty()) {
            const Open next = open.back();
            open.pop_back();
            ++visited;
            const auto& node = file_.nodes[next.node];
            const glm::dmat4 matrix = next.parent * matrix_of(node);
            if (node.mesh >= 0) add_mesh(node, matrix);
            for (const int child : node.children)
                open.push_back({static_cast<std::size_t>(child), matrix});
        }
        // With one parent each, what no root reaches can only run in a circle.
        if (visited != file_.nodes.size()) throw Refusal{phrase("nodes that contain themselves")};
        return std::move(result_);
    }

private:
    const tinygltf::Model& file_;
    std::string name_;
    std::vector<Fault>& faults_;
    std::map<std::string, std::vector<glm::vec3>> result_;
    std::size_t corners_ = 0;

    void warn(const Phrase& what, const Phrase& right) {
        faults_.push_back({name_, 0, 0, Severity::warning, what, right});
    }

    static glm::dmat4 matrix_of(const tinygltf::Node& node) {
        if (node.matrix.size() == 16) return glm::make_mat4(node.matrix.data());
        glm::dmat4 matrix(1);
        if (node.translation.size() == 3)
            matrix[3] = {node.translation[0], node.translation[1], node.translation[2], 1};
        if (node.rotation.size() == 4) {
            const glm::dquat turn(node.rotation[3], node.rotation[0], node.rotation[1], node.rotation[2]);
            matrix *= glm::mat4_cast(turn);
        }
        if (node.scale.size() == 3) {
            for (int i = 0; i < 3; ++i)
                matrix[i] *= node.scale[static_cast<std::size_t>(i)];
        }
        return matrix;
    }

    const tinygltf::Accessor& accessor(int index) const {
        if (index < 0 || static_cast<std::size_t>(index) >= file_.accessors.size())
            throw Refusal{phrase("accessor {0} is not there", index)};
        return file_.accessors[static_cast<std::size_t>(index)];
    }

    /// The elements of an accessor; every byte of them lies inside its buffer view, and that inside its buffer.
    Reach reach(const tinygltf::Accessor& accessor, std::size_t element_size) const {
        if (accessor.sparse.isSparse) throw Refusal{phrase("sparse accessors, which Ringland does not read")};
        if (accessor.bufferView < 0 || static_cast<std::size_t>(accessor.bufferView) >= file_.bufferViews.size())
            throw Refusal{phrase("an accessor without data")};
        const auto& view = file_.bufferViews[static_cast<std::size_t>(accessor.bufferView)];
        if (view.buffer < 0 || static_cast<std::size_t>(view.buffer) >= file_.buffers.size())
            throw Refusal{phrase("a buffer view without its buffer")};
        const auto& buffer = file_.buffers[static_cast<std::size_t>(view.buffer)].data;
        if (view.byteOffset > buffer.size() || view.byteLength > buffer.size() - view.byteOffset)
            throw Refusal{phrase("a buffer view that reaches beyond its buffer")};
        const std::size_t stride = view.byteStride == 0 ? element_size : view.byteStride;
        if (stride < element_size || stride > 252)
            throw Refusal{phrase("a buffer view whose stride is less than its elements")};
        const std::size_t room = view.byteLength;
        if (accessor.count == 0) throw Refusal{phrase("an accessor of no elements")};
        // The last element need not fill a whole stride. No product here can overflow: count is bounded by the room
        // first.
        if (accessor.byteOffset > room || element_size > room - accessor.byteOffset ||
            accessor.count - 1 > (room - accessor.byteOffset - element_size) / stride)
            throw Refusal{phrase("an accessor that reaches beyond its buffer view")};
        return {buffer.data() + view.byteOffset + accessor.byteOffset, stride, accessor.count};
    }

    std::vector<glm::vec3> positions(const tinygltf::Primitive& primitive, const glm::dmat4& matrix) const {
        const auto found = primitive.attributes.find("POSITION");
        if (found == primitive.attributes.end()) throw Refusal{phrase("triangles without positions")};
        const auto& from = accessor(found->second);
        if (from.type != TINYGLTF_TYPE_VEC3 || from.componentType != TINYGLTF_COMPONENT_TYPE_FLOAT)
            throw Refusal{phrase("positions that are not three floats")};
        const Reach at = reach(from, sizeof(float) * 3);
        if (at.count > most_corners) throw Refusal{phrase("more corners than Ringland takes")};
        std::vector<glm::vec3> result(at.count);
        for (std::size_t i = 0; i < at.count; ++i) {
            std::array<float, 3> values{};
            std::memcpy(values.data(), at.data + i * at.stride, sizeof values);
            const glm::dvec3 mm = to_unit_space(glm::dvec3(matrix * glm::dvec4(values[0], values[1], values[2], 1)));
            for (int axis = 0; axis < 3; ++axis) {
                if (!(std::abs(mm[axis]) <= limits::length_mm)) // also catches what is no number
                    throw Refusal{phrase("a corner farther than {0:g} m away, or no number", limits::length_mm / 1000)};
            }
            result[i] = glm::vec3(mm);
        }
        return result;
    }

    std::vector<std::uint32_t> indices(const tinygltf::Primitive& primitive, std::size_t count) const {
        std::vector<std::uint32_t> result;
        if (primitive.indices < 0) {
            for (std::size_t i = 0; i < count; ++i)
                result.push_back(static_cast<std::uint32_t>(i));
            return result;
        }
        const auto& from = accessor(primitive.indices);
        if (from.type != TINYGLTF_TYPE_SCALAR) throw Refusal{phrase("indices that are not single numbers")};
        std::size_t size = 0;
        if (from.componentType == TINYGLTF_COMPONENT_TYPE_UNSIGNED_BYTE) size = 1;
        if (from.componentType == TINYGLTF_COMPONENT_TYPE_UNSIGNED_SHORT) size = 2;
        if (from.componentType == TINYGLTF_COMPONENT_TYPE_UNSIGNED_INT) size = 4;
        if (size == 0) throw Refusal{phrase("indices that are not unsigned whole numbers")};
        const Reach at = reach(from, size);
        if (at.count > most_corners) throw Refusal{phrase("more corners than Ringland takes")};
        result.resize(at.count);
        for (std::size_t i = 0; i < at.count; ++i) {
            std::uint32_t index = 0; // glTF is little-endian, and so is every machine that Ringland is built for
            std::memcpy(&index, at.data + i * at.stride, size);
            if (index >= count) throw Refusal{phrase("index {0} of {1} corners", index, count)};
            result[i] = index;
        }
        return result;
    }

    void add_mesh(const tinygltf::Node& node, const glm::dmat4& matrix) {
        if (static_cast<std::size_t>(node.mesh) >= file_.meshes.size())
            throw Refusal{phrase("mesh {0} is not there", node.mesh)};
        const auto& mesh = file_.meshes[static_cast<std::size_t>(node.mesh)];
        const std::string& name = node.name.empty() ? mesh.name : node.name;
        if (name.empty()) {
            warn(phrase("a node with a shape but without a name"), phrase("name the node after its part"));
            return;
        }
        if (result_.count(name) != 0) {
            warn(phrase("two nodes are named \"{0}\"; the first is used", name), phrase("one node per part, joined"));
            return;
        }
        // Mirrored nodes turn their triangles inside out.
        const bool mirrored = glm::determinant(glm::dmat3(matrix)) < 0;
        std::vector<glm::vec3> corners;
        for (const auto& primitive : mesh.primitives) {
            if (primitive.mode != TINYGLTF_MODE_TRIANGLES && primitive.mode != -1) {
                warn(phrase("\"{0}\" has lines, points, strips or fans; these are left out", name),
                     phrase("plain triangles"));
                continue;
            }
            const auto places = positions(primitive, matrix);
            auto order = indices(primitive, places.size());
            order.resize(order.size() / 3 * 3);
            corners_ += order.size();
            if (corners_ > most_corners) throw Refusal{phrase("more corners than Ringland takes")};
            for (std::size_t i = 0; i + 2 < order.size(); i += 3) {
                if (mirrored) std::swap(order[i + 1], order[i + 2]);
                for (std::size_t corner = 0; corner < 3; ++corner)
                    corners.push_back(places[order[i + corner]]);
            }
        }
        if (!corners.empty()) result_.emplace(name, std::move(corners));
    }
};

} // namespace

std::map<std::string, std::vector<glm::vec3>> read_glb_nodes(const std::filesystem::path& file,
                                                             std::vector<Fault>& faults) {
    const std::string name = file.string();
    const auto refuse = [&](const Phrase& what) {
        faults.push_back({name, 0, 0, Severity::error, what,
                          phrase("a binary glTF 2.0 file (.glb) that holds all of its data itself")});
    };
    Phrase why;
    const std::string bytes = read_guarded_glb(file, why);
    if (!why.empty()) {
        refuse(why);
        return {};
    }
    tinygltf::TinyGLTF loader;
    // No picture is ever decoded, and no other file ever opened.
    loader.SetImageLoader([](tinygltf::Image*, const int, std::string*, std::string*, int, int, const unsigned char*,
                             int, void*) { return true; },
                          nullptr);
    tinygltf::FsCallbacks no_files{};
    no_files.FileExists = [](const std::string&, void*) { return false; };
    no_files.ExpandFilePath = [](const std::string& path, void*) { return path; };
    no_files.ReadWholeFile = [](std::vector<unsigned char>*, std::string* error, const std::string&, void*) {
        if (error != nullptr) *error = "other files are not read";
        return false;
    };
    no_files.WriteWholeFile = [](std::string*, const std::string&, const std::vector<unsigned char>&, void*) {
        return false;
    };
    loader.SetFsCallbacks(no_files);
    tinygltf::Model model;
    std::string error;
    std::string warning;
    try {
        if (!loader.LoadBinaryFromMemory(&model, &error, &warning, reinterpret_cast<const unsigned char*>(bytes.data()),
                                         static_cast<unsigned>(bytes.size()), "")) {
            error.erase(std::remove(error.begin(), error.end(), '\n'), error.end());
            refuse(error.empty() ? phrase("no glTF that can be read") : Phrase::as_is(error));
            return {};
        }
        return GlbReader(model, name, faults).read();
    } catch (const Refusal& refusal) {
        refuse(refusal.what);
    } catch (const std::exception& exception) { // whatever the library throws for what a file holds
        refuse(Phrase::as_is(exception.what()));
    }
    return {};
}

namespace {

/// Puts a scene together: everything goes into the one buffer of a binary file.
class GlbWriter {
public:
    explicit GlbWriter(const std::string& root_name) {
        model_.asset.version = "2.0";
        model_.asset.generator = "Ringland";
        model_.buffers.emplace_back();
        tinygltf::Node root;
        root.name = root_name;
        model_.nodes.push_back(root);
        tinygltf::Scene scene;
        scene.name = root_name;
        scene.nodes.push_back(0);
        model_.scenes.push_back(scene);
        model_.defaultScene = 0;
    }

    void add(const Shape& shape, const ExportMaterial& material) {
        const Mesh& mesh = shape.mesh;
        if (mesh.positions.empty() || mesh.triangles.size() < 3) return;
        tinygltf::Primitive primitive;
        primitive.mode = TINYGLTF_MODE_TRIANGLES;
        primitive.material = material_index(material);
        primitive.attributes["POSITION"] = add_positions(mesh);
        if (mesh.normals.size() == mesh.positions.size()) primitive.attributes["NORMAL"] = add_normals(mesh);
        primitive.indices = add_indices(mesh);
        tinygltf::Mesh written;
        written.name = shape.name;
        written.primitives.push_back(primitive);
        model_.meshes.push_back(written);
        tinygltf::Node node;
        node.name = shape.name;
        node.mesh = static_cast<int>(model_.meshes.size()) - 1;
        model_.nodes.push_back(node);
        model_.nodes[0].children.push_back(static_cast<int>(model_.nodes.size()) - 1);
    }

    std::string bytes() {
        // A buffer of no bytes is not allowed; a map of no shapes is.
        if (model_.buffers[0].data.empty()) model_.buffers.clear();
        std::ostringstream stream;
        tinygltf::TinyGLTF writer;
        if (!writer.WriteGltfSceneToStream(&model_, stream, false, true)) return {};
        return stream.str();
    }

private:
    tinygltf::Model model_;
    std::map<std::string, int> materials_;

    int material_index(const ExportMaterial& material) {
        const auto [found, fresh] = materials_.emplace(material.name, static_cast<int>(model_.materials.size()));
        if (!fresh) return found->second;
        tinygltf::Material written;
        written.name = material.name;
        written.pbrMetallicRoughness.baseColorFactor.assign(material.base_colour.begin(), material.base_colour.end());
        written.pbrMetallicRoughness.metallicFactor = material.metallic;
        written.pbrMetallicRoughness.roughnessFactor = material.roughness;
        if (material.base_colour[3] < 1) written.alphaMode = "BLEND";
        model_.materials.push_back(written);
        return found->second;
    }

    int add_accessor(const void* data, std::size_t size, std::size_t count, int type, int component, int target) {
        auto& buffer = model_.buffers[0].data;
        tinygltf::BufferView view;
        view.buffer = 0;
        view.byteOffset = buffer.size(); // all elements are of four bytes: every offset is a multiple of four
        view.byteLength = size;
        view.target = target;
        const auto* bytes = static_cast<const unsigned char*>(data);
        buffer.insert(buffer.end(), bytes, bytes + size);
        model_.bufferViews.push_back(view);
        tinygltf::Accessor accessor;
        accessor.bufferView = static_cast<int>(model_.bufferViews.size()) - 1;
        accessor.count = count;
        accessor.type = type;
        accessor.componentType = component;
        model_.accessors.push_back(accessor);
        return static_cast<int>(model_.accessors.size()) - 1;
    }

    int add_positions(const Mesh& mesh) {
        std::vector<glm::vec3> metres;
        metres.reserve(mesh.positions.size());
        glm::vec3 low(std::numeric_limits<float>::max());
        glm::vec3 high(std::numeric_limits<float>::lowest());
        for (const auto& position : mesh.positions) {
            metres.emplace_back(from_unit_space(glm::dvec3(position)));
            low = glm::min(low, metres.back());
            high = glm::max(high, metres.back());
        }
        const int index = add_accessor(metres.data(), metres.size() * sizeof(glm::vec3), metres.size(),
                                       TINYGLTF_TYPE_VEC3, TINYGLTF_COMPONENT_TYPE_FLOAT, TINYGLTF_TARGET_ARRAY_BUFFER);
        auto& accessor = model_.accessors[static_cast<std::size_t>(index)];
        for (int axis = 0; axis < 3; ++axis) {
            accessor.minValues.push_back(static_cast<double>(low[axis]));
            accessor.maxValues.push_back(static_cast<double>(high[axis]));
        }
        return index;
    }

    int add_normals(const Mesh& mesh) {
        std::vector<glm::vec3> turned;
        turned.reserve(mesh.normals.size());
        for (const auto& normal : mesh.normals) {
            const glm::dvec3 direction(normal.x, normal.z, -normal.y);
            const double length = glm::length(direction);
            // A corner of triangles without area has no direction; the standard still wants a unit vector.
            turned.emplace_back(length > 1e-12 ? direction / length : glm::dvec3(0, 1, 0));
        }
        return add_accessor(turned.data(), turned.size() * sizeof(glm::vec3), turned.size(), TINYGLTF_TYPE_VEC3,
                            TINYGLTF_COMPONENT_TYPE_FLOAT, TINYGLTF_TARGET_ARRAY_BUFFER);
    }

    int add_indices(const Mesh& mesh) {
        return add_accessor(mesh.triangles.data(), mesh.triangles.size() * sizeof(std::uint32_t), mesh.triangles.size(),
                            TINYGLTF_TYPE_SCALAR, TINYGLTF_COMPONENT_TYPE_UNSIGNED_INT,
                            TINYGLTF_TARGET_ELEMENT_ARRAY_BUFFER);
    }
};

} // namespace

std::string glb_bytes(const UnitMap& map, const std::vector<Shape>& shapes,
                      const std::function<ExportMaterial(const Shape&)>& material_of) {
    GlbWriter writer(map.unit.name.empty() ? map.unit.id : map.unit.name);
    for (const auto& shape : shapes)
        writer.add(shape, material_of(shape));
    return writer.bytes();
}

std::string write_glb(const std::filesystem::path& file, const UnitMap& map, const std::vector<Shape>& shapes,
                      const std::function<ExportMaterial(const Shape&)>& material_of) {
    const std::string bytes = glb_bytes(map, shapes, material_of);
    if (bytes.empty()) return fmt::format("cannot write {}: the scene could not be put together", file.string());
    return write_whole_file(file, bytes.data(), bytes.size());
}

} // namespace ringland::model
