// Filling against ngspice: the same networks as electric circuits, with the volumes as capacitors, over time.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <memory>
#include <sstream>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "../../diagnosis/airflow/filling.h"
#include "../../model-data/map_io.h"
#include "random_case.h"
#include "spice.h"

using namespace ringland::diagnosis::airflow;
using namespace ringland::tests;

namespace {

constexpr std::array<double, 6> times_s{0.004, 0.01, 0.03, 0.1, 0.25, 0.5};

/// The steady netlist with its capacitors, which only lead to an end there, replaced by what a volume of air is in its
/// units: 1 V is 1 bar and 1 A is 1 g/s, so that V/(n R T) kg/Pa are 1e8 V/(n R T) farads.
std::string netlist_over_time(const UnitAir& unit, double exponent) {
    const FlowNetwork& network = unit.network();
    const double bar = 1e5, rt = 287.05 * network.air().temperature_k;
    std::istringstream steady(netlist_of(network, 1));
    std::string out, line;
    while (std::getline(steady, line) && line.rfind(".options", 0) != 0) {
        if (!line.empty() && line[0] != 'C' && line[0] != 'R') out += line + "\n";
    }
    for (int n = 0; n < network.node_count(); ++n) {
        if (network.unknown(n) < 0) continue;
        out += fmt::format("C{0} p{0} 0 {1:.15g} ic={2:.15g}\n", n, unit.volume_m3(n) / (exponent * rt) * bar * 1e3,
                           network.air().ambient_pa / bar);
    }
    out +=
        fmt::format(".options reltol=1e-6 vntol=1e-9 abstol=1e-9 method=gear itl4=200\n.tran 0.0003 {0} 0 0.0003 uic\n"
                    ".control\nset numdgt=12\nrun\n",
                    times_s.back() + 1e-3);
    for (int n = 0; n < network.node_count(); ++n) {
        if (network.unknown(n) < 0) continue;
        for (std::size_t k = 0; k < times_s.size(); ++k)
            out += fmt::format("meas tran p{0}_at{1} find v(p{0}) at={2}\n", n, k, times_s[k]);
    }
    return out + "quit\n.endc\n.end\n";
}

std::string run_spice(const std::string& netlist, const std::string& file) {
    std::ofstream(file) << netlist;
    const auto close = [](std::FILE* pipe) { pclose(pipe); };
    const std::string command = "timeout 120 ngspice -b '" + file + "' 2>&1";
    const std::unique_ptr<std::FILE, decltype(close)> pipe(popen(command.c_str(), "r"), close);
    std::string said;
    std::array<char, 4096> buffer{};
    while (const std::size_t n = pipe ? std::fread(buffer.data(), 1, buffer.size(), pipe.get()) : 0)
        said.append(buffer.data(), n);
    return said;
}

struct Compared {
    double apart = 0; ///< largest difference, as a share of the absolute pressure
    double moved = 0; ///< largest change of any pressure between the first and the last of the times, the same way
    int values = 0;
};

/// Fills a unit without pistons and holds every node at every time against ngspice.
Compared compare(const UnitMap& map, const UnitAir& unit, double exponent, const std::string& name) {
    REQUIRE(map.elements.empty());
    const std::string said =
        run_spice(netlist_over_time(unit, exponent), RINGLAND_BINARY_DIR "/spice-filling-" + name + ".cir");
    FillCase fill_case;
    fill_case.exponent = exponent;
    fill_case.end_s = fill_case.trigger_s = times_s.back();
    fill_case.sample_s = 1e-3;
    const FillTrace trace = fill(map, unit, fill_case);
    REQUIRE(trace.completed);
    Compared compared;
    const auto see = [&](int node, const std::vector<double>& gauge_pa) {
        double first = 0, last = 0;
        for (std::size_t k = 0; k < times_s.size(); ++k) {
            const std::string word = fmt::format("\np{}_at{}", node, k);
            const auto at = said.find(word);
            INFO(said);
            REQUIRE(at != std::string::npos);
            const double theirs = std::strtod(said.c_str() + said.find('=', at) + 1, nullptr) * 1e5;
            const double ours = gauge_pa[static_cast<std::size_t>(std::lround(times_s[k] / fill_case.sample_s))] +
                                unit.network().air().ambient_pa;
            if (k == 0) first = ours;
            last = ours;
            ++compared.values;
            const double apart = std::abs(ours - theirs) / theirs;
            if (apart > 1e-3)
                FAIL_CHECK(unit.network().node_name(node)
                           << " at " << times_s[k] << " s: " << ours << " Pa, ngspice " << theirs);
            compared.apart = std::max(compared.apart, apart);
        }
        compared.moved = std::max(compared.moved, std::abs(last - first) / first);
    };
    for (std::size_t c = 0; c < map.circuits.size(); ++c) {
        const int node = unit.circuit_node(static_cast<int>(c));
        if (unit.network().unknown(node) >= 0) see(node, trace.circuit_gauge_pa[c]);
    }
    for (std::size_t p = 0; p < map.ports.size(); ++p)
        see(unit.port_node(static_cast<int>(p)), trace.port_gauge_pa[p]);
    return compared;
}

} // namespace

TEST_CASE("ngspice agrees on how random maps fill") {
    constexpr unsigned maps = 25;
    Compared worst;
    int moving = 0;
    for (unsigned m = 0; m < maps; ++m) {
        CAPTURE(m);
        UnitMap map = random_map(700 + m);
        map.elements.clear(); // ngspice gets no pistons
        RandomMap dice(8000 + m);
        UnitAir unit(map, random_bench(dice));
        set_random_case(map, unit, dice);
        if (m % 2 == 0) unit.set_all_ports(PortState::plugged);
        unit.blow_into(dice.number(0, static_cast<int>(map.ports.size()) - 1), dice.figure(0.5e5, 10e5));
        const Compared compared = compare(map, unit, m % 5 == 0 ? 1.3 : 1, fmt::format("random-{}", m));
        worst.apart = std::max(worst.apart, compared.apart);
        worst.values += compared.values;
        moving += compared.moved > 0.05 ? 1 : 0;
    }
    MESSAGE(maps, " maps, ", worst.values, " pressures; apart by at most ", worst.apart,
            " of the absolute pressure; in ", moving, " maps a pressure changed by more than 5 % meanwhile");
    CHECK(moving >= 10); // there was something to follow
}

TEST_CASE("ngspice agrees on how the demo unit fills, sound and with a hole in a ring") {
    auto read = ringland::model::read_map(RINGLAND_SOURCE_DIR "/assets-demo/larch-five.toml");
    REQUIRE(read.map.has_value());
    UnitMap& map = *read.map;
    map.elements.clear();
    UnitAir unit(map, {});
    const auto index = [](const auto& list, const std::string& id) {
        return static_cast<int>(
            std::find_if(list.begin(), list.end(), [&](const auto& thing) { return thing.id == id; }) - list.begin());
    };
    unit.set_port(index(map.ports, "P4"), PortState::plugged);
    unit.blow_into(index(map.ports, "P3"), 35 * 6894.757);
    const Compared sound = compare(map, unit, 1, "larch-five");
    unit.set_defect(index(map.seals, "R3"), 1e-3);
    const Compared holed = compare(map, unit, 1, "larch-five-R3");
    MESSAGE("apart by at most ", sound.apart, " and ", holed.apart, " of the absolute pressure");
    CHECK(sound.moved > 0.5);
}
