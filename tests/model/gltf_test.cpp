// glTF out and in: what is written comes back, and no hostile file gets through.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <random>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <unistd.h>

#include "../../model-data/gltf_io.h"

namespace {

using namespace ringland::model;
using nlohmann::json;

/// A folder that goes with the test.
struct OwnFolder {
    std::filesystem::path path;
    OwnFolder() {
        std::string made = (std::filesystem::temp_directory_path() / "ringland-gltf-XXXXXX").string();
        REQUIRE(mkdtemp(made.data()) != nullptr);
        path = made;
    }
    ~OwnFolder() { std::filesystem::remove_all(path); }
    OwnFolder(const OwnFolder&) = delete;
    OwnFolder& operator=(const OwnFolder&) = delete;
};

/// A ring of square section about the x axis: enough of a mesh to notice a wrong turn, scale or order.
Shape ring(const std::string& name, double x, float radius, int steps) {
    Shape shape;
    shape.name = name;
    shape.material = Material::ptfe;
    const std::array<glm::vec2, 4> profile{{{0, 0}, {3, 0}, {3, 2}, {0, 2}}};
    for (int i = 0; i < steps; ++i) {
        const double turn = 6.283185307179586 * i / steps;
        for (const auto& corner : profile) {
            const double r = static_cast<double>(radius + corner.y);
            shape.mesh.positions.emplace_back(x + static_cast<double>(corner.x), r * std::cos(turn),
                                              r * std::sin(turn));
            shape.mesh.normals.emplace_back(0, std::cos(turn), std::sin(turn));
        }
    }
    const auto at = [steps](int i, int k) { return static_cast<std::uint32_t>((i % steps) * 4 + k % 4); };
    for (int i = 0; i < steps; ++i) {
        for (int k = 0; k < 4; ++k) {
            for (const auto index :
                 {at(i, k), at(i + 1, k), at(i + 1, k + 1), at(i, k), at(i + 1, k + 1), at(i, k + 1)})
                shape.mesh.triangles.push_back(index);
        }
    }
    return shape;
}

ExportMaterial plain(const Shape& shape) {
    ExportMaterial material;
    material.name = std::string(word(shape.material));
    material.base_colour = {0.8, 0.7, 0.6, shape.glass ? 0.2 : 1.0};
    return material;
}

std::string read_file(const std::filesystem::path& file) {
    std::ifstream input(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(input), std::istreambuf_iterator<char>()};
}

void append_word(std::string& bytes, std::size_t value) {
    const auto word = static_cast<std::uint32_t>(value);
    std::array<char, 4> raw{};
    std::memcpy(raw.data(), &word, 4);
    bytes.append(raw.data(), 4);
}

std::string glb(const std::string& text, const std::string& binary) {
    std::string padded = text;
    padded.resize((padded.size() + 3) / 4 * 4, ' ');
    std::string bytes = "glTF";
    append_word(bytes, 2);
    append_word(bytes, 12 + 8 + padded.size() + 8 + binary.size());
    append_word(bytes, padded.size());
    bytes += "JSON" + padded;
    append_word(bytes, binary.size());
    bytes += std::string("BIN\0", 4) + binary;
    return bytes;
}

/// One triangle named "case", indices of the given width; a test changes one thing and expects to be refused.
struct TriangleFile {
    json scene;
    std::string binary;

    explicit TriangleFile(std::size_t index_size = 2) {
        const std::array<float, 9> corners{0, 0, 0, 0.1F, 0, 0, 0, 0.2F, 0};
        binary.assign(reinterpret_cast<const char*>(corners.data()), sizeof corners);
        for (std::uint32_t i = 0; i < 3; ++i)
            binary.append(reinterpret_cast<const char*>(&i), index_size);
        const std::size_t used = binary.size();
        binary.resize((used + 3) / 4 * 4, '\0');
        const int component = index_size == 1 ? 5121 : index_size == 2 ? 5123 : 5125;
        scene = {{"asset", {{"version", "2.0"}}},
                 {"buffers", {{{"byteLength", binary.size()}}}},
                 {"bufferViews",
                  {{{"buffer", 0}, {"byteLength", 36}},
                   {{"buffer", 0}, {"byteOffset", 36}, {"byteLength", 3 * index_size}}}},
                 {"accessors",
                  {{{"bufferView", 0}, {"componentType", 5126}, {"count", 3}, {"type", "VEC3"}},
                   {{"bufferView", 1}, {"componentType", component}, {"count", 3}, {"type", "SCALAR"}}}},
                 {"meshes", {{{"primitives", {{{"attributes", {{"POSITION", 0}}}, {"indices", 1}}}}}}},
                 {"nodes", {{{"name", "case"}, {"mesh", 0}}}}};
    }

    [[nodiscard]] std::string bytes() const { return glb(scene.dump(), binary); }
};

struct Read {
    std::map<std::string, std::vector<glm::vec3>> nodes;
    std::vector<Fault> faults;
};

Read read_bytes(const std::string& bytes) {
    const OwnFolder folder;
    const auto file = folder.path / "test.glb";
    std::ofstream(file, std::ios::binary) << bytes;
    Read read;
    read.nodes = read_glb_nodes(file, read.faults);
    return read;
}

void check_refused(const std::string& bytes, const std::string& because) {
    CAPTURE(because);
    const Read read = read_bytes(bytes);
    CHECK(read.nodes.empty());
    REQUIRE(read.faults.size() == 1);
    CHECK(has_error(read.faults));
    CHECK_MESSAGE(read.faults[0].what.english().find(because) != std::string::npos, read.faults[0].what.english());
}

/// The same with one thing changed by JSON pointer.
void check_refused_with(const std::string& pointer, const json& value, const std::string& because) {
    CAPTURE(pointer);
    TriangleFile file;
    file.scene[json::json_pointer(pointer)] = value;
    check_refused(file.bytes(), because);
}

} // namespace

TEST_CASE("shapes written as glb come back with the same triangles") {
    const OwnFolder folder;
    UnitMap map;
    map.unit.name = "Test unit";
    std::vector<Shape> shapes{ring("R1 ring", 120.25, 23.5F, 48), ring("case", 5, 115, 64)};
    shapes[1].glass = true;
    const auto file = folder.path / "unit.glb";
    REQUIRE(write_glb(file, map, shapes, plain) == "");
    std::vector<Fault> faults;
    const auto nodes = read_glb_nodes(file, faults);
    CHECK(faults.empty());
    REQUIRE(nodes.size() == shapes.size());
    double worst = 0;
    for (const auto& shape : shapes) {
        const auto& corners = nodes.at(shape.name);
        REQUIRE(corners.size() == shape.mesh.triangles.size());
        for (std::size_t i = 0; i < corners.size(); ++i) {
            const auto& wanted = shape.mesh.positions[shape.mesh.triangles[i]];
            worst = std::max(worst, static_cast<double>(glm::length(corners[i] - wanted)));
        }
    }
    CHECK(worst < 1e-3);
    // Nothing but the file itself is left in the folder.
    CHECK(std::distance(std::filesystem::directory_iterator(folder.path), {}) == 1);
}

TEST_CASE("a written glb is in metres with y up") {
    const OwnFolder folder;
    Shape shape;
    shape.name = "corner";
    shape.mesh.positions = {{1000, 0, 0}, {0, 2000, 0}, {0, 0, 3000}};
    shape.mesh.normals = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
    shape.mesh.triangles = {0, 1, 2};
    const auto file = folder.path / "unit.glb";
    REQUIRE(write_glb(file, UnitMap{}, {shape}, plain) == "");
    const std::string bytes = read_file(file);
    std::uint32_t json_size = 0;
    std::memcpy(&json_size, bytes.data() + 12, 4);
    const json scene = json::parse(bytes.substr(20, json_size));
    const auto& position = scene["accessors"][0];
    // x stays, unit z is glTF y, unit y is glTF -z.
    CHECK(position["max"] == json({1, 3, 0}));
    CHECK(position["min"] == json({0, 0, -2}));
    CHECK(scene["nodes"].size() == 2);
    CHECK(scene["nodes"][1]["name"] == "corner");
}

TEST_CASE("write_glb says why it cannot write, and leaves nothing behind") {
    const OwnFolder folder;
    CHECK(write_glb(folder.path / "no" / "such" / "unit.glb", UnitMap{}, {ring("r", 0, 10, 8)}, plain) != "");
    CHECK(write_glb(folder.path, UnitMap{}, {ring("r", 0, 10, 8)}, plain) != "");
    CHECK(std::filesystem::is_empty(folder.path));
}

TEST_CASE("indices of one, two and four bytes, and none at all, read alike") {
    std::vector<std::vector<glm::vec3>> results;
    for (const std::size_t size : {1U, 2U, 4U})
        results.push_back(read_bytes(TriangleFile(size).bytes()).nodes["case"]);
    TriangleFile bare;
    bare.scene["meshes"][0]["primitives"][0].erase("indices");
    results.push_back(read_bytes(bare.bytes()).nodes["case"]);
    for (const auto& corners : results) {
        REQUIRE(corners.size() == 3);
        CHECK(corners[1].x == doctest::Approx(100));
        CHECK(corners[2].z == doctest::Approx(200)); // glTF y is up
    }
}

TEST_CASE("strides are followed") {
    TriangleFile file;
    std::string spread;
    for (std::size_t i = 0; i < 3; ++i)
        spread += file.binary.substr(i * 12, 12) + std::string(8, '\x7f');
    file.binary = spread + file.binary.substr(36);
    file.scene["buffers"][0]["byteLength"] = file.binary.size();
    file.scene["bufferViews"][0] = {{"buffer", 0}, {"byteLength", 60}, {"byteStride", 20}};
    file.scene["bufferViews"][1]["byteOffset"] = 60;
    const Read read = read_bytes(file.bytes());
    CHECK(read.faults.empty());
    REQUIRE(read.nodes.at("case").size() == 3);
    CHECK(read.nodes.at("case")[1].x == doctest::Approx(100));
}

TEST_CASE("the transforms of a node and its ancestors are applied, mirrored ones keep the outside out") {
    TriangleFile file;
    file.scene["nodes"] = {{{"name", "case"}, {"mesh", 0}, {"scale", {-1, 1, 1}}},
                           {{"name", "root"},
                            {"children", {0}},
                            {"translation", {0.5, 0, 0}},
                            {"rotation", {0, 0, std::sqrt(0.5), std::sqrt(0.5)}}}};
    const Read read = read_bytes(file.bytes());
    CHECK(read.faults.empty());
    REQUIRE(read.nodes.size() == 1);
    const auto& corners = read.nodes.at("case");
    // (0.1, 0, 0) mirrored to (-0.1, 0, 0), turned a quarter about z to (0, -0.1, 0), moved: unit (500, 0, -100).
    // The mirror swaps the second and third corner.
    CHECK(corners[2].x == doctest::Approx(500));
    CHECK(corners[2].z == doctest::Approx(-100));
    CHECK(corners[1].x == doctest::Approx(300));
}

TEST_CASE("faulty and hostile glb files are refused with a reason") {
    const std::string good = TriangleFile().bytes();
    CHECK(read_bytes(good).faults.empty());
    check_refused("", "empty");
    check_refused("hello", "no .glb");
    check_refused(good.substr(0, good.size() / 2), "cut off");
    check_refused(good + "more", "longer");
    check_refused(glb("{", ""), "JSON");
    check_refused(glb("[]", ""), "no object");
    check_refused(glb(std::string(1'000'000, '['), ""), "deeply");
    check_refused(glb(R"({"asset":{"version":"2.0"},"x":)" + std::string(40, '[') + std::string(40, ']') + "}", ""),
                  "deeply");

    check_refused_with("/buffers/0/uri", "other.bin", "another file");
    check_refused_with("/buffers/0/uri", "../../etc/passwd", "another file");
    check_refused_with("/extensionsRequired", {"KHR_draco_mesh_compression"}, "KHR_draco_mesh_compression");
    check_refused_with("/bufferViews/0/byteLength", 4000, "beyond its buffer");
    check_refused_with("/bufferViews/0/byteOffset", 100000, "beyond its buffer");
    check_refused_with("/bufferViews/0/buffer", 7, "without its buffer");
    check_refused_with("/accessors/0/count", 4, "beyond its buffer view");
    check_refused_with("/accessors/0/count", 4'000'000'000U, "beyond its buffer view");
    check_refused_with("/accessors/0/byteOffset", 4, "beyond its buffer view");
    check_refused_with("/accessors/0/byteOffset", 1'000'000, "beyond its buffer view");
    check_refused_with("/accessors/0/type", "VEC2", "three floats");
    check_refused_with("/accessors/0/componentType", 5123, "three floats");
    check_refused_with("/accessors/1/componentType", 5126, "unsigned whole");
    check_refused_with("/meshes/0/primitives/0/attributes", {{"POSITION", 9}}, "not there");
    check_refused_with("/meshes/0/primitives/0/attributes", {{"NORMAL", 0}}, "without positions");
    check_refused_with("/nodes/0/mesh", 5, "not there");
    check_refused_with("/nodes/0/children", {3}, "not there");
    check_refused_with("/nodes/0/children", {0}, "contain themselves");
    check_refused_with("/nodes/0/scale", {1e30, 1, 1}, "corner farther");
    check_refused_with(
        "/accessors/0/sparse",
        {{"count", 1}, {"indices", {{"bufferView", 1}, {"componentType", 5123}}}, {"values", {{"bufferView", 0}}}},
        "sparse");
    TriangleFile bad_index;
    bad_index.binary[36] = 77;
    check_refused(bad_index.bytes(), "index 77 of 3");
    TriangleFile shared;
    shared.scene["nodes"] = {
        {{"name", "a"}, {"children", {2}}}, {{"name", "b"}, {"children", {2}}}, {{"name", "c"}, {"mesh", 0}}};
    check_refused(shared.bytes(), "two parents");
}

TEST_CASE("a missing file and a folder are refused") {
    const OwnFolder folder;
    std::vector<Fault> faults;
    CHECK(read_glb_nodes(folder.path / "none.glb", faults).empty());
    CHECK(read_glb_nodes(folder.path, faults).empty());
    REQUIRE(faults.size() == 2);
    CHECK(faults[0].what.english() == "there is no such file");
    CHECK(faults[1].what.english() == "this is no file");
}

TEST_CASE("pictures, surfaces and other files of a glb are never opened") {
    TriangleFile file;
    file.scene["images"] = {{{"uri", "/etc/hostname"}}, {{"bufferView", 99}, {"mimeType", "image/png"}}};
    file.scene["textures"] = {{{"source", 0}}};
    file.scene["materials"] = {{{"pbrMetallicRoughness", {{"baseColorTexture", {{"index", 0}}}}}}};
    file.scene["meshes"][0]["primitives"][0]["material"] = 0;
    const Read read = read_bytes(file.bytes());
    CHECK(read.faults.empty());
    CHECK(read.nodes.size() == 1);
}

TEST_CASE("one mesh used by many nodes cannot fill the memory") {
    TriangleFile file;
    json indices = json::array();
    file.scene["nodes"] = json::array();
    // 30000 corners a node through repeated indices, 1000 nodes: 30 million corners from a small file.
    const std::size_t count = 30000;
    file.binary.resize(36);
    for (std::size_t i = 0; i < count; ++i)
        file.binary += static_cast<char>(i % 3);
    file.scene["buffers"][0]["byteLength"] = file.binary.size();
    file.scene["bufferViews"][1]["byteLength"] = count;
    file.scene["accessors"][1] = {{"bufferView", 1}, {"componentType", 5121}, {"count", count}, {"type", "SCALAR"}};
    for (int i = 0; i < 1000; ++i)
        file.scene["nodes"].push_back({{"name", fmt::format("n{}", i)}, {"mesh", 0}});
    check_refused(file.bytes(), "more corners");
}

TEST_CASE("a glb with bytes changed at random never does harm") {
    const std::string good = TriangleFile().bytes();
    std::mt19937_64 random(20240501);
    std::size_t refused = 0;
    for (int round = 0; round < 1500; ++round) {
        std::string bytes = good;
        const std::size_t changes = 1 + random() % 4;
        for (std::size_t i = 0; i < changes; ++i)
            bytes[12 + random() % (bytes.size() - 12)] = static_cast<char>(random() % 256);
        const Read read = read_bytes(bytes);
        if (has_error(read.faults)) {
            ++refused;
            CHECK(read.nodes.empty());
        }
        for (const auto& [name, corners] : read.nodes) {
            CHECK(corners.size() % 3 == 0);
            CHECK(std::all_of(corners.begin(), corners.end(),
                              [](const glm::vec3& c) { return std::isfinite(c.x + c.y + c.z); }));
        }
    }
    CHECK(refused > 300);
}
