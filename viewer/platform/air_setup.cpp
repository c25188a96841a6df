#include "air_setup.h"

#include <algorithm>

#include <fmt/format.h>

#include "../../diagnosis/airflow/expected.h"
#include "../../model-data/map_faults.h"
#include "../../model-data/map_io.h"
#include "complain.h"
#include "figures.h"
#include "places.h"
#include "typed_words.h"
#include "user_bench.h"

namespace ringland::viewer {
namespace {

/// A seal by id, or by name where only one has it; without regard to case.
int seal_of(const model::UnitMap& map, const std::string& typed, const char* command) {
    const std::string wanted = lower(typed);
    std::vector<std::string> known;
    int by_name = -1, named = 0;
    for (std::size_t i = 0; i < map.seals.size(); ++i) {
        const auto& seal = map.seals[i];
        if (lower(seal.id) == wanted) return static_cast<int>(i);
        known.push_back(seal.id);
        if (seal.name.empty()) continue;
        known.push_back(seal.name);
        if (lower(seal.name) != wanted) continue;
        by_name = static_cast<int>(i);
        ++named;
    }
    if (named == 1) return by_name;
    if (named > 1) {
        complain(command, fmt::format("{} seals are called {}: give the id", named, model::shown(typed)));
        return -1;
    }
    const std::string near = model::nearest_word(typed, known);
    complain(command, fmt::format("no seal {} in this map.{} ringland divide names the seals between two ports",
                                  model::shown(typed), near.empty() ? "" : fmt::format(" Did you mean \"{}\"?", near)));
    return -1;
}

/// The holes of --seal and --hole; nothing where one is not understood.
std::optional<std::vector<ImaginedHole>> holes_of(const model::UnitMap& map, const AirOptions& options,
                                                  const char* command) {
    if (options.seals.size() != options.holes.size()) {
        complain(command, fmt::format("{} of --seal and {} of --hole: give each seal its hole, as in --seal R3 --hole "
                                      "3mm",
                                      options.seals.size(), options.holes.size()));
        return std::nullopt;
    }
    std::vector<ImaginedHole> holes;
    bool good = true;
    for (std::size_t i = 0; i < options.seals.size(); ++i) {
        const int seal = seal_of(map, options.seals[i], command);
        const auto diameter_m = hole_m_of(options.holes[i], command, "--hole");
        good = good && seal >= 0 && diameter_m;
        if (seal < 0 || !diameter_m) continue;
        const bool twice =
            std::any_of(holes.begin(), holes.end(), [seal](const ImaginedHole& hole) { return hole.seal == seal; });
        if (twice)
            complain(command, fmt::format("seal {} is given twice", map.seals[static_cast<std::size_t>(seal)].id));
        good = good && !twice;
        holes.push_back({seal, *diameter_m});
    }
    if (!good) return std::nullopt;
    return holes;
}

} // namespace

int port_of(const model::UnitMap& map, const std::string& typed, const char* command) {
    const Place place = find_place(map, typed);
    if (place.circuit.empty()) {
        complain(command, place.why);
        return -1;
    }
    for (std::size_t i = 0; i < map.ports.size(); ++i) {
        if (map.ports[i].id == place.port) return static_cast<int>(i);
    }
    complain(command,
             fmt::format("no port leads into {}: name a port that is there", model::circuit_name(map, place.circuit)));
    return -1;
}

std::optional<double> pressure_pa_of(const std::string& typed, const char* command, const char* option) {
    const auto figure = parse_pressure(typed);
    if (figure.value) return figure.value->si();
    complain(command, fmt::format("{} {}", option, figure.why));
    return std::nullopt;
}

std::optional<double> hole_m_of(const std::string& typed, const char* command, const char* option) {
    const auto figure = parse_hole(typed);
    if (figure.value) return figure.value->si();
    complain(command, fmt::format("{} {}", option, figure.why));
    return std::nullopt;
}

std::optional<BenchInUse> bench_in_use(const std::string& named) {
    ChosenBench chosen = choose_bench(named);
    complain(chosen.faults);
    if (!chosen.bench) return std::nullopt;
    return BenchInUse{std::move(*chosen.bench), std::move(chosen.file)};
}

std::optional<AirSetup> set_up_air(const AirOptions& options, const char* command, Exit& exit) {
    exit = Exit::input_fault;
    const model::ReadResult read = model::read_map(options.map);
    complain(read.faults);
    auto bench = bench_in_use(options.bench);
    if (!read.map || !bench) return std::nullopt;
    AirSetup setup;
    setup.map = *read.map;
    setup.bench = std::move(bench->bench);
    setup.bench_file = std::move(bench->file);
    exit = Exit::wrong_usage;
    auto holes = holes_of(setup.map, options, command);
    std::optional<double> supply_pa = diagnosis::airflow::usual_gauge_pa(setup.map, setup.bench);
    if (!options.pressure.empty()) supply_pa = pressure_pa_of(options.pressure, command, "--pressure");
    if (!holes || !supply_pa) return std::nullopt;
    setup.holes = std::move(*holes);
    setup.supply_gauge_pa = *supply_pa;
    setup.unit = std::make_unique<diagnosis::airflow::UnitAir>(setup.map, setup.bench);
    for (const auto& hole : setup.holes)
        setup.unit->set_defect(hole.seal, hole.diameter_m);
    return setup;
}

} // namespace ringland::viewer
