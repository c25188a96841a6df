#include "glb_guard.h"

#include <array>
#include <cerrno>
#include <cstdint>
#include <cstring>
#include <fstream>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace ringland::model {
namespace {

using GltfJson = nlohmann::json;

constexpr std::uint32_t glb_magic = 0x46546C67;  // "glTF"
constexpr std::uint32_t json_chunk = 0x4E4F534A; // "JSON"
constexpr std::uint32_t bin_chunk = 0x004E4942;  // "BIN"

std::uint32_t word_at(const std::string& bytes, std::size_t at) {
    std::uint32_t word = 0;
    std::memcpy(&word, bytes.data() + at, sizeof word);
    return word;
}

void append_word(std::string& bytes, std::size_t value) {
    const auto word = static_cast<std::uint32_t>(value);
    std::array<char, sizeof word> raw{};
    std::memcpy(raw.data(), &word, sizeof word);
    bytes.append(raw.data(), raw.size());
}

std::string read_bytes(const std::filesystem::path& file, Phrase& why) {
    std::error_code error;
    const auto status = std::filesystem::status(file, error);
    if (!std::filesystem::exists(status)) return why = phrase("there is no such file"), std::string();
    // Also refuses pipes and devices, which would keep the reader waiting or never end.
    if (!std::filesystem::is_regular_file(status)) return why = phrase("this is no file"), std::string();
    std::ifstream input(file, std::ios::binary);
    if (!input) return why = phrase("cannot be read: {0}", std::strerror(errno)), std::string();
    const auto size = std::filesystem::file_size(file, error);
    if (error) return why = phrase("cannot be read: {0}", error.message()), std::string();
    if (size > limits::glb_bytes) {
        return why = phrase("larger than {0} MiB", limits::glb_bytes >> 20u), std::string();
    }
    std::string bytes(static_cast<std::size_t>(size), '\0');
    input.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    if (static_cast<std::size_t>(input.gcount()) != bytes.size()) why = phrase("cannot be read to its end");
    return bytes;
}

/// Deepest nesting of brackets outside strings.
int json_depth(const char* text, std::size_t size) {
    int depth = 0;
    int deepest = 0;
    bool in_string = false;
    for (std::size_t i = 0; i < size; ++i) {
        const char c = text[i];
        if (in_string) {
            if (c == '\\') ++i;
            if (c == '"') in_string = false;
        } else if (c == '"') {
            in_string = true;
        } else if (c == '{' || c == '[') {
            deepest = std::max(deepest, ++depth);
        } else if (c == '}' || c == ']') {
            --depth;
        }
    }
    return deepest;
}

/// Why a scene cannot be used; empty where it can.
Phrase complaint_about(const GltfJson& scene) {
    if (!scene.is_object()) return phrase("its JSON is no object");
    const auto required = scene.find("extensionsRequired");
    if (required != scene.end() && required->is_array() && !required->empty()) {
        const std::string first = required->front().is_string() ? required->front().get<std::string>() : "?";
        return phrase("needs the extension {0}, which Ringland does not read", first);
    }
    const auto buffers = scene.find("buffers");
    if (buffers == scene.end()) return {};
    if (!buffers->is_array() || buffers->size() > 1) return phrase("more than the one buffer of a binary file");
    for (const auto& buffer : *buffers) {
        if (!buffer.is_object()) return phrase("a buffer that is no object");
        if (buffer.contains("uri")) return phrase("its data lie in another file, which is not read");
    }
    return {};
}

/// Only what shapes are made of: pictures, surfaces, movement and foreign additions are not handed on.
GltfJson what_shapes_need(const GltfJson& scene) {
    GltfJson kept = GltfJson::object();
    for (const char* key : {"asset", "scene", "scenes", "nodes", "meshes", "accessors", "bufferViews", "buffers"}) {
        if (const auto found = scene.find(key); found != scene.end()) kept[key] = *found;
    }
    for (const char* key : {"nodes", "meshes"}) {
        if (!kept.contains(key) || !kept[key].is_array()) continue;
        for (auto& thing : kept[key]) {
            if (!thing.is_object()) continue;
            for (const char* needless : {"extras", "extensions", "weights", "skin", "camera"})
                thing.erase(needless);
            if (!thing.contains("primitives") || !thing["primitives"].is_array()) continue;
            for (auto& primitive : thing["primitives"]) {
                if (!primitive.is_object()) continue;
                for (const char* needless : {"extras", "extensions", "targets", "material"})
                    primitive.erase(needless);
            }
        }
    }
    return kept;
}

std::string put_together(const GltfJson& scene, const std::string& binary) {
    std::string text = scene.dump(-1, ' ', true, GltfJson::error_handler_t::replace);
    text.resize((text.size() + 3) / 4 * 4, ' ');
    std::string bytes;
    bytes.reserve(28 + text.size() + binary.size());
    append_word(bytes, glb_magic);
    append_word(bytes, 2);
    append_word(bytes, 12 + 8 + text.size() + (binary.empty() ? 0 : 8 + binary.size()));
    append_word(bytes, text.size());
    append_word(bytes, json_chunk);
    bytes += text;
    if (!binary.empty()) {
        append_word(bytes, binary.size());
        append_word(bytes, bin_chunk);
        bytes += binary;
    }
    return bytes;
}

} // namespace

std::string read_guarded_glb(const std::filesystem::path& file, Phrase& why) {
    const std::string bytes = read_bytes(file, why);
    if (!why.empty()) return {};
    if (bytes.empty()) return why = phrase("the file is empty"), std::string();
    if (bytes.size() < 20 || word_at(bytes, 0) != glb_magic) return why = phrase("this is no .glb"), std::string();
    if (word_at(bytes, 4) != 2) return why = phrase("glTF version {0}", word_at(bytes, 4)), std::string();
    if (word_at(bytes, 8) != bytes.size())
        return why = phrase("the file is cut off, or longer than it says"), std::string();
    const std::size_t json_size = word_at(bytes, 12);
    if (word_at(bytes, 16) != json_chunk || json_size > bytes.size() - 20)
        return why = phrase("the file is cut off"), std::string();
    if (json_size > limits::glb_json_bytes) return why = phrase("too many nodes and tables"), std::string();
    if (json_depth(bytes.data() + 20, json_size) > limits::glb_json_depth)
        return why = phrase("its JSON is nested too deeply"), std::string();
    const GltfJson scene = GltfJson::parse(bytes.data() + 20, bytes.data() + 20 + json_size, nullptr, false);
    if (scene.is_discarded()) return why = phrase("its JSON cannot be read"), std::string();
    why = complaint_about(scene);
    if (!why.empty()) return {};
    std::string binary;
    const std::size_t rest = 20 + json_size;
    if (bytes.size() - rest >= 8) {
        const std::size_t binary_size = word_at(bytes, rest);
        if (word_at(bytes, rest + 4) != bin_chunk || binary_size > bytes.size() - rest - 8)
            return why = phrase("the file is cut off"), std::string();
        binary = bytes.substr(rest + 8, binary_size);
        binary.resize((binary.size() + 3) / 4 * 4, '\0');
    }
    return put_together(what_shapes_need(scene), binary);
}

} // namespace ringland::model
