// Answers in words and in JSON: nothing here needs a screen, so nothing here waits for one.
#include "answers.h"

#include <optional>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "../../diagnosis/divide.h"
#include "../../model-data/air_bench.h"
#include "../../model-data/map_io.h"
#include "../../model-data/priors.h"
#include "../../model-data/readings.h"
#include "../../model-data/shop_sign.h"
#include "../../model-data/stock.h"
#include "complain.h"
#include "divide_text.h"
#include "json_text.h"
#include "places.h"
#include "text_lines.h"

namespace ringland::viewer {
namespace {

std::string summary(const model::UnitMap& map) {
    return fmt::format("{}: {}, {}, {}, {}, {}", map.unit.name, counted(map.circuits.size(), "circuit", "circuits"),
                       counted(map.stacks.size(), "stack", "stacks"), counted(map.seals.size(), "seal", "seals"),
                       counted(map.ports.size(), "port", "ports"), counted(map.parts.size(), "part", "parts"));
}

nlohmann::ordered_json fault_json(const model::Fault& fault) {
    return {
        {"file", fault.file},           {"line", fault.line},
        {"column", fault.column},       {"severity", fault.severity == model::Severity::error ? "error" : "warning"},
        {"what", fault.what.english()}, {"right", fault.right.english()}};
}

/// What came of reading one file.
struct Checked {
    std::optional<model::UnitMap> map;
    std::optional<model::AirBench> bench;
    std::optional<model::Priors> priors;
    std::optional<model::Stock> stock;
    std::optional<model::ShopSign> sign;
    std::optional<model::AirCheck> readings;
    std::vector<model::Fault> faults;

    [[nodiscard]] bool good() const { return map || bench || priors || stock || sign || readings; }
};

Checked check_file(const std::string& file) {
    Checked checked;
    if (model::holds_bench(file)) {
        auto read = model::read_bench(file);
        checked.bench = std::move(read.bench);
        checked.faults = std::move(read.faults);
    } else if (model::holds_priors(file)) {
        auto read = model::read_priors(file);
        checked.priors = std::move(read.priors);
        checked.faults = std::move(read.faults);
    } else if (model::holds_stock(file)) {
        auto read = model::read_stock(file);
        checked.stock = std::move(read.stock);
        checked.faults = std::move(read.faults);
    } else if (model::holds_shop_sign(file)) {
        auto read = model::read_shop_sign(file);
        checked.sign = std::move(read.sign);
        checked.faults = std::move(read.faults);
    } else if (model::holds_readings(file)) {
        // Ports mean nothing without the unit that they are of.
        checked.faults.push_back({file, 0, 0, model::Severity::error,
                                  model::phrase("these are readings, and no map is named with them"),
                                  model::Phrase::as_is(fmt::format("ringland check MAP --readings {}", file))});
    } else {
        auto read = model::read_map(file);
        checked.map = std::move(read.map);
        checked.faults = std::move(read.faults);
    }
    return checked;
}

Checked check_readings_file(const std::string& file, const model::UnitMap& map) {
    Checked checked;
    auto read = model::read_readings(file, map);
    checked.readings = std::move(read.check);
    checked.faults = std::move(read.faults);
    return checked;
}

nlohmann::ordered_json check_json(const std::string& file, const Checked& checked) {
    nlohmann::ordered_json json{{"file", file}, {"good", checked.good()}};
    auto& faults = json["faults"] = nlohmann::ordered_json::array();
    for (const auto& fault : checked.faults)
        faults.push_back(fault_json(fault));
    if (checked.bench) json["bench"] = checked.bench->name;
    if (checked.priors) json["priors"] = true;
    if (checked.sign) json["shop"] = checked.sign->name;
    if (checked.stock) json["stock"] = checked.stock->items.size();
    if (checked.readings) {
        json["readings"] = checked.readings->readings.size();
        json["looks"] = checked.readings->looks.size();
    }
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

std::string good_words(const Checked& checked) {
    if (checked.map) return summary(*checked.map);
    if (checked.readings) {
        return fmt::format("{}, {}", counted(checked.readings->readings.size(), "reading", "readings"),
                           counted(checked.readings->looks.size(), "look", "looks"));
    }
    if (checked.sign) return "name of the shop " + checked.sign->name;
    if (checked.stock) return counted(checked.stock->items.size(), "number in stock", "numbers in stock");
    return checked.priors ? "priors" : "air bench " + checked.bench->name;
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
        fmt::print("{}: good{}: {}\n", file, also, good_words(checked));
    } else {
        fmt::print("{}: {}, {}\n", file, counted(errors, "error", "errors"), counted(warnings, "warning", "warnings"));
    }
}

} // namespace

Exit run_divide(const DivideOptions& options) {
    const model::ReadResult read = model::read_map(options.map);
    complain(read.faults);
    if (!read.map) return Exit::input_fault;
    const model::UnitMap& map = *read.map;
    const Place from = find_place(map, options.from);
    const Place to = find_place(map, options.to);
    for (const Place* place : {&from, &to}) {
        if (place->circuit.empty()) complain("divide", place->why);
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
    if (!options.readings.empty() && options.maps.size() != 1) {
        complain("check",
                 fmt::format("--readings with {} maps: name the one map that they are of", options.maps.size()));
        return Exit::wrong_usage;
    }
    Exit exit = Exit::answered;
    nlohmann::ordered_json maps = nlohmann::ordered_json::array(), readings = nlohmann::ordered_json::array();
    const auto tell = [&](nlohmann::ordered_json& list, const std::string& file, const Checked& checked) {
        if (!checked.good()) exit = Exit::input_fault;
        if (options.json) {
            list.push_back(check_json(file, checked));
        } else {
            check_text(file, checked);
        }
    };
    Checked last;
    for (const auto& file : options.maps) {
        last = check_file(file);
        tell(maps, file, last);
    }
    for (const auto& file : options.readings) {
        if (last.map) {
            tell(readings, file, check_readings_file(file, *last.map));
            continue;
        }
        complain("check", fmt::format("{} is not looked at, since {} is no good map", file, options.maps[0]));
        exit = Exit::input_fault;
    }
    if (options.json) {
        nlohmann::ordered_json json{{"maps", maps}};
        if (!options.readings.empty()) json["readings"] = readings;
        fmt::print("{}\n", json_text(json));
    }
    return exit;
}

} // namespace ringland::viewer
