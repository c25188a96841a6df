// The schema and the reader say the same of a file, as far as a schema can say anything.
#include <doctest/doctest.h>

#include <cmath>
#include <fstream>
#include <regex>
#include <sstream>
#include <string>

#include <nlohmann/json.hpp>

#include "../../model-data/map_io.h"
#include "../../model-data/toml_library.h"
#include "random_map.h"

using namespace ringland::model;
using ringland::tests::random_map;
using Json = nlohmann::json;

namespace {

/// The parts of JSON Schema 2020-12 that the map schema uses. An unknown keyword fails, so none is passed over.
class Schema {
public:
    explicit Schema(Json root) : root_(std::move(root)) {}
    [[nodiscard]] bool accepts(const Json& value) const { return accepts(root_, value); }

private:
    [[nodiscard]] bool accepts(const Json& schema, const Json& value) const {
        if (schema.is_boolean()) return schema.get<bool>();
        for (const auto& [word, rule] : schema.items()) {
            if (!holds(word, rule, schema, value)) return false;
        }
        return true;
    }
    [[nodiscard]] bool holds(const std::string& word, const Json& rule, const Json& schema, const Json& value) const {
        if (word == "$schema" || word == "title" || word == "description" || word == "default" || word == "$defs")
            return true;
        if (word == "$ref") return accepts(root_.at(Json::json_pointer(rule.get<std::string>().substr(1))), value);
        if (word == "type") return is_type(rule, value);
        if (word == "enum") return std::find(rule.begin(), rule.end(), value) != rule.end();
        if (word == "not") return !accepts(rule, value);
        if (word == "allOf" || word == "anyOf" || word == "oneOf") {
            const auto count =
                std::count_if(rule.begin(), rule.end(), [&](const Json& s) { return accepts(s, value); });
            return word == "oneOf"   ? count == 1
                   : word == "anyOf" ? count > 0
                                     : count == static_cast<std::ptrdiff_t>(rule.size());
        }
        if (value.is_string()) {
            const auto& text = value.get_ref<const std::string&>();
            if (word == "minLength") return text.size() >= rule.get<std::size_t>();
            if (word == "maxLength") return text.size() <= rule.get<std::size_t>();
            if (word == "pattern")
                return std::regex_search(text, std::regex(rule.get<std::string>(), std::regex::ECMAScript));
        }
        if (value.is_number()) {
            const double number = value.get<double>(), bound = rule.is_number() ? rule.get<double>() : 0;
            if (word == "minimum") return number >= bound;
            if (word == "maximum") return number <= bound;
            if (word == "exclusiveMinimum") return number > bound;
        }
        if (value.is_array()) {
            if (word == "minItems") return value.size() >= rule.get<std::size_t>();
            if (word == "maxItems") return value.size() <= rule.get<std::size_t>();
            if (word == "items")
                return std::all_of(value.begin(), value.end(), [&](const Json& v) { return accepts(rule, v); });
        }
        if (value.is_object()) return holds_for_object(word, rule, schema, value);
        for (const char* other :
             {"minLength", "maxLength", "pattern", "minimum", "maximum", "exclusiveMinimum", "minItems", "maxItems",
              "items", "required", "properties", "additionalProperties", "dependentRequired"}) {
            if (word == other) return true; // of another type
        }
        FAIL("the schema uses a word that this test does not know: ", word);
        return false;
    }
    [[nodiscard]] bool holds_for_object(const std::string& word, const Json& rule, const Json& schema,
                                        const Json& value) const {
        const auto has = [&](const Json& key) { return value.contains(key.get<std::string>()); };
        if (word == "required") return std::all_of(rule.begin(), rule.end(), has);
        if (word == "dependentRequired") {
            for (const auto& [key, needs] : rule.items()) {
                if (value.contains(key) && !std::all_of(needs.begin(), needs.end(), has)) return false;
            }
            return true;
        }
        if (word == "properties") {
            for (const auto& [key, sub] : rule.items()) {
                if (value.contains(key) && !accepts(sub, value.at(key))) return false;
            }
            return true;
        }
        if (word == "additionalProperties") {
            for (const auto& [key, sub] : value.items()) {
                if (!schema.at("properties").contains(key) && !accepts(rule, sub)) return false;
            }
            return true;
        }
        FAIL("the schema uses a word that this test does not know: ", word);
        return false;
    }
    static bool is_type(const Json& type, const Json& value) {
        if (type == "string") return value.is_string();
        if (type == "boolean") return value.is_boolean();
        if (type == "object") return value.is_object();
        if (type == "array") return value.is_array();
        if (type == "integer") return value.is_number_integer();
        if (type == "number") return value.is_number();
        return false;
    }
    Json root_;
};

Json to_json(const toml::node& node) {
    if (const auto* table = node.as_table()) {
        Json object = Json::object();
        for (const auto& [key, value] : *table)
            object[std::string(key.str())] = to_json(value);
        return object;
    }
    if (const auto* array = node.as_array()) {
        Json list = Json::array();
        for (const auto& value : *array)
            list.push_back(to_json(value));
        return list;
    }
    if (const auto* text = node.as_string()) return text->get();
    if (const auto* whole = node.as_integer()) return whole->get();
    if (const auto* real = node.as_floating_point()) return real->get();
    if (const auto* boolean = node.as_boolean()) return boolean->get();
    return nullptr;
}

Json document(const std::string& text) { return to_json(toml::parse(text)); }

const std::string plain_map =
    "[unit]\nname = \"Bench three\"\n[[stack]]\nid = \"input\"\nrow = \"pump end | Low | Top | drum end\"\n"
    "[[port]]\ncircuit = \"Low\"\n[[port]]\ncircuit = \"Top\"\n";

} // namespace

TEST_CASE("the schema file in the tree is what the program prints") {
    std::ifstream in(RINGLAND_SOURCE_DIR "/model-data/unit-map.schema.json", std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    CHECK(text.str() == map_schema_text());
}

TEST_CASE("every key of the schema is known to the reader, and the reader knows no other") {
    const Json root = Json::parse(map_schema_text());
    std::size_t keys = 0;
    for (const auto& definition : root.at("$defs").items()) { // clang++ 14 cannot capture a structured binding
        for (const auto& rule : definition.value().at("properties").items()) {
            const std::string &table = definition.key(), &key = rule.key();
            // A value of no type that any key has: the reader complains of the value where it knows the key, else of
            // the key.
            const std::string header = table == "unit" || table == "oil" ? "[" + table + "]\n" : "[[" + table + "]]\n";
            const auto result = read_map_text(header + key + " = 1979-05-27\n", "t");
            bool of_value = false;
            for (const auto& fault : result.faults) {
                CHECK_MESSAGE(fault.what.english().find("has no key") == std::string::npos, table, ".", key);
                of_value = of_value || (fault.line == 2 && fault.severity == Severity::error);
            }
            CHECK_MESSAGE(of_value, table, ".", key);
            ++keys;
        }
    }
    CHECK(keys > 120);
    // The other way round: what the writer writes in full stands in the schema, for maps that use every key.
    const Schema schema_of_maps(root);
    std::set<std::string> written;
    for (std::uint64_t seed = 1; seed <= 150; ++seed) {
        const Json map = document(write_map_text(random_map(seed)));
        REQUIRE(schema_of_maps.accepts(map));
        for (const auto& [table, list] : map.items()) {
            for (const auto& entry : table == "unit" || table == "oil" ? Json::array({list}) : list) {
                for (const auto& [key, value] : entry.items())
                    written.insert(table + "." + key);
            }
        }
    }
    // All keys but those that only a short stack has, which the writer spells out.
    CHECK(written.size() + 3 == keys);
}

TEST_CASE("schema and reader accept and refuse the same documents") {
    const Schema of_maps(Json::parse(map_schema_text()));
    const std::string part = "[[part]]\nid = \"x\"\nkind = \"case\"\n";
    const std::vector<std::pair<bool, std::string>> added{
        {true, ""},
        {true, part},
        {true, part + "from_mm = 0\nto_in = 3.5\n"},
        {true, part + "minutes = 2\nline = 20\n"},
        {true, "[[seal]]\nstack = \"input\"\nnth = 3\n"},
        {true, "[[seal]]\nkind = \"lip\"\nbetween = [\"Low\", \"Top\"]\n"},
        {true, "[[passage]]\ncircuit = \"Low\"\npoints-mm = [[1, 2, 3], [-4.5, 5, 6]]\n"},
        {true, "[[circuit]]\nid = \"c\"\nno-port = true\ncolour = \"#00aaFF\"\ntag = \"AB\"\n"},
        {true, "[[range]]\n"},
        {true, "[oil]\nviscosity-40 = 34\nviscosity-100 = 7.4\nline-pressure_bar = 8\n"},
        {true, "[[gear-set]]\nsun = \"s\"\ncarrier = \"c\"\nring = \"r\"\nsun-teeth = 26\nring-teeth = 78\n"},
        {true, "[[clearance]]\nname = \"Pin\"\nkind = \"servo-pin\"\nsizes-mm = [41.2, 42]\n"},
        {true, "[[spare]]\nname = \"Gasket\"\nquantity = 2\nbreaks = true\n"},
        {false, part + "colour = \"#000000\"\n"},
        {false, part + "from_mm = \"1\"\n"},
        {false, part + "from_mm = -1\n"},
        {false, part + "from_mm = 20001\n"},
        {false, part + "from_in = 800\n"},
        {false, part + "from_mm = 1\nfrom_in = 1\n"},
        {false, part + "outer-diameter_mm = 0\n"},
        {false, part + "line = 1.5\n"},
        {false, part + "line = 21\n"},
        {false, part + "after = \"x\"\n"},
        {false, part + "renew = [1]\n"},
        {false, part + "renew = [\"\"]\n"},
        {false, "[[part]]\nid = \"x\"\n"},
        {false, "[[part]]\nid = \"x y\"\nkind = \"case\"\n"},
        {false, "[[part]]\nid = \"x\"\nkind = \"cas\"\n"},
        {false, "[[circuit]]\nid = \"c\"\nno-port = true\ncolour = \"red\"\n"},
        {false, "[[circuit]]\nid = \"c\"\nno-port = true\ntag = \"ABCDE\"\n"},
        {false, "[[circuit]]\nid = \"c\"\nno-port = 1\n"},
        {false, "[[seal]]\nkind = \"lip\"\nbetween = [\"Low\"]\n"},
        {false, "[[seal]]\nkind = \"lip\"\n"},
        {false, "[[seal]]\nstack = \"input\"\nnth = 0\n"},
        {false, "[[seal]]\nid = \"x\"\nkind = \"lip\"\nbetween = [\"Low\", \"Top\"]\nnth = 1\n"},
        {false, "[[stack]]\nid = \"s\"\n"},
        {false, "[[stack]]\nrow = \"a | b\"\n"},
        {false, "[[stack]]\nrow = \"a | Low | b\"\nfirst-end = \"a\"\n"},
        {false, "[[stack]]\nfirst-end = \"a\"\ncircuits = [\"Low\"]\n"},
        {false, "[[passage]]\ncircuit = \"Low\"\npoints-mm = [[1, 2, 3]]\n"},
        {false, "[[passage]]\ncircuit = \"Low\"\npoints-mm = [[1, 2], [3, 4]]\n"},
        {false, "[[passage]]\nid = \"w\"\n"},
        {false, "[[by-design]]\nfrom = \"Low\"\nto = \"sump\"\n"},
        {false, "[[clearance]]\nid = \"c\"\n"},
        {false, "[[port]]\nid = \"p\"\n"},
        {false, "[[port]]\ncircuit = \"Low\"\nat-mm = [1]\n"},
        {false, "[oil]\nx = 1\n"},
        {false, "[oil]\nviscosity-40 = 0\n"},
        {false, "[[gear-set]]\nsun = \"s\"\nring = \"r\"\n"},
        {false, "[[gear-set]]\nsun = \"s\"\ncarrier = \"c\"\nring = \"r\"\nsun-teeth = 26.5\n"},
        {false, "[[gear-set]]\nsun = \"s\"\ncarrier = \"c\"\nring = \"r\"\nplanets = \"three\"\n"},
        {false, "[[clearance]]\nname = \"Pin\"\nsizes-mm = [41.2, \"42\"]\n"},
        {false, "[[clearance]]\nname = \"Pin\"\nsizes-mm = [0]\n"},
        {false, "[[spare]]\nname = \"Gasket\"\nquantity = 0\n"},
        {false, "[[spare]]\nid = \"g\"\n"},
    };
    for (const auto& [is_accepted, words] : added) {
        const bool accepted = is_accepted; // clang++ 14 cannot capture a structured binding
        const auto& text = words;
        CAPTURE(text);
        CHECK(of_maps.accepts(document(plain_map + text)) == accepted);
        CHECK(read_map_text(plain_map + text, "t").faults.empty() == accepted);
    }
    for (const char* shapes : {"x.glb", "x.stl", "../x.glb", "a/x.glb", "C:x.glb"}) {
        std::string text = plain_map;
        text.insert(text.find("[[stack]]"), std::string("shapes = \"") + shapes + "\"\n");
        CAPTURE(shapes);
        CHECK(of_maps.accepts(document(text)) == read_map_text(text, "t").faults.empty());
    }
}
