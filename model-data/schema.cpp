// The file format as a JSON Schema, so that editors complete and check a map while it is typed.
//
// It says what a schema can say: keys, types, words, figures, sizes. What things say of each other is the reader's.
// It is stricter in one point: a key that nobody knows is only a warning of the reader.
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "map_fields.h"

namespace ringland::model {

namespace {

using Json = nlohmann::ordered_json;

Json words_schema(std::span<const std::string_view> words) {
    Json list = Json::array();
    for (const auto w : words)
        list.push_back(std::string(w));
    return {{"enum", list}};
}

Json text_schema(Role role) {
    Json schema{{"type", "string"}};
    switch (role) {
    case Role::id:
        schema["pattern"] = "^[A-Za-z0-9_-]{0,40}$";
        break;
    case Role::colour:
        schema["pattern"] = "^(#[0-9A-Fa-f]{6})?$";
        break;
    case Role::tag:
        schema["maxLength"] = 4;
        break;
    case Role::shapes:
        schema["pattern"] = "^([^/\\\\:]+\\.glb)?$";
        break;
    case Role::row:
        schema["pattern"] = "^[^|]*[^| ][^|]*(\\|[^|]*[^| ][^|]*){2,}$";
        break;
    default:
        schema["maxLength"] = limits::text_bytes;
    }
    return schema;
}

/// An entry of a list, which cannot be empty.
Json entry_schema(Role role) {
    Json schema = text_schema(role);
    schema["minLength"] = 1;
    return schema;
}

Json number_schema(std::string_view type, double low, double high, bool above_low) {
    Json schema{{"type", std::string(type)}};
    schema[above_low ? "exclusiveMinimum" : "minimum"] = low;
    schema["maximum"] = high;
    return schema;
}

/// Gathers the keys of one type; a visitor for Table<T>::fields.
class FieldSchema {
public:
    Json properties = Json::object();
    Json required = Json::array();
    Json not_both = Json::array(); ///< figures that may be written in one of several units

    void operator()(const std::string&, const Field& f) {
        Json schema = text_schema(f.role);
        if (f.required) schema["minLength"] = 1;
        add(f, f.key, schema);
    }
    void operator()(const bool&, const Field& f) { add(f, f.key, {{"type", "boolean"}, {"default", f.default_true}}); }
    void operator()(const int&, const Field& f) { add(f, f.key, number_schema("integer", f.low, f.high, f.above_low)); }
    void operator()(const std::optional<int>&, const Field& f) { (*this)(0, f); }
    void operator()(const std::optional<double>&, const Field& f) {
        add(f, f.key, number_schema("number", f.low, f.high, f.above_low));
    }
    template <class Dimension> void operator()(const std::optional<Quantity<Dimension>>&, const Field& f) {
        std::vector<std::string> keys;
        for (const auto& unit : Dimension::units) {
            keys.push_back(fmt::format("{}_{}", f.key, unit.suffix));
            add(f, keys.back(),
                number_schema("number", bound_in<Dimension>(f.low, unit), bound_in<Dimension>(f.high, unit),
                              f.above_low));
        }
        for (std::size_t a = 0; a < keys.size(); ++a) {
            for (std::size_t b = a + 1; b < keys.size(); ++b) {
                not_both.push_back({{"not", {{"required", {keys[a], keys[b]}}}}});
            }
        }
    }
    template <class Enum>
    requires std::is_enum_v<Enum>
    void operator()(const Enum&, const Field& f) { add(f, f.key, words_schema(words_of<Enum>())); }
    template <class Enum>
    requires std::is_enum_v<Enum>
    void operator()(const std::optional<Enum>&, const Field& f) { add(f, f.key, words_schema(words_of<Enum>())); }
    void operator()(const std::vector<std::string>&, const Field& f) {
        add(f, f.key, {{"type", "array"}, {"items", entry_schema(f.role)}, {"maxItems", limits::things_per_list}});
    }
    void operator()(const std::array<std::string, 2>&, const Field& f) {
        add(f, f.key, {{"type", "array"}, {"items", entry_schema(f.role)}, {"minItems", 2}, {"maxItems", 2}});
    }
    void operator()(const std::vector<double>&, const Field& f) {
        add(f, f.key,
            {{"type", "array"},
             {"items", number_schema("number", f.low, f.high, f.above_low)},
             {"maxItems", limits::things_per_list}});
    }
    void operator()(const std::optional<std::array<double, 2>>&, const Field& f) { add(f, f.key, point_schema(f, 2)); }
    void operator()(const std::vector<std::array<double, 3>>&, const Field& f) {
        add(f, f.key,
            {{"type", "array"},
             {"items", point_schema(f, 3)},
             {"not", {{"minItems", 1}, {"maxItems", 1}}},
             {"maxItems", limits::things_per_list}});
    }

private:
    static Json point_schema(const Field& f, int size) {
        return {{"type", "array"},
                {"items", number_schema("number", f.low, f.high, f.above_low)},
                {"minItems", size},
                {"maxItems", size}};
    }
    void add(const Field& field, std::string_view key, Json schema) {
        schema["description"] = std::string(field.says);
        properties[std::string(key)] = std::move(schema);
        if (field.required) required.push_back(std::string(key));
    }
};

/// What must stand together in one thing, beyond the keys by themselves.
template <class T> void add_rules(Json& schema) {
    if constexpr (std::is_same_v<T, Stack>) {
        const Json spelled{{"required", {"first-end", "second-end", "circuits"}}, {"properties", {{"row", false}}}};
        const Json short_one{{"required", {"row"}},
                             {"properties", {{"first-end", false}, {"second-end", false}, {"circuits", false}}}};
        schema["oneOf"] = {short_one, spelled};
        for (const char* key : {"first-end", "second-end"})
            schema["properties"][key]["minLength"] = 1;
        schema["properties"]["circuits"]["minItems"] = 1;
        schema["properties"]["circuits"]["maxItems"] = limits::circuits_per_stack;
    }
    if constexpr (std::is_same_v<T, Seal>) {
        // By its place in a stack, by its id in the list of a stack, or by what it divides.
        schema["anyOf"] = {Json{{"required", {"stack", "nth"}}}, Json{{"required", {"id"}}},
                           Json{{"required", {"kind", "between"}}}};
        schema["dependentRequired"] = {{"nth", {"stack"}}};
    }
}

template <class T> Json table_schema() {
    FieldSchema fields;
    T thing;
    Table<T>::fields(thing, fields);
    if constexpr (std::is_same_v<T, Stack>) {
        StackShort thing_too;
        Table<StackShort>::fields(thing_too, fields);
    }
    Json schema{{"type", "object"}, {"additionalProperties", false}, {"properties", fields.properties}};
    if (!fields.required.empty()) schema["required"] = fields.required;
    if (!fields.not_both.empty()) schema["allOf"] = fields.not_both;
    add_rules<T>(schema);
    return schema;
}

} // namespace

std::string map_schema_text() {
    Json schema;
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema";
    schema["title"] = "Ringland unit map";
    schema["type"] = "object";
    schema["additionalProperties"] = false;
    schema["required"] = {"unit", "stack", "port"};
    schema["properties"]["unit"] = {{"$ref", "#/$defs/unit"}};
    schema["$defs"]["unit"] = table_schema<UnitInfo>();
    schema["properties"]["oil"] = {{"$ref", "#/$defs/oil"}};
    schema["$defs"]["oil"] = table_schema<OilInfo>();
    const UnitMap empty;
    for_each_list(empty, [&](const auto& list) {
        using T = typename std::decay_t<decltype(list)>::value_type;
        const std::string key(Table<T>::key);
        Json entry{{"type", "array"}, {"items", {{"$ref", "#/$defs/" + key}}}, {"maxItems", limits::things_per_list}};
        if (key == "stack" || key == "port") entry["minItems"] = 1;
        schema["properties"][key] = entry;
        schema["$defs"][key] = table_schema<T>();
    });
    return schema.dump(2) + "\n";
}

} // namespace ringland::model
