// Answers in words and in JSON: nothing here needs a screen, so nothing here waits for one.
#include "answers.h"

#include <cstdio>
#include <optional>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "../../diagnosis/divide.h"
#include "../../model-data/air_bench.h"
#include "../../model-data/map_io.h"
#include "divide_text.h"
#include "places.h"

namespace ringland::viewer {
namespace {

std::string counted(std::size_t n, std::string_view one, std::string_view many) {
    return fmt::format("{} {}", n, n == 1 ? one : many);
}

std::string summary(const model::UnitMap& map) {
    return fmt::format("{}: {}, {}, {}, {}, {}", map.unit.name, counted(map.circuits.size(), "circuit", "circuits"),
                       counted(map.stacks.size(), "stack", "stacks"), counted(map.seals.size(), "seal", "seals"),
                       counted(map.ports.size(), "port", "ports"), counted(map.parts.size(), "part", "parts"));
}

nlohmann::ordered_json fault_json(const model::Fault& fault) {
    return {{"file", fault.file},     {"line", fault.line},
            {"column", fault.column}, {"severity", fault.severity == model::Severity::error ? "error" : "warning"},
            {"what", fault.what},     {"right", fault.right}};
}

/// What came of reading one file, a map or a bench.
struct Checked {
    std::optional<model::UnitMap> map;
    std::optional<model::AirBench> bench;
    std::vector<model::Fault> faults;

    [[nodiscard]] bool good() const { return map || bench; }
};

Checked check_file(const std::string& file) {
    if (model::holds_bench(file)) {
        auto read = model::read_bench(file);
        return {std::nullopt, std::move(read.bench), std::move(read.faults)};
    }
    auto read = model::read_map(file);
    return {std::move(read.map), std::nullopt, std::move(read.faults)};
}

nlohmann::ordered_json check_json(const std::string& file, const Checked& checked) {
    nlohmann::ordered_json json{{"file", file}, {"good", checked.good()}};
    auto& faults = json["faults"] = nlohmann::ordered_json::array();
    for (const auto& fault : checked.faults)
        faults.push_back(fault_json(fault));
    if (checked.bench) json["bench"] = checked.bench->name;
    if (checked.map) {
        json["unit"] = checked.map->unit.name;
        json["circuits"] = checked.map->circuits.size();
        json["stacks"] = checked.map->stacks.size();
        json["seals"] = checked.map->seals.size();
        json["ports"] = checked.map->ports.size();
        json["parts"] = checked.map->parts.size();
    }
    return json;
}

void check_text(const std::string& file, const Checked& checked) {
    std::size_t errors = 0;
    for (const auto& fault : checked.faults) {
        fmt::print("{}\n", model::to_string(fault));
        if (fault.severity == model::Severity::error) ++errors;
    }
    const std::size_t warnings = checked.faults.size() - errors;
    if (checked.good()) {
        const std::string also = warnings == 0 ? "" : fmt::format(" ({})", counted(warnings, "warning", "warnings"));
        const std::string what = checked.map ? summary(*checked.map) : "air bench " + checked.bench->name;
        fmt::print("{}: good{}: {}\n", file, also, what);
    } else {
        fmt::print("{}: {}, {}\n", file, counted(errors, "error", "errors"), counted(warnings, "warning", "warnings"));
    }
}

} // namespace

Exit run_divide(const DivideOptions& options) {
    const model::ReadResult read = model::read_map(options.map);
    for (const auto& fault : read.faults)
        fmt::print(stderr, "{}\n", model::to_string(fault));
    if (!read.map) return Exit::input_fault;
    const model::UnitMap& map = *read.map;
    const Place from = find_place(map, options.from);
    const Place to = find_place(map, options.to);
    for (const Place* place : {&from, &to}) {
        if (place->circuit.empty()) fmt::print(stderr, "ringland divide: {}\n", place->why);
    }
    if (from.circuit.empty() || to.circuit.empty()) return Exit::wrong_usage;
    // A circuit without a port (the sump, a lube gallery) can still be asked about.
    diagnosis::DivideAnswer answer = from.port.empty() || to.port.empty()
                                         ? diagnosis::divide_circuits(map, from.circuit, to.circuit)
                                         : diagnosis::divide(map, from.port, to.port);
    answer.from.port = from.port;
    answer.to.port = to.port;
    if (options.json) {
        fmt::print("{}\n", diagnosis::to_json(map, answer));
    } else {
        fmt::print("{}", divide_text(map, answer));
    }
    return Exit::answered;
}

Exit run_check(const CheckOptions& options) {
    Exit exit = Exit::answered;
    nlohmann::ordered_json files = nlohmann::ordered_json::array();
    for (const auto& file : options.maps) {
        const Checked checked = check_file(file);
        if (!checked.good()) exit = Exit::input_fault;
        if (options.json) {
            files.push_back(check_json(file, checked));
        } else {
            check_text(file, checked);
        }
    }
    if (options.json) {
        const nlohmann::ordered_json json{{"maps", files}};
        fmt::print("{}\n", json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace));
    }
    return exit;
}

} // namespace ringland::viewer
